/* SPDX-License-Identifier: MIT */
/* Invariants: the order and the voicings draw from streams of their own, so that changing one
 * leaves the other; every round holds each completion once. */
#include <holdfast/schedule.h>

#include <string.h>

enum { E1 = 28, C6 = 84, OCTAVE = 12 };

/* ---- register -------------------------------------------------------------------------------- */

static enum hf_register_way way_of_round(const struct hf_schedule *s, uint32_t round)
{
    static const enum hf_register_way turn[] = {HF_REGISTER_ABOVE, HF_REGISTER_THROUGH,
                                                HF_REGISTER_BELOW};
    return s->where == HF_REGISTER_ALL ? turn[round % 3] : s->where;
}

void hf_schedule_register(const struct hf_schedule *s, uint32_t round, int *low, int *high)
{
    switch (way_of_round(s, round)) {
    case HF_REGISTER_ABOVE:
        *low = s->held_low + OCTAVE;
        *high = s->held_low + 2 * OCTAVE > C6 ? s->held_low + 2 * OCTAVE : C6;
        return;
    case HF_REGISTER_THROUGH:
        *low = s->held_low - OCTAVE;
        *high = s->held_high + OCTAVE;
        return;
    case HF_REGISTER_BELOW:
        *low = E1;
        *high = s->held_low - 1;
        return;
    case HF_REGISTER_ALL:
    case HF_REGISTER_RANGE:
        break;
    }
    *low = s->low;
    *high = s->high;
}

/* The voicings of a completion that the round's register has, in `choices`. Through the held notes:
 * those with a note between them, where there are any. */
static int list_choices(struct hf_schedule *s, int index, uint32_t round)
{
    int low, high;
    hf_schedule_register(s, round, &low, &high);
    int count = hf_voicing_list(s->completions[index].pcs, low, high, s->choices);
    if (way_of_round(s, round) != HF_REGISTER_THROUGH)
        return count;
    int between = 0;
    for (int i = 0; i < count; i++)
        if (hf_voicing_between(&s->choices[i], s->held_low, s->held_high))
            s->choices[between++] = s->choices[i];
    return between ? between : count;
}

static struct hf_voicing choose_voicing(struct hf_schedule *s, int index, uint32_t round)
{
    if (index == s->own && s->given == 1) {
        s->last[index] = s->own_voicing;
        return s->own_voicing;
    }
    int count = list_choices(s, index, round);
    int fresh = 0;
    for (int i = 0; i < count; i++)
        if (!hf_voicing_same(&s->choices[i], &s->last[index]))
            s->choices[fresh++] = s->choices[i];
    if (fresh == 0) /* the register has only the one of last time, and it is still in place 0 */
        fresh = 1;
    struct hf_voicing chosen = s->choices[hf_random_below(&s->voicings, (uint32_t)fresh)];
    s->last[index] = chosen;
    return chosen;
}

/* ---- order ----------------------------------------------------------------------------------- */

static void shuffle(struct hf_schedule *s)
{
    int last = s->sequence[s->count - 1];
    /* Fisher and Yates as in Knuth, The Art of Computer Programming 2, algorithm P; drawn anew
     * while the round would begin as the last one ended. */
    do {
        for (int i = 0; i < s->count; i++)
            s->sequence[i] = i;
        for (int i = s->count - 1; i > 0; i--) {
            int j = (int)hf_random_below(&s->orders, (uint32_t)i + 1);
            int held = s->sequence[i];
            s->sequence[i] = s->sequence[j];
            s->sequence[j] = held;
        }
    } while (s->given > 0 && s->count > 1 && s->sequence[0] == last);
}

/* Around the ring, from a place that the seed gives; every round goes on where the last ended. */
static void go_around(struct hf_schedule *s)
{
    int ring[HF_COMPLETIONS_MOST];
    int count = hf_pairing_ring(s->completions, s->count, ring);
    if (s->given > 0)
        return; /* the same order again: it ends beside where it begins */
    int first = (int)hf_random_below(&s->orders, (uint32_t)count);
    for (int i = 0; i < count; i++)
        s->sequence[i] = ring[(first + i) % count] - 1;
}

/* A chord's own completion first, then the others by their movement from it. */
static void go_out_from_own(struct hf_schedule *s)
{
    for (int i = 0; i < s->count; i++) {
        int distance = hf_pcset_movement(s->completions[s->own].pcs, s->completions[i].pcs, NULL);
        int at = i; /* insertion keeps them ascending, equals in order of id */
        for (; at > 0; at--) {
            int before = s->sequence[at - 1];
            if (hf_pcset_movement(s->completions[s->own].pcs, s->completions[before].pcs, NULL) <=
                distance)
                break;
            s->sequence[at] = before;
        }
        s->sequence[at] = i;
    }
}

