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

static void take_held(struct hf_schedule *s, const struct hf_voicing *held)
{
    s->held = *held;
    s->held_low = held->notes[0];
    s->held_high = held->notes[held->count - 1];
}

/* The voicings of a set that the round's register has, in `choices`. Through the held notes:
 * those with a note between them, where there are any. */
static int list_choices(struct hf_schedule *s, hf_pcset pcs, uint32_t round)
{
    int low, high;
    hf_schedule_register(s, round, &low, &high);
    int count = hf_voicing_list(pcs, low, high, s->choices);
    if (way_of_round(s, round) != HF_REGISTER_THROUGH)
        return count;
    int between = 0;
    for (int i = 0; i < count; i++)
        if (hf_voicing_between(&s->choices[i], s->held_low, s->held_high))
            s->choices[between++] = s->choices[i];
    return between ? between : count;
}

/* One of the first `count` choices, by the seed, other than `last` if there is another. */
static struct hf_voicing choose_other(struct hf_schedule *s, int count,
                                      const struct hf_voicing *last)
{
    int fresh = 0;
    for (int i = 0; i < count; i++)
        if (!hf_voicing_same(&s->choices[i], last))
            s->choices[fresh++] = s->choices[i];
    if (fresh == 0) /* there is only the one of last time, and it is still in place 0 */
        fresh = 1;
    return s->choices[hf_random_below(&s->voicings, (uint32_t)fresh)];
}

