/* SPDX-License-Identifier: MIT */
/* Answers to a chord in view: no, or the three notes that are the 016. Invariant: an answer is
 * recorded once it is whole; what was picked before that leaves no trace. */
#include "conductor_parts.h"

static enum hf_status check(const struct hf_conductor *c, const struct hf_timeline_cue *cue,
                            int64_t now, struct hf_diag *diag)
{
    if (!cue || !hf_timeline_reached(&c->timeline, cue->at, now))
        return hf_fail(diag, HF_E_USAGE, "no chord is in view yet");
    if (cue->answered)
        return hf_fail(diag, HF_E_USAGE, "it is answered already");
    if (c->shown == c->running || hf_timeline_shown(&c->timeline, cue->tell, now))
        return hf_fail(diag, HF_E_USAGE, "it is told already: g got it, m missed it");
    return HF_OK;
}

static hf_pcset picked_set(const struct hf_voicing *chord, unsigned picked)
{
    hf_pcset set = 0;
    for (int i = 0; i < chord->count; i++)
        if (picked & 1u << i)
            set = (hf_pcset)(set | 1u << chord->notes[i] % HF_PCS);
    return set;
}

enum hf_status conductor_pick_note(struct hf_conductor *c, const struct hf_timeline_cue *cue,
                                   int choice, int64_t now, struct hf_diag *diag)
{
    struct hf_voicing chord;
    enum hf_status status = check(c, cue, now, diag);
    if (status != HF_OK)
        return status;
    if (choice == HF_SIGHT_YES)
        return hf_fail(diag, HF_E_USAGE, "which three are the 016? press their numbers");
    struct hf_record answer = {.type = HF_RECORD_ANSWER, .at = now, .cue = cue->record.n};
    if (choice == 0) {
        answer.right = cue->record.id == 0;
        return conductor_take_answer(c, answer, diag);
    }
    hf_timeline_chord(&c->timeline, c->running - 1, &chord);
    if (choice > chord.count)
        return hf_fail(diag, HF_E_USAGE, "its notes are 1 to %d", chord.count);
    c->picked = (c->picks_of == c->running ? c->picked : 0) ^ 1u << (choice - 1);
    c->picks_of = c->running;
    hf_pcset set = picked_set(&chord, c->picked);
    if (hf_pcset_size(set) < HF_SIGHT_HALF)
        return HF_OK;
    answer.id = 1;
    answer.pcs = set;
    answer.right = cue->record.id > 0 && set == cue->record.pcs;
    return conductor_take_answer(c, answer, diag);
}