static void bring_own_first(struct hf_schedule *s)
{
    int at = 0;
    while (s->sequence[at] != s->own)
        at++;
    if (s->order == HF_ORDER_RING) { /* turn the ring */
        int ring[HF_COMPLETIONS_MOST];
        memcpy(ring, s->sequence, sizeof ring);
        for (int i = 0; i < s->count; i++)
            s->sequence[i] = ring[(at + i) % s->count];
    } else {
        s->sequence[at] = s->sequence[0];
        s->sequence[0] = s->own;
    }
}

static void begin_round(struct hf_schedule *s)
{
    bool own = s->own >= 0 && s->given == 0;
    if (own && !s->order_given) {
        go_out_from_own(s);
        return;
    }
    if (s->order == HF_ORDER_RING)
        go_around(s);
    else
        shuffle(s);
    if (own)
        bring_own_first(s);
}

bool hf_schedule_next(struct hf_schedule *s, struct hf_cue *out)
{
    if (s->given == s->total)
        return false;
    uint32_t round = s->given / (uint32_t)s->count;
    uint32_t place = s->given % (uint32_t)s->count;
    if (place == 0)
        begin_round(s);
    int index = s->sequence[place];
    s->given++;
    *out = (struct hf_cue){.serial = s->given,
                           .id = s->completions[index].id,
                           .pcs = s->completions[index].pcs,
                           .voicing = choose_voicing(s, index, round)};
    return true;
}

/* ---- start ----------------------------------------------------------------------------------- */

static enum hf_status count_cues(struct hf_schedule *s, const struct hf_request *request,
                                 struct hf_diag *diag)
{
    int64_t total = request->rounds ? (int64_t)request->rounds * s->count : INT32_MAX;
    if (request->for_span.amount > 0) {
        int64_t left = hf_request_samples(request, request->for_span) -
                       hf_request_samples(request, request->lead_in);
        int64_t fit = left / hf_request_samples(request, request->every);
        if (left <= 0 || fit < 1)
            return hf_fail(diag, HF_E_USAGE,
                           "not one whole cue fits: %s is spent by the lead-in and a cue of %s",
                           request->text[HF_OPT_FOR], request->text[HF_OPT_EVERY]);
        total = fit < total ? fit : total;
    }
    s->total = (uint32_t)total;
    return HF_OK;
}

static enum hf_status check_register(struct hf_schedule *s, struct hf_diag *diag)
{
    static const char *const words[] = {"above", "through", "below", "all", "the given one"};
    for (uint32_t round = 0; round < 3; round++)
        for (int i = 0; i < s->count; i++) {
            if (list_choices(s, i, round) > 0)
                continue;
            int low, high;
            hf_schedule_register(s, round, &low, &high);
            hf_fail(diag, HF_E_USAGE,
                    "the register (%s: %d semitones) has no room for the %d added notes",
                    words[way_of_round(s, round)], high > low ? high - low : 0,
                    hf_pcset_size(s->completions[i].pcs));
            hf_advise(diag, "choose another --register, or hold the notes in another octave");
            return HF_E_USAGE;
        }
    return HF_OK;
}

static void measure_held(struct hf_schedule *s, const struct hf_notes *held)
{
    s->held_low = s->held_high = held->note[0].midi;
    for (int i = 1; i < held->count; i++) {
        int midi = held->note[i].midi;
        s->held_low = midi < s->held_low ? midi : s->held_low;
        s->held_high = midi > s->held_high ? midi : s->held_high;
    }
}

static bool find_own(struct hf_schedule *s, const struct hf_request *request)
{
    hf_pcset own = 0;
    for (int i = 0; i < request->own.count; i++)
        own = (hf_pcset)(own | 1u << request->own.notes[i] % HF_PCS);
    for (int i = 0; i < s->count; i++)
        if (s->completions[i].pcs == own)
            s->own = i;
    s->own_voicing = request->own;
    return s->own >= 0;
}

enum hf_status hf_schedule_init(struct hf_schedule *s, const struct hf_request *request,
                                struct hf_diag *diag)
{
    memset(s, 0, sizeof *s);
    s->order = request->order;
    s->order_given = request->given[HF_OPT_ORDER];
    s->own = -1;
    s->where = request->where;
    s->low = request->low;
    s->high = request->high;
    measure_held(s, &request->held);
    s->count = hf_pairing_complete(request->held.set, request->added, s->completions);
    if (s->count == 0) {
        enum hf_status status = hf_pairing_explain(request->held.set, request->added, diag);
        return status == HF_OK ? HF_E_BUG : status;
    }
    if (request->has_own && !find_own(s, request))
        return hf_fail(diag, HF_E_BUG, "the chord's own half is not among the completions");
    int ring[HF_COMPLETIONS_MOST];
    if (s->order == HF_ORDER_RING && hf_pairing_ring(s->completions, s->count, ring) == 0)
        return hf_fail(diag, HF_E_USAGE,
                       "order ring: these %d completions form no ring of smallest movements",
                       s->count);
    hf_random_init(&s->orders, request->seed, HF_STREAM_SCHEDULE);
    hf_random_init(&s->voicings, request->seed, HF_STREAM_VOICING);
    enum hf_status status = count_cues(s, request, diag);
    return status == HF_OK ? check_register(s, diag) : status;
}
