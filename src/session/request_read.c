/* SPDX-License-Identifier: MIT */
/* Texts into the members of a request. Invariant: a text that fails changes nothing but the copy
 * that it was read into. */
#include "request_read.h"

#include <stdio.h>
#include <string.h>

#include <holdfast/levels.h>
#include <holdfast/number.h>
#include <holdfast/pairing.h>
#include <holdfast/text.h>

/* ---- words ----------------------------------------------------------------------------------- */

/* A word that an option takes. `value` < 0: known, but not built yet. */
struct word {
    const char *name;
    int value;
};

static const struct word practices[] = {{"improvise", HF_PRACTICE_IMPROVISE},
                                        {"roam", HF_PRACTICE_ROAM},
                                        {"hunt", HF_PRACTICE_HUNT},
                                        {"ear", HF_PRACTICE_EAR},
                                        {"sight", HF_PRACTICE_SIGHT},
                                        {"warmup", HF_PRACTICE_WARMUP},
                                        {NULL, 0}};
static const struct word cue_ways[] = {{"lead", HF_CUE_LEAD},
                                       {"confirm", HF_CUE_CONFIRM},
                                       {"silent", HF_CUE_SILENT},
                                       {"ear", HF_CUE_EAR},
                                       {"gap", HF_CUE_GAP},
                                       {"reverse", HF_CUE_REVERSE},
                                       {NULL, 0}};
static const struct word orders[] = {
    {"shuffle", HF_ORDER_SHUFFLE}, {"near", HF_ORDER_NEAR},     {"far", HF_ORDER_FAR},
    {"ring", HF_ORDER_RING},       {"listed", HF_ORDER_LISTED}, {"grip", HF_ORDER_GRIP},
    {"tour", HF_ORDER_TOUR},       {"weak", HF_ORDER_WEAK},     {NULL, 0}};
static const struct word drones[] = {{"sustained", HF_DRONE_SUSTAINED},
                                     {"struck", HF_DRONE_STRUCK},
                                     {"off", HF_DRONE_OFF},
                                     {NULL, 0}};
static const struct word tunings[] = {
    {"equal", HF_TUNING_EQUAL}, {"pure", HF_TUNING_PURE}, {NULL, 0}};
static const struct word voicings[] = {{"any", HF_VOICING_ANY},
                                       {"close", HF_VOICING_CLOSE},
                                       {"open", HF_VOICING_OPEN},
                                       {"widening", HF_VOICING_WIDENING},
                                       {NULL, 0}};
static const struct word speaks[] = {{"names", HF_SPEAK_NAMES}, {"all", HF_SPEAK_ALL}, {NULL, 0}};
static const struct word holds[] = {{"hand", 1}, {NULL, 0}};
static const struct word ticks[] = {{"off", 0}, {"on", 1}, {NULL, 0}};
static const struct word supports[] = {{"full", 0}, {"fading", 1}, {NULL, 0}};
static const struct word grips[] = {{"free", 0}, {"fixed", 1}, {NULL, 0}};
static const struct word spreads[] = {
    {"close", HF_SPREAD_CLOSE}, {"wide", HF_SPREAD_WIDE}, {NULL, 0}};
static const struct word registers[] = {{"above", HF_REGISTER_ABOVE},
                                        {"through", HF_REGISTER_THROUGH},
                                        {"below", HF_REGISTER_BELOW},
                                        {"all", HF_REGISTER_ALL},
                                        {NULL, 0}};
static const struct word views[] = {{"letters", 0}, {"frame", 1}, {"staff", -1}, {NULL, 0}};
static const struct word yes[] = {{"yes", 1}, {NULL, 0}};
static const struct word depths[] = {{"16", 16}, {"24", 24}, {"float", 32}, {NULL, 0}};

