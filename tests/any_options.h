/* SPDX-License-Identifier: MIT */
/*
 * any_options: command lines at random that keep to what the help and the README say, over every
 * practice that a dry run takes; and wrong things to put behind them, with the status that each
 * must have (published: the contract's table of exit statuses).
 *
 * For one test program, with tests/scratch.h: it lays its files in the scratch directory.
 */
#ifndef TESTS_ANY_OPTIONS_H
#define TESTS_ANY_OPTIONS_H

#include <stdbool.h>
#include <stdio.h>

#include <holdfast/builtin.h>
#include <holdfast/pairing.h>
#include <holdfast/random.h>

#include "scratch.h"

enum { ANY_WORDS = 80, ANY_WORD = 96, ANY_KINDS = 16 };

struct any_line {
    struct hf_random random;
    char word[ANY_WORDS][ANY_WORD];
    int count;
    bool plays, beats, timed; /* play; lengths in beats; --for or --every wait is there */
    bool tempo, placed;       /* --tempo is there; the held notes have octaves */
};

static inline unsigned any_below(struct any_line *line, unsigned count)
{
    return hf_random_below(&line->random, count);
}

static inline void any_add(struct any_line *line, const char *format, ...) HF_PRINTF(2, 3);
static inline void any_add(struct any_line *line, const char *format, ...)
{
    va_list rest;
    assert_true(line->count < ANY_WORDS);
    va_start(rest, format);
    vsnprintf(line->word[line->count++], ANY_WORD, format, rest);
    va_end(rest);
}

/* --key and one of the words that '|' parts, half of the times. */
static inline void any_of(struct any_line *line, const char *key, const char *words)
{
    char list[200], *one[ANY_KINDS], *state = NULL;
    int count = 0;
    snprintf(list, sizeof list, "%s", words);
    for (char *at = strtok_r(list, "|", &state); at; at = strtok_r(NULL, "|", &state))
        one[count++] = at;
    if (any_below(line, 2))
        return;
    any_add(line, "--%s", key);
    any_add(line, "%s", one[any_below(line, (unsigned)count)]);
}

/* --key and a number between `low` and `high`, its ends among them. */
static inline void any_number(struct any_line *line, const char *key, double low, double high)
{
    unsigned draw = any_below(line, 8);
    double between = low + (high - low) * (double)hf_random_unit(&line->random);
    if (draw < 4)
        return;
    any_add(line, "--%s", key);
    any_add(line, "%.4g", draw == 4 ? low : draw == 5 ? high : between);
}

static inline void any_patch(struct any_line *line, const char *key, bool struck)
{
    const struct hf_builtin *fit[64];
    unsigned count = 0;
    for (const struct hf_builtin *each = hf_builtin_patches; each->name; each++)
        if ((strstr(each->text, "kind = struck") != NULL) == struck)
            fit[count++] = each;
    if (any_below(line, 2))
        return;
    any_add(line, "--%s", key);
    any_add(line, "%s", fit[any_below(line, count)]->name);
}

/* What any practice takes. */
static inline void any_common(struct any_line *line)
{
    static const char *const seeds[] = {"0", "18446744073709551615"};
    static const char *const rates[] = {"8000", "192000", "44100", "11025", "96000"};
    unsigned draw = any_below(line, 8);
    any_add(line, "--seed");
    if (draw < 2)
        any_add(line, "%s", seeds[draw]);
    else
        any_add(line, "%llu",
                (unsigned long long)hf_random_next(&line->random) << (draw & 1 ? 32 : 0));
    draw = any_below(line, 8);
    any_add(line, "--rate");
    if (draw < 5)
        any_add(line, "%s", rates[draw]);
    else
        any_add(line, "%u", 8000 + any_below(line, 184001));
    any_number(line, "a4", 380, 480);
    any_number(line, "volume", -40, 0);
    any_number(line, "room", -60, 6);
    any_of(line, "names", "sharps|flats|numbers|german");
    any_of(line, "label", "Ada|a lesson|\303\204pfel \342\231\257|-");
    if (!line->plays)
        any_of(line, "bits", "16|24|float");
}

