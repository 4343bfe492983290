/* SPDX-License-Identifier: MIT */
/* Invariants: `text[key]` always reads back as the value beside it; a set that fails changes
 * nothing; no default stands anywhere but in HF_REQUEST_LIST. */
#include <holdfast/request.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#include <holdfast/number.h>
#include <holdfast/random.h>
#include <holdfast/text.h>

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

/* ---- words ----------------------------------------------------------------------------------- */

/* A word that an option takes. `value` < 0: known, but not built yet. */
struct word {
    const char *name;
    int value;
};

static const struct word practices[] = {{"improvise", HF_PRACTICE_IMPROVISE},
                                        {"roam", -1},
                                        {"hunt", -1},
                                        {"ear", -1},
                                        {"sight", -1},
                                        {"warmup", -1},
                                        {NULL, 0}};
static const struct word cue_ways[] = {{"lead", HF_CUE_LEAD},
                                       {"confirm", HF_CUE_CONFIRM},
                                       {"silent", HF_CUE_SILENT},
                                       {"ear", HF_CUE_EAR},
                                       {"gap", HF_CUE_GAP},
                                       {"reverse", HF_CUE_REVERSE},
                                       {NULL, 0}};
static const struct word orders[] = {{"shuffle", HF_ORDER_SHUFFLE},
                                     {"near", HF_ORDER_NEAR},
                                     {"far", HF_ORDER_FAR},
                                     {"ring", HF_ORDER_RING},
                                     {"listed", HF_ORDER_LISTED},
                                     {"grip", HF_ORDER_GRIP},
                                     {"tour", HF_ORDER_TOUR},
                                     {"weak", -1},
                                     {NULL, 0}};
static const struct word drones[] = {
    {"sustained", HF_DRONE_SUSTAINED}, {"struck", HF_DRONE_STRUCK}, {"off", HF_DRONE_OFF}, {NULL, 0}};
static const struct word tunings[] = {
    {"equal", HF_TUNING_EQUAL}, {"pure", HF_TUNING_PURE}, {NULL, 0}};
static const struct word voicings[] = {{"any", HF_VOICING_ANY},
                                       {"close", HF_VOICING_CLOSE},
                                       {"open", HF_VOICING_OPEN},
                                       {"widening", HF_VOICING_WIDENING},
                                       {NULL, 0}};
static const struct word holds[] = {{"hand", 1}, {NULL, 0}};
static const struct word grips[] = {{"free", 0}, {"fixed", 1}, {NULL, 0}};
static const struct word spreads[] = {
    {"close", HF_SPREAD_CLOSE}, {"wide", HF_SPREAD_WIDE}, {NULL, 0}};
static const struct word registers[] = {{"above", HF_REGISTER_ABOVE},
                                        {"through", HF_REGISTER_THROUGH},
                                        {"below", HF_REGISTER_BELOW},
                                        {"all", HF_REGISTER_ALL},
                                        {NULL, 0}};
static const struct word depths[] = {{"16", 16}, {"24", 24}, {"float", 32}, {NULL, 0}};

static void list_words(const struct word *words, char *out, size_t size)
{
    out[0] = 0;
    for (bool first = true; words->name; words++) {
        if (words->value < 0)
            continue;
        size_t used = strlen(out);
        snprintf(out + used, size - used, "%s%s", first ? "" : ", ", words->name);
        first = false;
    }
}

static enum hf_status read_word(const char *key, const struct word *words, const char *text,
                                int *out, struct hf_diag *diag)
{
    char known[160];
    for (const struct word *word = words; word->name; word++) {
        if (strcmp(word->name, text) != 0)
            continue;
        if (word->value >= 0) {
            *out = word->value;
            return HF_OK;
        }
        list_words(words, known, sizeof known);
        hf_fail(diag, HF_E_USAGE, "%s %s is not built yet", key, text);
        hf_advise(diag, "choose one of: %s", known);
        return HF_E_USAGE;
    }
    list_words(words, known, sizeof known);
    hf_fail(diag, HF_E_USAGE, "%s \"%.60s\" is not known", key, text);
    hf_advise(diag, "choose one of: %s", known);
    return HF_E_USAGE;
}

/* ---- numbers and spans ----------------------------------------------------------------------- */

