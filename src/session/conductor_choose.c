/* SPDX-License-Identifier: MIT */
/* Cues that the player begins, in roam and hunt: the chosen one is laid a length ahead that never
 * passes by itself, and a next leads to it. Invariant: at most one cue is laid that has not begun,
 * and a next is on its way to it. */
#include <holdfast/roam.h>

#include "conductor_parts.h"

void conductor_start_choice(struct hf_conductor *c)
{
    const struct hf_request *request = c->request;
    c->next_at = HF_WAIT_LENGTH;
    if (request->for_span.amount > 0)
        conductor_event(
            c, (struct hf_event){.kind = HF_EVENT_END,
                                 .why = HF_WHY_FINISHED,
                                 .at = hf_request_samples(request, request->for_span),
                                 .fade = hf_conductor_fade(HF_WHY_FINISHED, request->rate_hz)});
}

/* A chosen cue has not begun yet, as far as reported. */
static bool is_choosing(const struct hf_conductor *c)
{
    return c->serial > c->running;
}

void conductor_choose_again(struct hf_conductor *c)
{
    if (is_choosing(c) && !c->began_end && !c->lost)
        conductor_command(c, HF_EVENT_NEXT);
}

enum hf_status conductor_choose(struct hf_conductor *c, int index, struct hf_diag *diag)
{
    struct hf_cue cue;
    if (is_choosing(c)) /* keys that come faster than the sound obeys */
        return hf_fail(diag, HF_E_USAGE, "%s", "");
    hf_schedule_choose(c->schedule, index, &cue);
    enum hf_status status = conductor_lay(c, &cue, diag);
    if (status == HF_OK)
        conductor_command(c, HF_EVENT_NEXT);
    return status;
}

/* ---- keys ------------------------------------------------------------------------------------ */

/* The index of the completion that the player is on, -1 before the first choice. */
static int here(const struct hf_conductor *c)
{
    if (c->serial == 0)
        return -1;
    int id = c->timeline.cues[c->serial - 1].record.id;
    for (int i = 0; i < c->schedule->count; i++)
        if (c->schedule->completions[i].id == id)
            return i;
    return -1;
}

enum hf_status conductor_choose_key(struct hf_conductor *c, enum hf_key key, struct hf_diag *diag)
{
    const struct hf_schedule *s = c->schedule;
    enum hf_practice practice = c->request->practice;
    if (key == HF_KEY_STAY)
        return hf_fail(diag, HF_E_USAGE,
                       "nothing moves by itself here, so nothing is to be stayed");
    if (key == HF_KEY_GOT || key == HF_KEY_MISSED)
        return hf_fail(diag, HF_E_USAGE, "nothing is asked here, so nothing is to be marked");
    if (practice == HF_PRACTICE_HUNT)
        return hf_fail(diag, HF_E_USAGE, "type notes, then Enter");
    if (practice != HF_PRACTICE_ROAM)
        return hf_fail(diag, HF_E_USAGE, "no number is asked for here");
    if (key == HF_KEY_NEXT)
        return conductor_choose(c, hf_roam_next(s->completions, s->count, here(c), s->own), diag);
    int number = key == HF_KEY_CHOICE_NONE ? 0 : (int)key - HF_KEY_CHOICE_1 + 1;
    if (number < 1 || number > s->count)
        return hf_fail(diag, HF_E_USAGE, "there is no %d: they are 1 to %d", number, s->count);
    return conductor_choose(c, number - 1, diag);
}

/* ---- hunt ------------------------------------------------------------------------------------ */

enum hf_status hf_conductor_answer(struct hf_conductor *c, hf_pcset pcs, int64_t now,
                                   struct hf_verdict *verdict, struct hf_diag *diag)
{
    const struct hf_hunt *hunt = &c->timeline.hunt;
    enum hf_status status = conductor_may(c, HF_KEY_NEXT, diag);
    if (status != HF_OK)
        return status;
    if (is_choosing(c))
        return hf_fail(diag, HF_E_USAGE, "%s", "");
    int size = hunt->added ? hf_pcset_size(hunt->added->prime) : 0;
    if (hf_pcset_size(pcs) != size)
        return hf_fail(diag, HF_E_USAGE, "name %d different note%s: these are %d", size,
                       size == 1 ? "" : "s", hf_pcset_size(pcs));
    struct hf_verdict judged = hf_hunt_judge(hunt, pcs);
    status = conductor_record(c, hf_hunt_answer(&judged, now), diag);
    if (status == HF_OK && judged.index >= 0)
        status = conductor_choose(c, judged.index, diag);
    if (status == HF_OK)
        *verdict = judged;
    return status;
}

enum hf_status hf_conductor_hint(struct hf_conductor *c, int64_t now, struct hf_hint *hint,
                                 struct hf_diag *diag)
{
    const struct hf_hunt *hunt = &c->timeline.hunt;
    enum hf_status status = conductor_may(c, HF_KEY_GOT, diag); /* it sounds nothing */
    if (status != HF_OK)
        return status;
    int steps = hf_hunt_steps(hunt);
    if (steps == 0)
        return hf_fail(diag, HF_E_USAGE,
                       hunt->count ? "all are found" : "hints are for the practice hunt");
    if (hunt->step < steps)
        status = conductor_record(
            c, (struct hf_record){.type = HF_RECORD_HINT, .at = now, .hints = hunt->step + 1},
            diag);
    if (status == HF_OK && !hf_hunt_hint(hunt, hint))
        status = hf_fail(diag, HF_E_BUG, "a hint that was given says nothing");
    return status;
}
