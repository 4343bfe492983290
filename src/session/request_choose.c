/* SPDX-License-Identifier: MIT */
/* What roam and hunt make of the options. Invariant: a request that was resolved once is resolved
 * again to the same, since a journal has its texts. */
#include <stdio.h>
#include <string.h>

#include "request_read.h"

bool hf_request_chooses(const struct hf_request *r)
{
    return r->practice == HF_PRACTICE_ROAM || r->practice == HF_PRACTICE_HUNT;
}

/* Options that mean nothing where the player chooses, the only text that they may have (the
 * default, or what it becomes) and why. */
static const struct {
    enum hf_option key;
    const char *text, *why;
} strays[] = {
    {HF_OPT_EVERY, "wait", "nothing moves by itself there"},
    {HF_OPT_LEAD_IN, "10s", "the first choice is yours, whenever you like"},
    {HF_OPT_ORDER, "shuffle", "the order is yours"},
    {HF_OPT_ROUNDS, "", "it has no rounds, and lasts until you leave (or --for SPAN)"},
    {HF_OPT_LEAP, "", "where the hand goes is yours"},
    {HF_OPT_GRIP, "free", "a fixed grip would leave some out"},
};

static enum hf_status check_strays(const struct hf_request *r, struct hf_diag *diag)
{
    for (size_t i = 0; i < sizeof strays / sizeof strays[0]; i++) {
        enum hf_option key = strays[i].key;
        if (!r->given[key] || strcmp(r->text[key], strays[i].text) == 0)
            continue;
        hf_fail(diag, HF_E_USAGE, "--%s does not go with %s: %s", hf_option_name(key),
                r->text[HF_OPT_PRACTICE], strays[i].why);
        hf_advise(diag, "leave out --%s", hf_option_name(key));
        return HF_E_USAGE;
    }
    if (r->legs)
        return hf_fail(diag, HF_E_USAGE, "--to leads along a path, and in %s the way is yours",
                       r->text[HF_OPT_PRACTICE]);
    return HF_OK;
}

static void put_text(struct hf_request *r, enum hf_option key, const char *text)
{
    snprintf(r->text[key], HF_REQUEST_TEXT, "%s", text);
}

/* In roam confirm means: it sounds when the player asks for it. In hunt what is found sounds. */
static enum hf_status fit_way(struct hf_request *r, struct hf_diag *diag)
{
    bool hunts = r->practice == HF_PRACTICE_HUNT;
    if (hunts && r->cue == HF_CUE_CONFIRM && !r->given[HF_OPT_CUE]) {
        r->cue = HF_CUE_LEAD;
        put_text(r, HF_OPT_CUE, "lead");
    }
    if (r->cue == HF_CUE_LEAD || r->cue == HF_CUE_SILENT || (r->cue == HF_CUE_CONFIRM && !hunts))
        return HF_OK;
    hf_fail(diag, HF_E_USAGE, "--cue %s does not go with %s", r->text[HF_OPT_CUE],
            r->text[HF_OPT_PRACTICE]);
    hf_advise(diag, hunts ? "choose one of: lead (what you find sounds), silent"
                          : "choose one of: confirm (it sounds when you ask), lead, silent");
    return HF_E_USAGE;
}

enum hf_status request_fit_choice(struct hf_request *r, struct hf_diag *diag)
{
    if (!hf_request_chooses(r))
        return HF_OK;
    enum hf_status status = check_strays(r, diag);
    if (status != HF_OK)
        return status;
    r->every = (struct hf_span){.wait = true};
    put_text(r, HF_OPT_EVERY, "wait");
    return fit_way(r, diag);
}