static enum hf_status read_real(const char *key, const char *text, double low, double high,
                                const char *unit, double *out, struct hf_diag *diag)
{
    switch (hf_number_real(text, strlen(text), low, high, out)) {
    case HF_NUMBER_FINE:
        return HF_OK;
    case HF_NUMBER_DIGITS:
        return hf_fail(diag, HF_E_USAGE, "%s \"%.60s\" has more than 15 digits", key, text);
    case HF_NUMBER_RANGE:
        return hf_fail(diag, HF_E_USAGE, "%s \"%.60s\" is outside %g to %g%s", key, text, low, high,
                       unit);
    case HF_NUMBER_MALFORMED:
        break;
    }
    return hf_fail(diag, HF_E_USAGE, "%s \"%.60s\" is not a number from %g to %g%s", key, text, low,
                   high, unit);
}

static enum hf_status read_whole(const char *key, const char *text, long low, long high, long *out,
                                 struct hf_diag *diag)
{
    if (hf_number_whole(text, strlen(text), low, high, out) == HF_NUMBER_FINE)
        return HF_OK;
    return hf_fail(diag, HF_E_USAGE, "%s \"%.60s\" is not a whole number from %ld to %ld", key, text,
                   low, high);
}

struct unit {
    const char *name;
    double seconds; /* 0: beats */
};

static const struct unit units[] = {{"ms", 0.001}, {"s", 1},    {"m", 60},
                                    {"h", 3600},   {"beats", 0}, {"beat", 0}};

/* Reads "25s", "1.5m", "8beats"; a bare 0 needs no unit. low and high are seconds; beats are
 * checked once the tempo is known. */
static enum hf_status read_span(const char *key, const char *text, double low, double high,
                                struct hf_span *out, struct hf_diag *diag)
{
    size_t digits = strspn(text, "+-.0123456789");
    const struct unit *unit = NULL;
    double amount = 0;
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++)
        if (strcmp(text + digits, units[i].name) == 0)
            unit = &units[i];
    if (!unit && strcmp(text, "0") == 0)
        unit = &units[1];
    if (!unit || hf_number_real(text, digits, 0, 1e9, &amount) != HF_NUMBER_FINE) {
        hf_fail(diag, HF_E_USAGE, "%s \"%.60s\" is not a length of time", key, text);
        hf_advise(diag, "write a number with its unit: 25s, 1.5m, 500ms, 1h, or 8beats with --tempo");
        return HF_E_USAGE;
    }
    struct hf_span span = {.in_beats = unit->seconds == 0,
                           .amount = unit->seconds == 0 ? amount : amount * unit->seconds};
    bool out_of_range = span.in_beats ? (amount <= 0 && low > 0)
                                      : (span.amount < low || span.amount > high);
    if (out_of_range)
        return hf_fail(diag, HF_E_USAGE, "%s \"%.60s\" is outside %gs to %gh", key, text, low,
                       high / 3600);
    *out = span;
    return HF_OK;
}

/* ---- notes ----------------------------------------------------------------------------------- */

static enum hf_status read_range(const char *text, struct hf_request *r, struct hf_diag *diag)
{
    const char *colon = strchr(text, ':');
    char half[2][32];
    int midi[2];
    if (!colon || (size_t)(colon - text) >= sizeof half[0] || strlen(colon + 1) >= sizeof half[1]) {
        hf_fail(diag, HF_E_USAGE, "register \"%.60s\" is not known", text);
        hf_advise(diag, "choose one of: above, through, below, all, or two notes as in C4:C6");
        return HF_E_USAGE;
    }
    snprintf(half[0], sizeof half[0], "%.*s", (int)(colon - text), text);
    snprintf(half[1], sizeof half[1], "%s", colon + 1);
    for (int i = 0; i < 2; i++) {
        struct hf_notes notes;
        struct hf_diag why;
        if (hf_notes_parse(half[i], NULL, &notes, &why) != HF_OK || notes.count != 1 ||
            notes.note[0].midi == HF_NO_OCTAVE)
            return hf_fail(diag, HF_E_USAGE,
                           "register \"%.60s\": each side of the colon is one note with its octave, "
                           "as in C4:C6",
                           text);
        midi[i] = notes.note[0].midi;
    }
    if (midi[0] == midi[1])
        return hf_fail(diag, HF_E_USAGE, "register \"%.60s\" is one note only", text);
    if (midi[0] > midi[1])
        return hf_fail(diag, HF_E_USAGE, "register \"%.60s\" runs downward: the lower note is first",
                       text);
    r->where = HF_REGISTER_RANGE;
    r->low = midi[0];
    r->high = midi[1];
    return HF_OK;
}

static enum hf_status read_register(const char *text, struct hf_request *r, struct hf_diag *diag)
{
    for (const struct word *word = registers; word->name; word++)
        if (strcmp(word->name, text) == 0) {
            r->where = (enum hf_register_way)word->value;
            return HF_OK;
        }
    return read_range(text, r, diag);
}

