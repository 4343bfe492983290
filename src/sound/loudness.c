/* SPDX-License-Identifier: MIT */
/* Invariants: no mathematics of the C library but sqrt, since gains reach samples; the weighting is
 * a table of the standard's coefficients and nothing fitted. */
#include <holdfast/loudness.h>

#include <math.h>

#include <holdfast/drone.h>
#include <holdfast/sine.h>

#define PI 3.141592653589793
#define LOG2_E 1.4426950408889634

/* No patch is raised by more than this (12 dB): one that would need it has next to nothing in it
 * that is heard. */
#define GAIN_MOST 4.0

/* A momentary loudness is over 400 ms (EBU Tech 3341). */
#define MOMENTARY_S 0.4

struct biquad {
    double b[3];
    double a[3];
};

/* ITU-R BS.1770-5, annex 1, tables 1 and 2 (48 kHz). */
static const struct biquad shelf = {{1.53512485958697, -2.69169618940638, 1.19839281085285},
                                    {1.0, -1.69065929318241, 0.73248077421585}};
static const struct biquad high_pass = {{1.0, -2.0, 1.0},
                                        {1.0, -1.99004745483398, 0.99007225036621}};

/* |c0 + c1 z^-1 + c2 z^-2|^2 on the unit circle at angle w, with s = sin^2(w/2): nothing cancels at
 * low frequencies. */
static double polynomial_power(const double *c, double s)
{
    double sum = c[0] + c[1] + c[2];
    return sum * sum - 4.0 * s * (c[1] * (c[0] + c[2]) + 4.0 * c[0] * c[2] * (1.0 - s));
}

static double biquad_power(const struct biquad *filter, double s)
{
    return polynomial_power(filter->b, s) / polynomial_power(filter->a, s);
}

double hf_loudness_weight(double frequency_hz)
{
    double sine = hf_sine_radians(PI * frequency_hz / 48000.0);
    double power = biquad_power(&shelf, sine * sine) * biquad_power(&high_pass, sine * sine);
    return power > 0 ? sqrt(power) : 0.0;
}

static double lufs(double power)
{
    return -0.691 + 10.0 * 0.30102999566398120 * hf_log2(power);
}

/* The linear gain from a weighted power to a loudness. */
static double gain_to(double wanted_lufs, double power)
{
    if (power <= 0)
        return 0;
    double gain = hf_gain(wanted_lufs - lufs(power));
    return gain < GAIN_MOST ? gain : GAIN_MOST;
}

/* Weighted power of one drone note: partials, with what drift and copies add on average. */
static double drone_power(const struct hf_patch *patch, int midi, long a4_mhz, long rate)
{
    double hz[HF_PATCH_PARTIALS_MOST], a[HF_PATCH_PARTIALS_MOST], power = 0;
    hf_patch_spectrum(patch, hf_sine_pitch_hz(midi, a4_mhz), rate, hz, a);
    for (int n = 0; n < patch->count; n++) {
        double weighted = a[n] > 0 ? a[n] * hf_loudness_weight(hz[n]) : 0;
        power += weighted * weighted * 0.5;
    }
    double depth = hf_gain(patch->drift_db) - 1.0;
    power *= 1.0 + depth * depth * HF_DRONE_DRIFT_POWER;
    if (patch->copies == 3)
        power *= 1.0 + 2.0 * patch->side_gain * patch->side_gain;
    return power;
}

double hf_loudness_drone_gain(const struct hf_patch *patch, const int *midi, int n, long a4_mhz,
                              long rate)
{
    double power = 0;
    for (int i = 0; i < n; i++)
        power += drone_power(patch, midi[i], a4_mhz, rate);
    return gain_to(HF_LOUDNESS_HELD_LUFS, power);
}

/* Mean weighted power over the first MOMENTARY_S of a note: each partial's decay integrated, less
 * what the raised cosine of the attack takes (5/8 of it; its square has a mean of 3/8). */
