/* SPDX-License-Identifier: MIT */
/* What ear and sight have by default, and what they refuse. Invariant: a resolved request, written
 * to a journal and read again, resolves to the same. */
#include "request_read.h"

#include <stdio.h>

/* ear asks by sound, with levels of its own. */
enum hf_status request_check_ear(struct hf_request *r, struct hf_diag *diag)
{
    bool ear = r->practice == HF_PRACTICE_EAR;
    if (!ear && (r->given[HF_OPT_LEVEL] || r->given[HF_OPT_NEAR_MISS]))
        return hf_fail(diag, HF_E_USAGE, "--%s goes with the practice ear",
                       r->given[HF_OPT_LEVEL] ? "level" : "near-miss");
    if (!ear)
        return HF_OK;
    if (r->given[HF_OPT_CUE] && r->cue != HF_CUE_EAR)
        return hf_fail(diag, HF_E_USAGE,
                       "ear asks by sound alone, and cue %s does not: leave it out",
                       r->text[HF_OPT_CUE]);
    if (r->given[HF_OPT_FROM] || r->given[HF_OPT_HAND])
        return hf_fail(diag, HF_E_USAGE, "ear has voicings of its own: leave out --%s",
                       r->given[HF_OPT_FROM] ? "from (and say what is held with --held)" : "hand");
    r->cue = HF_CUE_EAR;
    snprintf(r->text[HF_OPT_CUE], HF_REQUEST_TEXT, "ear");
    if (r->rounds == 0 && r->for_span.amount <= 0) {
        r->rounds = r->near_miss ? 2 : 4; /* two may bring another level, and it wants time */
        snprintf(r->text[HF_OPT_ROUNDS], HF_REQUEST_TEXT, "%ld", r->rounds);
    }
    return HF_OK;
}

/* What sight does not use is left out of the journal too. */
static const enum hf_option not_of_sight[] = {
    HF_OPT_HELD, HF_OPT_FROM, HF_OPT_CUE,  HF_OPT_ORDER, HF_OPT_REGISTER, HF_OPT_VOICING,
    HF_OPT_HOLD, HF_OPT_GRIP, HF_OPT_LEAP, HF_OPT_SPAN,  HF_OPT_SPREAD,   HF_OPT_SUPPORT};

static enum hf_status check_view(struct hf_request *r, struct hf_diag *diag)
{
    if (r->given[HF_OPT_HAND] && !r->in_frames)
        return hf_fail(diag, HF_E_USAGE, "sight shows letters: add --view frame to --hand");
    if (r->keys)
        return hf_fail(diag, HF_E_USAGE, "a frame is of strings and frets: leave out --hand keys");
    if (r->in_frames && r->given[HF_OPT_CHORDS])
        return hf_fail(diag, HF_E_USAGE,
                       "chords of your own are shown as letters: leave out --view");
    if (r->in_frames && !r->given[HF_OPT_HAND]) {
        r->given[HF_OPT_HAND] = true;
        snprintf(r->text[HF_OPT_HAND], HF_REQUEST_TEXT, "guitar");
    }
    return HF_OK;
}

enum hf_status request_check_sight(struct hf_request *r, struct hf_diag *diag)
{
    bool sight = r->practice == HF_PRACTICE_SIGHT;
    if (!sight && (r->given[HF_OPT_VIEW] || r->given[HF_OPT_CHORDS]))
        return hf_fail(diag, HF_E_USAGE, "--%s goes with the practice sight",
                       r->given[HF_OPT_VIEW] ? "view" : "chords");
    if (!sight)
        return HF_OK;
    for (size_t i = 0; i < sizeof not_of_sight / sizeof not_of_sight[0]; i++) {
        if (r->given[not_of_sight[i]])
            return hf_fail(diag, HF_E_USAGE, "sight brings chords of its own: leave out --%s",
                           hf_option_name(not_of_sight[i]));
        r->text[not_of_sight[i]][0] = 0;
    }
    if (r->given[HF_OPT_DRONE] && r->drone != HF_DRONE_OFF)
        return hf_fail(diag, HF_E_USAGE, "a drone would give the chord away: leave out --drone");
    if (r->added != hf_setclass_find(3, 5))
        return hf_fail(diag, HF_E_USAGE, "sight asks for the 016: leave out --added");
    if (!r->given[HF_OPT_LEAD_IN]) {
        r->lead_in = (struct hf_span){.amount = 3}; /* nothing sounds before the first chord */
        snprintf(r->text[HF_OPT_LEAD_IN], HF_REQUEST_TEXT, "3s");
    }
    r->cue = HF_CUE_CHORD;
    r->drone = HF_DRONE_OFF;
    snprintf(r->text[HF_OPT_DRONE], HF_REQUEST_TEXT, "off");
    return check_view(r, diag);
}
