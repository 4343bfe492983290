/* SPDX-License-Identifier: MIT */
/* The computed loudness against libebur128 (EBU R 128), the weighting against the standard's
 * coefficients by complex arithmetic, roughness against its published check value. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include <math.h>
#include <stdlib.h>

#include <holdfast/loudness.h>
#include <holdfast/sine.h>

#include "measure/measure.h"
#include "measure/notes.h"

/* published: ITU-R BS.1770-5, annex 1: coefficients at 48 kHz. */
static void the_weighting_is_that_of_the_standard(void **state)
{
    (void)state;
    for (double hz = 10; hz < 20000; hz *= 1.01)
        assert_true(fabs(hf_loudness_weight(hz) / measure_k_weight(hz) - 1) < 1e-8);
}

/* published: EBU Tech 3341, signal 1: a stereo sine of 1 kHz at -23 dBFS reads -23.0 LUFS: so the
 * weighting at 1 kHz cancels the offset of -0.691 (to 0.1 LU there; 0.02 here). */
static void a_kilohertz_reads_as_the_standard_says(void **state)
{
    (void)state;
    assert_true(fabs(measure_db(hf_loudness_weight(1000)) - 0.691) < 0.02);
}

/* Limits of the specification: -26 +-0.5 LUFS at C3, +-1 elsewhere; with the room and without. */
static void every_drone_comes_out_at_its_level(void **state)
{
    (void)state;
    static const int chords[][3] = {
        {48, 52, 56}, {48, 56, 64}, {40, 44, 48}, {55, 59, 63}, {60, 64, 68}};
    enum { N = 20 * 48000 };
    for (int i = 0; notes_drones[i]; i++) {
        struct hf_patch patch = notes_patch(notes_drones[i]);
        for (size_t c = 0; c < sizeof chords / sizeof *chords; c++) {
            float *x = notes_chord(&patch, chords[c], 3, 48000, N, 7 + c, c % 2);
            assert_true(fabs(notes_lufs(x, N, 48000) + 26) <= (c == 0 ? 0.5 : 1.0));
            free(x);
        }
    }
}

static void any_number_of_held_notes_is_as_loud(void **state)
{
    (void)state;
    static const int notes[] = {48, 53, 58, 63, 55, 50};
    enum { N = 20 * 48000 };
    struct hf_patch patch = notes_patch("open-pipe");
    for (int count = 1; count <= 6; count++) {
        float *x = notes_chord(&patch, notes, count, 48000, N, 2, false);
        assert_true(fabs(notes_lufs(x, N, 48000) + 26) <= 0.5);
        free(x);
    }
}

/* derived: the share of one of three notes is 10 log10 3 under -26; an added note is 7 dB over it.
 */
static void every_struck_note_comes_out_at_its_level(void **state)
{
    (void)state;
    enum { N = 2 * 48000 };
    assert_true(fabs(HF_LOUDNESS_ADDED_LUFS - (-26 - 10 * log10(3) + 7)) < 0.01);
    for (int i = 0; notes_strucks[i]; i++) {
        struct hf_patch patch = notes_patch(notes_strucks[i]);
        for (int midi = 40; midi <= 88; midi += 4) {
            float *x = notes_struck(&patch, midi, 48000, N);
            assert_true(fabs(notes_momentary_lufs(x, N, 48000) - HF_LOUDNESS_ADDED_LUFS) <= 0.3);
            free(x);
        }
    }
}

/* The same loudness at other rates, where libebur128 has its own coefficients. */
static void the_level_holds_at_every_rate(void **state)
{
    (void)state;
    static const long rates[] = {11025, 16000, 44100, 96000, 192000};
    static const int chord[] = {48, 52, 56};
    struct hf_patch patch = notes_patch("reed");
    for (size_t r = 0; r < sizeof rates / sizeof *rates; r++) {
        long n = rates[r] * 15;
        float *x = notes_chord(&patch, chord, 3, rates[r], n, 1, false);
        assert_true(fabs(notes_lufs(x, n, rates[r]) + 26) <= 0.5);
        free(x);
    }
}

/* published: Sethares 1993; 440 Hz against A#4, equal amplitudes of 1: 0.898681 (with the constants
 * 0.24, 0.0207, 18.96, -3.51, -5.75, 5). */
static void roughness_meets_its_check_value(void **state)
{
    (void)state;
    double hz[2] = {440, 440 * pow(2, 1.0 / 12)}, a[2] = {1, 1};
    assert_true(fabs(hf_loudness_roughness(hz, a, 2) - 0.898681) < 1e-6);
    assert_true(fabs(measure_roughness(hz, a, 2) - 0.898681) < 1e-6);
    assert_true(hf_loudness_roughness(hz, a, 1) == 0);
}

/* What is said of a patch is what is found in its sound by FFTW; limits of the specification for
 * roughness (3.0), 2 to 5 kHz (-25 dB) and crest (14 dB). */
static void a_patch_is_what_is_said_of_it(void **state)
{
    (void)state;
    static const int chord[] = {48, 52, 56};
    for (int i = 0; notes_drones[i]; i++) {
        struct hf_patch patch = notes_patch(notes_drones[i]);
        struct notes_character found = notes_character(&patch, chord, 3);
        struct hf_loudness_portrait said;
        hf_loudness_describe(&patch, chord, 3, 440000, 48000, &said);
        assert_true(found.roughness <= 3.0 && found.middle_db <= -25 && found.crest_db <= 14);
        assert_true(fabs(said.roughness - found.roughness) < 0.15);
        assert_true(fabs(said.centroid_hz - found.centroid_hz) < 8);
        assert_true(fabs(said.lufs + 26) < 1e-6);
        if (said.share_2k_5k > 1e-5)
            assert_true(fabs(10 * log10(said.share_2k_5k) - found.middle_db) < 1.5);
    }
}

static void what_has_nothing_to_hear_gets_no_gain(void **state)
{
    (void)state;
    int high = 127;
    struct hf_patch drone = notes_patch("reed"), struck = notes_patch("plucked-nylon");
    struct hf_loudness_portrait said;
    assert_true(hf_loudness_drone_gain(&drone, &high, 1, 440000, 8000) == 0);
    assert_true(hf_loudness_struck_gain(&struck, high, 440000, 8000, -23) == 0);
    hf_loudness_describe(&drone, &high, 1, 440000, 8000, &said);
    assert_true(said.lufs == HF_LOUDNESS_SILENCE_LUFS && said.roughness == 0);
}

/* A note of 8 Hz would need a gain of thousands; the most is 12 dB. */
static void no_gain_is_larger_than_12_db(void **state)
{
    (void)state;
    int low = 0;
    struct hf_patch drone = notes_patch("soft-sine");
    assert_true(hf_loudness_drone_gain(&drone, &low, 1, 440000, 48000) <= 4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_weighting_is_that_of_the_standard),
        cmocka_unit_test(a_kilohertz_reads_as_the_standard_says),
        cmocka_unit_test(every_drone_comes_out_at_its_level),
        cmocka_unit_test(any_number_of_held_notes_is_as_loud),
        cmocka_unit_test(every_struck_note_comes_out_at_its_level),
        cmocka_unit_test(the_level_holds_at_every_rate),
        cmocka_unit_test(roughness_meets_its_check_value),
        cmocka_unit_test(a_patch_is_what_is_said_of_it),
        cmocka_unit_test(what_has_nothing_to_hear_gets_no_gain),
        cmocka_unit_test(no_gain_is_larger_than_12_db),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