static inline void any_drone(struct any_line *line, bool must)
{
    unsigned draw = any_below(line, must ? 3 : 4);
    static const char *const ways[] = {"sustained", "sustained", "struck", "off"};
    if (any_below(line, 2)) {
        any_add(line, "--drone");
        any_add(line, "%s", ways[draw]);
        if (draw == 2)
            any_of(line, "restrike", "0.5s|60s|8s|1500ms");
        if (draw != 3)
            any_patch(line, "patch", draw == 2);
    } else {
        any_patch(line, "patch", false);
    }
}

static inline void any_tempo(struct any_line *line)
{
    if (line->tempo)
        return;
    line->tempo = true;
    any_add(line, "--tempo");
    any_add(line, "%u", 30 + any_below(line, 200));
}

/* How long: --rounds or --for, --every, --lead-in. `least_s` is the shortest cue. */
static inline void any_lengths(struct any_line *line, double least_s, bool may_wait)
{
    bool breathes = may_wait && any_below(line, 6) == 0, waits = false;
    line->beats = any_below(line, 4) == 0;
    if (breathes) {
        any_add(line, "--breathe");
        any_add(line, line->beats ? "12beats..8beats" : "9.5s..1s");
    } else if (may_wait && line->plays && any_below(line, 6) == 0) {
        waits = true;
        any_add(line, "--every");
        any_add(line, "wait");
    } else if (line->beats && least_s < 2) {
        any_add(line, "--every");
        any_add(line, "%ubeats", 4 + any_below(line, 12));
    } else if (any_below(line, 4)) {
        double most_s = any_below(line, 30) ? 12 : 240;
        any_add(line, "--every");
        any_add(line, "%.3gs", least_s + most_s * (double)hf_random_unit(&line->random));
    }
    if (line->beats && !waits && (breathes || least_s < 2))
        any_tempo(line);
    any_of(line, "lead-in", "0|1s|250ms|0.1m|10s");
    line->timed = breathes || waits;
}

static inline void any_end(struct any_line *line, bool rounds)
{
    if (!line->timed && any_below(line, 4) == 0) {
        any_add(line, "--for");
        any_add(line, "%um", 20 + any_below(line, 10));
    }
    if (rounds || line->timed)
        any_of(line, "rounds", "1|2|3");
    if (line->plays)
        any_of(line, "break-every", "off|1s|25m|24h");
    if (line->beats && any_below(line, 2)) {
        any_tempo(line);
        any_add(line, "--tick");
        any_add(line, "on");
        any_of(line, "meter", "0|1|4|12");
    }
}

/* A held set, and a class added, that leave a completion. */
static inline void any_sets(struct any_line *line, bool triad)
{
    static const char *const triads[] = {"C E G#",  "048",    "D3 F#3 A#3",
                                         "{1,5,9}", "B Eb G", "E2 G#2 C3"};
    struct hf_completion found[HF_COMPLETIONS_MOST];
    if (any_below(line, 3) == 0)
        return;
    any_add(line, "--held");
    if (triad || any_below(line, 2)) {
        unsigned draw = any_below(line, 6);
        any_add(line, "%s", triads[draw]);
        line->placed = draw == 2 || draw == 5;
        return;
    }
    for (;;) {
        hf_pcset held = 0;
        char text[ANY_WORD] = "";
        for (unsigned i = 0, size = 1 + any_below(line, 6); i < size; i++)
            held = (hf_pcset)(held | 1u << any_below(line, HF_PCS));
        if (hf_pairing_complete(held, hf_setclass_find(3, 5), found) == 0)
            continue;
        for (int pc = 0; pc < HF_PCS; pc++)
            if (held >> pc & 1)
                snprintf(text + strlen(text), sizeof text - strlen(text), "%d ", pc);
        any_add(line, "%s", text);
        return;
    }
}