static struct hf_voicing choose_voicing(struct hf_schedule *s, int index, uint32_t round)
{
    if (index == s->own && s->given == 1)
        return s->last[index] = s->own_voicing;
    int count = list_choices(s, s->completions[index].pcs, round);
    return s->last[index] = choose_other(s, count, &s->last[index]);
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

/* From one to the nearest, or farthest, that has not come in this round; of equals by the seed. */
static void go_by_movement(struct hf_schedule *s, bool near)
{
    bool come[HF_COMPLETIONS_MOST] = {false};
    int last = s->given ? s->sequence[s->count - 1]
                        : (int)hf_random_below(&s->orders, (uint32_t)s->count);
    for (int place = 0; place < s->count; place++) {
        int best = -1, best_distance = 0, equals = 0;
        for (int i = 0; i < s->count; i++) {
            int distance =
                hf_pcset_movement(s->completions[last].pcs, s->completions[i].pcs, NULL);
            if (come[i] || (i == last && s->count > 1 && place == 0 && s->given))
                continue;
            if (place == 0 && !s->given)
                distance = i == last ? (near ? -1 : 1000) : distance; /* begin with the draw */
            bool better = best < 0 || (near ? distance < best_distance : distance > best_distance);
            equals = better ? 1 : distance == best_distance ? equals + 1 : equals;
            if (better || (distance == best_distance &&
                           hf_random_below(&s->orders, (uint32_t)equals) == 0)) {
                best = i;
                best_distance = distance;
            }
        }
        come[best] = true;
        s->sequence[place] = last = best;
    }
}

static void order_round(struct hf_schedule *s)
{
    switch (s->order) {
    case HF_ORDER_SHUFFLE:
        shuffle(s);
        return;
    case HF_ORDER_RING:
        go_around(s);
        return;
    case HF_ORDER_NEAR:
    case HF_ORDER_FAR:
        go_by_movement(s, s->order == HF_ORDER_NEAR);
        return;
    case HF_ORDER_LISTED:
    case HF_ORDER_PATH:
        for (int i = 0; i < s->count; i++)
            s->sequence[i] = i;
        return;
    }
}

static void begin_round(struct hf_schedule *s)
{
    bool own = s->own >= 0 && s->given == 0;
    if (own && !s->order_given) {
        go_out_from_own(s);
        return;
    }
    order_round(s);
    if (own)
        bring_own_first(s);
}

/* ---- a path ---------------------------------------------------------------------------------- */

/* The nearest voicing of what the next leg holds, voice by voice from low to high. */
static struct hf_voicing nearest_hold(struct hf_schedule *s, hf_pcset held)
{
    int count = hf_voicing_list(held, s->held_low - 6, s->held_high + 6, s->choices);
    int best = -1, best_distance = 0;
    for (int i = 0; i < count; i++) {
        int distance = 0;
        for (int n = 0; n < s->held.count && n < s->choices[i].count; n++) {
            int step = s->choices[i].notes[n] - s->held.notes[n];
            distance += step < 0 ? -step : step;
        }
        if (best < 0 || distance < best_distance) {
            best = i;
            best_distance = distance;
        }
    }
    return best >= 0 ? s->choices[best] : s->held;
}

static int completion_of(struct hf_schedule *s, const struct hf_request_leg *leg)
{
    s->count = hf_pairing_complete(leg->held, hf_setclass_of(leg->added), s->completions);
    for (int i = 0; i < s->count; i++)
        if (s->completions[i].pcs == leg->added)
            return i;
    return 0;
}

static void next_leg(struct hf_schedule *s, struct hf_cue *out)
{
    const struct hf_request_leg *leg = &s->leg[s->given];
    bool first = s->given == 0;
    out->has_hold = !first && leg->held != s->leg[s->given - 1].held;
    if (out->has_hold) {
        out->hold_pcs = leg->held;
        out->hold = nearest_hold(s, leg->held);
        take_held(s, &out->hold);
    }
    int index = completion_of(s, leg);
    out->id = s->completions[index].id;
    out->pcs = leg->added;
    if (first)
        out->voicing = s->own_voicing;
    else
        out->voicing = choose_other(s, list_choices(s, leg->added, 0), &s->last[0]);
    s->last[0] = out->voicing;
}

/* ---- reverse --------------------------------------------------------------------------------- */

static int triad_of(hf_pcset trichord)
{
    int pcs[HF_PCS];
    hf_pcset_list(hf_pairing_triad_for(trichord), pcs);
    return pcs[0];
}

static void swap_sets(hf_pcset *a, hf_pcset *b)
{
    hf_pcset held = *a;
    *a = *b;
    *b = held;
}

static void shuffle_sets(struct hf_schedule *s, hf_pcset *sets, int count)
{
    for (int i = count - 1; i > 0; i--)
        swap_sets(&sets[i], &sets[hf_random_below(&s->orders, (uint32_t)i + 1)]);
}

/* True where no triad is the answer twice in a row. */
static bool answers_differ(const struct hf_schedule *s, const hf_pcset *sets, int count)
{
    int last = s->reversed_last ? triad_of(s->reversed_last) : -1;
    for (int i = 0; i < count; i++) {
        if (triad_of(sets[i]) == last)
            return false;
        last = triad_of(sets[i]);
    }
    return true;
}

/* Four rounds with all 24 forms, six of them a round; in each round every triad is the answer once
 * or twice, in all four six times. */
static void deal_reversed(struct hf_schedule *s)
{
    static const int deal[4][4] = {{2, 2, 1, 1}, {1, 1, 2, 2}, {2, 1, 2, 1}, {1, 2, 1, 2}};
    hf_pcset forms[HF_SETCLASS_FORMS], by_triad[4][HF_REVERSE_ROUND];
    int count = hf_setclass_members(hf_setclass_find(3, 5), forms), have[4] = {0}, taken[4] = {0};
    shuffle_sets(s, forms, count);
    for (int i = 0; i < count; i++) {
        int triad = triad_of(forms[i]);
        by_triad[triad][have[triad]++] = forms[i];
    }
    int turn = (int)hf_random_below(&s->orders, 4);
    for (int round = 0; round < 4; round++) {
        hf_pcset *sets = &s->reversed[round * HF_REVERSE_ROUND];
        int place = 0;
        for (int triad = 0; triad < 4; triad++)
            for (int i = 0; i < deal[round][(triad + turn) % 4]; i++)
                sets[place++] = by_triad[triad][taken[triad]++];
        do
            shuffle_sets(s, sets, HF_REVERSE_ROUND);
        while (!answers_differ(s, sets, HF_REVERSE_ROUND));
        s->reversed_last = sets[HF_REVERSE_ROUND - 1];
    }
}

/* A new voicing of the 016 that is held, and the triad that completes it. */
static void next_reversed(struct hf_schedule *s, uint32_t round, struct hf_cue *out)
{
    int place = (int)(s->given % HF_SETCLASS_FORMS);
    if (place == 0 && s->given > 0)
        deal_reversed(s);
    hf_pcset held = s->reversed[place];
    out->has_hold = true;
    out->hold_pcs = held;
    if (s->given == 0) {
        out->hold = s->held; /* it sounds since the start */
    } else {
        int count = hf_voicing_list(held, HF_REVERSE_LOW, HF_REVERSE_HIGH, s->choices);
        out->hold = s->choices[hf_random_below(&s->voicings, (uint32_t)count)];
    }
    take_held(s, &out->hold);
    out->id = 1;
    out->pcs = hf_pairing_triad_for(held);
    out->voicing = choose_other(s, list_choices(s, out->pcs, round), &s->last[0]);
    s->last[0] = out->voicing;
}

static void start_reversed(struct hf_schedule *s)
{
    deal_reversed(s);
    int count = hf_voicing_list(s->reversed[0], HF_REVERSE_LOW, HF_REVERSE_HIGH, s->choices);
    struct hf_voicing held = s->choices[hf_random_below(&s->voicings, (uint32_t)count)];
    take_held(s, &held);
    s->count = HF_REVERSE_ROUND;
}

/* ---- next ------------------------------------------------------------------------------------ */

void hf_schedule_first_hold(const struct hf_schedule *s, hf_pcset *pcs, struct hf_voicing *voicing)
{
    *pcs = 0;
    for (int i = 0; i < s->held.count; i++)
        *pcs = (hf_pcset)(*pcs | 1u << s->held.notes[i] % HF_PCS);
    *voicing = s->held;
}

bool hf_schedule_next(struct hf_schedule *s, struct hf_cue *out)
{
    struct hf_cue cue = {.serial = s->given + 1};
    if (s->given == s->total)
        return false;
    if (s->way == HF_CUE_REVERSE || s->legs) {
        if (s->legs)
            next_leg(s, &cue);
        else
            next_reversed(s, s->given / HF_REVERSE_ROUND, &cue);
        s->given++;
        *out = cue;
        return true;
    }
    uint32_t round = s->given / (uint32_t)s->count;
    uint32_t place = s->given % (uint32_t)s->count;
    if (place == 0)
        begin_round(s);
    int index = s->sequence[place];
    s->given++;
    cue.id = s->completions[index].id;
    cue.pcs = s->completions[index].pcs;
    cue.voicing = choose_voicing(s, index, round);
    *out = cue;
    return true;
}

/* ---- start ----------------------------------------------------------------------------------- */

static enum hf_status count_cues(struct hf_schedule *s, const struct hf_request *request,
                                 struct hf_diag *diag)
{
    int64_t total = request->rounds ? (int64_t)request->rounds * s->count : INT32_MAX;
    if (s->legs)
        total = s->legs;
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

static enum hf_status no_room(const struct hf_schedule *s, uint32_t round, hf_pcset pcs,
                              struct hf_diag *diag)
{
    static const char *const words[] = {"above", "through", "below", "all", "the given one"};
    int low, high;
    hf_schedule_register(s, round, &low, &high);
    hf_fail(diag, HF_E_USAGE,
            "the register (%s: %d semitones) has no room for the %d added notes",
            words[way_of_round(s, round)], high > low ? high - low : 0, hf_pcset_size(pcs));
    hf_advise(diag, "choose another --register, or hold the notes in another octave");
    return HF_E_USAGE;
}

static enum hf_status check_register(struct hf_schedule *s, struct hf_diag *diag)
{
    for (uint32_t round = 0; round < 3; round++)
        for (int i = 0; i < s->count; i++)
            if (list_choices(s, s->completions[i].pcs, round) == 0)
                return no_room(s, round, s->completions[i].pcs, diag);
    return HF_OK;
}

/* Walks the path once, since what is held moves with it. */
static enum hf_status check_path(struct hf_schedule *s, struct hf_diag *diag)
{
    struct hf_voicing first = s->held;
    enum hf_status status = HF_OK;
    for (int i = 0; i < s->legs && status == HF_OK; i++) {
        if (i > 0 && s->leg[i].held != s->leg[i - 1].held) {
            struct hf_voicing held = nearest_hold(s, s->leg[i].held);
            take_held(s, &held);
        }
        if (i > 0 && list_choices(s, s->leg[i].added, 0) == 0)
            status = no_room(s, 0, s->leg[i].added, diag);
    }
    take_held(s, &first);
    return status;
}

/* The registers that go by what is held have room for any triad; a given one may not. */
static enum hf_status check_reversed(struct hf_schedule *s, struct hf_diag *diag)
{
    for (int triad = 0; triad < 4; triad++) {
        hf_pcset pcs = hf_pcset_transpose(1u << 0 | 1u << 4 | 1u << 8, triad);
        for (uint32_t round = 0; round < 3; round++)
            if (list_choices(s, pcs, round) == 0)
                return no_room(s, round, pcs, diag);
    }
    return HF_OK;
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
    s->where = request->where;
    s->low = request->low;
    s->high = request->high;
    s->way = request->cue;
    s->own = -1;
    struct hf_voicing held = hf_voicing_of_notes(&request->held);
    take_held(s, &held);
    hf_random_init(&s->orders, request->seed, HF_STREAM_SCHEDULE);
    hf_random_init(&s->voicings, request->seed, HF_STREAM_VOICING);
    if (s->way == HF_CUE_REVERSE) {
        start_reversed(s);
        enum hf_status fits = check_reversed(s, diag);
        return fits == HF_OK ? count_cues(s, request, diag) : fits;
    }
    s->legs = request->legs;
    memcpy(s->leg, request->leg, sizeof s->leg);
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
    enum hf_status status = count_cues(s, request, diag);
    if (status != HF_OK)
        return status;
    return s->legs ? check_path(s, diag) : check_register(s, diag);
}
