/* SPDX-License-Identifier: MIT */
/* What --breathe goes with. Invariant: where it is given, --every lies between its two lengths. */
#include "request_read.h"

#include <string.h>

enum hf_status request_check_breathe(struct hf_request *r, struct hf_diag *diag)
{
    bool fits = r->practice == HF_PRACTICE_IMPROVISE || r->practice == HF_PRACTICE_EAR ||
                r->practice == HF_PRACTICE_SIGHT;
    if (r->longest.amount <= 0)
        return HF_OK;
    if (!fits)
        return hf_fail(diag, HF_E_USAGE,
                       "--breathe goes with improvise, ear and sight, not with %s",
                       r->text[HF_OPT_PRACTICE]);
    if (r->unfold.size > 0)
        return hf_fail(diag, HF_E_USAGE,
                       "steps keep their length: leave out --breathe or --unfold");
    if (r->given[HF_OPT_EVERY] && r->every.wait)
        return hf_fail(diag, HF_E_USAGE,
                       "with --every wait you say when: leave out that or --breathe");
    if (r->for_span.amount > 0) {
        hf_fail(diag, HF_E_USAGE, "how many cues fit in a time is not known where it breathes");
        hf_advise(diag, "use --rounds with --breathe");
        return HF_E_USAGE;
    }
    if (!r->given[HF_OPT_EVERY]) {
        r->every = r->longest;
        const char *dots = strstr(r->text[HF_OPT_BREATHE], "..");
        size_t length = dots ? (size_t)(dots - r->text[HF_OPT_BREATHE]) : 0;
        memcpy(r->text[HF_OPT_EVERY], r->text[HF_OPT_BREATHE], length);
        r->text[HF_OPT_EVERY][length] = 0;
    }
    if (r->every.in_beats != r->longest.in_beats)
        return hf_fail(diag, HF_E_USAGE, "--every and --breathe are both in beats, or neither");
    if (r->every.amount > r->longest.amount || r->every.amount < r->shortest.amount)
        return hf_fail(diag, HF_E_USAGE, "every %s, where it begins, lies outside %s",
                       r->text[HF_OPT_EVERY], r->text[HF_OPT_BREATHE]);
    return HF_OK;
}
