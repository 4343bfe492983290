/* SPDX-License-Identifier: MIT */
/* Options on a command line that would change nothing. Invariant: only what stands on the command
 * line itself is refused: a kept session may have more than what is said beside its name leaves
 * room for. */
#include "session.h"

static enum hf_status refuse(struct hf_diag *diag, const char *name, const char *why,
                             const char *cure)
{
    hf_fail(diag, HF_E_USAGE, "--%s changes nothing %s", name, why);
    hf_advise(diag, "leave it out, or add %s", cure);
    return HF_E_USAGE;
}

/* In hunt octaves are typed later. */
static bool has_notes(const struct session *s)
{
    const struct hf_request *r = &s->request;
    return r->given[HF_OPT_HELD] || r->given[HF_OPT_FROM] || s->to.count > 0 ||
           r->practice == HF_PRACTICE_HUNT;
}

enum hf_status session_check_idle(const struct session *s, struct hf_diag *diag)
{
    bool asked[HF_OPTIONS];
    for (int key = 0; key < HF_OPTIONS; key++)
        asked[key] = s->asked[key + 1];
    if (s->asked[CODE_AS_WRITTEN] && !has_notes(s))
        return refuse(diag, "as-written", "where no notes are given", "--held NOTES");
    if (s->asked[CODE_SHARE] && s->to.count == 0)
        return refuse(diag, "share", "without a path", "--to NOTES");
    return hf_request_check_idle(&s->request, asked, diag);
}

enum hf_status session_check_file_idle(const struct session *s, struct hf_diag *diag)
{
    const struct takeaway *t = &s->takeaway;
    bool sounds = s->file || t->tracks;
    if (s->request.given[HF_OPT_BITS] && !sounds && !s->dry_run)
        return refuse(diag, "bits", "where no sound file is written", "-o FILE");
    if (t->stills_as_said && !t->stills)
        return refuse(diag, "stills-as", "where no pictures are made", "--stills DIR");
    return HF_OK;
}
