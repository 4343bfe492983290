/* SPDX-License-Identifier: MIT */
/* Invariants: everything is found by trying every member of a class; completions stand in ascending
 * order of lists, and ids are their places counted from 1. */
#include <holdfast/pairing.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The members of a set that have another one `interval` semitones above or below. */
static hf_pcset members_at(hf_pcset set, int interval)
{
    return set & (hf_pcset_transpose(set, interval) | hf_pcset_transpose(set, -interval));
}

static void name_parts(struct hf_completion *completion, const struct hf_setclass *added)
{
    if (added != hf_setclass_find(3, 5))
        return;
    completion->perfect = members_at(completion->pcs, 5);
    completion->semitone = members_at(completion->pcs, 1);
    completion->tritone = members_at(completion->pcs, 6);
}

/* Gives one kind to all that the transpositions in `keeps` make of out[first]. */
static void name_kind(struct hf_completion *out, int count, int first, int kind, hf_pcset keeps)
{
    int position = 1;
    for (int n = 0; n < HF_PCS; n++) {
        hf_pcset form = hf_pcset_transpose(out[first].pcs, n);
        for (int i = first; hf_pcset_has(keeps, n) && i < count; i++)
            if (out[i].pcs == form && !out[i].kind) {
                out[i].kind = kind;
                out[i].position = position++;
            }
    }
}

static void name_kinds(hf_pcset held, struct hf_completion *out, int count)
{
    hf_pcset keeps = hf_pcset_maps_tn(held, held);
    int kind = 0;
    for (int i = 0; i < count; i++)
        if (!out[i].kind)
            name_kind(out, count, i, ++kind, keeps);
}

int hf_pairing_complete(hf_pcset held, const struct hf_setclass *added,
                        struct hf_completion out[HF_COMPLETIONS_MOST])
{
    hf_pcset members[HF_SETCLASS_FORMS];
    int forms = hf_setclass_members(added, members), count = 0;
    for (int i = 0; i < forms; i++) {
        if (members[i] & held)
            continue;
        struct hf_completion found = {.id = count + 1, .pcs = members[i]};
        found.united = held | members[i];
        found.result = hf_setclass_of(found.united);
        name_parts(&found, added);
        out[count++] = found;
    }
    name_kinds(held, out, count);
    return count;
}

int hf_pairing_keep(struct hf_completion *completions, int count, const struct hf_setclass *result)
{
    int kept = 0, kinds = 0, kind_now[HF_COMPLETIONS_MOST + 1] = {0};
    for (int i = 0; i < count; i++) {
        struct hf_completion one = completions[i];
        if (one.result != result)
            continue;
        if (!kind_now[one.kind])
            kind_now[one.kind] = ++kinds;
        one.kind =
            kind_now[one.kind]; /* whole kinds stay: what keeps the held set keeps the class */
        one.id = kept + 1;
        completions[kept++] = one;
    }
    return kept;
}

/* Lists the classes of a size that have a member outside `held`, as far as the text reaches. */
static void list_possible(hf_pcset held, int size, char *text, size_t room)
{
    struct hf_completion found[HF_COMPLETIONS_MOST];
    const struct hf_setclass *class;
    size_t length = 0;
    text[0] = '\0';
    for (int number = 1; (class = hf_setclass_find(size, number)) != NULL; number++) {
        if (!hf_pairing_complete(held, class, found))
            continue;
        if (length + sizeof class->name + 6 > room) {
            snprintf(text + length, room - length, " ...");
            return;
        }
        length +=
            (size_t)snprintf(text + length, room - length, "%s%s", length ? ", " : "", class->name);
    }
}

enum hf_status hf_pairing_explain(hf_pcset held, const struct hf_setclass *added,
                                  struct hf_diag *diag)
{
    struct hf_completion found[HF_COMPLETIONS_MOST];
    char set[HF_PCSET_TEXT], prime[HF_PCSET_TEXT], possible[240];
    int size = hf_pcset_size(held);
    if (hf_pairing_complete(held, added, found))
        return HF_OK;
    hf_pcset_format(held, set);
    hf_pcset_format(added->prime, prime);
    if (size + added->size > HF_PCS) {
        hf_fail(diag, HF_E_USAGE, "%d held notes leave no room for %s (%s), which has %d", size,
                added->name, prime, added->size);
        hf_advise(diag, "hold fewer notes, or add a class of at most %d", HF_PCS - size);
        return HF_E_USAGE;
    }
    hf_fail(diag, HF_E_USAGE, "no %s (%s) is free of the held notes (%s)", added->name, prime, set);
    list_possible(held, added->size, possible, sizeof possible);
    if (possible[0])
        hf_advise(diag, "of %d notes these classes can be added: %s", added->size, possible);
    return HF_E_USAGE;
}

void hf_pairing_movement(const struct hf_completion *completions, int count,
                         int out[HF_COMPLETIONS_MOST][HF_COMPLETIONS_MOST])
{
    for (int i = 0; i < count; i++)
        for (int j = 0; j < count; j++)
            out[i][j] = hf_pcset_movement(completions[i].pcs, completions[j].pcs, NULL);
}

/* Writes the two neighbours of `of` at a distance; false unless there are exactly two. */
static bool two_neighbours(int movement[HF_COMPLETIONS_MOST][HF_COMPLETIONS_MOST], int count,
                           int of, int least, int neighbour[2])
{
    int found = 0;
    for (int i = 0; i < count; i++) {
        if (i == of || movement[of][i] != least)
            continue;
        if (found == 2)
            return false;
        neighbour[found++] = i;
    }
    return found == 2;
}

