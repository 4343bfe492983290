/* SPDX-License-Identifier: MIT */
/* Invariants: a set has no bit above the twelfth, before and after every function. As a number, a
 * set that has a 0 is smaller the more it is packed from the right (its last member decides first),
 * which is the order of Rahn's two rules. */
#include <holdfast/pcset.h>

#include <stddef.h>
#include <stdlib.h>

int hf_pc(int n)
{
    int pc = n % HF_PCS;
    return pc < 0 ? pc + HF_PCS : pc;
}

hf_pcset hf_pcset_of(const int *pcs, int count)
{
    unsigned set = 0;
    for (int i = 0; i < count; i++)
        set |= 1u << hf_pc(pcs[i]);
    return (hf_pcset)set;
}

int hf_pcset_list(hf_pcset set, int pcs[HF_PCS])
{
    int count = 0;
    for (int pc = 0; pc < HF_PCS; pc++)
        if (hf_pcset_has(set, pc))
            pcs[count++] = pc;
    return count;
}

int hf_pcset_size(hf_pcset set)
{
    int size = 0;
    for (unsigned rest = set; rest; rest &= rest - 1)
        size++;
    return size;
}

bool hf_pcset_has(hf_pcset set, int pc)
{
    return (set >> pc) & 1;
}

hf_pcset hf_pcset_complement(hf_pcset set)
{
    return (hf_pcset)(~(unsigned)set & HF_PCSET_ALL);
}

hf_pcset hf_pcset_transpose(hf_pcset set, int n)
{
    unsigned shifted = (unsigned)set << hf_pc(n);
    return (hf_pcset)((shifted | shifted >> HF_PCS) & HF_PCSET_ALL);
}

hf_pcset hf_pcset_invert(hf_pcset set, int n)
{
    unsigned mirrored = 0;
    for (int pc = 0; pc < HF_PCS; pc++)
        mirrored |= (unsigned)hf_pcset_has(set, pc) << (HF_PCS - 1 - pc);
    return hf_pcset_transpose((hf_pcset)mirrored, n + 1); /* mirrored is 11 minus each */
}

int hf_pcset_compare(hf_pcset a, hf_pcset b)
{
    unsigned differ = a ^ b;
    if (!differ)
        return 0;
    unsigned lowest = differ & (~differ + 1);
    bool in_a = a & lowest;
    unsigned other_rest = (in_a ? b : a) & ~(lowest - 1);
    bool has_first = !other_rest; /* the other list ended: it is the beginning of this one */
    return in_a == has_first ? 1 : -1;
}

void hf_pcset_icv(hf_pcset set, int icv[6])
{
    for (int k = 1; k <= 6; k++)
        icv[k - 1] = hf_pcset_size(set & hf_pcset_transpose(set, k));
    icv[5] /= 2; /* a tritone maps on itself, so each was met twice */
}

hf_pcset hf_pcset_maps_tn(hf_pcset from, hf_pcset to)
{
    unsigned maps = 0;
    for (int n = 0; n < HF_PCS; n++)
        maps |= (unsigned)(hf_pcset_transpose(from, n) == to) << n;
    return (hf_pcset)maps;
}

hf_pcset hf_pcset_maps_tni(hf_pcset from, hf_pcset to)
{
    return hf_pcset_maps_tn(hf_pcset_invert(from, 0), to);
}

int hf_pcset_normal(hf_pcset set, int pcs[HF_PCS])
{
    int first = 0;
    hf_pcset best = HF_PCSET_ALL;
    for (int pc = HF_PCS - 1; pc >= 0; pc--) {
        hf_pcset rotated = hf_pcset_transpose(set, -pc);
        if (hf_pcset_has(set, pc) && rotated <= best) {
            best = rotated;
            first = pc;
        }
    }
    int count = 0;
    for (int i = 0; i < HF_PCS; i++)
        if (hf_pcset_has(set, hf_pc(first + i)))
            pcs[count++] = hf_pc(first + i);
    return count;
}

/* Calls for the better of two forms that begin with 0. */
typedef bool better_form(hf_pcset a, hf_pcset b);

static bool packed_from_the_right(hf_pcset a, hf_pcset b)
{
    return a < b;
}

static int last_member(hf_pcset set)
{
    int last = 0;
    for (unsigned rest = set >> 1; rest; rest >>= 1)
        last++;
    return last;
}

