/* SPDX-License-Identifier: MIT */
/* What is asked by ear. Invariants: a round holds each completion once, in the order asked for;
 * with near misses as many of these again, each of them once in two rounds, at places drawn anew.
 */
#include "schedule_parts.h"

#include <string.h>

/* ---- order ----------------------------------------------------------------------------------- */

static void shuffle_near(struct hf_schedule *s)
{
    int *order = s->ear.near_order, count = s->ear.near_count, last = order[count - 1];
    do
        for (int i = 0; i < count; i++) {
            int j = (int)hf_random_below(&s->orders, (uint32_t)i + 1);
            order[i] = order[j];
            order[j] = i;
        }
    while (s->given > 0 && order[0] == last);
}

/* Which places of the round near misses take: each choice of half of them is as likely. */
static void place_near(struct hf_schedule *s)
{
    int size = hf_schedule_round(s), left = s->ear.near_count / 2;
    for (int i = 0; i < size; i++) {
        bool here = hf_random_below(&s->orders, (uint32_t)(size - i)) < (uint32_t)left;
        s->ear.near_here[i] = here;
        left -= here;
    }
}

static void begin_round(struct hf_schedule *s)
{
    schedule_begin_round(s);
    s->ear.in_sequence = 0;
    if (s->ear.near_count == 0)
        return;
    if (s->ear.near_given % s->ear.near_count == 0)
        shuffle_near(s);
    place_near(s);
}

/* ---- sound ----------------------------------------------------------------------------------- */

static struct hf_voicing voice(struct hf_schedule *s, hf_pcset pcs, uint32_t round,
                               struct hf_voicing *last)
{
    if (s->ear.level > HF_LEVEL_IN_PLACE) {
        *last = schedule_choose_other(s, schedule_list_choices(s, pcs, round), last);
    } else {
        int count = schedule_list_choices(s, pcs, 0);
        *last = s->choices[hf_levels_place(pcs, s->choices, count)];
    }
    return *last;
}

static struct hf_voicing held_at(const struct hf_schedule *s, int level)
{
    bool clear = level == HF_LEVEL_POSITIONS && s->ear.held_free;
    return clear ? hf_levels_clear(&s->held) : s->held;
}

static void put_hold(struct hf_schedule *s, struct hf_cue *out)
{
    struct hf_voicing wanted = held_at(s, s->ear.level);
    out->has_hold = !hf_voicing_same(&wanted, &s->ear.sounding);
    if (!out->has_hold)
        return;
    s->ear.sounding = wanted;
    hf_schedule_first_hold(s, &out->hold_pcs, &out->hold);
}

void schedule_next_ear(struct hf_schedule *s, struct hf_cue *out)
{
    struct hf_schedule_ear *ear = &s->ear;
    uint32_t size = (uint32_t)hf_schedule_round(s), round = s->given / size;
    uint32_t place = s->given % size;
    if (place == 0)
        begin_round(s);
    if (ear->near_count > 0 && ear->near_here[place]) {
        int index = ear->near_order[ear->near_given++ % ear->near_count];
        out->pcs = ear->near[index].pcs;
        out->voicing = voice(s, out->pcs, round, &ear->near_last[index]);
    } else {
        int index = s->sequence[ear->in_sequence++];
        out->id = s->completions[index].id;
        out->pcs = s->completions[index].pcs;
        out->voicing = voice(s, out->pcs, round, &s->last[index]);
    }
    put_hold(s, out);
    out->manner.staggered = true;
    out->manner.stagger = ear->level <= HF_LEVEL_ONE_BY_ONE ? ear->stagger : 0;
    out->manner.rests = ear->level >= HF_LEVEL_SILENT;
}

/* ---- start ----------------------------------------------------------------------------------- */

void hf_schedule_set_level(struct hf_schedule *s, int level)
{
    s->ear.level = level;
}

static enum hf_status no_level(const struct hf_schedule *s, int level, struct hf_diag *diag)
{
    hf_fail(diag, HF_E_USAGE,
            "level %d asks for the %s, and these %d completions can't be told "
            "apart by that",
            level, level == HF_LEVEL_KINDS ? "kind" : "position", s->count);
    hf_advise(diag, "begin with --level %d", s->ear.lowest);
    return HF_E_USAGE;
}

static enum hf_status nothing_to_ask(struct hf_diag *diag)
{
    hf_fail(diag, HF_E_USAGE, "ear asks which completion it is, and there is only one");
    hf_advise(diag, "leave out ear, or choose other notes with --held or --added");
    return HF_E_USAGE;
}

enum hf_status schedule_start_ear(struct hf_schedule *s, const struct hf_request *request,
                                  struct hf_diag *diag)
{
    struct hf_schedule_ear *ear = &s->ear;
    struct hf_span stagger = {.amount = HF_LEVEL_STAGGER_S};
    if (s->count < 2)
        return nothing_to_ask(diag);
    ear->on = true;
    ear->lowest = hf_levels_lowest(s->completions, s->count);
    ear->level = request->level ? request->level : ear->lowest;
    ear->held_free = request->held_free;
    ear->stagger = hf_request_samples(request, stagger);
    if (ear->level < ear->lowest)
        return no_level(s, ear->level, diag);
    ear->sounding = held_at(s, ear->level);
    if (request->near_miss)
        ear->near_count =
            hf_levels_near_misses(request->held.set, s->completions, s->count, ear->near);
    if (request->near_miss && ear->near_count == 0)
        return hf_fail(diag, HF_E_USAGE,
                       "near misses are known for an augmented triad and the 016: leave out "
                       "--near-miss");
    for (int i = 0; i < ear->near_count; i++)
        ear->near_order[i] = i;
    return HF_OK;
}

enum hf_status schedule_check_ear(struct hf_schedule *s, struct hf_diag *diag)
{
    for (uint32_t round = 0; round < 3; round++)
        for (int i = 0; i < s->ear.near_count; i++)
            if (schedule_list_choices(s, s->ear.near[i].pcs, round) == 0)
                return schedule_no_room(s, round, s->ear.near[i].pcs, diag);
    return HF_OK;
}
