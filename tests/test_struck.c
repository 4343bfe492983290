/* SPDX-License-Identifier: MIT */
/* Plucked and struck notes: pitch, decay and level against the formulas of the law. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/sine.h>
#include <holdfast/struck.h>

#include "measure/measure.h"
#include "measure/notes.h"

static struct hf_struck struck;

static void start(const struct hf_patch *patch, int midi)
{
    hf_struck_init(&struck, patch, midi, 0, 440000, 48000, 0.5);
}

/* Limits of the specification: fundamental 0.01 cent, weighted over the partials 0.1. */
static void every_struck_tone_is_in_tune(void **state)
{
    (void)state;
    for (int i = 0; notes_strucks[i]; i++) {
        struct hf_patch patch = notes_patch(notes_strucks[i]);
        for (int midi = 40; midi <= 88; midi += 8) {
            double weighted, cents = notes_struck_cents(&patch, midi, &weighted);
            assert_true(fabs(cents) <= 0.01);
            assert_true(fabs(weighted) <= 0.1);
        }
    }
}

/* Limit of the specification: -110 dB. */
static void nothing_sounds_but_the_partials(void **state)
{
    (void)state;
    for (int i = 0; notes_strucks[i]; i++) {
        struct hf_patch patch = notes_patch(notes_strucks[i]);
        for (int midi = 52; midi <= 88; midi += 12) {
            struct notes_residue residue = notes_struck_residue(&patch, midi, 48000);
            assert_true(residue.between_db <= -110);
            assert_true(residue.above_db <= -110);
        }
    }
}

/* derived: a e^(-sigma t), sigma by the law (tested with the patch); fundamental and third partial
 * over a second. */
static void partials_die_away_as_the_law_says(void **state)
{
    (void)state;
    enum { W = 4800, LATER = 48000 };
    struct hf_patch patch = notes_patch("plucked-steel");
    float *x = notes_struck(&patch, 52, 48000, LATER + 3 * W);
    double f0 = measure_note_hz(52, 440);
    for (int n = 0; n < 3; n += 2) {
        double hz = f0 * (n + 1);
        double early = measure_tone(x + W, W, 48000, hz).amplitude;
        double late = measure_tone(x + W + LATER, W, 48000, hz).amplitude;
        double expected = -8.685889638 * hf_patch_damping(&patch, n, f0, hz);
        assert_true(fabs(measure_db(late / early) - expected) < 0.01);
    }
    free(x);
}

/* derived: raised cosine over 2 ms: half at 1 ms; the note before it is what a note without attack
 * would be. */
static void the_attack_is_a_raised_cosine(void **state)
{
    (void)state;
    struct hf_patch patch = notes_patch("plucked-nylon"), sharp = patch;
    sharp.attack_ms = 0;
    float soft[2][HF_CHUNK], hard[2][HF_CHUNK];
    start(&patch, 52);
    hf_struck_render(&struck, 0, soft[0]);
    hf_struck_render(&struck, 0, soft[1]);
    start(&sharp, 52);
    hf_struck_render(&struck, 0, hard[0]);
    hf_struck_render(&struck, 0, hard[1]);
    for (int i = 0; i < 2 * HF_CHUNK; i++) {
        double rise = i < 96 ? (1 - cos(acos(-1) * i / 96)) / 2 : 1;
        double expected = rise * (double)hard[i / HF_CHUNK][i % HF_CHUNK];
        assert_true(fabs((double)soft[i / HF_CHUNK][i % HF_CHUNK] - expected) < 1e-7);
    }
    assert_true(soft[0][0] == 0);
}

/* A note that begins within a chunk is the note that begins with one, later. */
static void a_note_may_begin_at_any_sample(void **state)
{
    (void)state;
    enum { N = 20 * HF_CHUNK };
    struct hf_patch patch = notes_patch("struck-bar");
    float reference[N], out[N];
    start(&patch, 76);
    for (int at = 0; at < N; at += HF_CHUNK)
        hf_struck_render(&struck, 0, reference + at);
    for (int from = 1; from < HF_CHUNK; from += 9) {
        start(&patch, 76);
        for (int at = 0; at < N; at += HF_CHUNK)
            hf_struck_render(&struck, at ? 0 : from, out + at);
        for (int i = 0; i < from; i++)
            assert_true(out[i] == 0);
        for (int i = from; i < N; i++)
            assert_true(fabs((double)out[i] - (double)reference[i - from]) < 1e-6);
    }
}

/* derived: 1 - raised cosine over 200 ms from the sample asked for, then silence for good. */
static void a_damped_note_is_gone_after_200_ms(void **state)
{
    (void)state;
    enum { AT = 9600 + 17, N = AT + 9600 + 4 * HF_CHUNK };
    struct hf_patch patch = notes_patch("plucked-nylon");
    float *whole = notes_struck(&patch, 52, 48000, N), *out = calloc(N + HF_CHUNK, sizeof *out);
    start(&patch, 52);
    for (int at = 0; at < N; at += HF_CHUNK) {
        if (at <= AT && AT < at + HF_CHUNK) {
            hf_struck_damp(&struck, AT - at);
            hf_struck_damp(&struck, 0); /* a second call changes nothing */
        }
        hf_struck_render(&struck, 0, out + at);
        assert_true(hf_struck_silent(&struck) == (at + HF_CHUNK >= AT + 9600));
    }
    double scale = measure_rms(out, AT) / measure_rms(whole, AT);
    for (int i = 0; i < N; i++) {
        double t = i < AT ? 0 : i < AT + 9600 ? (i - AT) / 9600.0 : 1;
        double expected = (double)whole[i] * scale * (1 + cos(acos(-1) * t)) / 2;
        assert_true(fabs((double)out[i] - expected) < 1e-6);
    }
    for (int i = AT + 9600; i < N; i++)
        assert_true(out[i] == 0);
    free(whole), free(out);
}