static double struck_power(const struct hf_patch *patch, int midi, long a4_mhz, long rate)
{
    double hz[HF_PATCH_PARTIALS_MOST], a[HF_PATCH_PARTIALS_MOST], power = 0;
    double f0 = hf_sine_pitch_hz(midi, a4_mhz);
    hf_patch_spectrum(patch, f0, rate, hz, a);
    for (int n = 0; n < patch->count; n++) {
        if (a[n] <= 0)
            continue;
        double weighted = a[n] * hf_loudness_weight(hz[n]);
        double twice = 2.0 * hf_patch_damping(patch, n, f0, hz[n]);
        double lasting = (1.0 - hf_exp2(-twice * MOMENTARY_S * LOG2_E)) / twice;
        double attack = patch->attack_ms * 0.001 * 0.625;
        power += weighted * weighted * 0.5 * (lasting > attack ? lasting - attack : 0);
    }
    return power / MOMENTARY_S;
}

double hf_loudness_struck_gain(const struct hf_patch *patch, int midi, long a4_mhz, long rate,
                               double wanted_lufs)
{
    return gain_to(wanted_lufs, struck_power(patch, midi, a4_mhz, rate));
}

double hf_loudness_roughness(const double *frequency_hz, const double *amplitude, int n)
{
    double sum = 0;
    for (int i = 0; i < n; i++) {
        for (int j = i + 1; j < n; j++) {
            double low = frequency_hz[i] < frequency_hz[j] ? frequency_hz[i] : frequency_hz[j];
            double apart = frequency_hz[i] + frequency_hz[j] - 2.0 * low;
            double least = amplitude[i] < amplitude[j] ? amplitude[i] : amplitude[j];
            double x = 0.24 / (0.0207 * low + 18.96) * apart * LOG2_E;
            if (least > 0)
                sum += least * 5.0 * (hf_exp2(-3.51 * x) - hf_exp2(-5.75 * x));
        }
    }
    return sum;
}

void hf_loudness_describe(const struct hf_patch *patch, const int *midi, int n, long a4_mhz,
                          long rate, struct hf_loudness_portrait *out)
{
    double hz[HF_LOUDNESS_NOTES_MOST * HF_PATCH_PARTIALS_MOST];
    double a[HF_LOUDNESS_NOTES_MOST * HF_PATCH_PARTIALS_MOST];
    double power = 0, moment = 0, middle = 0, weighted = 0;
    int count = 0;
    bool drone = patch->kind == HF_PATCH_DRONE;
    for (int i = 0; i < n; i++) {
        hf_patch_spectrum(patch, hf_sine_pitch_hz(midi[i], a4_mhz), rate, hz + count, a + count);
        weighted += drone ? drone_power(patch, midi[i], a4_mhz, rate)
                          : struck_power(patch, midi[i], a4_mhz, rate) / n;
        count += patch->count;
    }
    for (int i = 0; i < count; i++) {
        power += a[i] * a[i];
        moment += a[i] * a[i] * hz[i];
        middle += hz[i] >= 2000 && hz[i] <= 5000 ? a[i] * a[i] : 0;
    }
    double wanted = drone ? HF_LOUDNESS_HELD_LUFS : HF_LOUDNESS_ADDED_LUFS;
    double gain = gain_to(wanted, weighted);
    double scale = power > 0 ? 1.0 / sqrt(power) : 0;
    for (int i = 0; i < count; i++)
        a[i] *= scale;
    *out = (struct hf_loudness_portrait){.lufs = weighted > 0 ? lufs(weighted * gain * gain)
                                                              : HF_LOUDNESS_SILENCE_LUFS,
                                         .centroid_hz = power > 0 ? moment / power : 0,
                                         .roughness = hf_loudness_roughness(hz, a, count),
                                         .share_2k_5k = power > 0 ? middle / power : 0};
}