static int least_movement(int movement[HF_COMPLETIONS_MOST][HF_COMPLETIONS_MOST], int count)
{
    int least = movement[0][1];
    for (int i = 0; i < count; i++)
        for (int j = i + 1; j < count; j++)
            if (movement[i][j] < least)
                least = movement[i][j];
    return least;
}

int hf_pairing_ring(const struct hf_completion *completions, int count,
                    int out[HF_COMPLETIONS_MOST])
{
    int movement[HF_COMPLETIONS_MOST][HF_COMPLETIONS_MOST], ring[HF_COMPLETIONS_MOST];
    int around[HF_COMPLETIONS_MOST][2];
    if (count < 3)
        return 0;
    hf_pairing_movement(completions, count, movement);
    int least = least_movement(movement, count);
    for (int i = 0; i < count; i++)
        if (!two_neighbours(movement, count, i, least, around[i]))
            return 0;
    int shared[2];
    for (int side = 0; side < 2; side++)
        shared[side] = hf_pcset_size(completions[0].pcs & completions[around[0][side]].pcs);
    int before = 0, at = around[0][shared[1] > shared[0]], length = 1;
    ring[0] = 1;
    while (at != 0) {
        ring[length++] = at + 1;
        int next = around[at][0] == before ? around[at][1] : around[at][0];
        before = at;
        at = next;
    }
    if (length != count)
        return 0; /* several smaller cycles */
    memcpy(out, ring, (size_t)count * sizeof *ring);
    return count;
}

hf_pcset hf_pairing_triad_for(hf_pcset trichord)
{
    struct hf_completion found[HF_COMPLETIONS_MOST];
    if (hf_setclass_of(trichord) != hf_setclass_find(3, 5) ||
        !hf_pairing_complete(trichord, hf_setclass_find(3, 12), found))
        return 0;
    return found[0].pcs;
}

static void add_result(struct hf_pairing *pairing, const struct hf_setclass *result)
{
    int at = 0;
    while (at < pairing->results && pairing->result[at]->index < result->index)
        at++;
    if (at < pairing->results && pairing->result[at] == result)
        return;
    memmove(pairing->result + at + 1, pairing->result + at,
            (size_t)(pairing->results - at) * sizeof *pairing->result);
    pairing->result[at] = result;
    pairing->results++;
}

void hf_pairing_of(const struct hf_setclass *held, const struct hf_setclass *added,
                   struct hf_pairing *out)
{
    struct hf_pairing pairing = {.held = held, .added = added};
    hf_pcset members[HF_SETCLASS_FORMS];
    int forms = hf_setclass_members(added, members);
    for (int i = 0; i < forms; i++) {
        if (members[i] & held->prime)
            continue;
        if (!pairing.completions++)
            pairing.example = members[i];
        add_result(&pairing, hf_setclass_of(members[i] | held->prime));
    }
    *out = pairing;
}

bool hf_pairing_holds(const struct hf_setclass *a, const struct hf_setclass *b)
{
    if (a->forms != b->forms)
        return a->forms < b->forms;
    if (a->size != b->size)
        return a->size > b->size;
    return a->number <= b->number;
}

/* Whether the classes of two sets without a common member always unite as these two do: every form
 * of the second beside the first one's prime form. */
static bool certain(hf_pcset held, hf_pcset added)
{
    const struct hf_setclass *result = hf_setclass_of(held | added);
    for (int n = 0; n < HF_PCS; n++) {
        hf_pcset moved = hf_pcset_transpose(added, n), turned = hf_pcset_invert(added, n);
        if (!(moved & held) && hf_setclass_of(moved | held) != result)
            return false;
        if (!(turned & held) && hf_setclass_of(turned | held) != result)
            return false;
    }
    return true;
}

static struct hf_split arrange(hf_pcset a, hf_pcset b)
{
    const struct hf_setclass *class_a = hf_setclass_of(a), *class_b = hf_setclass_of(b);
    bool a_holds =
        class_a == class_b ? hf_pcset_compare(a, b) < 0 : hf_pairing_holds(class_a, class_b);
    return a_holds ? (struct hf_split){a, b} : (struct hf_split){b, a};
}

static bool is_triad_and_016(const struct hf_split *split)
{
    return hf_setclass_of(split->held) == hf_setclass_find(3, 12) &&
           hf_setclass_of(split->added) == hf_setclass_find(3, 5);
}

static int compare_splits(const void *left, const void *right)
{
    const struct hf_split *a = left, *b = right;
    int first = is_triad_and_016(b) - is_triad_and_016(a);
    int smaller = hf_pcset_size(a->held) - hf_pcset_size(b->held);
    if (first)
        return first;
    return smaller ? smaller : hf_pcset_compare(a->held, b->held);
}

int hf_pairing_splits(hf_pcset set, struct hf_split out[HF_SPLITS_MOST])
{
    int count = 0;
    unsigned lowest = set & (~(unsigned)set + 1);
    /* each part that has the lowest member, the whole set apart */
    for (unsigned part = (set - 1u) & set; part; part = (part - 1) & set) {
        hf_pcset rest = (hf_pcset)(set & ~part);
        if ((part & lowest) && certain((hf_pcset)part, rest))
            out[count++] = arrange((hf_pcset)part, rest);
    }
    qsort(out, (size_t)count, sizeof *out, compare_splits);
    return count;
}
