/* SPDX-License-Identifier: MIT */
/* Invariants: all steps of a completion in one pass are parts of one close voicing; the last pass
 * alone leaves steps out. */
#include "schedule_parts.h"

#include <stdlib.h>

/* ---- voicings -------------------------------------------------------------------------------- */

/* Keeps those that are close, or not, where there are any. */
static int keep_close(struct hf_schedule *s, int count, bool close)
{
    int kept = 0;
    for (int i = 0; i < count; i++)
        if (hf_voicing_is_close(&s->choices[i]) == close) {
            struct hf_voicing found = s->choices[i];
            s->choices[i] = s->choices[kept];
            s->choices[kept++] = found;
        }
    return kept ? kept : count;
}

static struct hf_voicing choose(struct hf_schedule *s, hf_pcset pcs, uint32_t pass, bool close,
                                const struct hf_voicing *other)
{
    int count = keep_close(s, schedule_list_choices(s, pcs, pass), close);
    return schedule_choose_other(s, count, other);
}

static struct hf_voicing part_of(const struct hf_voicing *whole, hf_pcset pcs)
{
    struct hf_voicing part = {.count = 0};
    for (int i = 0; i < whole->count; i++)
        if (hf_pcset_has(pcs, whole->notes[i] % HF_PCS))
            part.notes[part.count++] = whole->notes[i];
    return part;
}

/* ---- steps ----------------------------------------------------------------------------------- */

static bool is_last_pass(const struct hf_schedule *s, uint32_t pass)
{
    return pass == (s->total - 1) / (uint32_t)s->step_count;
}

/* The close voicings of a pass, each other than that of the pass before. */
static void begin_pass(struct hf_schedule *s, uint32_t pass)
{
    for (int i = 0; i < s->count; i++)
        s->last[i] = choose(s, s->completions[i].pcs, pass, true, &s->last[i]);
}

/* `number` of the step in the whole, from 1, wherever this session took it up. */
static int64_t rest_after(const struct hf_schedule *s, uint32_t number)
{
    bool rests = number < s->total && number % hf_warmup_group(s->every, s->rate_hz) == 0;
    return rests ? (int64_t)HF_WARMUP_REST_S * s->rate_hz : 0;
}

void schedule_next_step(struct hf_schedule *s, struct hf_cue *cue)
{
    uint32_t pass = s->given / (uint32_t)s->step_count;
    uint32_t place = s->given % (uint32_t)s->step_count;
    if (place == 0)
        begin_pass(s, pass);
    const struct hf_warmup_step *step =
        is_last_pass(s, pass) ? &s->short_steps[place] : &s->steps[place];
    const struct hf_voicing *close = &s->last[step->index];
    cue->id = s->completions[step->index].id;
    cue->pcs = step->pcs;
    cue->spelled_in = s->completions[step->index].pcs;
    if (step->index == s->own && s->given + 1 == s->total)
        cue->voicing = s->own_voicing;
    else if (step->stage == HF_WARMUP_SPREAD)
        cue->voicing = choose(s, step->pcs, pass, false, close);
    else
        cue->voicing = part_of(close, step->pcs);
    cue->rest = rest_after(s, s->given + 1);
}

/* ---- start ----------------------------------------------------------------------------------- */

/* Whose turn it is: the chord's own kind, the one asked for, the day's, or by the seed. */
static enum hf_status choose_kind(struct hf_schedule *s, const struct hf_request *request,
                                  struct hf_diag *diag)
{
    int kinds = hf_warmup_kinds(s->completions, s->count);
    if (request->kind > kinds)
        return hf_fail(diag, HF_E_USAGE, "there is no kind %ld: these %d completions have %d",
                       request->kind, s->count, kinds);
    if (s->own >= 0)
        s->kind = s->completions[s->own].kind;
    else if (request->kind)
        s->kind = (int)request->kind;
    else if (request->day >= 0)
        s->kind = (int)(request->day % kinds) + 1;
    else
        s->kind = (int)hf_random_below(&s->orders, (uint32_t)kinds) + 1;
    return HF_OK;
}

/* How many steps there is time for, at most `most`. */
static enum hf_status count_steps(struct hf_schedule *s, const struct hf_request *request,
                                  struct hf_diag *diag)
{
    int64_t total = request->rounds ? (int64_t)request->rounds * s->step_count : INT32_MAX;
    if (request->for_span.amount > 0) {
        int64_t left = hf_request_samples(request, request->for_span) - s->lead_in;
        int64_t fit = hf_warmup_fit(left, s->every, s->rate_hz);
        if (fit < 1)
            return hf_fail(diag, HF_E_USAGE,
                           "not one whole step fits: %s is spent by the lead-in and a step of %s",
                           request->text[HF_OPT_FOR], request->text[HF_OPT_EVERY]);
        total = fit < total ? fit : total;
    }
    int64_t length = s->lead_in + hf_warmup_length(total, s->every, s->rate_hz);
    if (length / s->rate_hz >= HF_SESSION_MOST_S)
        return schedule_too_long(length / s->rate_hz, diag);
    s->total = (uint32_t)total;
    return HF_OK;
}

static enum hf_status check_register(struct hf_schedule *s, struct hf_diag *diag)
{
    for (uint32_t pass = 0; pass < 3; pass++)
        for (int i = 0; i < s->count; i++)
            if (s->completions[i].kind == s->kind &&
                schedule_list_choices(s, s->completions[i].pcs, pass) == 0)
                return schedule_no_room(s, pass, s->completions[i].pcs, diag);
    return HF_OK;
}

void schedule_keep_steps(struct hf_schedule *s)
{
    int last = (int)((s->total - 1) % (uint32_t)s->step_count) + 1;
    hf_warmup_steps(s->completions, s->count, s->kind, s->own, s->short_steps);
    hf_warmup_shorten(s->short_steps, s->step_count, last);
}

enum hf_status schedule_start_warmup(struct hf_schedule *s, const struct hf_request *request,
                                     struct hf_diag *diag)
{
    enum hf_status status = choose_kind(s, request, diag);
    if (status == HF_OK)
        status = check_register(s, diag);
    if (status != HF_OK)
        return status;
    s->steps = calloc(HF_WARMUP_STEPS_MOST, sizeof *s->steps);
    s->short_steps = calloc(HF_WARMUP_STEPS_MOST, sizeof *s->short_steps);
    if (!s->steps || !s->short_steps)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    s->step_count = hf_warmup_steps(s->completions, s->count, s->kind, s->own, s->steps);
    status = count_steps(s, request, diag);
    if (status == HF_OK)
        schedule_keep_steps(s);
    return status;
}
