/* SPDX-License-Identifier: MIT */
/* Pauses. Invariant: the session's clock stands from the end of the fade until the resume, and what
 * was silent counts in whole chunks. */
#include <stddef.h>

#include "queue.h"
#include "transport_parts.h"

static void resume(struct hf_transport *t)
{
    transport_report(
        t, (struct hf_report){.kind = HF_REPORT_RESUME, .at = t->now, .after = t->silence});
    t->stopped = false;
    t->out_at = HF_NEVER;
    t->in_at = t->now;
}

/* In a pause only a resume or an end is heard; anything else is refused. */
static bool asked_to_resume(struct hf_transport *t)
{
    struct hf_event *head = hf_queue_head(&t->timed);
    if (head && head->kind == HF_EVENT_RESUME && head->after <= t->silence) {
        hf_queue_pop(&t->timed);
        return true;
    }
    while ((head = hf_queue_head(&t->once))) {
        bool found = head->kind == HF_EVENT_RESUME;
        if (!found)
            transport_refuse(t, head);
        transport_answer(t);
        if (found)
            return true;
    }
    return false;
}

/* The clock stands by a record: the resume is in the record too, and a command with a time that is
 * not it would bar its way for ever. */
static void refuse_unreachable(struct hf_transport *t)
{
    struct hf_event *head;
    while (!t->by_hand && (head = hf_queue_head(&t->timed)) && head->kind != HF_EVENT_RESUME) {
        transport_refuse(t, head);
        hf_queue_pop(&t->timed);
    }
}

/* The pause's part of a chunk. Returns true when the chunk is silent. */
bool transport_paused(struct hf_transport *t)
{
    if (t->out_at != HF_NEVER && !t->stopped && t->end_at == HF_NEVER &&
        t->now == t->out_at + t->pause_fade) {
        t->stopped = true;
        t->silence = 0;
    }
    if (!t->stopped)
        return false;
    refuse_unreachable(t);
    hf_prompter_pause(&t->prompter);
    /* An end with a time comes after every command that was taken before it: a resume goes first,
     * and with none waiting the clock would never reach it, unless a hand lets it go on. */
    bool never = !t->by_hand && !t->timed.count;
    if (t->end_asked && (t->end_command.at == HF_AT_ONCE || never)) {
        /* What fades has faded already: the session ends where its clock stands. */
        t->cut = true;
        transport_begin_end(t, t->now, 0, t->end_command.why);
        return true;
    }
    if (!asked_to_resume(t)) {
        t->silence += HF_GRID;
        return true;
    }
    resume(t);
    return false;
}
