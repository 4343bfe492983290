/* SPDX-License-Identifier: MIT */
/* Invariants: the tables are written once, inside pthread_once, and only read afterwards. The order
 * of Forte's names is the one thing listed; which classes there are, their vectors, symmetries,
 * Z-partners and complements are computed. */
#include <holdfast/setclass.h>

#include <pthread.h>
#include <stdio.h>
#include <string.h>

/* Prime forms (by Rahn) of one to six notes in the order of Forte's numbers: Forte, The Structure
 * of Atonal Music (1973), appendix 1. A class of more notes has the number of its complement. */
static const char *const forte_order[] = {
    "{}",
    "0",
    "01 02 03 04 05 06",
    "012 013 014 015 016 024 025 026 027 036 037 048",
    "0123 0124 0134 0125 0126 0127 0145 0156 0167 0235 0135 0236 0136 0237 0146 0157 0347 "
    "0147 0148 0158 0246 0247 0257 0248 0268 0358 0258 0369 0137",
    "01234 01235 01245 01236 01237 01256 01267 02346 01246 01346 02347 01356 01248 01257 "
    "01268 01347 01348 01457 01367 01568 01458 01478 02357 01357 02358 02458 01358 02368 "
    "01368 01468 01369 01469 02468 02469 02479 01247 03458 01258",
    "012345 012346 012356 012456 012367 012567 012678 023457 012357 013457 012457 012467 "
    "013467 013458 012458 014568 012478 012578 013478 014589 023468 012468 023568 013468 "
    "013568 013578 013469 013569 023679 013679 014579 024579 023579 013579 02468T 012347 "
    "012348 012378 023458 012358 012368 012369 012568 012569 023469 012469 012479 012579 "
    "013479 014679",
};

static struct hf_setclass classes[HF_SETCLASSES];
static uint8_t class_of[HF_SETS];
static int first_of_size[HF_PCS + 2]; /* where the classes of a size begin */
static pthread_once_t computed = PTHREAD_ONCE_INIT;

static void fill_class(struct hf_setclass *class, int index, hf_pcset set, int number)
{
    class->index = index;
    class->size = hf_pcset_size(set);
    class->number = number;
    class->prime = hf_pcset_prime(set);
    class->prime_forte = hf_pcset_prime_forte(set);
    hf_pcset_icv(set, class->icv);
    class->invariant_tn = hf_pcset_size(hf_pcset_maps_tn(set, set));
    class->invariant_tni = hf_pcset_size(hf_pcset_maps_tni(set, set));
    class->forms = 2 * HF_PCS / (class->invariant_tn + class->invariant_tni);
    for (int n = 0; n < HF_PCS; n++) {
        class_of[hf_pcset_transpose(set, n)] = (uint8_t)index;
        class_of[hf_pcset_invert(set, n)] = (uint8_t)index;
    }
}

/* The next prime form of a row of forte_order; false at its end. */
static bool next_prime(const char **row, hf_pcset *prime)
{
    unsigned set = 0;
    const char *at = *row;
    if (*at == '\0')
        return false;
    for (; *at && *at != ' '; at++) {
        const char *digits = "0123456789TE", *digit = strchr(digits, *at);
        if (digit)
            set |= 1u << (digit - digits);
    }
    *row = *at ? at + 1 : at;
    *prime = (hf_pcset)set;
    return true;
}

static int fill_size(int size, int index)
{
    bool large = size > HF_PCS / 2;
    const char *row = forte_order[large ? HF_PCS - size : size];
    hf_pcset prime;
    first_of_size[size] = index;
    for (int number = 1; next_prime(&row, &prime); number++, index++)
        fill_class(&classes[index], index, large ? hf_pcset_complement(prime) : prime, number);
    return index;
}

static void relate(struct hf_setclass *class)
{
    class->complement = &classes[class_of[hf_pcset_complement(class->prime)]];
    for (int i = first_of_size[class->size]; i < first_of_size[class->size + 1]; i++)
        if (i != class->index && !memcmp(classes[i].icv, class->icv, sizeof class->icv))
            class->z = &classes[i];
    snprintf(class->name, sizeof class->name, "%d-%s%d", class->size, class->z ? "Z" : "",
             class->number);
}

static void compute(void)
{
    int index = 0;
    for (int size = 0; size <= HF_PCS; size++)
        index = fill_size(size, index);
    first_of_size[HF_PCS + 1] = index;
    for (int i = 0; i < index; i++)
        relate(&classes[i]);
}

/* The classes, computed by now. A failure of pthread_once is impossible with a valid control. */
static const struct hf_setclass *all(void)
{
    (void)pthread_once(&computed, compute);
    return classes;
}

const struct hf_setclass *hf_setclass_of(hf_pcset set)
{
    return all() + class_of[set & HF_PCSET_ALL];
}

const struct hf_setclass *hf_setclass_at(int index)
{
    return index >= 0 && index < HF_SETCLASSES ? all() + index : NULL;
}

const struct hf_setclass *hf_setclass_find(int size, int number)
{
    const struct hf_setclass *list = all();
    if (size < 0 || size > HF_PCS || number < 1 ||
        number > first_of_size[size + 1] - first_of_size[size])
        return NULL;
    return list + first_of_size[size] + number - 1;
}

int hf_setclass_members(const struct hf_setclass *of, hf_pcset out[HF_SETCLASS_FORMS])
{
    int count = 0;
    for (int i = 0; i < 2 * HF_PCS; i++) {
        hf_pcset form =
            i < HF_PCS ? hf_pcset_transpose(of->prime, i) : hf_pcset_invert(of->prime, i - HF_PCS);
        int at = 0;
        while (at < count && hf_pcset_compare(out[at], form) < 0)
            at++;
        if (at < count && out[at] == form)
            continue;
        memmove(out + at + 1, out + at, (size_t)(count - at) * sizeof *out);
        out[at] = form;
        count++;
    }
    return count;
}

bool hf_setclass_all_trichord(const struct hf_setclass *of)
{
    int census[HF_SETCLASSES];
    if (of->size != HF_PCS / 2)
        return false;
    hf_setclass_census(of->prime, 3, census);
    for (int i = first_of_size[3]; i < first_of_size[4]; i++)
        if (!census[i])
            return false;
    return true;
}

void hf_setclass_census(hf_pcset set, int size, int census[HF_SETCLASSES])
{
    hf_pcset subsets[HF_SUBSETS_MOST];
    int count = hf_pcset_subsets(set, size, subsets);
    memset(census, 0, HF_SETCLASSES * sizeof *census);
    for (int i = 0; i < count; i++)
        census[hf_setclass_of(subsets[i])->index]++;
}
