/* SPDX-License-Identifier: MIT */
/* Invariants: what begins depends on the clock, the cues and the events alone, never on whether
 * there are words to hear; what a report says began at a sample begins there again when it comes
 * back as a SAY with that time. */
#include <holdfast/prompter.h>

#include <string.h>

#include "transport_parts.h"

static void drop(struct hf_event *events, int *count, int index)
{
    (*count)--;
    memmove(&events[index], &events[index + 1], (size_t)(*count - index) * sizeof *events);
}

static bool take_timed(struct hf_prompter *p, const struct hf_event *event)
{
    if (p->timed_count == HF_PROMPTER_TIMED)
        return false;
    int place = p->timed_count++;
    for (; place > 0 && p->timed[place - 1].at > event->at; place--)
        p->timed[place] = p->timed[place - 1];
    p->timed[place] = *event;
    return true;
}

bool hf_prompter_take(struct hf_prompter *p, const struct hf_event *event)
{
    if (event->kind == HF_EVENT_SAY && event->at != HF_AT_ONCE && !event->waits)
        return take_timed(p, event);
    if (event->kind == HF_EVENT_SAY) {
        if (p->remarked == HF_PROMPTER_REMARKS)
            drop(p->remarks, &p->remarked, 0);
        p->remarks[p->remarked++] = *event;
        return true;
    }
    if (p->planned == HF_PROMPTER_PLAN)
        return false;
    p->plan[p->planned++] = *event;
    return true;
}

void hf_prompter_pause(struct hf_prompter *p)
{
    p->remarked = 0;
}

static void begin(struct hf_prompter *p, struct hf_transport *t, const struct hf_event *event,
                  int64_t at)
{
    p->cue = event->cue;
    if (event->told)
        p->told = event->cue;
    p->end_at = at + event->length;
    transport_act(t, HF_ACTION_SPEAK, at, event);
    transport_report(
        t, (struct hf_report){
               .kind = HF_REPORT_SPOKE, .cue = event->cue, .words = event->words, .at = at});
}

/* Cues are numbered in the order in which they begin. */
static bool is_over(const struct hf_transport *t, uint32_t cue)
{
    return t->cue.cue > cue || (t->cue.cue == cue && !t->running);
}

static bool is_revealed(const struct hf_transport *t, const struct hf_event *event)
{
    for (int i = 0; event->told && i < t->report_count; i++)
        if (t->reports[i].kind == HF_REPORT_REVEAL && t->reports[i].cue == event->cue)
            return true;
    return false;
}

/* It is asked too late. */
static bool is_stale(const struct hf_prompter *p, const struct hf_transport *t,
                     const struct hf_event *event)
{
    bool ahead = event->kind == HF_EVENT_SPEAK && event->at < t->cue.at;
    return event->asks &&
           (p->told == event->cue || (ahead && t->running && t->cue.cue == event->cue));
}

static void run_plan(struct hf_prompter *p, struct hf_transport *t)
{
    for (int i = 0; i < p->planned;) {
        struct hf_event event = p->plan[i];
        int64_t at = event.at + t->offset;
        bool is_due = (!t->staying && at < t->now + HF_GRID) || is_revealed(t, &event);
        bool is_void = t->end_at != HF_NEVER || is_over(t, event.cue) || is_stale(p, t, &event);
        if (!is_due && !is_void) {
            i++;
            continue;
        }
        drop(p->plan, &p->planned, i);
        if (!is_void)
            begin(p, t, &event, at < t->now || at >= t->now + HF_GRID ? t->now : at);
    }
}

static void run_timed(struct hf_prompter *p, struct hf_transport *t)
{
    while (p->timed_count > 0 && p->timed[0].at < t->now + HF_GRID) {
        struct hf_event event = p->timed[0];
        drop(p->timed, &p->timed_count, 0);
        begin(p, t, &event, event.at < t->now ? t->now : event.at);
    }
}

/* In the order in which they came, but for those whose time has not. */
static void run_remarks(struct hf_prompter *p, struct hf_transport *t)
{
    for (int i = 0; i < p->remarked && p->end_at <= t->now;) {
        struct hf_event event = p->remarks[i];
        bool is_void = (event.cue > 0 && is_over(t, event.cue)) || is_stale(p, t, &event);
        if (!is_void && event.at != HF_AT_ONCE && event.at > t->now) {
            i++;
            continue;
        }
        drop(p->remarks, &p->remarked, i);
        if (!is_void)
            begin(p, t, &event, t->now);
    }
}

void hf_prompter_chunk(struct hf_prompter *p, struct hf_transport *t)
{
    if (p->cue && p->end_at > t->now && is_over(t, p->cue)) {
        transport_act(t, HF_ACTION_HUSH, t->now, NULL);
        p->end_at = t->now;
    }
    run_timed(p, t);
    run_plan(p, t);
    run_remarks(p, t);
}
