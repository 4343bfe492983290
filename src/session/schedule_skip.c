/* SPDX-License-Identifier: MIT */
/* Going on where another session stopped. Invariant: a schedule that has skipped cues gives the
 * others just as the whole one would, numbered from 1. */
#include "schedule_parts.h"

bool hf_schedule_skip(struct hf_schedule *s, uint32_t before, const hf_pcset *given, uint32_t count)
{
    struct hf_cue cue;
    for (uint32_t i = 0; i < before + count; i++) {
        if (!hf_schedule_next(s, &cue) || (i >= before && cue.pcs != given[i - before]))
            return false;
        for (int steps = s->unfold.count; steps > 0; steps--)
            if (!hf_schedule_next(s, &cue))
                return false;
    }
    s->drone_db = 0; /* a session begins with the whole support, where it goes on too */
    s->skipped = s->given;
    s->skipped_serials = s->given + s->unfold.given;
    return hf_schedule_cues(s) > 0;
}

bool hf_schedule_shorten(struct hf_schedule *s, uint32_t count)
{
    if (s->given > 0 || count >= s->total)
        return false;
    s->total -= count;
    if (s->steps)
        schedule_keep_steps(s);
    return true;
}

uint32_t hf_schedule_cues(const struct hf_schedule *s)
{
    return s->total - s->skipped;
}
