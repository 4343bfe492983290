/* SPDX-License-Identifier: MIT */
/* What a record must find to follow those before it. Invariant: nothing is changed here. */
#include <holdfast/event.h>

#include "timeline_parts.h"

static enum hf_status refuse(const struct hf_record *r, const char *why, struct hf_diag *diag)
{
    return hf_fail(diag, HF_E_DATA, "record %ld of the journal contradicts those before it: %s",
                   r->n, why);
}

/* The first is there from the start; a later one comes with the cue that is written next. */
static bool hold_fits(const struct hf_timeline *t, const struct hf_record *r)
{
    if (t->hold.count == 0)
        return r->at == 0;
    return !t->has_pending && (r->at != HF_NEVER || (t->wait && (t->count > 0 || t->chosen)));
}

/* It comes with the cue that is written next. */
static bool drone_fits(const struct hf_timeline *t, const struct hf_record *r)
{
    return !t->has_drone && (r->at != HF_NEVER || (t->wait && t->count > 0));
}

/* With cues that the player ends only the first has a beginning of its own. One that the player
 * begins is written when it is chosen, and no other while it waits. */
static bool cue_times_fit(const struct hf_timeline *t, const struct hf_record *r)
{
    const struct hf_timeline_cue *before = t->count ? &t->cues[t->count - 1] : NULL;
    if ((t->has_pending && t->pending.at != r->at) || (t->has_drone && t->drone.at != r->at))
        return false;
    if (t->chosen && before && before->at == HF_NEVER)
        return false;
    if (t->chosen || (t->wait && before))
        return r->at == HF_NEVER && r->tell == HF_NEVER && r->hear == HF_NEVER &&
               r->end == HF_NEVER;
    if (r->at == HF_NEVER || r->tell < r->at || r->hear < r->at)
        return false;
    if (t->wait)
        return r->end == HF_NEVER;
    return r->end != HF_NEVER && r->end > r->at && r->tell <= r->end &&
           (r->hear == HF_NEVER || r->hear <= r->end) && (!before || r->at >= before->end);
}

/* How far a go or a next moves the later times, as its time tells. */
static int64_t shift_of(const struct hf_timeline *t, const struct hf_record *r)
{
    if (r->type == HF_RECORD_GO)
        return r->at - t->stay_at;
    long index = timeline_running(t, r->at);
    size_t following = (size_t)(timeline_begun(t, r->at) + 1);
    if (index >= 0)
        return r->at - t->cues[index].end;
    return following < t->count ? r->at - t->cues[following].at : 0;
}

static bool next_fits(const struct hf_timeline *t, const struct hf_record *r)
{
    long index = timeline_begun(t, r->at);
    if (t->chosen)
        return !r->shifted && index + 1 < (long)t->count;
    if (t->wait && index >= 0)
        return !r->shifted;
    return r->shifted && t->count > 0 && r->shift == shift_of(t, r);
}

/* What a command needs to find; NULL when it is there. */
static const char *command_fault(const struct hf_timeline *t, const struct hf_record *r)
{
    bool stays = t->stay_at != HF_NEVER, pauses = t->pause_at != HF_NEVER;
    switch (r->type) {
    case HF_RECORD_STAY:
        return stays ? "a stay within a stay" : NULL;
    case HF_RECORD_GO:
        if (!stays)
            return "it ends a stay that is not there";
        return r->shifted && r->shift == shift_of(t, r) ? NULL : "a shift that can't be";
    case HF_RECORD_PAUSE:
    case HF_RECORD_LOST:
        return pauses ? "a pause within a pause" : NULL;
    case HF_RECORD_RESUME:
        if (!pauses)
            return "it ends a pause that is not there";
        return r->at == t->pause_at + t->pause_fade && r->after % HF_GRID == 0
                   ? NULL
                   : "a pause of a length that can't be";
    case HF_RECORD_NEXT:
        if (stays)
            return "a next within a stay";
        return next_fits(t, r) ? NULL : "a shift that can't be";
    case HF_RECORD_VOLUME:
        return NULL;
    default:
        return timeline_running(t, r->at) < 0 ? "no cue runs at its time" : NULL;
    }
}

static enum hf_status check_command(const struct hf_timeline *t, const struct hf_record *r,
                                    struct hf_diag *diag)
{
    const struct hf_timeline_cue *before = t->count > 1 ? &t->cues[t->count - 2] : NULL;
    if (r->at % HF_GRID != 0)
        return refuse(r, "a time between the steps of the clock", diag);
    if (r->at < t->command_at || (before && !hf_timeline_reached(t, before->at, r->at)))
        return refuse(r, "it comes too early", diag);
    if (t->pause_at != HF_NEVER && r->type != HF_RECORD_RESUME &&
        r->at >= t->pause_at + t->pause_fade)
        return refuse(r, "a command in a pause", diag);
    const char *fault = command_fault(t, r);
    return fault ? refuse(r, fault, diag) : HF_OK;
}

bool timeline_is_note(enum hf_record_type type)
{
    return type == HF_RECORD_MARK || type == HF_RECORD_ANSWER || type == HF_RECORD_HINT ||
           type == HF_RECORD_LEVEL || type == HF_RECORD_SPEECH;
}

/* A break says of the pause that has just begun that the program made it. */
static bool break_fits(const struct hf_timeline *t, const struct hf_record *r)
{
    return t->pause_at == r->at && !t->on_break && r->sounded <= r->at;
}

enum hf_status timeline_check(const struct hf_timeline *t, const struct hf_record *r,
                              struct hf_diag *diag)
{
    if (t->end_at != HF_NEVER && !timeline_is_note(r->type))
        return refuse(r, "it comes after the end", diag);
    switch (r->type) {
    case HF_RECORD_HOLD:
        return hold_fits(t, r) ? HF_OK : refuse(r, "a hold out of its time", diag);
    case HF_RECORD_CUE:
        return cue_times_fit(t, r) ? HF_OK : refuse(r, "a cue out of its time", diag);
    case HF_RECORD_STEP:
        return t->count > 0 && !t->has_pending && !t->has_drone && cue_times_fit(t, r)
                   ? HF_OK
                   : refuse(r, "a step out of its time", diag);
    case HF_RECORD_DRONE:
        return drone_fits(t, r) ? HF_OK : refuse(r, "a drone out of its time", diag);
    case HF_RECORD_BREAK:
        return break_fits(t, r) ? HF_OK : refuse(r, "a break without its pause", diag);
    case HF_RECORD_END:
        return r->at >= t->command_at ? HF_OK : refuse(r, "it comes too early", diag);
    case HF_RECORD_STAY:
    case HF_RECORD_GO:
    case HF_RECORD_PAUSE:
    case HF_RECORD_LOST:
    case HF_RECORD_RESUME:
    case HF_RECORD_NEXT:
    case HF_RECORD_AGAIN:
    case HF_RECORD_REVEAL:
    case HF_RECORD_VOLUME:
        return check_command(t, r, diag);
    case HF_RECORD_SESSION:
    case HF_RECORD_MARK:
    case HF_RECORD_ANSWER:
    case HF_RECORD_HINT:
    case HF_RECORD_LEVEL:
    case HF_RECORD_SPEECH:
    case HF_RECORD_OTHER:
        break;
    }
    return HF_OK;
}