bool hf_request_is_practice(const char *name)
{
    for (const struct word *word = practices; word->name; word++)
        if (strcmp(word->name, name) == 0)
            return true;
    return false;
}

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
    case HF_NUMBER_MALFORMED:;
    }
    return hf_fail(diag, HF_E_USAGE, "%s \"%.60s\" is not a number from %g to %g%s", key, text, low,
                   high, unit);
}

static enum hf_status read_whole(const char *key, const char *text, long low, long high, long *out,
                                 struct hf_diag *diag)
{
    if (hf_number_whole(text, strlen(text), low, high, out) == HF_NUMBER_FINE)
        return HF_OK;
    return hf_fail(diag, HF_E_USAGE, "%s \"%.60s\" is not a whole number from %ld to %ld", key,
                   text, low, high);
}

struct unit {
    const char *name;
    double seconds; /* 0: beats */
};

static const struct unit units[] = {{"ms", 0.001}, {"s", 1},     {"m", 60},
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
        hf_advise(diag,
                  "write a number with its unit: 25s, 1.5m, 500ms, 1h, or 8beats with --tempo");
        return HF_E_USAGE;
    }
    struct hf_span span = {.in_beats = unit->seconds == 0,
                           .amount = unit->seconds == 0 ? amount : amount * unit->seconds};
    bool out_of_range =
        span.in_beats ? (amount <= 0 && low > 0) : (span.amount < low || span.amount > high);
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
            return hf_fail(
                diag, HF_E_USAGE,
                "register \"%.60s\": each side of the colon is one note with its octave, "
                "as in C4:C6",
                text);
        midi[i] = notes.note[0].midi;
    }
    if (midi[0] == midi[1])
        return hf_fail(diag, HF_E_USAGE, "register \"%.60s\" is one note only", text);
    if (midi[0] > midi[1])
        return hf_fail(diag, HF_E_USAGE,
                       "register \"%.60s\" runs downward: the lower note is first", text);
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

static enum hf_status read_notes(const char *text, const struct hf_request *r, struct hf_notes *out,
                                 struct hf_diag *diag)
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

static enum hf_status read_break_every(const char *text, struct hf_request *r, struct hf_diag *diag)
{
    if (strcmp(text, "off") == 0) {
        r->break_every = (struct hf_span){.amount = 0};
        return HF_OK;
    }
    struct hf_span span;
    enum hf_status status = read_span("break-every", text, 1, 24 * 3600, &span, diag);
    if (status == HF_OK && span.in_beats)
        status =
            hf_fail(diag, HF_E_USAGE, "break-every \"%.60s\" is not in minutes or seconds", text);
    if (status == HF_OK)
        r->break_every = span;
    return status;
}

/* "3" stays, "3+" is where it begins. */
static enum hf_status read_level(const char *text, struct hf_request *r, struct hf_diag *diag)
{
    size_t length = strlen(text);
    bool moves = length > 1 && text[length - 1] == '+';
    long level;
    if (hf_number_whole(text, length - (moves ? 1 : 0), 1, HF_LEVELS, &level) != HF_NUMBER_FINE) {
        hf_fail(diag, HF_E_USAGE, "there is no level \"%.60s\": they are 1 to %d", text, HF_LEVELS);
        hf_advise(diag, "write 3 for a level that stays, 3+ for one to begin with");
        return HF_E_USAGE;
    }
    r->level = (int)level;
    r->level_fixed = !moves;
    return HF_OK;
}

