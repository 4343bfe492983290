/* SPDX-License-Identifier: MIT */
/* The resampler against what a sine must be at the other rate, for each pair of rates that speech
 * and sound outputs have. */
#include "check.h"

#include <math.h>
#include <stdlib.h>

#include <holdfast/resample.h>

static const double pi = 3.14159265358979323846;

static struct hf_resampler resampler;

static int make_table(void **state)
{
    (void)state;
    hf_resampler_init(&resampler);
    return 0;
}

/* Level of what differs from the sine that was meant, against the sine, in dB; the ends, where the
 * kernel reaches over the edge, left out. */
static double error_db(double hz, int from_hz, int to_hz)
{
    int64_t count = from_hz / 4, made = hf_resample_count(count, from_hz, to_hz);
    float *in = malloc((size_t)count * sizeof *in), *out = malloc((size_t)made * sizeof *out);
    assert_true(in && out);
    for (int64_t i = 0; i < count; i++)
        in[i] = (float)(0.5 * sin(2 * pi * hz * (double)i / from_hz));
    hf_resample(&resampler, in, count, from_hz, out, to_hz);
    double wrong = 0, right = 0;
    for (int64_t i = made / 8; i < made * 7 / 8; i++) {
        double meant = 0.5 * sin(2 * pi * hz * (double)i / to_hz);
        wrong += ((double)out[i] - meant) * ((double)out[i] - meant);
        right += meant * meant;
    }
    free(in);
    free(out);
    return 10 * log10(wrong / right);
}

/* derived: a band-limited sound has one form at each rate; 0.01 dB are an error of -59 dB, and the
 * limit here is that of a 16-bit voice. */
static void what_passes_is_as_it_was(void **state)
{
    (void)state;
    static const int rates_hz[] = {8000, 16000, 22050, 44100, 44101, 48000, 96000, 192000};
    for (size_t i = 0; i < sizeof rates_hz / sizeof rates_hz[0]; i++) {
        int to_hz = rates_hz[i], lower = to_hz < 16000 ? to_hz : 16000;
        static const double parts[] = {0.01, 0.1, 0.25, 0.4};
        for (size_t j = 0; j < 4; j++) {
            double error = error_db(parts[j] * lower, 16000, to_hz);
            if (error > -80)
                fail_msg("%g Hz from 16000 to %d Hz: %.1f dB", parts[j] * lower, to_hz, error);
        }
        assert_true(error_db(0.42 * lower, 16000, to_hz) < -59);
    }
}

/* Everything but the sine at `hz`, in dB against what went in: images on the way up, aliases on the
 * way down. */
static double rest_db(double hz, int from_hz, int to_hz)
{
    int64_t count = from_hz / 4, made = hf_resample_count(count, from_hz, to_hz);
    float *in = malloc((size_t)count * sizeof *in), *out = malloc((size_t)made * sizeof *out);
    assert_true(in && out);
    for (int64_t i = 0; i < count; i++)
        in[i] = (float)(0.5 * sin(2 * pi * hz * (double)i / from_hz));
    hf_resample(&resampler, in, count, from_hz, out, to_hz);
    double power = 0;
    for (int64_t i = made / 8; i < made * 7 / 8; i++)
        power += (double)out[i] * (double)out[i];
    power /= (double)(made * 7 / 8 - made / 8);
    free(in);
    free(out);
    return 10 * log10(power / 0.125);
}

static void what_a_lower_rate_cannot_hold_is_left_out(void **state)
{
    (void)state;
    assert_true(rest_db(4001, 16000, 8000) < -88); /* would come back as 3999 Hz */
    assert_true(rest_db(6000, 16000, 8000) < -88);
    assert_true(rest_db(30000, 96000, 44100) < -88);
}

/* A sine of 7 kHz at 16 kHz has an image at 9 kHz: correlate the output with both. */
static void images_are_gone(void **state)
{
    (void)state;
    enum { COUNT = 4000, MADE = 12000 };
    static float in[COUNT], out[MADE];
    double image[2] = {0}, tone[2] = {0};
    for (int i = 0; i < COUNT; i++)
        in[i] = (float)sin(2 * pi * 6400 * i / 16000.0);
    assert_int_equal(hf_resample_count(COUNT, 16000, 48000), MADE);
    hf_resample(&resampler, in, COUNT, 16000, out, 48000);
    for (int i = 3000; i < 9000; i++) {
        double window = 0.5 - 0.5 * cos(2 * pi * (i - 3000) / 6000.0);
        tone[0] += window * (double)out[i] * cos(2 * pi * 6400 * i / 48000.0);
        tone[1] += window * (double)out[i] * sin(2 * pi * 6400 * i / 48000.0);
        image[0] += window * (double)out[i] * cos(2 * pi * 9600 * i / 48000.0);
        image[1] += window * (double)out[i] * sin(2 * pi * 9600 * i / 48000.0);
    }
    assert_true(20 * log10(hypot(image[0], image[1]) / hypot(tone[0], tone[1])) < -88);
}

static void counts_cover_the_same_time(void **state)
{
    (void)state;
    assert_int_equal(hf_resample_count(16000, 16000, 48000), 48000);
    assert_int_equal(hf_resample_count(1, 16000, 44100), 3); /* derived: ceil(2.75625) */
    assert_int_equal(hf_resample_count(0, 16000, 48000), 0);
    assert_int_equal(hf_resample_count(48001, 48000, 8000), 8001);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_passes_is_as_it_was),
        cmocka_unit_test(what_a_lower_rate_cannot_hold_is_left_out),
        cmocka_unit_test(images_are_gone),
        cmocka_unit_test(counts_cover_the_same_time),
    };
    return cmocka_run_group_tests(tests, make_table, NULL);
}
