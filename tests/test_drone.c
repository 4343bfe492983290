/* SPDX-License-Identifier: MIT */
/* Held notes, measured as a listener would: pitch by phase, partials by spectrum. Shorter than
 * `make measure`, with the same limits. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/drone.h>
#include <holdfast/sine.h>

#include "measure/measure.h"
#include "measure/notes.h"

static struct hf_drone drone;

static void start(const struct hf_patch *patch, int midi, uint64_t seed, int index)
{
    hf_drone_init(&drone, patch, midi, 0, 440000, 48000, seed, index, 1.0);
}

/* Limits of the specification: 0.01 cent over all, 1 cent at any instant. */
static void no_patch_leaves_its_pitch(void **state)
{
    (void)state;
    for (int i = 0; notes_drones[i]; i++) {
        struct hf_patch patch = notes_patch(notes_drones[i]);
        double worst, cents = notes_drone_cents(&patch, 48, 20, &worst);
        assert_true(fabs(cents) <= 0.01);
        assert_true(worst <= 1);
    }
}

/* Limit of the specification: -110 dB. */
static void nothing_sounds_but_the_partials(void **state)
{
    (void)state;
    for (int i = 0; notes_drones[i]; i++) {
        struct hf_patch patch = notes_patch(notes_drones[i]);
        struct notes_residue residue = notes_drone_residue(&patch, 48 + 4 * (i % 3), 48000);
        assert_true(residue.between_db <= -110);
        assert_true(residue.above_db <= -110);
    }
}

/* derived: amplitudes of hf_patch_spectrum (tested by itself), found in the sound within the drift.
 */
static void every_partial_is_there_at_its_level(void **state)
{
    (void)state;
    enum { N = 1 << 19 };
    struct hf_patch patch = notes_patch("open-pipe");
    double a[HF_PATCH_PARTIALS_MOST], hz[HF_PATCH_PARTIALS_MOST];
    double *power = malloc((N / 2 + 1) * sizeof *power);
    float *x = notes_drone(&patch, 52, 48000, N, 3);
    measure_power_spectrum(x, N, power);
    hf_patch_spectrum(&patch, measure_note_hz(52, 440), 48000, hz, a);
    for (int n = 0; n < patch.count; n++) {
        double found = sqrt(2 * measure_band(power, N, 48000, hz[n] - 2, hz[n] + 2));
        assert_true(fabs(measure_db(found / a[n])) < 0.8);
    }
    free(power);
    free(x);
}

/* The level drifts by the depth that the patch asks for, no more: 2.5 dB for glass. */
static void a_level_drifts_no_further_than_asked(void **state)
{
    (void)state;
    enum { N = 60 * 48000, W = 4800 };
    struct hf_patch patch = notes_patch("glass");
    float *x = notes_drone(&patch, 48, 48000, N, 11);
    double hz = measure_note_hz(48, 440), least = 1e9, most = 0;
    for (long at = 0; at + W <= N; at += W) {
        double a = measure_tone(x + at, W, 48000, hz).amplitude;
        least = fmin(least, a);
        most = fmax(most, a);
    }
    double depth = pow(10, 2.5 / 20) - 1;
    assert_true(measure_db(most / least) <= measure_db((1 + depth) / (1 - depth)));
    assert_true(measure_db(most / least) > 2.5);
    free(x);
}

/* derived: breath is asked for at -44 dB against the note (flute), from 400 to 3000 Hz. */
static void breath_has_the_level_that_is_asked(void **state)
{
    (void)state;
    enum { N = 10 * 48000 };
    struct hf_patch patch = notes_patch("flute"), dry = patch;
    dry.breath = false;
    float *with = notes_drone(&patch, 48, 48000, N, 5),
          *without = notes_drone(&dry, 48, 48000, N, 5);
    for (long i = 0; i < N; i++)
        with[i] -= without[i];
    assert_true(fabs(measure_db(measure_rms(with, N) / 0.1) + 44) < 0.3);
    double *power = malloc((N / 2 + 1) * sizeof *power);
    measure_power_spectrum(with, N, power);
    double dense = measure_band(power, N, 48000, 800, 1000) / 200;
    assert_true(measure_band(power, N, 48000, 60, 100) / 40 < dense / 4);
    assert_true(measure_band(power, N, 48000, 8000, 9000) / 1000 < dense / 4);
    free(power), free(with), free(without);
}

/* derived: a partial and its copies d hertz above and below, start phases p(-) = 2 p(0) - p(+):
 * three separate sines in double. */
static void three_copies_are_the_sum_of_three_sines(void **state)
{
    (void)state;
    struct hf_patch patch = {.kind = HF_PATCH_DRONE,
                             .count = 1,
                             .ratio = {1},
                             .copies = 3,
                             .detune_hz = 0.25,
                             .side_gain = 0.2};
    float out[HF_CHUNK];
    start(&patch, 48, 9, 0);
    double phase = drone.start[0] * 0x1p-32, beat = drone.control[0].beat * 0x1p-32 - 0.25;
    double hz = drone.partial[0].step * 0x1p-32 * 48000;
    double detune = drone.beat_step * 0x1p-32 * 48000 / HF_CHUNK;
    for (int64_t at = 0; at < 48000 * 8; at += HF_CHUNK) {
        hf_drone_render(&drone, at, out);
        for (int i = 0; i < HF_CHUNK; i++) {
            double t = (double)(at + i) / 48000, turn = 2 * acos(-1);
            double middle = sin(turn * fmod(phase + hz * t, 1));
            double up = sin(turn * fmod(phase + beat + (hz + detune) * t, 1));
            double down = sin(turn * fmod(phase - beat + (hz - detune) * t, 1));
            double sum = sqrt(0.02) * (middle + 0.2 * (up + down));
            assert_true(fabs((double)out[i] - sum) < 1e-6);
        }
    }
}

