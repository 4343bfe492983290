/* SPDX-License-Identifier: MIT */
/* Invariant: every voicing holds each pitch class of the set once. */
#include <holdfast/voicing.h>

#include <string.h>

bool hf_voicing_same(const struct hf_voicing *a, const struct hf_voicing *b)
{
    return a->count == b->count && memcmp(a->notes, b->notes, a->count) == 0;
}

bool hf_voicing_between(const struct hf_voicing *voicing, int low, int high)
{
    for (int i = 0; i < voicing->count; i++)
        if (voicing->notes[i] > low && voicing->notes[i] < high)
            return true;
    return false;
}

static void sort_notes(int *notes, int count)
{
    for (int i = 1; i < count; i++)
        for (int j = i; j > 0 && notes[j] < notes[j - 1]; j--) {
            int held = notes[j];
            notes[j] = notes[j - 1];
            notes[j - 1] = held;
        }
}

struct list {
    struct hf_voicing *out;
    int count;
    int low, high;
};

/* Adds the close voicing with the voices of `dropped` (a mask) an octave lower, if it fits. */
static void add(struct list *list, const int *close, int count, unsigned dropped)
{
    int notes[HF_PCS];
    struct hf_voicing made = {.count = (uint8_t)count};
    for (int i = 0; i < count; i++)
        notes[i] = close[i] - ((dropped >> i) & 1 ? 12 : 0);
    sort_notes(notes, count);
    if (notes[0] < list->low || notes[count - 1] > list->high || list->count == HF_VOICINGS_MOST)
        return;
    for (int i = 0; i < count; i++)
        made.notes[i] = (uint8_t)notes[i];
    for (int i = 0; i < list->count; i++)
        if (hf_voicing_same(&list->out[i], &made))
            return;
    list->out[list->count++] = made;
}

static void add_openings(struct list *list, const int *close, int count)
{
    add(list, close, count, 0);
    for (int one = 1; one < count; one++)
        add(list, close, count, 1u << one);
    for (int one = 1; one < count; one++)
        for (int two = one + 1; two < count; two++)
            add(list, close, count, 1u << one | 1u << two);
}

int hf_voicing_list(hf_pcset set, int low, int high, struct hf_voicing out[HF_VOICINGS_MOST])
{
    struct list list = {.out = out, .low = low < 0 ? 0 : low, .high = high > 127 ? 127 : high};
    int pcs[HF_PCS];
    int count = hf_pcset_list(set, pcs);
    if (count == 0)
        return 0;
    for (int inversion = 0; inversion < count; inversion++)
        for (int octave = 0; octave <= 127; octave += 12) {
            int close[HF_PCS];
            for (int i = 0; i < count; i++) {
                int voice = inversion + i;
                close[i] = octave + pcs[voice % count] + (voice >= count ? 12 : 0);
            }
            /* An open voicing may fit where the close one, up to an octave higher, does not. */
            if (close[0] - 12 <= list.high && close[count - 1] >= list.low)
                add_openings(&list, close, count);
        }
    return list.count;
}
