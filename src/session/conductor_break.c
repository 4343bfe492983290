/* SPDX-License-Identifier: MIT */
/* Breaks. Invariant: a break is a pause that the program asked for while nothing else was asked, so
 * that the next pause reported is that one. */
#include "conductor_parts.h"

bool hf_conductor_break(struct hf_conductor *c, int64_t now)
{
    const struct hf_request *request = c->request;
    bool busy = c->asked > 0 || c->paused || c->step_count >= HF_CONDUCTOR_STEPS / 2;
    bool ends = c->exhausted || c->asked_quit || c->asked_signal || c->began_end || c->lost;
    if (request->break_every.amount <= 0 || busy || ends || now < c->break_from ||
        now - c->sounded_from < hf_request_samples(request, request->break_every))
        return false;
    conductor_ask(c, HF_EVENT_PAUSE);
    c->paused = c->on_break = c->breaking = true;
    conductor_event(
        c, (struct hf_event){.kind = HF_EVENT_PAUSE, .at = HF_AT_ONCE, .after = HF_AT_ONCE});
    return true;
}

enum hf_status conductor_note_break(struct hf_conductor *c, int64_t at, struct hf_diag *diag)
{
    if (!c->breaking)
        return HF_OK;
    c->breaking = false;
    return conductor_record(
        c, (struct hf_record){.type = HF_RECORD_BREAK, .at = at, .sounded = at - c->sounded_from},
        diag);
}

void conductor_end_pause(struct hf_conductor *c, const struct hf_report *r)
{
    int64_t enough = (int64_t)HF_CONDUCTOR_RESTED_S * c->request->rate_hz;
    if (c->timeline.on_break || r->after >= enough)
        c->sounded_from = r->at;
}
