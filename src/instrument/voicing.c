/* SPDX-License-Identifier: MIT */
/* Invariants: every voicing that is listed holds each pitch class of the set, once unless doublings
 * are asked for; notes ascend. */
#include <holdfast/voicing.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/notes.h>
#include <holdfast/pitch.h>

enum { OCTAVE = 12 };

/* ---- measures -------------------------------------------------------------------------------- */

struct hf_voicing hf_voicing_of_notes(const struct hf_notes *notes)
{
    int midi[HF_NOTES_MOST];
    for (int i = 0; i < notes->count; i++)
        midi[i] = notes->note[i].midi;
    return hf_voicing_of(midi, notes->count);
}

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

struct hf_voicing hf_voicing_of(const int *notes, int count)
{
    struct hf_voicing made = {0};
    int sorted[HF_PCS];
    for (int i = 0; i < count && i < HF_PCS; i++)
        sorted[i] = notes[i];
    sort_notes(sorted, count < HF_PCS ? count : HF_PCS);
    for (int i = 0; i < count && i < HF_PCS; i++)
        if (i == 0 || sorted[i] != sorted[i - 1])
            made.notes[made.count++] = (uint8_t)sorted[i];
    return made;
}

int hf_voicing_span(const struct hf_voicing *voicing)
{
    return voicing->count ? voicing->notes[voicing->count - 1] - voicing->notes[0] : 0;
}

int hf_voicing_spacing(const struct hf_voicing *voicing, int steps[HF_PCS])
{
    int count = 0;
    for (int i = 1; i < voicing->count; i++)
        steps[count++] = voicing->notes[i] - voicing->notes[i - 1];
    return count;
}

bool hf_voicing_is_close(const struct hf_voicing *voicing)
{
    return hf_voicing_span(voicing) < OCTAVE;
}

/* Sethares' s D: the distance of two partials in units of the ear's resolution at the lower one. */
static double ear_distance(double low_hz, double high_hz)
{
    return 0.24 / (0.0207 * low_hz + 18.96) * (high_hz - low_hz);
}

double hf_voicing_clearness(const struct hf_voicing *voicing)
{
    /* Where e^(-3.51 x) - e^(-5.75 x) is greatest: ln(5.75 / 3.51) / (5.75 - 3.51). */
    static const double roughest = 0.22034566407428947;
    if (voicing->count < 2)
        return HUGE_VAL;
    return ear_distance(hf_pitch_to_hz(voicing->notes[0], 440.0),
                        hf_pitch_to_hz(voicing->notes[1], 440.0)) /
           roughest;
}

double hf_voicing_roughness(double a_hz, double b_hz, double a_amplitude, double b_amplitude)
{
    double x = ear_distance(fmin(a_hz, b_hz), fmax(a_hz, b_hz));
    return fmin(a_amplitude, b_amplitude) * 5 * (exp(-3.51 * x) - exp(-5.75 * x));
}

enum hf_relation hf_voicing_relation(const struct hf_voicing *voicing,
                                     const struct hf_voicing *held)
{
    if (voicing->count && held->count && voicing->notes[voicing->count - 1] < held->notes[0])
        return HF_RELATION_BELOW;
    if (voicing->count && held->count && voicing->notes[0] > held->notes[held->count - 1])
        return HF_RELATION_ABOVE;
    return HF_RELATION_THROUGH;
}

/* Two that cross can change places without more movement, so the best pairing goes upward in both:
 * total[j] is the least for the notes of `many` so far, the last of them going to note j. */
static int least_movement(const struct hf_voicing *many, const struct hf_voicing *few)
{
    int total[HF_PCS];
    const int never = 1 << 20;
    for (int j = 0; j < few->count; j++)
        total[j] = j ? never : abs(many->notes[0] - few->notes[0]);
    for (int i = 1; i < many->count; i++)
        for (int j = few->count - 1; j >= 0; j--) {
            int before = j && total[j - 1] < total[j] ? total[j - 1] : total[j];
            total[j] = before + abs(many->notes[i] - few->notes[j]);
        }
    return total[few->count - 1];
}

int hf_voicing_movement(const struct hf_voicing *from, const struct hf_voicing *to)
{
    if (from->count == 0 || to->count == 0)
        return 0;
    return from->count >= to->count ? least_movement(from, to) : least_movement(to, from);
}

/* ---- lists ----------------------------------------------------------------------------------- */

