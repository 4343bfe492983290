/* SPDX-License-Identifier: MIT */
/*
 * patch: a timbre as plain data, and the limits of what may be in it. How the text of a patch file
 * becomes one is patchfile's matter; drone and struck turn it into sound.
 *
 * The caller owns the struct; it points nowhere. Pure; any thread.
 */
#ifndef HOLDFAST_PATCH_H
#define HOLDFAST_PATCH_H

#include <stdbool.h>
#include <stdint.h>

#include <holdfast/status.h>

#define HF_PATCH_PARTIALS_MOST 64
#define HF_PATCH_FORMANTS_MOST 8
#define HF_PATCH_ABOUT_MOST 160

/* Nothing sounds above this or above 0.45 of the rate. */
#define HF_PATCH_HIGHEST_HZ 8000

enum hf_patch_kind { HF_PATCH_DRONE, HF_PATCH_STRUCK };

struct hf_patch_formant {
    double centre_hz;
    double width_hz;
    double gain_db;
    long line; /* of centre_hz in its file; 0: none */
};

/* Zero means absent in a number that could not be zero otherwise (soft_hz, hard_hz, low_hz,
 * t60_at_hz). Arrays run from the first partial at index 0. */
struct hf_patch {
    enum hf_patch_kind kind;
    char about[HF_PATCH_ABOUT_MOST]; /* UTF-8, one line */

    int count;
    bool explicit_levels; /* amplitude_db stands in place of the law */
    double amplitude_db[HF_PATCH_PARTIALS_MOST];
    double ratio[HF_PATCH_PARTIALS_MOST]; /* n by default */
    double trim_db[HF_PATCH_PARTIALS_MOST];
    double tilt_db_per_octave;
    double even_db;
    double soft_hz;

    int formants;
    struct hf_patch_formant formant[HF_PATCH_FORMANTS_MOST];

    double drift_db; /* drone only */
    double drift_hz;
    int copies; /* 1 or 3 */
    double detune_hz;
    double side_gain;
    bool breath;
    double breath_db; /* against the note's root mean square */
    double breath_low_hz;
    double breath_high_hz;

    double stiffness; /* struck only: B of Fletcher's formula */
    double t60_s;
    double t60_scale[HF_PATCH_PARTIALS_MOST]; /* 1 by default */
    double t60_at_hz;
    double t60_exponent;
    double damping_per_s; /* at 1 kHz, growing with the square of the frequency */
    double pluck_position;
    double hard_hz;
    double attack_ms;
};

/* Amplitudes of the partials of a note with fundamental f0_hz at `rate`, by the law of the patch,
 * scaled so that the sum of a^2/2 is HF_PATCH_DRONE_POWER or HF_PATCH_STRUCK_POWER; 0 for those
 * above the limits or 120 dB under the strongest. `frequency` may be NULL. All zero when no partial
 * lies under the limits. */
#define HF_PATCH_DRONE_POWER 0.01
#define HF_PATCH_STRUCK_POWER 0.04
void hf_patch_spectrum(const struct hf_patch *patch, double f0_hz, long rate,
                       double frequency_hz[HF_PATCH_PARTIALS_MOST],
                       double amplitude[HF_PATCH_PARTIALS_MOST]);

/* Phase step of partial n (from 0) of a note whose fundamental has `increment`, both 2^32 to the
 * turn: an exact multiple for whole ratios. Only for partials that hf_patch_spectrum leaves in. */
uint32_t hf_patch_step(const struct hf_patch *patch, int n, uint64_t increment);

/* Amplitude decay of partial n (from 0) of a struck patch, in nepers a second. */
double hf_patch_damping(const struct hf_patch *patch, int n, double f0_hz, double frequency_hz);

/* What a note of it costs, as a multiple of the shipped patch of its kind that most use
 * (stopped-pipe, plucked-nylon): by counted operations. */
#define HF_PATCH_COST_SHIPPED 3.5 /* none that ships costs more */
double hf_patch_cost(const struct hf_patch *patch);

#endif
