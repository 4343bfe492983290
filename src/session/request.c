/* SPDX-License-Identifier: MIT */
/* Invariants: `text[key]` always reads back as the value beside it; a set that fails changes
 * nothing; no default stands anywhere but in HF_REQUEST_LIST. */
#include <holdfast/request.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#include <holdfast/random.h>

#include "request_read.h"

static const char *const key_names[] = {
#define HF_REQUEST_NAME(name, key, text) key,
    HF_REQUEST_LIST(HF_REQUEST_NAME)
#undef HF_REQUEST_NAME
};

static const char *const defaults[] = {
#define HF_REQUEST_NAME(name, key, text) text,
    HF_REQUEST_LIST(HF_REQUEST_NAME)
#undef HF_REQUEST_NAME
};

const char *hf_option_name(enum hf_option key)
{
    return key_names[key];
}

enum hf_status hf_request_set(struct hf_request *request, enum hf_option key, const char *text,
                              struct hf_diag *diag)
{
    if (strlen(text) >= HF_REQUEST_TEXT)
        return hf_fail(diag, HF_E_USAGE, "%s is longer than %d bytes", key_names[key],
                       HF_REQUEST_TEXT - 1);
    struct hf_request changed = *request;
    enum hf_status status = request_read_option(&changed, key, text, diag);
    if (status != HF_OK)
        return status;
    snprintf(changed.text[key], HF_REQUEST_TEXT, "%s", text);
    changed.given[key] = true;
    *request = changed;
    return HF_OK;
}

void hf_request_init(struct hf_request *request)
{
    memset(request, 0, sizeof *request);
    request->day = -1;
    for (int key = 0; key < HF_OPTIONS; key++) {
        if (!defaults[key][0])
            continue;
        /* The defaults are read as any text is, so none can lie outside its own limits. */
        if (hf_request_set(request, (enum hf_option)key, defaults[key], NULL) == HF_OK)
            request->given[key] = false;
    }
}

enum hf_status hf_request_split(struct hf_request *request, const struct hf_notes *held,
                                const struct hf_notes *added, struct hf_diag *diag)
{
    if (held->count == 0 || added->count == 0 || !hf_notes_placed(held) || !hf_notes_placed(added))
        return hf_fail(diag, HF_E_USAGE, "a half of the chord is empty");
    if (added->count != hf_pcset_size(added->set))
        return hf_fail(diag, HF_E_USAGE, "a note of the added half comes in two octaves");
    request->held = *held;
    request->own = hf_voicing_of_notes(added);
    request->own_notes = *added;
    request->has_own = true;
    request->added = hf_setclass_of(added->set);
    snprintf(request->text[HF_OPT_ADDED], HF_REQUEST_TEXT, "%s", request->added->name);
    return HF_OK;
}

void hf_request_take_board(struct hf_request *request, const struct hf_fretboard *board)
{
    request->board = *board;
    request->has_board = true;
    if (request->reach_mm > 0)
        request->board.reach_mm = request->reach_mm;
}

/* ---- resolving ------------------------------------------------------------------------------- */

int64_t hf_request_samples(const struct hf_request *request, struct hf_span span)
{
    double seconds = span.in_beats ? span.amount * 60 / request->tempo_bpm : span.amount;
    return (int64_t)floor(seconds * request->rate_hz + 0.5);
}

double hf_request_beat(const struct hf_request *request, int rate_hz)
{
    return request->tick ? 60 / request->tempo_bpm * rate_hz : 0;
}

int64_t hf_request_a4_mhz(const struct hf_request *request)
{
    return (int64_t)floor(request->a4_hz * 1000 + 0.5);
}

/* One of the four augmented triads, by the seed. */
static struct hf_notes triad_by_seed(uint64_t seed)
{
    struct hf_random random;
    hf_random_init(&random, seed, HF_STREAM_HELD);
    int root = (int)hf_random_below(&random, 4);
    return hf_notes_of_set(hf_pcset_transpose(1u << 0 | 1u << 4 | 1u << 8, root));
}

/* The held set with its octaves: the player's own, or upward from C3 to B3; wide raises every
 * second note of the latter by an octave, which halves its roughness and more. */