/* "40s..15s", the longer first. */
static enum hf_status read_breathe(const char *text, struct hf_request *r, struct hf_diag *diag)
{
    const char *dots = strstr(text, "..");
    char half[64];
    struct hf_span longest, shortest;
    if (!dots || (size_t)(dots - text) >= sizeof half) {
        hf_fail(diag, HF_E_USAGE, "breathe \"%.60s\" is not two lengths of time", text);
        hf_advise(diag, "write the longer and the shorter: 40s..15s");
        return HF_E_USAGE;
    }
    snprintf(half, sizeof half, "%.*s", (int)(dots - text), text);
    enum hf_status status = read_span("breathe", half, 0.1, 3600, &longest, diag);
    if (status == HF_OK)
        status = read_span("breathe", dots + 2, 0.1, 3600, &shortest, diag);
    if (status != HF_OK)
        return status;
    if (longest.in_beats != shortest.in_beats || longest.amount <= shortest.amount)
        return hf_fail(diag, HF_E_USAGE,
                       "breathe \"%.60s\": the longer length comes first, both in one unit of "
                       "time or in beats",
                       text);
    r->longest = longest;
    r->shortest = shortest;
    return HF_OK;
}

static enum hf_status read_seed(const char *text, struct hf_request *r, struct hf_diag *diag)
{
    if (hf_number_u64(text, strlen(text), &r->seed) != HF_NUMBER_FINE)
        return hf_fail(diag, HF_E_USAGE,
                       "seed \"%.60s\" is not a whole number from 0 to 18446744073709551615", text);
    return HF_OK;
}

/* ---- options --------------------------------------------------------------------------------- */

enum hf_status request_read_option(struct hf_request *r, enum hf_option key, const char *text,
                                   struct hf_diag *diag)
{
    const char *name = hf_option_name(key);
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
    case HF_OPT_LEVEL:
        return read_level(text, r, diag);
    case HF_OPT_BREATHE:
        return read_breathe(text, r, diag);
    case HF_OPT_VIEW:
        status = read_word(name, views, text, &word, diag);
        if (status == HF_OK)
            r->in_frames = word != 0;
        return status;
    case HF_OPT_NEAR_MISS:
        status = read_word(name, yes, text, &word, diag);
        if (status == HF_OK)
            r->near_miss = word != 0;
        return status;
    case HF_OPT_DRONE:
        status = read_word(name, drones, text, &word, diag);
        if (status == HF_OK)
            r->drone = (enum hf_drone_way)word;
        return status;
    case HF_OPT_UNFOLD:
        return hf_unfold_parse(text, &r->unfold, diag);
    case HF_OPT_STEP:
        return read_span(name, text, 1, 3600, &r->step, diag);
    case HF_OPT_KEEP_REGISTERS:
        status = read_word(name, yes, text, &word, diag);
        if (status == HF_OK)
            r->keep_registers = word != 0;
        return status;
    case HF_OPT_TICK:
        status = read_word(name, ticks, text, &word, diag);
        if (status == HF_OK)
            r->tick = word != 0;
        return status;
    case HF_OPT_SUPPORT:
        status = read_word(name, supports, text, &word, diag);
        if (status == HF_OK)
            r->fading = word != 0;
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
    case HF_OPT_KIND:
        return read_whole(name, text, 1, HF_COMPLETIONS_MOST, &r->kind, diag);
    case HF_OPT_DAY:
        return request_read_day(text, &r->day, diag);
    case HF_OPT_RESTRIKE:
        return read_span(name, text, 0.5, 60, &r->restrike, diag);
    case HF_OPT_SPREAD:
        status = read_word(name, spreads, text, &word, diag);
        if (status == HF_OK)
            r->spread = (enum hf_spread)word;
        return status;
    case HF_OPT_METER:
        return read_whole(name, text, 0, 12, &r->meter, diag);
    case HF_OPT_BREAK_EVERY:
        return read_break_every(text, r, diag);
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
    case HF_OPT_NAMES:
        return hf_names_parse(text, &r->names, diag);
    case HF_OPT_SPEAK:
        status = read_word(name, speaks, text, &word, diag);
        if (status == HF_OK)
            r->speak = (enum hf_speak)word;
        return status;
    case HF_OPT_VOICE:
        return read_line(name, text, diag);
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
    case HF_OPT_CHORDS:
    case HF_OPT_CUE_PATCH:
    case HF_OPT_LABEL:
    case HF_OPTIONS:;
    }
    return read_line(name, text, diag);
}
