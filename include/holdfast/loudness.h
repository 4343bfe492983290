/* SPDX-License-Identifier: MIT */
/*
 * loudness: how loud, bright and rough a patch is, by computation from its partials: the weighting
 * of ITU-R BS.1770 at each of them, so that any patch sounds at the promised level without a gain
 * set by hand.
 *
 * Pure; any thread; not real-time safe (tens of microseconds).
 */
#ifndef HOLDFAST_LOUDNESS_H
#define HOLDFAST_LOUDNESS_H

#include <holdfast/patch.h>

/* The held set as a whole; an equal share of it for one of three notes is 10 log10 3 less. */
#define HF_LOUDNESS_HELD_LUFS (-26.0)

/* The momentary maximum of one added note: 7 dB over the share of one of three held notes. */
#define HF_LOUDNESS_ADDED_LUFS (-23.77)

/* What a patch without a partial under the limits is said to have. */
#define HF_LOUDNESS_SILENCE_LUFS (-200.0)

#define HF_LOUDNESS_NOTES_MOST 12

/* Magnitude (linear) at a frequency of the K-weighting: the two filters of ITU-R BS.1770 with their
 * coefficients for 48 kHz, whatever the rate of the session. */
double hf_loudness_weight(double frequency_hz);

/* Linear gain for hf_drone_init that brings n held notes (1 to 12) together to
 * HF_LOUDNESS_HELD_LUFS, panned at equal power; the same gain for each note. */
double hf_loudness_drone_gain(const struct hf_patch *patch, const int *midi, int n, long a4_mhz,
                              long rate);

/* Linear gain for hf_struck_init that brings one note to a momentary maximum (400 ms) of `lufs`. */
double hf_loudness_struck_gain(const struct hf_patch *patch, int midi, long a4_mhz, long rate,
                               double lufs);

/* What a patch is like on a chord of n notes (1 to 12). */
struct hf_loudness_portrait {
    double lufs;        /* with the gain above: drone, integrated; struck, one note's momentary */
    double centroid_hz; /* mean frequency, weighted by power */
    double roughness;   /* W. A. Sethares 1993, amplitudes scaled to a sum of a^2 of 1 */
    double share_2k_5k; /* of the power, in 2 to 5 kHz */
};
void hf_loudness_describe(const struct hf_patch *patch, const int *midi, int n, long a4_mhz,
                          long rate, struct hf_loudness_portrait *out);

/* Roughness of n partials, linear amplitudes (Sethares, "Local consonance and the relationship
 * between timbre and scale", JASA 94, 1993). */
double hf_loudness_roughness(const double *frequency_hz, const double *amplitude, int n);

#endif