static enum hf_status place_held(struct hf_request *r, struct hf_diag *diag)
{
    bool own = hf_notes_placed(&r->held);
    if (!own)
        r->held_free = true;
    enum hf_status status = hf_notes_place(&r->held, diag);
    if (status != HF_OK || own || r->spread == HF_SPREAD_CLOSE)
        return status;
    for (int i = 1; i < r->held.count; i += 2)
        if (r->held.note[i].midi + HF_PCS <= 127)
            r->held.note[i].midi += HF_PCS;
    return HF_OK;
}

/* From low to high, as they lie. */
static void sort_held(struct hf_notes *held)
{
    for (int i = 1; i < held->count; i++)
        for (int j = i; j > 0 && held->note[j].midi < held->note[j - 1].midi; j--) {
            struct hf_note note = held->note[j];
            held->note[j] = held->note[j - 1];
            held->note[j - 1] = note;
        }
}

static enum hf_status check_tuning(const struct hf_request *r, struct hf_diag *diag)
{
    if (r->tuning == HF_TUNING_PURE && r->cue == HF_CUE_REVERSE)
        return hf_fail(diag, HF_E_USAGE,
                       "tuning pure is for an augmented triad that is held, and "
                       "cue reverse holds an 016");
    if (r->tuning == HF_TUNING_EQUAL || strcmp(hf_setclass_of(r->held.set)->name, "3-12") == 0)
        return HF_OK;
    hf_fail(diag, HF_E_USAGE, "tuning pure is for an augmented triad, and %s is none",
            r->text[HF_OPT_HELD]);
    hf_advise(diag, "use --tuning equal");
    return HF_E_USAGE;
}

static enum hf_status check_beats(const struct hf_request *r, const char *key, struct hf_span span,
                                  double low, double high, struct hf_diag *diag)
{
    if (!span.in_beats)
        return HF_OK;
    if (r->tempo_bpm <= 0) {
        hf_fail(diag, HF_E_USAGE, "%s is in beats, and there is no tempo", key);
        hf_advise(diag, "add --tempo BPM, or write it in seconds");
        return HF_E_USAGE;
    }
    double seconds = span.amount * 60 / r->tempo_bpm;
    if (seconds < low || seconds > high)
        return hf_fail(diag, HF_E_USAGE, "%s comes to %.3gs at this tempo: outside %gs to %gh", key,
                       seconds, low, high / 3600);
    return HF_OK;
}

static enum hf_status check_spans(const struct hf_request *r, struct hf_diag *diag)
{
    enum hf_status status = check_beats(r, "every", r->every, 0.1, 3600, diag);
    if (status == HF_OK)
        status = check_beats(r, "breathe", r->longest, 0.1, 3600, diag);
    if (status == HF_OK)
        status = check_beats(r, "breathe", r->shortest, 0.1, 3600, diag);
    if (status == HF_OK)
        status = check_beats(r, "lead-in", r->lead_in, 0, 3600, diag);
    if (status == HF_OK)
        status = check_beats(r, "restrike", r->restrike, 0.5, 60, diag);
    if (status == HF_OK)
        status = check_beats(r, "step", r->step, 1, 3600, diag);
    if (status == HF_OK)
        status = check_beats(r, "for", r->for_span, 0.1, 24 * 3600, diag);
    if (status == HF_OK && r->every.wait && r->for_span.amount > 0 && !hf_request_chooses(r)) {
        hf_fail(diag, HF_E_USAGE, "--for needs cues of a known length, and --every wait has none");
        hf_advise(diag, "use --rounds with --every wait");
        return HF_E_USAGE;
    }
    return status;
}

/* gap and reverse speak of the 016 and its augmented triad. */
static enum hf_status check_way(const struct hf_request *r, struct hf_diag *diag)
{
    const char *way = r->text[HF_OPT_CUE];
    bool is_016 = strcmp(r->added->name, "3-5") == 0;
    if ((r->cue == HF_CUE_GAP || r->cue == HF_CUE_REVERSE) && !is_016)
        return hf_fail(diag, HF_E_USAGE, "cue %s is for the 016, and %s is added", way,
                       r->added->name);
    if (r->cue != HF_CUE_REVERSE)
        return HF_OK;
    if (r->given[HF_OPT_HELD] || r->given[HF_OPT_FROM])
        return hf_fail(diag, HF_E_USAGE,
                       "cue reverse holds a different 016 each time: leave out --held and --from");
    if (r->order != HF_ORDER_SHUFFLE)
        return hf_fail(diag, HF_E_USAGE, "cue reverse has an order of its own: leave out --order");
    return HF_OK;
}

