/* SPDX-License-Identifier: MIT */
/* Options that would change nothing beside the others. Invariant: what is refused here is what a
 * player asked for, never what a journal or a kept session has: those stay good. */
#include <holdfast/request.h>

#include <string.h>

static bool any_beats(const struct hf_request *r)
{
    return r->every.in_beats || r->lead_in.in_beats || r->for_span.in_beats ||
           r->longest.in_beats || (r->drone == HF_DRONE_STRUCK && r->restrike.in_beats) ||
           (r->unfold.size > 0 && r->step.in_beats);
}

static bool cues_in_beats(const struct hf_request *r)
{
    return r->every.in_beats || r->longest.in_beats;
}

static bool on_path(const struct hf_request *r)
{
    return r->legs > 0;
}

static bool laid_down(const struct hf_request *r)
{
    return r->given[HF_OPT_HAND] && !r->keys &&
           (r->order == HF_ORDER_GRIP || r->order == HF_ORDER_TOUR);
}

static bool voiced_in_frets(const struct hf_request *r)
{
    return r->voicing != HF_VOICING_ANY && r->given[HF_OPT_HAND] && !r->keys;
}

static bool without_unfold(const struct hf_request *r)
{
    return r->unfold.size == 0;
}

static bool waits(const struct hf_request *r)
{
    return r->every.wait;
}

static bool without_beat(const struct hf_request *r)
{
    return !cues_in_beats(r) && !r->tick;
}

static bool without_time(const struct hf_request *r)
{
    return !any_beats(r) && !r->tick;
}

static bool not_struck(const struct hf_request *r)
{
    return r->drone != HF_DRONE_STRUCK;
}

static bool not_sounded(const struct hf_request *r)
{
    return r->drone == HF_DRONE_OFF;
}

static bool spread_placed(const struct hf_request *r)
{
    return r->spread != HF_SPREAD_CLOSE &&
           (r->given[HF_OPT_FROM] || (r->given[HF_OPT_HELD] && hf_notes_placed(&r->held)));
}

static bool spread_reversed(const struct hf_request *r)
{
    return r->spread != HF_SPREAD_CLOSE && r->cue == HF_CUE_REVERSE;
}

static bool silent(const struct hf_request *r)
{
    return r->cue == HF_CUE_SILENT;
}

static bool kind_is_said(const struct hf_request *r)
{
    return r->given[HF_OPT_KIND] || r->given[HF_OPT_FROM];
}

/* An option, where it changes nothing, why that is, and what it would need. */
static const struct {
    enum hf_option key;
    bool (*idle)(const struct hf_request *r);
    const char *why, *cure; /* cure NULL: there is none */
} rows[] = {
    {HF_OPT_STEP, without_unfold, "where no chord unfolds", "--unfold all"},
    {HF_OPT_STEP, waits, "with --every wait, where you end each step", NULL},
    {HF_OPT_TEMPO, without_time, "where nothing is in beats", "--every 8beats, or --tick on"},
    {HF_OPT_METER, without_beat, "where cues are not in beats", "--every 8beats --tempo 60"},
    {HF_OPT_RESTRIKE, not_struck, "where the held notes are not struck", "--drone struck"},
    {HF_OPT_SPREAD, spread_placed, "on held notes that have their octaves", NULL},
    {HF_OPT_SPREAD, spread_reversed, "with --cue reverse, which holds an 016", NULL},
    {HF_OPT_PATCH, not_sounded, "where the held notes do not sound", NULL},
    {HF_OPT_CUE_PATCH, silent, "with --cue silent, where the added notes never sound", NULL},
    {HF_OPT_VOICING, voiced_in_frets, "on strings, where the hand says how the notes lie", NULL},
    {HF_OPT_REGISTER, laid_down, "with --order grip or tour, whose grips lie where they lie", NULL},
    {HF_OPT_LEAP, laid_down, "with --order grip or tour, whose way is the shortest", NULL},
    {HF_OPT_ORDER, on_path, "with --to, which is the order", NULL},
    {HF_OPT_ROUNDS, on_path, "with --to, which leads from chord to chord once", NULL},
    {HF_OPT_HAND, on_path, "with --to, which leads through voicings, not shapes", NULL},
    {HF_OPT_DAY, kind_is_said, "where the kind is said", NULL},
};

enum hf_status hf_request_check_idle(const struct hf_request *r, const bool asked[HF_OPTIONS],
                                     struct hf_diag *diag)
{
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const char *name = hf_option_name(rows[i].key);
        if (!asked[rows[i].key] || !rows[i].idle(r))
            continue;
        hf_fail(diag, HF_E_USAGE, "--%s changes nothing %s", name, rows[i].why);
        if (rows[i].cure)
            hf_advise(diag, "leave it out, or add %s", rows[i].cure);
        else
            hf_advise(diag, "leave out --%s", name);
        return HF_E_USAGE;
    }
    return HF_OK;
}