static enum hf_status read_notes(const char *text, const struct hf_request *r,
                                 struct hf_notes *out, struct hf_diag *diag)
{
    struct hf_notes_how how = {.as_written = r->as_written};
    struct hf_notes notes;
    enum hf_status status = hf_notes_parse(text, &how, &notes, diag);
    if (status != HF_OK)
        return status;
    if (notes.count == 0)
        return hf_fail(diag, HF_E_USAGE, "the empty set cannot be held: name one note or more");
    *out = notes;
    return HF_OK;
}

/* A line of text from outside, which is kept in the journal and shown. */
static enum hf_status read_line(const char *key, const char *text, struct hf_diag *diag)
{
    if (!hf_text_is_utf8(text, strlen(text)))
        return hf_fail(diag, HF_E_USAGE, "%s is not UTF-8 text", key);
    if (!hf_text_is_plain(text, strlen(text), ""))
        return hf_fail(diag, HF_E_USAGE, "%s has a control character in it", key);
    return HF_OK;
}

/* ---- setting --------------------------------------------------------------------------------- */

static enum hf_status read_every(const char *text, struct hf_request *r, struct hf_diag *diag)
{
    if (strcmp(text, "wait") == 0) {
        r->every = (struct hf_span){.wait = true};
        return HF_OK;
    }
    return read_span("every", text, 0.1, 3600, &r->every, diag);
}

static enum hf_status read_seed(const char *text, struct hf_request *r, struct hf_diag *diag)
{
    if (hf_number_u64(text, strlen(text), &r->seed) != HF_NUMBER_FINE)
        return hf_fail(diag, HF_E_USAGE,
                       "seed \"%.60s\" is not a whole number from 0 to 18446744073709551615", text);
    return HF_OK;
}

/* Reads one option into a copy of the request. */
static enum hf_status read_option(struct hf_request *r, enum hf_option key, const char *text,
                                  struct hf_diag *diag)
{
    const char *name = key_names[key];
    enum hf_status status;
    long whole;
    int word;
    switch (key) {
    case HF_OPT_PRACTICE:
        status = read_word(name, practices, text, &word, diag);
        if (status == HF_OK)
            r->practice = (enum hf_practice)word;
        return status;
    case HF_OPT_HELD:
        return read_notes(text, r, &r->held, diag);
    case HF_OPT_FROM:
        return read_notes(text, r, &r->from, diag);
    case HF_OPT_ADDED:
        return hf_setclass_parse(text, &r->added, diag);
    case HF_OPT_CUE:
        status = read_word(name, cue_ways, text, &word, diag);
        if (status == HF_OK)
            r->cue = (enum hf_cue_way)word;
        return status;
    case HF_OPT_ORDER:
        status = read_word(name, orders, text, &word, diag);
        if (status == HF_OK)
            r->order = (enum hf_order)word;
        return status;
    case HF_OPT_ROUNDS:
        return read_whole(name, text, 1, 10000, &r->rounds, diag);
    case HF_OPT_FOR:
        return read_span(name, text, 0.1, 24 * 3600, &r->for_span, diag);
    case HF_OPT_EVERY:
        return read_every(text, r, diag);
    case HF_OPT_TEMPO:
        return read_real(name, text, 10, 1000, " beats a minute", &r->tempo_bpm, diag);
    case HF_OPT_LEAD_IN:
        return read_span(name, text, 0, 3600, &r->lead_in, diag);
    case HF_OPT_REGISTER:
        return read_register(text, r, diag);
    case HF_OPT_DRONE:
        status = read_word(name, drones, text, &word, diag);
        if (status == HF_OK)
            r->drone = (enum hf_drone_way)word;
        return status;
    case HF_OPT_VOICING:
        status = read_word(name, voicings, text, &word, diag);
        if (status == HF_OK)
            r->voicing = (enum hf_voicing_way)word;
        return status;
    case HF_OPT_HAND:
        r->keys = strcmp(text, "keys") == 0;
        return read_line(name, text, diag);
    case HF_OPT_HOLD:
        status = read_word(name, holds, text, &word, diag);
        if (status == HF_OK)
            r->holds = word != 0;
        return status;
    case HF_OPT_GRIP:
        status = read_word(name, grips, text, &word, diag);
        if (status == HF_OK)
            r->grip_fixed = word != 0;
        return status;
    case HF_OPT_REACH:
        return read_real(name, text, 1, 1000, " mm", &r->reach_mm, diag);
    case HF_OPT_LEAP:
        return read_real(name, text, 1, 1000, " mm", &r->leap_mm, diag);
    case HF_OPT_SPAN:
        return read_whole(name, text, 2, 15, &r->span, diag);
    case HF_OPT_RESTRIKE:
        return read_span(name, text, 0.5, 60, &r->restrike, diag);
    case HF_OPT_SPREAD:
        status = read_word(name, spreads, text, &word, diag);
        if (status == HF_OK)
            r->spread = (enum hf_spread)word;
        return status;
    case HF_OPT_METER:
        return read_whole(name, text, 0, 12, &r->meter, diag);
    case HF_OPT_ROOM:
        return read_real(name, text, -60, 6, " dB", &r->room_db, diag);
    case HF_OPT_A4:
        return read_real(name, text, 380, 480, " Hz", &r->a4_hz, diag);
    case HF_OPT_TUNING:
        status = read_word(name, tunings, text, &word, diag);
        if (status == HF_OK)
            r->tuning = (enum hf_tuning)word;
        return status;
    case HF_OPT_VOLUME:
        return read_real(name, text, -40, 0, " dB", &r->volume_db, diag);
    case HF_OPT_SEED:
        return read_seed(text, r, diag);
    case HF_OPT_RATE:
        status = read_whole(name, text, HF_RATE_LOW, HF_RATE_HIGH, &whole, diag);
        if (status == HF_OK)
            r->rate_hz = (int)whole;
        return status;
    case HF_OPT_BITS:
        return read_word(name, depths, text, &r->bits, diag);
    case HF_OPT_PATCH:
    case HF_OPT_CUE_PATCH:
    case HF_OPT_LABEL:
        return read_line(name, text, diag);
    case HF_OPTIONS:
        break;
    }
    return hf_fail(diag, HF_E_BUG, "no such option");
}

