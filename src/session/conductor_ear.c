/* SPDX-License-Identifier: MIT */
/* Answers by number, and the levels of ear training. Invariant: a level changes between two rounds
 * alone, for which the first cue of a round is laid no sooner than the last cue of the one before
 * is marked, left, or nearly over; if it comes too late the transport waits for it by a stay. */
#include "conductor_parts.h"

void conductor_start_levels(struct hf_conductor *c)
{
    const struct hf_schedule_ear *ear = &c->schedule->ear;
    c->levels = (struct hf_levels){
        .level = ear->level, .lowest = ear->lowest, .fixed = c->request->level_fixed};
}

/* ---- rounds ---------------------------------------------------------------------------------- */

static bool ends_round(const struct hf_conductor *c)
{
    return c->schedule->ear.on && c->serial > 0 &&
           c->serial % (uint32_t)hf_schedule_round(c->schedule) == 0;
}

static enum hf_status record_level(struct hf_conductor *c, enum hf_level_why why,
                                   struct hf_diag *diag)
{
    return conductor_record(
        c,
        (struct hf_record){
            .type = HF_RECORD_LEVEL, .at = c->now, .level = c->levels.level, .level_why = why},
        diag);
}

enum hf_status conductor_take_round(struct hf_conductor *c, struct hf_diag *diag)
{
    int round = c->schedule->ear.on ? hf_schedule_round(c->schedule) : 0, got = 0, missed = 0;
    if (round > 0 && c->serial == 0)
        return record_level(c, HF_LEVEL_START, diag);
    if (!ends_round(c))
        return HF_OK;
    for (int i = 0; i < round; i++) {
        const struct hf_timeline_cue *cue = &c->timeline.cues[c->serial - 1 - (uint32_t)i];
        got += cue->marked && cue->mark == HF_MARK_GOT;
        missed += cue->marked && cue->mark == HF_MARK_MISSED;
    }
    int change = hf_levels_take_round(&c->levels, round, got, missed);
    hf_schedule_set_level(c->schedule, c->levels.level);
    return change == 0 ? HF_OK : record_level(c, change > 0 ? HF_LEVEL_UP : HF_LEVEL_DOWN, diag);
}

/* With a next on its way nobody would be there to mark the cue. */
static bool is_to_wait(const struct hf_conductor *c)
{
    return ends_round(c) && !c->levels.fixed && c->serial < hf_schedule_cues(c->schedule) &&
           c->nexts_asked == 0 && !c->timeline.cues[c->serial - 1].marked;
}

enum hf_status conductor_follow(struct hf_conductor *c, struct hf_diag *diag)
{
    c->withheld = is_to_wait(c);
    return c->withheld ? HF_OK : conductor_lay_next(c, diag);
}

enum hf_status conductor_release(struct hf_conductor *c, struct hf_diag *diag)
{
    if (!c->withheld || c->began_end)
        return HF_OK;
    c->withheld = false;
    return conductor_lay_next(c, diag);
}

enum hf_status conductor_mark(struct hf_conductor *c, long cue, enum hf_mark as, int64_t at,
                              struct hf_diag *diag)
{
    enum hf_status status = conductor_record(
        c, (struct hf_record){.type = HF_RECORD_MARK, .at = at, .cue = cue, .as = as}, diag);
    if (as == HF_MARK_MISSED)
        c->missed = cue;
    else if (c->missed == cue)
        c->missed = 0;
    bool last = c->serial > 0 && c->timeline.cues[c->serial - 1].marked;
    return status == HF_OK && last ? conductor_release(c, diag) : status;
}

/* ---- answers --------------------------------------------------------------------------------- */

static enum hf_status check_answer(const struct hf_conductor *c, const struct hf_timeline_cue *cue,
                                   int64_t now, struct hf_diag *diag)
{
    if (!c->schedule->ear.on)
        return hf_fail(diag, HF_E_USAGE, "no number is asked for here");
    if (!cue || !hf_timeline_shown(&c->timeline, cue->hear, now))
        return hf_fail(diag, HF_E_USAGE, "nothing has sounded yet: no answer is asked for");
    if (cue->answered)
        return hf_fail(diag, HF_E_USAGE, "it is answered already");
    if (c->shown == c->running || hf_timeline_shown(&c->timeline, cue->tell, now))
        return hf_fail(diag, HF_E_USAGE, "it is named already: g got it, m missed it");
    return HF_OK;
}

enum hf_status conductor_take_answer(struct hf_conductor *c, struct hf_record answer,
                                     struct hf_diag *diag)
{
    enum hf_status status = conductor_record(c, answer, diag);
    if (status != HF_OK)
        return status;
    c->shown = c->running;
    conductor_command(c, HF_EVENT_REVEAL);
    return conductor_mark(c, answer.cue, answer.right ? HF_MARK_GOT : HF_MARK_MISSED, answer.at,
                          diag);
}

enum hf_status conductor_pick(struct hf_conductor *c, const struct hf_timeline_cue *cue, int choice,
                              int64_t now, struct hf_diag *diag)
{
    const struct hf_schedule *s = c->schedule;
    struct hf_question q;
    if (s->sight.on)
        return conductor_pick_note(c, cue, choice, now, diag);
    enum hf_status status = check_answer(c, cue, now, diag);
    if (status != HF_OK)
        return status;
    hf_levels_ask(c->request->held.set, s->completions, s->count, cue->level, s->ear.near_count > 0,
                  cue->record.pcs, &q);
    if (choice > q.count || (choice == 0 && !q.none))
        return hf_fail(diag, HF_E_USAGE, "the answers are %d to %d here", q.none ? 0 : 1, q.count);
    struct hf_record answer = {.type = HF_RECORD_ANSWER,
                               .at = now,
                               .cue = cue->record.n,
                               .id = choice ? q.choice[choice - 1].id : 0,
                               .right = choice - 1 == q.answer};
    return conductor_take_answer(c, answer, diag);
}
