/* SPDX-License-Identifier: MIT */
/* The elementary functions against the C library's in double or long double, which the program
 * itself never calls. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/sine.h>

#include "measure/measure.h"

#define PI 3.14159265358979323846

/* derived: sin(2 pi p / 2^32); limit of the specification of the sound: 1.0e-7. */
static void the_sine_is_within_a_ten_millionth(void **state)
{
    (void)state;
    double worst = 0;
    for (uint64_t p = 0; p < UINT64_C(1) << 32; p += 97)
        worst = fmax(worst, fabs((double)hf_sine((uint32_t)p) - sin(2 * PI * (double)p * 0x1p-32)));
    assert_true(worst <= 1.0e-7);
    assert_true(worst > 1e-9); /* or nothing was compared */
}

/* derived: sin 0, 90, 180, 270 degrees. */
static void the_sine_is_exact_at_the_quarters(void **state)
{
    (void)state;
    assert_true(hf_sine(0) == 0 && hf_sine(UINT32_C(1) << 31) == 0);
    assert_true(hf_sine(UINT32_C(1) << 30) == 1 && hf_sine(UINT32_C(3) << 30) == -1);
}

static void the_sine_never_falls_on_its_way_up(void **state)
{
    (void)state;
    for (uint32_t p = 0; p < UINT32_C(1) << 30; p += 61)
        assert_true(hf_sine(p + 1) >= hf_sine(p) && hf_sine(0u - p - 1) <= hf_sine(0u - p));
}

/* Limit of the specification: -148 dB at 440 Hz over 10 s, least squares. */
static void a_tone_of_440_hz_is_clean(void **state)
{
    (void)state;
    enum { N = 480000 };
    float *x = malloc(N * sizeof *x);
    uint64_t step = hf_pitch_increment(69, 440000, 48000);
    for (uint32_t i = 0; i < N; i++)
        x[i] = hf_sine((uint32_t)step * i);
    double thd_n = measure_thd_n(x, N, 48000, (double)step * 48000 * 0x1p-32);
    assert_true(thd_n <= -148);
    assert_true(thd_n > -170); /* float cannot do better: 24 bits */
    free(x);
}

static void every_width_gives_the_bits_of_the_scalar_sine(void **state)
{
    (void)state;
    for (const struct hf_vector *const *v = hf_vector_all(); *v; v++) {
        if (!hf_vector_runs(*v))
            continue;
        for (uint32_t p = 0; p < 1u << 20; p += 16) {
            uint32_t phase[16];
            float out[16];
            for (uint32_t i = 0; i < 16; i++)
                phase[i] = (p + i) * 4099u + (p >> 8);
            (*v)->sine(phase, 16, out);
            for (int i = 0; i < 16; i++) {
                float one = hf_sine(phase[i]);
                assert_memory_equal(&out[i], &one, sizeof one);
            }
        }
    }
}

/* out[i] = sum over n in order of (gain + gain_step i) sine(phase + step i), written out in
 * scalars: what every width must give, to the bit. */
static void every_width_gives_the_bits_of_the_scalar_sum(void **state)
{
    (void)state;
    struct hf_vector_partial partial[37];
    float fallen[37 * HF_CHUNK] = {0}, expected[2][HF_CHUNK], out[2][HF_CHUNK];
    for (uint32_t n = 0; n < 37; n++)
        partial[n] =
            (struct hf_vector_partial){n * 2654435761u, 11711000u * (n + 1),
                                       n % 5 ? 0.1f / (float)(n + 1) : 0, 1e-5f * (float)n};
    for (int i = 0; i < 37 * HF_CHUNK; i++)
        fallen[i] = 1.0f / (1.0f + 0.01f * (float)(i % HF_CHUNK));
    for (int i = 0; i < HF_CHUNK; i++) {
        expected[0][i] = expected[1][i] = 0.25f;
        for (int n = 0; n < 37; n++) {
            float s = hf_sine(partial[n].phase + partial[n].step * (uint32_t)i);
            expected[0][i] += (partial[n].gain + partial[n].gain_step * (float)i) * s;
            if (partial[n].gain != 0)
                expected[1][i] += partial[n].gain * fallen[n * HF_CHUNK + i] * s;
        }
    }
    for (const struct hf_vector *const *v = hf_vector_all(); *v; v++) {
        if (!hf_vector_runs(*v))
            continue;
        for (int i = 0; i < HF_CHUNK; i++)
            out[0][i] = out[1][i] = 0.25f;
        (*v)->ramp(partial, 37, out[0]);
        (*v)->decay(partial, 37, fallen, out[1]);
        assert_memory_equal(out, expected, sizeof out);
    }
}

/* derived: exp2, log2, pow, sin, cos of the C library; limits as in the header. */
static void the_elementary_functions_are_as_near_as_promised(void **state)
{
    (void)state;
    for (double x = -60; x < 60; x += 0.00137) {
        assert_true(fabs(hf_exp2(x) / exp2(x) - 1) < 1.5e-12);
        assert_true(fabs(hf_sine_radians(x * 100) - sin(x * 100)) < 1e-11);
        assert_true(fabs(hf_cosine_radians(x * 100) - cos(x * 100)) < 1e-11);
    }
    for (double x = 1e-9; x < 1e9; x *= 1.0013) {
        assert_true(fabs(hf_log2(x) - log2(x)) < 1e-14 * fmax(1, fabs(log2(x))));
        assert_true(fabs(hf_power(x, 0.35) / pow(x, 0.35) - 1) < 1e-11);
        assert_true(fabs(hf_decibels(x) - 20 * log10(x)) < 1e-12 * fmax(1, fabs(log2(x)) * 10));
    }
    for (double db = -200; db < 200; db += 0.37)
        assert_true(fabs(hf_gain(db) / pow(10, db / 20) - 1) < 1e-11);
    assert_true(hf_exp2(0) == 1 && hf_log2(1) == 0 && hf_gain(0) == 1);
}