enum hf_status hf_request_set(struct hf_request *request, enum hf_option key, const char *text,
                              struct hf_diag *diag)
{
    if (strlen(text) >= HF_REQUEST_TEXT)
        return hf_fail(diag, HF_E_USAGE, "%s is longer than %d bytes", key_names[key],
                       HF_REQUEST_TEXT - 1);
    struct hf_request changed = *request;
    enum hf_status status = read_option(&changed, key, text, diag);
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

/* The held set with its octaves: the player's own, or upward from C3 to B3; wide raises every second
 * note of the latter by an octave, which halves its roughness and more. */
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
        return hf_fail(diag, HF_E_USAGE, "tuning pure is for an augmented triad that is held, and "
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
        status = check_beats(r, "lead-in", r->lead_in, 0, 3600, diag);
    if (status == HF_OK)
        status = check_beats(r, "restrike", r->restrike, 0.5, 60, diag);
    if (status == HF_OK)
        status = check_beats(r, "for", r->for_span, 0.1, 24 * 3600, diag);
    if (status == HF_OK && r->every.wait && r->for_span.amount > 0) {
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
        return hf_fail(diag, HF_E_USAGE, "--grip, --reach and --leap are for instruments with frets");
    if (hand && !r->keys && r->given[HF_OPT_SPAN])
        return hf_fail(diag, HF_E_USAGE, "--span is for --hand keys; frets have --reach MM");
    if (r->grip_fixed && !r->holds)
        return hf_fail(diag, HF_E_USAGE, "--grip fixed goes with --hold hand");
    if (r->order == HF_ORDER_TOUR && (!hand || r->keys))
        return hf_fail(diag, HF_E_USAGE, "order tour goes over the grips of --hand INSTRUMENT");
    if (r->order == HF_ORDER_TOUR)
        r->holds = true;
    if (hand && r->cue == HF_CUE_REVERSE)
        return hf_fail(diag, HF_E_USAGE, "cue reverse asks for a triad, anywhere: leave out --hand");
    if (r->keys && r->span == 0)
        r->span = 9; /* common practice, no source: a ninth */
    return HF_OK;
}

enum hf_status hf_request_resolve(struct hf_request *request, struct hf_diag *diag)
{
    struct hf_request r = *request;
    enum hf_status status = check_spans(&r, diag);
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
    if (r.cue == HF_CUE_REVERSE) /* what is held changes with every cue */
        r.text[HF_OPT_HELD][0] = 0;
    status = check_tuning(&r, diag);
    if (status != HF_OK)
        return status;
    /* A struck drone needs a struck timbre. */
    if (r.drone == HF_DRONE_STRUCK && !r.given[HF_OPT_PATCH])
        snprintf(r.text[HF_OPT_PATCH], HF_REQUEST_TEXT, "felt-hammer");
    if (r.rounds == 0 && r.for_span.amount <= 0) {
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
