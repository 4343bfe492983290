/* SPDX-License-Identifier: MIT */
/* Held and struck notes, chord by chord, patch by patch; rows hold the worst of all patches. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "measure.h"
#include "notes.h"
#include "rows.h"

static void drone_pitch(struct rows *rows)
{
    double single = 0, triple = 0, instant = 0;
    for (int i = 0; notes_drones[i]; i++) {
        struct hf_patch patch = notes_patch(notes_drones[i]);
        for (int midi = 48; midi <= 56; midi += 4) {
            double worst, cents = fabs(notes_drone_cents(&patch, midi, 60, &worst));
            double *of = patch.copies == 3 ? &triple : &single;
            *of = fmax(*of, cents);
            instant = fmax(instant, worst);
        }
    }
    rows_add(rows, "drone pitch", "phase slope over 60 s, one copy", -HUGE_VAL, single, 0.01,
             "cent");
    rows_add(rows, "drone pitch", "the same, three copies", -HUGE_VAL, triple, 0.1, "cent");
    rows_add(rows, "drone pitch", "at any instant, 0.5 s windows", -HUGE_VAL, instant, 1, "cent");
}

static void struck_pitch(struct rows *rows, int step)
{
    double first = 0, all = 0;
    for (int i = 0; notes_strucks[i]; i++) {
        struct hf_patch patch = notes_patch(notes_strucks[i]);
        for (int midi = 40; midi <= 88; midi += step) {
            double weighted, cents = fabs(notes_struck_cents(&patch, midi, &weighted));
            first = fmax(first, cents);
            all = fmax(all, fabs(weighted));
        }
    }
    rows_add(rows, "pluck pitch", "0.15-1.4 s, E2-E6, fundamental", -HUGE_VAL, first, 0.01, "cent");
    rows_add(rows, "pluck pitch", "weighted over the partials", -HUGE_VAL, all, 0.1, "cent");
}

static void aliases(struct rows *rows)
{
    static const long rates[] = {16000, 44100, 48000, 96000};
    double between = -HUGE_VAL, above = -HUGE_VAL;
    for (int i = 0; notes_drones[i]; i++) {
        struct hf_patch patch = notes_patch(notes_drones[i]);
        struct notes_residue r = notes_drone_residue(&patch, 48 + 4 * (i % 3), rates[i % 4]);
        between = fmax(between, r.between_db);
        above = fmax(above, r.above_db);
    }
    for (int i = 0; notes_strucks[i]; i++) {
        struct hf_patch patch = notes_patch(notes_strucks[i]);
        for (int midi = 52; midi <= 88; midi += 12) {
            struct notes_residue r = notes_struck_residue(&patch, midi, rates[i % 4]);
            between = fmax(between, r.between_db);
            above = fmax(above, r.above_db);
        }
    }
    rows_add(rows, "aliases", "power over 8 kHz or 0.45 of the rate", -HUGE_VAL, above, -110, "dB");
    rows_add(rows, "aliases", "power between the partials, breath off", -HUGE_VAL, between, -110,
             "dB");
}

static void character(struct rows *rows)
{
    static const int triad[3] = {48, 52, 56};
    struct notes_character worst = {0, -HUGE_VAL, 0, 0};
    for (int i = 0; notes_drones[i]; i++) {
        struct hf_patch patch = notes_patch(notes_drones[i]);
        struct notes_character c = notes_character(&patch, triad, 3);
        worst.roughness = fmax(worst.roughness, c.roughness);
        worst.middle_db = fmax(worst.middle_db, c.middle_db);
        worst.crest_db = fmax(worst.crest_db, c.crest_db);
    }
    rows_add(rows, "roughness", "Sethares, close triad, roughest patch", -HUGE_VAL, worst.roughness,
             3.0, "");
    rows_add(rows, "power in 2-5 kHz", "close triad, brightest patch", -HUGE_VAL, worst.middle_db,
             -25, "dB");
    rows_add(rows, "crest", "close triad, most peaked patch", -HUGE_VAL, worst.crest_db, 14, "dB");
}

static void loudness(struct rows *rows)
{
    static const int elsewhere[][3] = {{40, 44, 48}, {45, 53, 61}, {55, 59, 63}, {60, 64, 68}};
    static const int at_c3[3] = {48, 52, 56};
    const long n = 60 * 48000;
    double home = 0, away = 0, added = 0;
    for (int i = 0; notes_drones[i]; i++) {
        struct hf_patch patch = notes_patch(notes_drones[i]);
        for (int wet = 0; wet < 2; wet++) {
            float *x = notes_chord(&patch, at_c3, 3, 48000, n, 7, wet);
            home = fmax(home, fabs(notes_lufs(x, n, 48000) + 26));
            free(x);
        }
        float *x = notes_chord(&patch, elsewhere[i % 4], 3, 48000, n, 3, true);
        away = fmax(away, fabs(notes_lufs(x, n, 48000) + 26));
        free(x);
    }
    for (int i = 0; notes_strucks[i]; i++) {
        struct hf_patch patch = notes_patch(notes_strucks[i]);
        for (int midi = 40; midi <= 88; midi += 6) {
            float *x = notes_struck(&patch, midi, 48000, 48000);
            added = fmax(added, fabs(notes_momentary_lufs(x, 48000, 48000) + 23.77));
            free(x);
        }
    }
    rows_add(rows, "loudness", "libebur128, 60 s, C3 E3 G#3, dry and in the room: off -26 LUFS",
             -HUGE_VAL, home, 0.5, "LU");
    rows_add(rows, "loudness", "the same elsewhere, E2 to G#4", -HUGE_VAL, away, 1, "LU");
    rows_add(rows, "loudness", "added notes, momentary, E2-E6: off -23.77 LUFS", -HUGE_VAL, added,
             0.5, "LU");
}

/* A minute of the default drone from a time on: loudness, and pitch of the lowest note. */
static double minute_lufs(long from_s, double *cents)
{
    enum { N = 60 * 48000 };
    static const int triad[3] = {48, 52, 56};
    struct hf_patch patch = notes_patch("stopped-pipe");
    float *x = notes_chord_from(&patch, triad, 3, 48000, from_s * 48000, N, 7, false);
    double lufs = notes_lufs(x, N, 48000);
    for (long i = 0; i < N; i++)
        x[i] = x[2 * i] + x[2 * i + 1];
    *cents = measure_cents(x, N, 48000, measure_note_hz(48, 440), 0.5, NULL);
    free(x);
    return lufs;
}

static void an_hour(struct rows *rows)
{
    double first_cents, last_cents;
    double first = minute_lufs(0, &first_cents), last = minute_lufs(59 * 60, &last_cents);
    rows_add(rows, "an hour", "default drone, last minute against first: loudness", -HUGE_VAL,
             fabs(last - first), 0.05, "LU");
    rows_add(rows, "an hour", "the same: pitch", -HUGE_VAL, fabs(last_cents - first_cents), 0.01,
             "cent");
}

void rows_notes(struct rows *rows, int thorough)
{
    drone_pitch(rows);
    struck_pitch(rows, thorough ? 1 : 4);
    aliases(rows);
    character(rows);
    loudness(rows);
    an_hour(rows);
}
