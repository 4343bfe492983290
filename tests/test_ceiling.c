/* SPDX-License-Identifier: MIT */
/* What the ceiling promises: nothing over it, whatever comes in; and the input untouched below. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/ceiling.h>
#include <holdfast/sine.h>

#include "measure/hostile.h"
#include "measure/measure.h"

#define PI 3.14159265358979323846
enum { N = HOSTILE_SAMPLES };

static struct hf_ceiling ceiling;
static float left[N], right[N], was_left[N], was_right[N];

static void start(long rate)
{
    hf_ceiling_init(&ceiling, rate, (float)hf_gain(HF_CEILING_INNER_DB));
}

static void render(int block)
{
    for (int at = 0; at < N; at += block)
        hf_ceiling_render(&ceiling, left + at, right + at, block < N - at ? block : N - at);
}

/* Limit of the specification: -6 dB true peak, 0.2 dB over the inner ceiling, by 16 times
 * oversampling; for what any converter can play, up to 20 kHz at 48 kHz. (The twelve taps of the
 * standard's interpolator cannot see peaks that only the last tenth of the band makes.) */
static void nothing_passes_the_ceiling(void **state)
{
    (void)state;
    for (int kind = 0; kind < 8; kind++) {
        for (double gain = 0.5; gain < 5000; gain *= 10) {
            start(48000);
            hostile_fill(left, kind, gain);
            hostile_fill(right, 7 - kind, gain);
            measure_band_limit(left, N, 20.0 / 48);
            measure_band_limit(right, N, 20.0 / 48);
            render(HF_CHUNK);
            assert_true(measure_db(measure_true_peak(left, N)) <= HF_CEILING_DB);
            assert_true(measure_db(measure_true_peak(right, N)) <= HF_CEILING_DB);
            assert_true(ceiling.reduced > 0);
        }
    }
}

static void what_lies_below_comes_out_as_it_went_in(void **state)
{
    (void)state;
    static const long rates[] = {8000, 44100, 48000, 96000, 192000};
    for (size_t r = 0; r < sizeof rates / sizeof *rates; r++) {
        start(rates[r]);
        hostile_fill(left, 0, 0.24);
        hostile_fill(right, 6, 0.35);
        memcpy(was_left, left, sizeof left);
        memcpy(was_right, right, sizeof right);
        render(777);
        int late = hf_ceiling_latency(&ceiling);
        assert_memory_equal(left + late, was_left, (size_t)(N - late) * sizeof *left);
        assert_memory_equal(right + late, was_right, (size_t)(N - late) * sizeof *right);
        assert_int_equal(ceiling.reduced, 0);
    }
}

/* derived: 1.5 ms and six samples; published in the specification: 78 at 48 kHz. */
static void the_latency_is_as_promised(void **state)
{
    (void)state;
    start(48000);
    assert_int_equal(hf_ceiling_latency(&ceiling), 78);
    start(8000);
    assert_int_equal(hf_ceiling_latency(&ceiling), 18);
    start(192000);
    assert_int_equal(hf_ceiling_latency(&ceiling), 294);
}

/* After a shout the signal comes back exactly, within 3 s at a release of 171 ms. */
static void it_lets_go_entirely(void **state)
{
    (void)state;
    start(48000);
    hostile_fill(left, 0, 10);
    hostile_fill(right, 0, 10);
    render(HF_CHUNK);
    for (int again = 0; again < 3; again++) {
        hostile_fill(left, 6, 0.35);
        hostile_fill(right, 6, 0.35);
        memcpy(was_left, left, sizeof left);
        render(HF_CHUNK);
    }
    int late = hf_ceiling_latency(&ceiling);
    assert_memory_equal(left + late, was_left, (size_t)(N - late) * sizeof *left);
}

static void calls_of_any_size_give_the_same_bits(void **state)
{
    (void)state;
    static const int blocks[] = {1, 7, 64, 97, 997, N};
    float *first = malloc(sizeof left);
    for (size_t b = 0; b < sizeof blocks / sizeof *blocks; b++) {
        start(44100);
        hostile_fill(left, 5, 3);
        hostile_fill(right, 7, 1);
        render(blocks[b]);
        if (b == 0)
            memcpy(first, left, sizeof left);
        assert_memory_equal(first, left, sizeof left);
    }
    free(first);
}