static bool packed_from_the_left(hf_pcset a, hf_pcset b)
{
    int span_a = last_member(a), span_b = last_member(b);
    return span_a != span_b ? span_a < span_b : hf_pcset_compare(a, b) < 0;
}

static hf_pcset best_form(hf_pcset set, better_form *better)
{
    hf_pcset best = set, turned[2] = {set, hf_pcset_invert(set, 0)};
    bool found = false;
    for (int i = 0; i < 2 * HF_PCS; i++) {
        hf_pcset form = hf_pcset_transpose(turned[i % 2], i / 2);
        if (hf_pcset_has(form, 0) && (!found || better(form, best))) {
            best = form;
            found = true;
        }
    }
    return best;
}

hf_pcset hf_pcset_prime(hf_pcset set)
{
    return best_form(set, packed_from_the_right);
}

hf_pcset hf_pcset_prime_forte(hf_pcset set)
{
    return best_form(set, packed_from_the_left);
}

/* Steps `chosen` (ascending indices below count) to the next choice; false after the last. */
static bool next_choice(int *chosen, int size, int count)
{
    int i = size - 1;
    while (i >= 0 && chosen[i] == count - size + i)
        i--;
    if (i < 0)
        return false;
    chosen[i]++;
    for (int j = i + 1; j < size; j++)
        chosen[j] = chosen[j - 1] + 1;
    return true;
}

int hf_pcset_subsets(hf_pcset of, int size, hf_pcset out[HF_SUBSETS_MOST])
{
    int pcs[HF_PCS], chosen[HF_PCS], found = 0;
    int count = hf_pcset_list(of, pcs);
    if (size < 0 || size > count)
        return 0;
    for (int i = 0; i < size; i++)
        chosen[i] = i;
    do {
        unsigned subset = 0;
        for (int i = 0; i < size; i++)
            subset |= 1u << pcs[chosen[i]];
        out[found++] = (hf_pcset)subset;
    } while (next_choice(chosen, size, count));
    return found;
}

/* From -5 to 6: the shorter way round. */
static int shorter_way(int from, int to)
{
    int up = hf_pc(to - from);
    return up > HF_PCS / 2 ? up - HF_PCS : up;
}

struct leading {
    int total, largest;
    int moves[HF_PCS];
};

/* The pairing of the i-th voice with the (i + turn)-th. */
static struct leading lead_by(const int *from, const int *to, int count, int turn)
{
    struct leading leading = {0};
    for (int i = 0; i < count; i++) {
        int move = shorter_way(from[i], to[(i + turn) % count]);
        leading.moves[i] = move;
        leading.total += abs(move);
        if (abs(move) > leading.largest)
            leading.largest = abs(move);
    }
    return leading;
}

/* The best pairing of two lists without a common member. It never crosses voices on the circle, so
 * the rotations are all that need trying (Tymoczko, "Scale Theory, Serial Theory and Voice
 * Leading", Music Analysis 27/1, 2008 [memory]; tests/test_pcset.c compares with every pairing). */
static struct leading best_leading(const int *from, const int *to, int count)
{
    struct leading best = {0};
    for (int turn = 0; turn < count; turn++) {
        struct leading tried = lead_by(from, to, count, turn);
        if (turn == 0 || tried.total < best.total ||
            (tried.total == best.total && tried.largest < best.largest))
            best = tried;
    }
    return best;
}

/* Common notes can stay at no cost: where a goes to x and y to a, let a stay and y go to x, which
 * is no farther (triangle inequality). */
int hf_pcset_movement(hf_pcset from, hf_pcset to, int moves[HF_PCS])
{
    int all[HF_PCS], a[HF_PCS], b[HF_PCS], moving = 0;
    hf_pcset common = from & to;
    int size = hf_pcset_list(from, all), count = hf_pcset_list(from ^ common, a);
    if (hf_pcset_list(to ^ common, b) != count)
        return -1;
    struct leading best = best_leading(a, b, count);
    for (int i = 0; moves && i < size; i++)
        moves[i] = hf_pcset_has(common, all[i]) ? 0 : best.moves[moving++];
    return best.total;
}

char *hf_pcset_format(hf_pcset set, char text[HF_PCSET_TEXT])
{
    size_t length = 0;
    for (int pc = 0; pc < HF_PCS; pc++)
        if (hf_pcset_has(set, pc))
            text[length++] = "0123456789TE"[pc];
    if (!length) {
        text[length++] = '{';
        text[length++] = '}';
    }
    text[length] = '\0';
    return text;
}
