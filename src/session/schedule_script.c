/* SPDX-License-Identifier: MIT */
/* Invariant: `held` is what the cue given last is held against. */
#include "schedule_parts.h"

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

void schedule_next_leg(struct hf_schedule *s, struct hf_cue *out)
{
    const struct hf_request_leg *leg = &s->leg[s->given];
    bool first = s->given == 0;
    out->has_hold = !first && leg->held != s->leg[s->given - 1].held;
    if (out->has_hold) {
        out->hold_pcs = leg->held;
        out->hold = nearest_hold(s, leg->held);
        schedule_take_held(s, &out->hold);
    }
    int index = completion_of(s, leg);
    out->id = s->completions[index].id;
    out->pcs = leg->added;
    if (first)
        out->voicing = s->own_voicing;
    else
        out->voicing =
            schedule_choose_other(s, schedule_list_choices(s, leg->added, 0), &s->last[0]);
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
    hf_pcset forms[HF_SETCLASS_FORMS], by_triad[4][HF_REVERSE_ROUND] = {{0}};
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
void schedule_next_reversed(struct hf_schedule *s, uint32_t round, struct hf_cue *out)
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
    schedule_take_held(s, &out->hold);
    out->id = 1;
    out->pcs = hf_pairing_triad_for(held);
    out->voicing = schedule_choose_other(s, schedule_list_choices(s, out->pcs, round), &s->last[0]);
    s->last[0] = out->voicing;
}

void schedule_start_reversed(struct hf_schedule *s)
{
    deal_reversed(s);
    int count = hf_voicing_list(s->reversed[0], HF_REVERSE_LOW, HF_REVERSE_HIGH, s->choices);
    struct hf_voicing held = s->choices[hf_random_below(&s->voicings, (uint32_t)count)];
    schedule_take_held(s, &held);
    s->count = HF_REVERSE_ROUND;
}

/* ---- checks ---------------------------------------------------------------------------------- */

/* Walks the path once, since what is held moves with it. */
enum hf_status schedule_check_path(struct hf_schedule *s, struct hf_diag *diag)
{
    struct hf_voicing first = s->held;
    enum hf_status status = HF_OK;
    for (int i = 0; i < s->legs && status == HF_OK; i++) {
        if (i > 0 && s->leg[i].held != s->leg[i - 1].held) {
            struct hf_voicing held = nearest_hold(s, s->leg[i].held);
            schedule_take_held(s, &held);
        }
        if (i > 0 && schedule_list_choices(s, s->leg[i].added, 0) == 0)
            status = schedule_no_room(s, 0, s->leg[i].added, diag);
    }
    schedule_take_held(s, &first);
    return status;
}

/* The registers that go by what is held have room for any triad; a given one may not. */
enum hf_status schedule_check_reversed(struct hf_schedule *s, struct hf_diag *diag)
{
    for (int triad = 0; triad < 4; triad++) {
        hf_pcset pcs = hf_pcset_transpose(1u << 0 | 1u << 4 | 1u << 8, triad);
        for (uint32_t round = 0; round < 3; round++)
            if (schedule_list_choices(s, pcs, round) == 0)
                return schedule_no_room(s, round, pcs, diag);
    }
    return HF_OK;
}
