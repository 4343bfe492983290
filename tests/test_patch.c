/* SPDX-License-Identifier: MIT */
/* The law of the partials against the formulas of the specification, written here with the C
 * library's mathematics. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include <math.h>
#include <string.h>

#include <holdfast/builtin.h>
#include <holdfast/patchfile.h>
#include <holdfast/sine.h>

#define PI 3.14159265358979323846

static struct hf_patch shipped(const char *name)
{
    struct hf_patch patch;
    const char *text = hf_patchfile_find_builtin(name);
    assert_non_null(text);
    assert_int_equal(hf_patchfile_parse(text, strlen(text), name, &patch, NULL), HF_OK);
    return patch;
}

/* derived: a_n = 10^((-tilt log2 n + even + trim)/20) * formants / (1 + (f/soft)^4), from the table
 * of the specification for the bowed string. */
static double bowed_string_amplitude(int n, double f)
{
    static const double formant[3][3] = {{280, 3, 90}, {460, 3, 120}, {1200, 2, 300}};
    double a = pow(10, (-8 * log2(n) + (n == 5 || n == 8 ? -12 : 0)) / 20);
    for (int i = 0; i < 3; i++)
        a *= 1 +
             (pow(10, formant[i][1] / 20) - 1) / (1 + pow((f - formant[i][0]) / formant[i][2], 2));
    return a / (1 + pow(f / 3000, 4));
}

static void check_against(const double *law, const struct hf_patch *patch, double f0, double power)
{
    double amplitude[HF_PATCH_PARTIALS_MOST], frequency[HF_PATCH_PARTIALS_MOST], sum = 0;
    for (int n = 0; n < patch->count; n++)
        sum += law[n] * law[n] / 2;
    hf_patch_spectrum(patch, f0, 48000, frequency, amplitude);
    for (int n = 0; n < patch->count; n++)
        assert_true(fabs(amplitude[n] - law[n] * sqrt(power / sum)) < 1e-9);
}

static void the_bowed_string_follows_its_law(void **state)
{
    (void)state;
    struct hf_patch patch = shipped("bowed-string");
    double law[32];
    for (int n = 1; n <= 32; n++)
        law[n - 1] = bowed_string_amplitude(n, n * 130.8);
    check_against(law, &patch, 130.8, 0.01);
}

/* derived: 12 dB an octave, even partials 14 dB down, soft 3000 Hz. */
static void the_stopped_pipe_is_nearly_all_odd(void **state)
{
    (void)state;
    struct hf_patch patch = shipped("stopped-pipe");
    double law[9];
    for (int n = 1; n <= 9; n++)
        law[n - 1] =
            pow(10, (-12 * log2(n) + (n % 2 == 0 ? -14 : 0)) / 20) / (1 + pow(n * 130.8 / 3000, 4));
    check_against(law, &patch, 130.8, 0.01);
}

/* derived: |sin(pi n pos)| n^(-tilt/6.0206) / (1 + (f/hard)^2); B is too small to show here. */
static void the_nylon_string_follows_its_law(void **state)
{
    (void)state;
    struct hf_patch patch = shipped("plucked-nylon");
    double law[16];
    for (int n = 1; n <= 16; n++) {
        double f = n * 164.8 * sqrt((1 + 1.5e-6 * n * n) / (1 + 1.5e-6));
        law[n - 1] = fabs(sin(PI * n * 0.22)) / pow(10, 6 * log2(n) / 20) / (1 + pow(f / 2600, 2));
    }
    check_against(law, &patch, 164.8, 0.04);
}

/* derived: levels as listed, 0 -20 -30 -44 dB, under soft. */
static void listed_levels_stand_in_place_of_the_law(void **state)
{
    (void)state;
    struct hf_patch patch = shipped("soft-sine");
    static const double db[4] = {0, -20, -30, -44};
    double law[4];
    for (int n = 0; n < 4; n++)
        law[n] = pow(10, db[n] / 20) / (1 + pow((n + 1) * 130.8 / 4000, 4));
    check_against(law, &patch, 130.8, 0.01);
}

/* published: Fletcher, JASA 36 (1964): f_n proportional to n sqrt(1 + B n^2). */
static void stiff_strings_are_stretched_after_fletcher(void **state)
{
    (void)state;
    struct hf_patch patch = shipped("plucked-steel");
    double amplitude[HF_PATCH_PARTIALS_MOST], frequency[HF_PATCH_PARTIALS_MOST];
    hf_patch_spectrum(&patch, 82.4, 48000, frequency, amplitude);
    for (int n = 1; n <= patch.count; n++) {
        double stretched = n * 82.4 * sqrt((1 + 1.5e-6 * n * n) / (1 + 1.5e-6));
        assert_true(fabs(frequency[n - 1] / stretched - 1) < 1e-12);
    }
    assert_true(frequency[0] == 82.4);
}