static inline void any_improvise(struct any_line *line)
{
    bool fades = any_below(line, 5) == 0, unfolds = any_below(line, 5) == 0;
    bool reverse = !fades && !unfolds && any_below(line, 8) == 0;
    bool triad = unfolds || any_below(line, 2);
    any_lengths(line, reverse ? 0.5 : 0.1, !unfolds); /* notes that are held take time to change */
    any_drone(line, fades);
    any_of(line, "voicing", "any|close");
    any_of(line, "register", "above|through|all|C3:C6|E2:G7");
    if (reverse) {
        any_add(line, "--cue");
        any_add(line, "reverse");
    } else {
        any_of(line, "cue", unfolds ? "lead|confirm|ear|gap" : "lead|confirm|silent|ear|gap");
        any_of(line, "order",
               triad ? "shuffle|near|far|ring|listed|grip" : "shuffle|near|far|listed");
        any_sets(line, triad);
        if (triad)
            any_of(line, "tuning", "equal|pure");
        any_of(line, "spread", line->placed ? "close" : "close|wide");
    }
    if (fades) {
        any_add(line, "--support");
        any_add(line, "fading");
    }
    if (unfolds) {
        any_of(line, "step", "1s|8s|2.5s");
        any_add(line, "--unfold");
        any_add(line, "%s",
                any_below(line, 2)   ? "all"
                : any_below(line, 2) ? "tetrachords"
                                     : "3-5");
        if (any_below(line, 2))
            any_add(line, "--keep-registers");
    }
    any_end(line, true);
}

static inline void any_ear(struct any_line *line)
{
    any_lengths(line, 0.1, true);
    any_drone(line, true);
    any_of(line, "level", "1|2|3|4|5|6|1+|2+|3+|4+|5+|6+");
    any_of(line, "tuning", "equal|pure");
    if (any_below(line, 3) == 0)
        any_add(line, "--near-miss");
    any_end(line, true);
}

static inline void any_sight(struct any_line *line)
{
    any_lengths(line, 0.1, true);
    if (any_below(line, 3) == 0) {
        any_add(line, "--view");
        any_add(line, "frame");
        any_of(line, "hand", "guitar");
    } else {
        any_of(line, "view", "letters");
    }
    any_end(line, true);
}

static inline void any_warmup(struct any_line *line)
{
    any_lengths(line, 6, false);
    any_drone(line, true);
    any_of(line, "cue", "lead|confirm|silent");
    if (any_below(line, 2))
        any_of(line, "kind", "1|2");
    else
        any_of(line, "day", "1970-01-01|2026-11-25|2028-02-29|9999-12-31");
    any_sets(line, true);
    any_of(line, "tuning", "equal|pure");
    any_end(line, true);
}

static inline void any_choosing(struct any_line *line, bool hunts)
{
    any_drone(line, true);
    any_of(line, "cue", hunts ? "lead|silent" : "lead|confirm|silent");
    any_of(line, "voicing", "any|close");
    any_of(line, "register", "above|through|all|C3:C6");
    any_sets(line, true);
    any_of(line, "tuning", "equal|pure");
    any_of(line, "for", "1m|20s|1h");
    any_of(line, "break-every", "off|1s|25m");
}

/* The whole of a command line that works: dry, with its record in `journal`. */
static inline void any_line(struct any_line *line, uint64_t seed, const char *journal)
{
    static const char *const practices[] = {"improvise", "ear", "sight", "warmup", "roam", "hunt"};
    memset(line, 0, sizeof *line);
    hf_random_init(&line->random, seed, 1);
    unsigned practice = any_below(line, 12);
    practice = practice < 6 ? practice : 0;
    line->plays = practice == 2 || practice > 3 || any_below(line, 2);
    any_add(line, line->plays ? "play" : "render");
    any_add(line, "--dry-run");
    if (practice > 0 || any_below(line, 2))
        any_add(line, "%s", practices[practice]);
    any_add(line, "--journal");
    any_add(line, "%s", journal);
    any_common(line);
    switch (practice) {
    case 0:
        any_improvise(line);
        break;
    case 1:
        any_ear(line);
        break;
    case 2:
        any_sight(line);
        break;
    case 3:
        any_warmup(line);
        break;
    default:
        any_choosing(line, practice == 5);
    }
    for (int i = 0; i < line->count; i++)
        if (strcmp(line->word[i], "silent") == 0)
            return;
    any_patch(line, "cue-patch", true);
}

#endif
