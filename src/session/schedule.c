/* SPDX-License-Identifier: MIT */
/* Invariants: the order and the voicings draw from streams of their own, so that changing one
 * leaves the other; every round holds each completion once, and in order weak every two rounds hold
 * each at least once. */
#include <holdfast/schedule.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/breath.h>
#include <holdfast/event.h>

#include "schedule_parts.h"

enum { E1 = 28, C6 = 84, OCTAVE = 12 };

/* ---- register -------------------------------------------------------------------------------- */

enum hf_register_way schedule_way_of_round(const struct hf_schedule *s, uint32_t round)
{
    static const enum hf_register_way turn[] = {HF_REGISTER_ABOVE, HF_REGISTER_THROUGH,
                                                HF_REGISTER_BELOW};
    return s->where == HF_REGISTER_ALL ? turn[round % 3] : s->where;
}

void hf_schedule_register(const struct hf_schedule *s, uint32_t round, int *low, int *high)
{
    if (s->hand) { /* the register is the instrument's: what counts is over, under or among */
        enum hf_register_way way = schedule_way_of_round(s, round);
        bool given = !s->any_register && way == HF_REGISTER_RANGE;
        *low = given ? s->low : 0;
        *high = given ? s->high : 127;
        if (!s->any_register && way == HF_REGISTER_ABOVE)
            *low = s->held_high + 1;
        if (!s->any_register && way == HF_REGISTER_BELOW)
            *high = s->held_low - 1;
        return;
    }
    switch (schedule_way_of_round(s, round)) {
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

void schedule_take_held(struct hf_schedule *s, const struct hf_voicing *held)
{
    s->held = *held;
    s->held_low = held->notes[0];
    s->held_high = held->notes[held->count - 1];
}

/* The voicings of a set that the round's register has, in `choices`. Through the held notes:
 * those with a note between them, where there are any. */
int schedule_list_choices(struct hf_schedule *s, hf_pcset pcs, uint32_t round)
{
    int low, high;
    hf_schedule_register(s, round, &low, &high);
    int count = schedule_filter_voicings(s, hf_voicing_list(pcs, low, high, s->choices), round);
    if (schedule_way_of_round(s, round) != HF_REGISTER_THROUGH)
        return count;
    int between = 0;
    for (int i = 0; i < count; i++)
        if (hf_voicing_between(&s->choices[i], s->held_low, s->held_high))
            s->choices[between++] = s->choices[i];
    return between ? between : count;
}

/* One of the first `count` choices, by the seed, other than `last` if there is another. */
struct hf_voicing schedule_choose_other(struct hf_schedule *s, int count,
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

struct hf_voicing schedule_choose_voicing(struct hf_schedule *s, int index, uint32_t round)
{
    if (index == s->own && s->visits[index] == 1)
        return s->last[index] = s->own_voicing;
    int count = schedule_list_choices(s, s->completions[index].pcs, round);
    return s->last[index] = schedule_choose_other(s, count, &s->last[index]);
}

/* ---- next ------------------------------------------------------------------------------------ */

void hf_schedule_first_hold(const struct hf_schedule *s, hf_pcset *pcs, struct hf_voicing *voicing)
{
    *pcs = 0;
    for (int i = 0; i < s->held.count; i++)
        *pcs = (hf_pcset)(*pcs | 1u << s->held.notes[i] % HF_PCS);
    *voicing = s->ear.on ? s->ear.sounding : s->held;
}

bool hf_schedule_first_grip(const struct hf_schedule *s, struct hf_shape *grip)
{
    if (!s->hand || !s->hand->ask.holds)
        return false;
    *grip = s->hand->grip;
    return true;
}

int hf_schedule_round(const struct hf_schedule *s)
{
    return s->sight.on ? s->sight.round : s->count + s->ear.near_count / 2;
}

int hf_schedule_left_out(const struct hf_schedule *s)
{
    return s->left_out;
}

static void give(struct hf_schedule *s, int index, uint32_t round, struct hf_cue *cue)
{
    s->given++;
    s->visits[index]++;
    cue->id = s->completions[index].id;
    cue->pcs = s->completions[index].pcs;
    if (!s->hand || !schedule_next_in_hand(s, index, round, cue))
        cue->voicing = schedule_choose_voicing(s, index, round);
}

static void next_of_round(struct hf_schedule *s, struct hf_cue *cue)
{
    uint32_t round = s->given / (uint32_t)s->count;
    uint32_t place = s->given % (uint32_t)s->count;
    if (place == 0)
        schedule_begin_round(s);
    give(s, s->sequence[place], round, cue);
}

void hf_schedule_choose(struct hf_schedule *s, int index, struct hf_cue *out)
{
    struct hf_cue cue = {.serial = s->given + 1};
    give(s, index, s->visits[index], &cue);
    *out = cue;
}

/* At the start of each cue the held notes come back, so each such cue says so. */
static void take_support(struct hf_schedule *s, struct hf_cue *cue)
{
    cue->drone = hf_support_at(s->given - 1, s->total);
    cue->has_drone = cue->drone.stage == HF_SUPPORT_START || cue->drone.db != s->drone_db;
    s->drone_db = cue->drone.db;
}

bool hf_schedule_next(struct hf_schedule *s, struct hf_cue *out)
{
    struct hf_cue cue = {.serial = s->given + 1 + s->unfold.given, .length = s->every};
    if (s->unfold.place < s->unfold.count) {
        schedule_next_unfold(s, &cue);
        cue.serial -= s->skipped_serials;
        *out = cue;
        return true;
    }
    if (s->given == s->total || s->chooses)
        return false;
    if (s->steps) {
        schedule_next_step(s, &cue);
        s->given++;
    } else if (s->legs) {
        schedule_next_leg(s, &cue);
        s->given++;
    } else if (s->stop_count) {
        schedule_next_stop(s, &cue);
        s->given++;
    } else if (s->way == HF_CUE_REVERSE) {
        schedule_next_reversed(s, s->given / HF_REVERSE_ROUND, &cue);
        s->given++;
    } else if (s->sight.on) {
        if (!schedule_next_sight(s, &cue))
            return false;
        s->given++;
    } else if (s->ear.on) {
        schedule_next_ear(s, &cue);
        s->given++;
    } else {
        next_of_round(s, &cue);
    }
    if (s->fading)
        take_support(s, &cue);
    if (s->unfold.steps)
        schedule_begin_unfold(s, &cue);
    cue.serial -= s->skipped_serials;
    *out = cue;
    return true;
}

/* Samples of a cue with all that belongs to it. */
static int64_t cue_length(const struct hf_schedule *s)
{
    return s->every + s->unfold.steps * s->unfold.step;
}

int64_t hf_schedule_length(const struct hf_schedule *s)
{
    if (s->steps) { /* a rest that was due before the first step that is left is over */
        int64_t before =
            s->skipped ? hf_warmup_length(s->skipped + 1, s->every, s->rate_hz) - s->every : 0;
        return s->lead_in + hf_warmup_length(s->total, s->every, s->rate_hz) - before;
    }
    if (s->breath_length > 0)
        return s->lead_in + s->breath_length;
    return s->lead_in + cue_length(s) * hf_schedule_cues(s);
}

/* ---- start ----------------------------------------------------------------------------------- */

enum hf_status schedule_too_long(int64_t seconds, struct hf_diag *diag)
{
    hf_fail(diag, HF_E_USAGE, "the session would last longer than %d days (%lld hours)",
            HF_SESSION_MOST_DAYS, (long long)(seconds / 3600));
    hf_advise(diag, "make it shorter with --rounds, --every or --for");
    return HF_E_USAGE;
}

/* Where every cue is held against other notes, the sets that fade must leave places for the next
 * one: the set that sounds, the one to come, and those that gave way less than a change ago. A
 * tenth of a second is spare. */
static enum hf_status check_changes(const struct hf_schedule *s, const struct hf_request *request,
                                    struct hf_diag *diag)
{
    bool changes = s->way == HF_CUE_REVERSE || s->legs > 1;
    int notes = s->way == HF_CUE_REVERSE ? 3 : s->held.count;
    if (!changes || request->every.wait)
        return HF_OK;
    int sets = HF_HOLD_PLACES / notes;
    double shortest = (HF_HOLD_CHANGE_S + 0.1) / (sets - 1);
    struct hf_span least = request->longest.amount > 0 ? request->shortest : request->every;
    double every = (double)hf_request_samples(request, least) / request->rate_hz;
    if (every >= shortest)
        return HF_OK;
    hf_fail(diag, HF_E_USAGE, "every %s is too short where each cue changes the held notes",
            request->text[HF_OPT_EVERY]);
    hf_advise(diag, "a change takes %g s: choose --every %.1fs or more", HF_HOLD_CHANGE_S,
              ceil(shortest * 10) / 10);
    return HF_E_USAGE;
}

enum hf_status schedule_count_cues(struct hf_schedule *s, const struct hf_request *request,
                                   struct hf_diag *diag)
{
    if (s->chooses)
        return HF_OK;
    int64_t total = request->rounds ? (int64_t)request->rounds * hf_schedule_round(s) : INT32_MAX;
    if (s->legs)
        total = s->legs;
    if (s->stop_count && s->order == HF_ORDER_TOUR && !request->given[HF_OPT_ROUNDS])
        total = (int64_t)s->stop_count;
    else if (s->stop_count && s->order == HF_ORDER_TOUR) /* a round is the whole walk */
        total = request->rounds * (int64_t)s->stop_count;
    if (request->for_span.amount > 0) {
        int64_t left = hf_request_samples(request, request->for_span) -
                       hf_request_samples(request, request->lead_in);
        int64_t fit = left / cue_length(s);
        if (left <= 0 || fit < 1)
            return hf_fail(diag, HF_E_USAGE,
                           "not one whole cue fits: %s is spent by the lead-in and a cue of %s%s",
                           request->text[HF_OPT_FOR], request->text[HF_OPT_EVERY],
                           s->unfold.steps ? " with its steps" : "");
        total = fit < total ? fit : total;
    }
    if (!request->every.wait) {
        bool breathes = request->longest.amount > 0;
        int64_t one = breathes ? hf_request_samples(request, request->longest) : cue_length(s);
        int64_t length = s->lead_in + one * total;
        if (length / request->rate_hz >= HF_SESSION_MOST_S)
            return schedule_too_long(length / request->rate_hz, diag);
    }
    s->total = (uint32_t)total;
    if (request->longest.amount > 0)
        s->breath_length = hf_breath_length(request, s->total);
    return check_changes(s, request, diag);
}

enum hf_status schedule_no_room(const struct hf_schedule *s, uint32_t round, hf_pcset pcs,
                                struct hf_diag *diag)
{
    static const char *const words[] = {"above", "through", "below", "all", "the given one"};
    int low, high;
    hf_schedule_register(s, round, &low, &high);
    hf_fail(diag, HF_E_USAGE, "the register (%s: %d semitones) has no room for the %d added notes",
            words[schedule_way_of_round(s, round)], high > low ? high - low : 0,
            hf_pcset_size(pcs));
    hf_advise(diag, "choose another --register, or hold the notes in another octave");
    return HF_E_USAGE;
}

static enum hf_status check_register(struct hf_schedule *s, struct hf_diag *diag)
{
    for (uint32_t round = 0; round < 3; round++)
        for (int i = 0; i < s->count; i++)
            if (schedule_list_choices(s, s->completions[i].pcs, round) == 0)
                return schedule_no_room(s, round, s->completions[i].pcs, diag);
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

static enum hf_status prepare(struct hf_schedule *s, const struct hf_request *request,
                              struct hf_diag *diag)
{
    memset(s, 0, sizeof *s);
    s->order = request->order;
    s->order_given = request->given[HF_OPT_ORDER];
    s->where = request->where;
    s->low = request->low;
    s->high = request->high;
    s->way = request->cue;
    s->voicing = request->voicing;
    s->keys = request->keys;
    s->span = request->span;
    s->holds = request->holds;
    s->own = -1;
    s->rate_hz = request->rate_hz;
    s->fading = request->fading;
    s->lead_in = hf_request_samples(request, request->lead_in);
    s->every = request->every.wait ? 0 : hf_request_samples(request, request->every);
    s->chooses = hf_request_chooses(request);
    struct hf_voicing held = hf_voicing_of_notes(&request->held);
    schedule_take_held(s, &held);
    hf_random_init(&s->orders, request->seed, HF_STREAM_SCHEDULE);
    hf_random_init(&s->voicings, request->seed, HF_STREAM_VOICING);
    if (s->way == HF_CUE_REVERSE) {
        schedule_start_reversed(s);
        enum hf_status fits = schedule_check_reversed(s, diag);
        return fits == HF_OK ? schedule_count_cues(s, request, diag) : fits;
    }
    if (request->practice == HF_PRACTICE_SIGHT)
        return schedule_start_sight(s, request, diag);
    s->legs = request->legs;
    memcpy(s->leg, request->leg, sizeof s->leg);
    s->count = hf_pairing_complete(request->held.set, request->added, s->completions);
    if (s->count == 0) {
        enum hf_status status = hf_pairing_explain(request->held.set, request->added, diag);
        return status == HF_OK ? HF_E_BUG : status;
    }
    if (request->has_own && !find_own(s, request))
        return hf_fail(diag, HF_E_BUG, "the chord's own half is not among the completions");
    if (request->practice == HF_PRACTICE_WARMUP)
        return schedule_start_warmup(s, request, diag);
    schedule_take_weights(s, request);
    int ring[HF_COMPLETIONS_MOST];
    if (s->order == HF_ORDER_RING && hf_pairing_ring(s->completions, s->count, ring) == 0)
        return hf_fail(diag, HF_E_USAGE,
                       "order ring: these %d completions form no ring of smallest movements",
                       s->count);
    enum hf_status status = HF_OK;
    if (request->has_board && !s->legs)
        status = schedule_take_hand(s, request, diag);
    if (request->practice == HF_PRACTICE_EAR)
        status = schedule_start_ear(s, request, diag);
    if (status == HF_OK)
        status = schedule_start_unfold(s, request, diag);
    if (status == HF_OK)
        status = schedule_count_cues(s, request, diag);
    if (status != HF_OK || s->hand)
        return status;
    status = s->legs ? schedule_check_path(s, diag) : check_register(s, diag);
    return status == HF_OK && s->ear.on ? schedule_check_ear(s, diag) : status;
}

void hf_schedule_deinit(struct hf_schedule *s)
{
    if (!s)
        return;
    hf_hand_deinit(s->hand);
    free(s->hand);
    free(s->stops);
    free(s->steps);
    free(s->short_steps);
    s->steps = s->short_steps = NULL;
    s->hand = NULL;
    s->stops = NULL;
    s->stop_count = 0;
}

enum hf_status hf_schedule_init(struct hf_schedule *s, const struct hf_request *request,
                                struct hf_diag *diag)
{
    enum hf_status status = prepare(s, request, diag);
    /* A hand that may move only so far could come to where nothing is in reach: the whole session
     * is gone through once, and then begun anew. */
    if (status == HF_OK && s->hand) {
        status = schedule_check_hand(s, diag);
        if (status == HF_OK) {
            hf_schedule_deinit(s);
            status = prepare(s, request, diag);
        }
    }
    if (status != HF_OK)
        hf_schedule_deinit(s);
    return status;
}