/* Damping asked for before the note's first sample begins with the note. */
static void damping_may_be_asked_for_before_the_note(void **state)
{
    (void)state;
    struct hf_patch patch = notes_patch("plucked-nylon");
    float early[HF_CHUNK], later[HF_CHUNK];
    start(&patch, 52);
    hf_struck_damp(&struck, 3);
    hf_struck_render(&struck, 20, early);
    start(&patch, 52);
    hf_struck_damp(&struck, 20);
    hf_struck_render(&struck, 20, later);
    assert_memory_equal(early, later, sizeof early);
}

/* Left alone, it becomes silent when it has fallen below -120 dB, and then costs nothing. */
static void a_note_dies_away_to_silence(void **state)
{
    (void)state;
    for (int i = 0; notes_strucks[i]; i++) {
        struct hf_patch patch = notes_patch(notes_strucks[i]);
        float out[HF_CHUNK];
        double seconds = 0, last = 1;
        start(&patch, 60);
        while (!hf_struck_silent(&struck)) {
            hf_struck_render(&struck, 0, out);
            last = measure_peak(out, HF_CHUNK);
            seconds += HF_CHUNK / 48000.0;
            assert_true(seconds < 60);
        }
        assert_true(last < 2e-6 && seconds > 1);
        hf_struck_render(&struck, 0, out);
        assert_true(measure_peak(out, HF_CHUNK) == 0);
    }
}

static void a_note_over_the_limits_is_silent_at_once(void **state)
{
    (void)state;
    struct hf_patch patch = notes_patch("plucked-nylon");
    hf_struck_init(&struck, &patch, 120, 0, 440000, 8000, 1);
    assert_true(hf_struck_silent(&struck));
}

static void every_width_renders_the_same_bits(void **state)
{
    (void)state;
    for (int i = 0; notes_strucks[i]; i++) {
        struct hf_patch patch = notes_patch(notes_strucks[i]);
        float *plain = NULL;
        for (const struct hf_vector *const *v = hf_vector_all(); *v; v++) {
            if (!hf_vector_runs(*v))
                continue;
            hf_vector_use(*v);
            float *x = notes_struck(&patch, 71, 44100, 6400);
            hf_vector_use(NULL);
            if (plain)
                assert_memory_equal(x, plain, 6400 * sizeof *x);
            else
                plain = x;
            if (x != plain)
                free(x);
        }
        free(plain);
    }
}

/* Every number of the patch at the ends of its range. */
static void a_patch_at_its_limits_stays_finite(void **state)
{
    (void)state;
    static const long rates[] = {8000, 44100, 192000};
    static const double ends[2][8] = {{0, 0.05, 0.001, 20, -2, 0, 0.01, 0.5},
                                      {0.01, 60, 4, 8000, 2, 100, 0.5, 200}};
    for (int bits = 0; bits < 256; bits += 3) {
        struct hf_patch patch = {.kind = HF_PATCH_STRUCK, .count = 64, .copies = 1};
#define END(k) ends[bits >> (k)&1][k]
        for (int n = 0; n < 64; n++)
            patch.ratio[n] = n + 1, patch.t60_scale[n] = END(2);
        patch.stiffness = END(0), patch.t60_s = END(1), patch.t60_at_hz = END(3);
        patch.t60_exponent = END(4), patch.damping_per_s = END(5), patch.pluck_position = END(6);
        patch.attack_ms = END(7);
#undef END
        for (int r = 0; r < 3; r++) {
            for (int midi = 0; midi < 128; midi += 127) {
                float out[HF_CHUNK];
                hf_struck_init(&struck, &patch, midi, 0, 380000, rates[r], 4.0);
                for (int k = 0; k < 40; k++) {
                    hf_struck_render(&struck, k ? 0 : 63, out);
                    for (int i = 0; i < HF_CHUNK; i++)
                        assert_true(fabsf(out[i]) < 100);
                }
            }
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_struck_tone_is_in_tune),
        cmocka_unit_test(nothing_sounds_but_the_partials),
        cmocka_unit_test(partials_die_away_as_the_law_says),
        cmocka_unit_test(the_attack_is_a_raised_cosine),
        cmocka_unit_test(a_note_may_begin_at_any_sample),
        cmocka_unit_test(a_damped_note_is_gone_after_200_ms),
        cmocka_unit_test(damping_may_be_asked_for_before_the_note),
        cmocka_unit_test(a_note_dies_away_to_silence),
        cmocka_unit_test(a_note_over_the_limits_is_silent_at_once),
        cmocka_unit_test(every_width_renders_the_same_bits),
        cmocka_unit_test(a_patch_at_its_limits_stays_finite),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