struct list {
    const struct hf_voicing_ask *ask;
    struct hf_voicing *out;
    int count;
};

static void add_new(struct list *list, const struct hf_voicing *made)
{
    if (list->count == HF_VOICINGS_MOST)
        return;
    for (int i = 0; i < list->count; i++)
        if (hf_voicing_same(&list->out[i], made))
            return;
    list->out[list->count++] = *made;
}

/* The notes an octave from a voice that the register has, ascending; returns how many. The voicing
 * has none of them, having each pitch class once. */
static int octaves_of(const struct hf_voicing_ask *ask, const struct hf_voicing *voicing,
                      int out[2 * HF_PCS])
{
    bool can[HF_MIDI_MOST + 1] = {false};
    int count = 0;
    for (int i = 0; i < voicing->count; i++)
        for (int note = voicing->notes[i] - OCTAVE; note <= voicing->notes[i] + OCTAVE;
             note += 2 * OCTAVE)
            if (note >= ask->low && note <= ask->high)
                can[note] = true;
    for (int note = 0; note <= HF_MIDI_MOST; note++)
        if (can[note])
            out[count++] = note;
    return count;
}

static void add_clear(struct list *list, const int *notes, int count)
{
    struct hf_voicing made = hf_voicing_of(notes, count);
    if (hf_voicing_clearness(&made) >= list->ask->clear_least)
        add_new(list, &made);
}

/* Adds what is wanted of a voicing: itself, or it with each choice of doublings. */
static void add_wanted(struct list *list, const struct hf_voicing *voicing)
{
    const struct hf_voicing_ask *ask = list->ask;
    int notes[HF_PCS + 2], more[2 * HF_PCS];
    int count = voicing->count;
    if (hf_voicing_is_close(voicing) ? ask->no_close : ask->no_open)
        return;
    for (int i = 0; i < count; i++)
        notes[i] = voicing->notes[i];
    if (ask->doublings == 0)
        add_clear(list, notes, count);
    if (ask->doublings == 0 || count + ask->doublings > HF_PCS)
        return;
    int choices = octaves_of(ask, voicing, more);
    for (int one = 0; one < choices; one++) {
        notes[count] = more[one];
        if (ask->doublings == 1)
            add_clear(list, notes, count + 1);
        for (int two = one + 1; ask->doublings == 2 && two < choices; two++) {
            notes[count + 1] = more[two];
            add_clear(list, notes, count + 2);
        }
    }
}

/* Adds the close voicing with the voices of `dropped` (a mask) an octave lower, if it fits. */
static void add(struct list *list, const int *close, int count, unsigned dropped)
{
    int notes[HF_PCS];
    for (int i = 0; i < count; i++)
        notes[i] = close[i] - ((dropped >> i) & 1 ? OCTAVE : 0);
    sort_notes(notes, count);
    if (notes[0] < list->ask->low || notes[count - 1] > list->ask->high)
        return;
    struct hf_voicing made = hf_voicing_of(notes, count);
    add_wanted(list, &made);
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

int hf_voicing_find(hf_pcset set, const struct hf_voicing_ask *ask,
                    struct hf_voicing out[HF_VOICINGS_MOST])
{
    struct hf_voicing_ask within = *ask;
    struct list list = {.ask = &within, .out = out};
    within.low = ask->low < 0 ? 0 : ask->low;
    within.high = ask->high > HF_MIDI_MOST ? HF_MIDI_MOST : ask->high;
    int pcs[HF_PCS];
    int count = hf_pcset_list(set, pcs);
    if (count == 0)
        return 0;
    for (int inversion = 0; inversion < count; inversion++)
        for (int octave = 0; octave <= HF_MIDI_MOST; octave += OCTAVE) {
            int close[HF_PCS] = {0};
            for (int i = 0; i < count; i++) {
                int voice = inversion + i;
                close[i] = octave + pcs[voice % count] + (voice >= count ? OCTAVE : 0);
            }
            /* An open voicing may fit where the close one, up to an octave higher, does not. */
            if (close[0] - OCTAVE <= within.high && close[count - 1] >= within.low)
                add_openings(&list, close, count);
        }
    return list.count;
}

int hf_voicing_list(hf_pcset set, int low, int high, struct hf_voicing out[HF_VOICINGS_MOST])
{
    struct hf_voicing_ask ask = {.low = low, .high = high};
    return hf_voicing_find(set, &ask, out);
}