static void nothing_lies_above_the_limits(void **state)
{
    (void)state;
    static const long rates[] = {8000, 11025, 16000, 22050, 44100, 48000, 96000, 192000};
    for (const struct hf_builtin *b = hf_builtin_patches; b->name; b++) {
        struct hf_patch patch = shipped(b->name);
        for (size_t r = 0; r < sizeof rates / sizeof *rates; r++) {
            for (int midi = 0; midi < 128; midi++) {
                double a[HF_PATCH_PARTIALS_MOST], f[HF_PATCH_PARTIALS_MOST], power = 0;
                hf_patch_spectrum(&patch, hf_sine_pitch_hz(midi, 440000), rates[r], f, a);
                for (int n = 0; n < HF_PATCH_PARTIALS_MOST; n++) {
                    power += a[n] * a[n] / 2;
                    assert_true(a[n] >= 0);
                    if (a[n] > 0)
                        assert_true(n < patch.count && f[n] <= 8000 &&
                                    f[n] <= 0.45 * (double)rates[r]);
                }
                double asked = patch.kind == HF_PATCH_DRONE ? 0.01 : 0.04;
                bool sounds = hf_sine_pitch_hz(midi, 440000) <= fmin(8000, 0.45 * (double)rates[r]);
                assert_true(fabs(power - (sounds ? asked : 0)) < 1e-12);
            }
        }
    }
}

static void what_lies_120_db_down_is_left_out(void **state)
{
    (void)state;
    struct hf_patch patch = {.kind = HF_PATCH_DRONE,
                             .count = 3,
                             .explicit_levels = true,
                             .amplitude_db = {0, -119.9, -120.1},
                             .ratio = {1, 2, 3},
                             .copies = 1};
    double a[HF_PATCH_PARTIALS_MOST];
    hf_patch_spectrum(&patch, 100, 48000, NULL, a);
    assert_true(a[1] > 0 && a[2] == 0);
}

static void a_harmonic_steps_by_an_exact_multiple(void **state)
{
    (void)state;
    struct hf_patch drone = shipped("bowed-string"), bar = shipped("struck-bar");
    for (int n = 0; n < drone.count; n++)
        assert_int_equal(hf_patch_step(&drone, n, 11704469), 11704469u * (uint32_t)(n + 1));
    assert_int_equal(hf_patch_step(&bar, 1, 11704469), 4 * 11704469u);
    assert_int_equal(hf_patch_step(&bar, 2, 11704469), 10 * 11704469u);
    drone.ratio[1] = 2.76;
    assert_int_equal(hf_patch_step(&drone, 1, 1000000), 2760000);
}

/* derived: 6.9078 / (T60 scale) (f0/at)^exponent + b3 (f/1000)^2; at f0 = at and low f the note
 * dies by 60 dB in T60. */
static void the_damping_follows_its_law(void **state)
{
    (void)state;
    struct hf_patch nylon = shipped("plucked-nylon"), bar = shipped("struck-bar");
    assert_true(fabs(hf_patch_damping(&nylon, 0, 165, 0) * 3.5 - log(1000)) < 1e-9);
    double expected = log(1000) / 3.5 * pow(330.0 / 165, 0.35) + 0.8 * 0.99 * 0.99;
    assert_true(fabs(hf_patch_damping(&nylon, 2, 330, 990) - expected) < 1e-9);
    expected = log(1000) / (2.2 * 0.25) * pow(524.0 / 262, 0.4);
    assert_true(fabs(hf_patch_damping(&bar, 1, 524, 2096) - expected) < 1e-9);
}

static void a_patch_costs_what_its_partials_cost(void **state)
{
    (void)state;
    struct hf_patch usual = shipped("stopped-pipe"), nylon = shipped("plucked-nylon");
    assert_true(hf_patch_cost(&usual) == 1 && hf_patch_cost(&nylon) == 1);
    usual.count = 64;
    assert_true(hf_patch_cost(&usual) > 6 && hf_patch_cost(&usual) < 7.2);
    nylon.count = 8;
    assert_true(hf_patch_cost(&nylon) == 0.5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_bowed_string_follows_its_law),
        cmocka_unit_test(the_stopped_pipe_is_nearly_all_odd),
        cmocka_unit_test(the_nylon_string_follows_its_law),
        cmocka_unit_test(listed_levels_stand_in_place_of_the_law),
        cmocka_unit_test(stiff_strings_are_stretched_after_fletcher),
        cmocka_unit_test(nothing_lies_above_the_limits),
        cmocka_unit_test(what_lies_120_db_down_is_left_out),
        cmocka_unit_test(a_harmonic_steps_by_an_exact_multiple),
        cmocka_unit_test(the_damping_follows_its_law),
        cmocka_unit_test(a_patch_costs_what_its_partials_cost),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