static void every_width_gives_the_same_bits(void **state)
{
    (void)state;
    float *first = NULL;
    for (const struct hf_vector *const *v = hf_vector_all(); *v; v++) {
        if (!hf_vector_runs(*v))
            continue;
        hf_vector_use(*v);
        start(44100);
        hf_vector_use(NULL);
        hostile_fill(left, 5, 3);
        hostile_fill(right, 0, 1);
        render(HF_CHUNK);
        if (!first) {
            first = malloc(sizeof left);
            memcpy(first, left, sizeof left);
        }
        assert_memory_equal(first, left, sizeof left);
    }
    free(first);
}

/* Both sides have one gain, so that nothing moves in the stereo picture. */
static void both_sides_are_turned_down_alike(void **state)
{
    (void)state;
    start(48000);
    hostile_fill(left, 5, 3);
    for (int i = 0; i < N; i++)
        right[i] = left[i] * 0.25f;
    render(HF_CHUNK);
    for (int i = 0; i < N; i++)
        assert_true(right[i] == left[i] * 0.25f);
}

static void what_is_no_number_becomes_silence_and_is_counted(void **state)
{
    (void)state;
    start(48000);
    hostile_fill(left, 6, 0.3);
    hostile_fill(right, 6, 0.3);
    memcpy(was_left, left, sizeof left);
    for (int i = 3000; i < 40000; i += 1000) {
        left[i] = i % 3000 ? (float)NAN : (float)-INFINITY;
        was_left[i] = 0;
    }
    right[50000] = (float)INFINITY;
    render(HF_CHUNK);
    int late = hf_ceiling_latency(&ceiling);
    assert_memory_equal(left + late, was_left, (size_t)(N - late) * sizeof *left);
    assert_int_equal(ceiling.not_numbers, 38);
}

static void the_largest_numbers_do_not_pass(void **state)
{
    (void)state;
    start(48000);
    hostile_fill(left, 0, 0.1);
    hostile_fill(right, 0, 0.1);
    for (int i = 5000; i < 60000; i += 5000) {
        left[i] = 3.4e38f;
        left[i + 1] = -3.4e38f;
        right[i + 300] = 1e9f * (float)i;
    }
    render(HF_CHUNK);
    for (int i = 0; i < N; i++)
        assert_true(fabsf(left[i]) <= 0.5f && fabsf(right[i]) <= 0.5f);
}

/* published: EBU Tech 3341 (2016), true-peak test signals 15 to 19: sines that the detector must
 * read to +0.2/-0.4 dB: rate/4 at 0 and 45 degrees, rate/6 at 60, rate/8 at 67.5, -6 dB; rate/4 at
 * 45 degrees, +3 dB. */
static void the_detector_reads_the_tones_of_tech_3341(void **state)
{
    (void)state;
    static const struct {
        int divisor;
        double degrees, level_db;
    } rows[] = {{4, 0, -6.02}, {4, 45, -6.02}, {6, 60, -6.02}, {8, 67.5, -6.02}, {4, 45, 2.98}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        float x[4096 + 11], peak[4096], most = 0;
        for (int i = 0; i < 4096 + 11; i++)
            x[i] = (float)(pow(10, rows[r].level_db / 20) *
                           sin(2 * PI * i / rows[r].divisor + rows[r].degrees * PI / 180));
        hf_vector_best()->true_peak(x, 4096, peak);
        for (int i = 0; i < 4096; i++)
            most = fmaxf(most, peak[i]);
        double off = measure_db((double)most) - rows[r].level_db;
        assert_true(off <= 0.2 && off >= -0.4);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_passes_the_ceiling),
        cmocka_unit_test(what_lies_below_comes_out_as_it_went_in),
        cmocka_unit_test(the_latency_is_as_promised),
        cmocka_unit_test(it_lets_go_entirely),
        cmocka_unit_test(calls_of_any_size_give_the_same_bits),
        cmocka_unit_test(every_width_gives_the_same_bits),
        cmocka_unit_test(both_sides_are_turned_down_alike),
        cmocka_unit_test(what_is_no_number_becomes_silence_and_is_counted),
        cmocka_unit_test(the_largest_numbers_do_not_pass),
        cmocka_unit_test(the_detector_reads_the_tones_of_tech_3341),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
