/* SPDX-License-Identifier: MIT */
/* What goes with guided improvisation alone. Invariant: the checks look at values, not at what was
 * given, so that the head of a journal, which has everything, passes as the command line did. */
#include "request_read.h"

static enum hf_status check_support(const struct hf_request *r, struct hf_diag *diag)
{
    if (!r->fading)
        return HF_OK;
    if (r->practice != HF_PRACTICE_IMPROVISE)
        return hf_fail(diag, HF_E_USAGE, "support fading goes with improvise, not with %s",
                       r->text[HF_OPT_PRACTICE]);
    if (r->drone == HF_DRONE_OFF) {
        hf_fail(diag, HF_E_USAGE,
                "support fading lets go of the held notes, and drone off has none");
        hf_advise(diag, "leave out one of the two");
        return HF_E_USAGE;
    }
    if (r->cue == HF_CUE_REVERSE) {
        hf_fail(
            diag, HF_E_USAGE,
            "cue reverse holds another 016 each time: with support fading nobody would know it");
        hf_advise(diag, "leave out one of the two");
        return HF_E_USAGE;
    }
    return HF_OK;
}

static enum hf_status check_tick(const struct hf_request *r, struct hf_diag *diag)
{
    if (!r->tick)
        return HF_OK;
    if (hf_request_chooses(r))
        return hf_fail(diag, HF_E_USAGE, "in %s nothing goes by the beat: leave out --tick",
                       r->text[HF_OPT_PRACTICE]);
    if (r->tempo_bpm > 0)
        return HF_OK;
    hf_fail(diag, HF_E_USAGE, "tick on needs a tempo");
    hf_advise(diag, "add --tempo BPM");
    return HF_E_USAGE;
}

static enum hf_status check_unfold(const struct hf_request *r, struct hf_diag *diag)
{
    if (r->unfold.size == 0) /* each step has a length in the head of any journal */
        return r->keep_registers ? hf_fail(diag, HF_E_USAGE, "--keep-registers goes with --unfold")
                                 : HF_OK;
    if (r->practice != HF_PRACTICE_IMPROVISE)
        return hf_fail(diag, HF_E_USAGE, "--unfold goes with improvise, not with %s",
                       r->text[HF_OPT_PRACTICE]);
    if (r->leap_mm > 0) {
        hf_fail(diag, HF_E_USAGE,
                "--leap is from cue to cue, and the steps between them lie where they lie");
        hf_advise(diag, "leave out --leap or --unfold");
        return HF_E_USAGE;
    }
    if (r->cue != HF_CUE_SILENT && r->cue != HF_CUE_REVERSE)
        return HF_OK;
    hf_fail(diag, HF_E_USAGE, "a chord unfolds once it was heard, and cue %s %s",
            r->text[HF_OPT_CUE],
            r->cue == HF_CUE_SILENT ? "never sounds" : "asks for a triad alone");
    hf_advise(diag, "choose --cue lead, confirm, ear or gap");
    return HF_E_USAGE;
}

enum hf_status request_check_improvise(struct hf_request *r, struct hf_diag *diag)
{
    enum hf_status status = check_tick(r, diag);
    if (status == HF_OK)
        status = check_unfold(r, diag);
    return status == HF_OK ? check_support(r, diag) : status;
}