/* What only makes sense with a hand, and with which. */
static enum hf_status check_hand(struct hf_request *r, struct hf_diag *diag)
{
    static const enum hf_option needs[] = {HF_OPT_HOLD, HF_OPT_GRIP, HF_OPT_REACH, HF_OPT_LEAP,
                                           HF_OPT_SPAN};
    bool hand = r->given[HF_OPT_HAND];
    for (size_t i = 0; !hand && i < sizeof needs / sizeof needs[0]; i++)
        if (r->given[needs[i]])
            return hf_fail(diag, HF_E_USAGE, "--%s goes with --hand INSTRUMENT",
                           key_names[needs[i]]);
    if (r->keys && (r->given[HF_OPT_GRIP] || r->given[HF_OPT_REACH] || r->given[HF_OPT_LEAP]))
        return hf_fail(diag, HF_E_USAGE,
                       "--grip, --reach and --leap are for instruments with frets");
    if (hand && !r->keys && r->given[HF_OPT_SPAN])
        return hf_fail(diag, HF_E_USAGE, "--span is for --hand keys; frets have --reach MM");
    if (r->grip_fixed && !r->holds)
        return hf_fail(diag, HF_E_USAGE, "--grip fixed goes with --hold hand");
    if (r->order == HF_ORDER_TOUR && (!hand || r->keys))
        return hf_fail(diag, HF_E_USAGE, "order tour goes over the grips of --hand INSTRUMENT");
    if (r->order == HF_ORDER_TOUR)
        r->holds = true;
    if (hand && r->cue == HF_CUE_REVERSE)
        return hf_fail(diag, HF_E_USAGE,
                       "cue reverse asks for a triad, anywhere: leave out --hand");
    if (r->keys && r->span == 0)
        r->span = 9; /* common practice, no source: a ninth */
    return HF_OK;
}

enum hf_status hf_request_resolve(struct hf_request *request, struct hf_diag *diag)
{
    struct hf_request r = *request;
    enum hf_status status = request_resolve_warmup(&r, diag);
    if (status == HF_OK)
        status = request_fit_choice(&r, diag);
    if (status == HF_OK)
        status = request_check_improvise(&r, diag);
    if (status == HF_OK)
        status = request_check_breathe(&r, diag);
    if (status == HF_OK)
        status = check_spans(&r, diag);
    if (status == HF_OK)
        status = request_check_ear(&r, diag);
    if (status == HF_OK)
        status = request_check_sight(&r, diag);
    if (status == HF_OK)
        status = check_hand(&r, diag);
    if (status == HF_OK)
        status = check_way(&r, diag);
    if (status != HF_OK)
        return status;
    if (r.held.count == 0)
        r.held = triad_by_seed(r.seed);
    status = place_held(&r, diag);
    if (status != HF_OK)
        return status;
    sort_held(&r.held);
    hf_notes_format(&r.held, HF_NAMES_SIMPLE, r.text[HF_OPT_HELD]);
    if (r.cue == HF_CUE_REVERSE || r.cue == HF_CUE_CHORD) /* it changes with every cue */
        r.text[HF_OPT_HELD][0] = 0;
    status = check_tuning(&r, diag);
    if (status != HF_OK)
        return status;
    /* A struck drone needs a struck timbre. */
    if (r.drone == HF_DRONE_STRUCK && !r.given[HF_OPT_PATCH])
        snprintf(r.text[HF_OPT_PATCH], HF_REQUEST_TEXT, "felt-hammer");
    if (r.rounds == 0 && r.for_span.amount <= 0 && !hf_request_chooses(&r)) {
        r.rounds = 2;
        snprintf(r.text[HF_OPT_ROUNDS], HF_REQUEST_TEXT, "2");
    }
    if (r.rate_hz == 0)
        r.rate_hz = HF_RATE_DEFAULT;
    snprintf(r.text[HF_OPT_RATE], HF_REQUEST_TEXT, "%d", r.rate_hz);
    snprintf(r.text[HF_OPT_SEED], HF_REQUEST_TEXT, "%llu", (unsigned long long)r.seed);
    snprintf(r.text[HF_OPT_ADDED], HF_REQUEST_TEXT, "%s", r.added->name);
    *request = r;
    return HF_OK;
}
