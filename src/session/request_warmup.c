/* SPDX-License-Identifier: MIT */
/* Invariant: a practice that is no warm-up comes out as it went in. */
#include <stdio.h>
#include <string.h>

#include <holdfast/number.h>
#include <holdfast/warmup.h>

#include "request_read.h"

/* ---- the day --------------------------------------------------------------------------------- */

static bool read_field(const char *text, size_t length, long low, long high, long *out)
{
    return strspn(text, "0123456789") >= length &&
           hf_number_whole(text, length, low, high, out) == HF_NUMBER_FINE;
}

static bool is_leap(long year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

static long days_of_month(long year, long month)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    return days[month - 1] + (month == 2 && is_leap(year));
}

enum hf_status request_read_day(const char *text, long *out, struct hf_diag *diag)
{
    long year = 0, month = 0, day = 0, days = 0;
    bool fine = strlen(text) == 10 && text[4] == '-' && text[7] == '-' &&
                read_field(text, 4, 1970, 9999, &year) && read_field(text + 5, 2, 1, 12, &month) &&
                read_field(text + 8, 2, 1, days_of_month(year, month), &day);
    if (!fine)
        return hf_fail(diag, HF_E_USAGE, "day \"%.60s\" is not a date such as 2026-11-25", text);
    for (long y = 1970; y < year; y++)
        days += is_leap(y) ? 366 : 365;
    for (long m = 1; m < month; m++)
        days += days_of_month(year, m);
    *out = days + day - 1;
    return HF_OK;
}

/* ---- the practice ---------------------------------------------------------------------------- */

static enum hf_status check_step(const struct hf_request *r, struct hf_diag *diag)
{
    double step = r->every.amount;
    if (r->every.in_beats && r->tempo_bpm > 0)
        step = r->every.amount * 60 / r->tempo_bpm;
    if (r->every.wait) {
        hf_fail(diag, HF_E_USAGE, "a warm-up rests every minute, and --every wait has no minutes");
        hf_advise(diag, "leave out --every: Space stays for as long as you like");
        return HF_E_USAGE;
    }
    if (step >= HF_WARMUP_STEP_LEAST_S)
        return HF_OK;
    hf_fail(diag, HF_E_USAGE, "every %s is too short for a warm-up, which never hurries",
            r->text[HF_OPT_EVERY]);
    hf_advise(diag, "choose %ds or more; a shorter --for leaves steps out", HF_WARMUP_STEP_LEAST_S);
    return HF_E_USAGE;
}

static enum hf_status check_warmup(const struct hf_request *r, struct hf_diag *diag)
{
    static const enum hf_option not_here[] = {HF_OPT_ORDER, HF_OPT_VOICING, HF_OPT_HAND};
    for (size_t i = 0; i < sizeof not_here / sizeof not_here[0]; i++)
        if (r->given[not_here[i]])
            return hf_fail(diag, HF_E_USAGE,
                           "a warm-up goes from single notes to chords, close, then spread, "
                           "anywhere: leave out --%s",
                           hf_option_name(not_here[i]));
    if (r->cue != HF_CUE_LEAD && r->cue != HF_CUE_CONFIRM && r->cue != HF_CUE_SILENT) {
        hf_fail(diag, HF_E_USAGE, "a warm-up says what to play, and cue %s does not",
                r->text[HF_OPT_CUE]);
        hf_advise(diag, "choose --cue lead, confirm or silent");
        return HF_E_USAGE;
    }
    if (r->added->size < HF_WARMUP_NOTES_LEAST || r->added->size > HF_WARMUP_NOTES_MOST)
        return hf_fail(diag, HF_E_USAGE,
                       "a warm-up builds up chords of %d to %d notes, and %s has %d",
                       HF_WARMUP_NOTES_LEAST, HF_WARMUP_NOTES_MOST, r->added->name, r->added->size);
    if (r->legs)
        return hf_fail(diag, HF_E_USAGE, "a warm-up ends on one chord: leave out --to");
    if (r->has_own && r->given[HF_OPT_KIND])
        return hf_fail(diag, HF_E_USAGE, "the chord of --from says which kind: leave out --kind");
    return check_step(r, diag);
}

static void set_seconds(struct hf_request *r, enum hf_option key, struct hf_span *span, int seconds)
{
    if (r->given[key])
        return;
    *span = (struct hf_span){.amount = seconds};
    snprintf(r->text[key], HF_REQUEST_TEXT, "%ds", seconds);
}

enum hf_status request_resolve_warmup(struct hf_request *r, struct hf_diag *diag)
{
    if (r->practice != HF_PRACTICE_WARMUP) {
        if (r->given[HF_OPT_KIND] || r->given[HF_OPT_DAY])
            return hf_fail(diag, HF_E_USAGE, "--%s goes with the practice warmup",
                           r->given[HF_OPT_KIND] ? "kind" : "day");
        return HF_OK;
    }
    enum { MINUTES = 8 };
    set_seconds(r, HF_OPT_EVERY, &r->every, HF_WARMUP_STEP_S);
    set_seconds(r, HF_OPT_LEAD_IN, &r->lead_in, HF_WARMUP_REST_S);
    if (!r->given[HF_OPT_ROUNDS])
        set_seconds(r, HF_OPT_FOR, &r->for_span, MINUTES * 60);
    enum hf_status status = check_warmup(r, diag);
    r->text[HF_OPT_ORDER][0] = r->text[HF_OPT_VOICING][0] = 0; /* it has its own */
    return status;
}
