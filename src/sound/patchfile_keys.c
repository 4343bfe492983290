/* SPDX-License-Identifier: MIT */
/* Invariant: a range allows nothing that drone, struck or loudness could not make sound finite. */
#include "patchfile_keys.h"

#include <holdfast/patch.h>

#define IN(member) offsetof(struct hf_patch, member)
#define FORMANT(member) offsetof(struct hf_patch_formant, member)

const struct hf_patchfile_key hf_patchfile_keys[HF_PATCHFILE_KEYS] = {
    {"patch", "kind", HF_KEY_KIND, IN(kind), 0, 0},
    {"patch", "about", HF_KEY_TEXT, IN(about), 1, HF_PATCH_ABOUT_MOST - 1},
    {"partials", "count", HF_KEY_WHOLE, IN(count), 1, HF_PATCH_PARTIALS_MOST},
    {"partials", "amplitudes_db", HF_KEY_LIST, IN(amplitude_db), -120, 20},
    {"partials", "ratios", HF_KEY_LIST, IN(ratio), 0.125, 64},
    {"partials", "tilt_db_per_octave", HF_KEY_REAL, IN(tilt_db_per_octave), 0, 60},
    {"partials", "even_db", HF_KEY_REAL, IN(even_db), -60, 20},
    {"partials", "trim_N_db", HF_KEY_TRIM, IN(trim_db), -60, 20},
    {"partials", "soft_hz", HF_KEY_REAL, IN(soft_hz), 100, 96000},
    {"formant", "centre_hz", HF_KEY_REAL, FORMANT(centre_hz), 20, 96000},
    {"formant", "width_hz", HF_KEY_REAL, FORMANT(width_hz), 5, 20000},
    {"formant", "gain_db", HF_KEY_REAL, FORMANT(gain_db), -40, 40},
    {"drift", "depth_db", HF_KEY_REAL, IN(drift_db), 0, 6},
    {"drift", "rate_hz", HF_KEY_REAL, IN(drift_hz), 0.001, 2},
    {"copies", "count", HF_KEY_COPIES, IN(copies), 1, 3},
    {"copies", "detune_hz", HF_KEY_REAL, IN(detune_hz), 0.01, 2},
    {"copies", "side_gain", HF_KEY_REAL, IN(side_gain), 0, 0.5},
    {"breath", "level_db", HF_KEY_REAL, IN(breath_db), -100, -20},
    {"breath", "low_hz", HF_KEY_REAL, IN(breath_low_hz), 20, 20000},
    {"breath", "high_hz", HF_KEY_REAL, IN(breath_high_hz), 20, 20000},
    {"string", "stiffness", HF_KEY_REAL, IN(stiffness), 0, 0.01},
    {"string", "t60_s", HF_KEY_REAL, IN(t60_s), 0.05, 60},
    {"string", "t60_scale", HF_KEY_LIST, IN(t60_scale), 0.001, 4},
    {"string", "t60_at_hz", HF_KEY_REAL, IN(t60_at_hz), 20, 8000},
    {"string", "t60_exponent", HF_KEY_REAL, IN(t60_exponent), -2, 2},
    {"string", "damping_per_s_at_1khz", HF_KEY_REAL, IN(damping_per_s), 0, 100},
    {"string", "pluck_position", HF_KEY_REAL, IN(pluck_position), 0.01, 0.5},
    {"string", "hard_hz", HF_KEY_REAL, IN(hard_hz), 100, 96000},
    {"string", "attack_ms", HF_KEY_REAL, IN(attack_ms), 0.5, 200},
};
