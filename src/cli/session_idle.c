/* SPDX-License-Identifier: MIT */
/* Options on a command line that would change nothing. Invariant: only what stands on the command
 * line itself is refused: a kept session may have more than what is said beside its name leaves
 * room for. */
#include "session.h"

#include <holdfast/soundfile.h>

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
    if (s->asked_theme && s->asked_lines) {
        hf_fail(diag, HF_E_USAGE, "--theme changes nothing without a screen");
        hf_advise(diag, "leave out --theme, or --plain and --json");
        return HF_E_USAGE;
    }
    return hf_request_check_idle(&s->request, asked, diag);
}

/* Of a replay, which sounds or writes. */
static enum hf_status check_output(const struct session *s, struct hf_diag *diag)
{
    bool writes = s->file || takeaway_wanted(&s->takeaway);
    const char *name = s->output ? "output" : "latency";
    if (!s->output && s->latency_ms <= 0)
        return HF_OK;
    if (!s->file && s->output && hf_soundfile_format_of(s->output)) {
        hf_fail(diag, HF_E_USAGE, "--output takes the name of a sound output, and %.100s is a file",
                s->output);
        hf_advise(diag, "to write that file: -o %.100s", s->output);
        return HF_E_USAGE;
    }
    if (!writes)
        return HF_OK;
    hf_fail(diag, HF_E_USAGE, "--%s changes nothing where files are written", name);
    hf_advise(diag, "leave out --%s", name);
    return HF_E_USAGE;
}

enum hf_status session_check_file_idle(const struct session *s, struct hf_diag *diag)
{
    const struct takeaway *t = &s->takeaway;
    bool sounds = s->file || t->tracks;
    enum hf_status status = check_output(s, diag);
    if (status != HF_OK)
        return status;
    if (s->request.given[HF_OPT_BITS] && !sounds && !s->dry_run)
        return refuse(diag, "bits", "where no sound file is written", "-o FILE");
    if (t->stills_as_said && !t->stills)
        return refuse(diag, "stills-as", "where no pictures are made", "--stills DIR");
    return HF_OK;
}