static void the_same_seed_gives_the_same_note_and_another_another(void **state)
{
    (void)state;
    struct hf_patch patch = notes_patch("flute");
    float first[HF_CHUNK], again[HF_CHUNK], other[HF_CHUNK], next[HF_CHUNK];
    start(&patch, 48, UINT64_MAX, 0);
    hf_drone_render(&drone, 0, first);
    start(&patch, 48, UINT64_MAX, 0);
    hf_drone_render(&drone, 0, again);
    start(&patch, 48, 0, 0);
    hf_drone_render(&drone, 0, other);
    start(&patch, 48, UINT64_MAX, 1);
    hf_drone_render(&drone, 0, next);
    assert_memory_equal(first, again, sizeof first);
    assert_memory_not_equal(first, other, sizeof first);
    assert_memory_not_equal(first, next, sizeof first);
}

/* Partials are a function of the session's clock: a chunk does not depend on those before it. */
static void a_chunk_depends_on_its_time_alone(void **state)
{
    (void)state;
    struct hf_patch patch = notes_patch("reed");
    float run[HF_CHUNK], jumped[HF_CHUNK];
    start(&patch, 48, 4, 0);
    for (int64_t at = 0; at < 5000 * HF_CHUNK; at += HF_CHUNK)
        hf_drone_render(&drone, at, run);
    start(&patch, 48, 4, 0);
    hf_drone_render(&drone, 4999 * HF_CHUNK, jumped);
    assert_memory_equal(run, jumped, sizeof run);
}

/* 400 days on at 48 kHz, where a float clock would have lost its seconds. */
static void a_year_later_it_is_still_in_tune(void **state)
{
    (void)state;
    enum { N = 2 * 48000 };
    struct hf_patch patch = notes_patch("stopped-pipe");
    int64_t later = INT64_C(400) * 86400 * 48000;
    float *x = malloc((N + HF_CHUNK) * sizeof *x);
    start(&patch, 48, 4, 0);
    for (int64_t at = 0; at < N; at += HF_CHUNK)
        hf_drone_render(&drone, later + at, x + at);
    assert_true(fabs(measure_cents(x, N, 48000, measure_note_hz(48, 440), 0.5, NULL)) < 0.05);
    assert_true(measure_peak(x, N) < 1 && measure_rms(x, N) > 0.05);
    free(x);
}

static void every_width_renders_the_same_bits(void **state)
{
    (void)state;
    for (int i = 0; notes_drones[i]; i++) {
        struct hf_patch patch = notes_patch(notes_drones[i]);
        float *plain = NULL;
        for (const struct hf_vector *const *v = hf_vector_all(); *v; v++) {
            if (!hf_vector_runs(*v))
                continue;
            hf_vector_use(*v);
            float *x = notes_drone(&patch, 56, 44100, 6400, 1);
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

/* Every number of the patch at the ends of its range, every kind of rate, low and high notes. */
static void a_patch_at_its_limits_stays_finite(void **state)
{
    (void)state;
    static const long rates[] = {8000, 44100, 192000};
    static const double ends[2][10] = {{0, -60, 100, 20, 5, -40, 0, 0.001, 0.01, 0},
                                       {60, 20, 96000, 96000, 20000, 40, 6, 2, 2, 0.5}};
    for (int bits = 0; bits < 1024; bits += 31) {
        struct hf_patch patch = {.kind = HF_PATCH_DRONE,
                                 .count = 64,
                                 .formants = 8,
                                 .copies = 3,
                                 .breath = true,
                                 .breath_db = -20,
                                 .breath_low_hz = 20,
                                 .breath_high_hz = 20000};
#define END(k) ends[bits >> (k)&1][k]
        for (int n = 0; n < 64; n++)
            patch.ratio[n] = bits & 1 ? 1 + n : 64.0 / (n + 1);
        patch.tilt_db_per_octave = END(0), patch.even_db = END(1), patch.soft_hz = END(2);
        for (int f = 0; f < 8; f++)
            patch.formant[f] = (struct hf_patch_formant){END(3), END(4), END(5), 0};
        patch.drift_db = END(6), patch.drift_hz = END(7), patch.detune_hz = END(8);
        patch.side_gain = END(9);
#undef END
        for (int r = 0; r < 3; r++) {
            for (int midi = 0; midi < 128; midi += 127) {
                float out[HF_CHUNK];
                hf_drone_init(&drone, &patch, midi, 0, 480000, rates[r], 1, 11, 4.0);
                for (int64_t at = 0; at < 40 * HF_CHUNK; at += HF_CHUNK) {
                    hf_drone_render(&drone, at, out);
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
        cmocka_unit_test(no_patch_leaves_its_pitch),
        cmocka_unit_test(nothing_sounds_but_the_partials),
        cmocka_unit_test(every_partial_is_there_at_its_level),
        cmocka_unit_test(a_level_drifts_no_further_than_asked),
        cmocka_unit_test(breath_has_the_level_that_is_asked),
        cmocka_unit_test(three_copies_are_the_sum_of_three_sines),
        cmocka_unit_test(the_same_seed_gives_the_same_note_and_another_another),
        cmocka_unit_test(a_chunk_depends_on_its_time_alone),
        cmocka_unit_test(a_year_later_it_is_still_in_tune),
        cmocka_unit_test(every_width_renders_the_same_bits),
        cmocka_unit_test(a_patch_at_its_limits_stays_finite),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