/* derived: f = A4 2^((m - 69)/12), step = f/rate 2^32; limits of the specification: 0.001 cent up
 * to 96 kHz, 0.0015 at 192 kHz. */
static void a_pitch_is_right_to_a_thousandth_of_a_cent(void **state)
{
    (void)state;
    static const long rates[] = {8000, 44100, 48000, 96000, 192000};
    for (size_t r = 0; r < sizeof rates / sizeof *rates; r++) {
        double limit = rates[r] == 192000 ? 0.0015 : 0.001;
        for (int midi = 28; midi <= 100; midi++) {
            for (long a4 = 380000; a4 <= 480000; a4 += 173) {
                double hz =
                    (double)hf_pitch_increment(midi, a4, rates[r]) * (double)rates[r] * 0x1p-32;
                double true_hz = measure_note_hz(midi, (double)a4 / 1000);
                assert_true(fabs(measure_cents_between(hz, true_hz)) <= limit);
            }
        }
    }
}

/* published: ISO 16:1975, A4 = 440 Hz; MIDI 1.0, note 69. Others computed with 60 digits. */
static void known_pitches_are_met(void **state)
{
    (void)state;
    static const struct {
        int midi;
        double hz;
    } rows[] = {{69, 440.0},          {40, 82.4068892282},    {48, 130.8127826503},
                {52, 164.8137784564}, {56, 207.6523487900},   {60, 261.6255653006},
                {0, 8.1757989156},    {127, 12543.8539514160}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_true(fabs(hf_sine_pitch_hz(rows[i].midi, 440000) / rows[i].hz - 1) < 1e-10);
        double step = rows[i].hz / 48000 * 0x1p32;
        assert_true(fabs((double)hf_pitch_increment(rows[i].midi, 440000, 48000) - step) <= 0.6);
    }
}

/* derived: 2^40 2^(k/12) in long double (64 bits of mantissa); a table typed by hand is not
 * trusted. The numbers show through hf_sine_pitch_hz: an octave up from A4, divided by 440. */
static void the_twelve_semitones_are_the_nearest_numbers(void **state)
{
    (void)state;
    for (int k = 0; k < 12; k++) {
        long double entry = rintl(ldexpl(exp2l((long double)k / 12), 40));
        assert_true(hf_sine_pitch_hz(69 + k, 440000) == 440000.0 * 0.001 * (double)entry * 0x1p-40);
    }
}

/* derived: 2^(cents/1200); the pure third 5:4 is 386.3137 cents, 13.6863 under 400. */
static void an_offset_in_cents_is_met(void **state)
{
    (void)state;
    double pure = 1200 * log2(1.25) - 400;
    double third = (double)hf_pitch_increment_cents(52, pure, 440000, 48000);
    double root = (double)hf_pitch_increment(48, 440000, 48000);
    assert_true(fabs(1200 * log2(third / root / 1.25)) < 0.0005);
    for (int midi = 28; midi <= 100; midi++)
        assert_true(hf_pitch_increment_cents(midi, 0, 440000, 48000) ==
                    hf_pitch_increment(midi, 440000, 48000));
}

/* derived: (1 - cos(pi t))/2. */
static void a_fade_rises_from_exactly_0_to_exactly_1(void **state)
{
    (void)state;
    static const int64_t lengths[] = {1, 2, 3, 16, 96, 1920, 14400, 144000, 960000, 1 << 26};
    for (size_t r = 0; r < sizeof lengths / sizeof *lengths; r++) {
        int64_t n = lengths[r];
        assert_true(hf_fade(0, n) == 0 && hf_fade(-5, n) == 0);
        assert_true(hf_fade(n, n) == 1 && hf_fade(n + 7, n) == 1);
        float last = 0;
        for (int64_t i = 0; i <= n; i++) {
            float now = hf_fade(i, n);
            if (i > 2000 && i < n - 2000 && i % 997)
                continue;
            assert_true(now >= last && now <= 1);
            assert_true(fabs((double)now - (1 - cos(PI * (double)i / (double)n)) / 2) < 6.1e-8);
            last = now;
        }
    }
    assert_true(hf_fade(-1, 0) == 0 && hf_fade(0, 0) == 1);
}

static void a_chunk_of_a_fade_is_the_fade_sample_by_sample(void **state)
{
    (void)state;
    float out[HF_CHUNK];
    for (int64_t at = -100; at < 2100; at += 37) {
        hf_fade_chunk(at, 1920, out);
        for (int i = 0; i < HF_CHUNK; i++)
            assert_true(out[i] == hf_fade(at + i, 1920));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_sine_is_within_a_ten_millionth),
        cmocka_unit_test(the_sine_is_exact_at_the_quarters),
        cmocka_unit_test(the_sine_never_falls_on_its_way_up),
        cmocka_unit_test(a_tone_of_440_hz_is_clean),
        cmocka_unit_test(every_width_gives_the_bits_of_the_scalar_sine),
        cmocka_unit_test(every_width_gives_the_bits_of_the_scalar_sum),
        cmocka_unit_test(the_elementary_functions_are_as_near_as_promised),
        cmocka_unit_test(a_pitch_is_right_to_a_thousandth_of_a_cent),
        cmocka_unit_test(known_pitches_are_met),
        cmocka_unit_test(the_twelve_semitones_are_the_nearest_numbers),
        cmocka_unit_test(an_offset_in_cents_is_met),
        cmocka_unit_test(a_fade_rises_from_exactly_0_to_exactly_1),
        cmocka_unit_test(a_chunk_of_a_fade_is_the_fade_sample_by_sample),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
