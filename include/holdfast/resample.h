/* SPDX-License-Identifier: MIT */
/*
 * resample: brings a sound to another rate, by a windowed sinc (Smith and Gossett, "A flexible
 * sampling-rate conversion method", ICASSP 1984; window after Kaiser, beta 9).
 *
 * Pure apart from memory; any thread.
 */
#ifndef HOLDFAST_RESAMPLE_H
#define HOLDFAST_RESAMPLE_H

#include <stdint.h>

#include <holdfast/status.h>

/* How many samples `count` samples at from_hz become at to_hz: the last lies before their end. */
int64_t hf_resample_count(int64_t count, int from_hz, int to_hz);

/* Writes them. Rates 8000 to 192000. What lies over 0.46 of the lower rate is left out, what lies
 * under 0.40 of it kept to 0.01 dB. HF_E_MEMORY. */
enum hf_status hf_resample(const float *in, int64_t count, int from_hz, float *out, int to_hz,
                           struct hf_diag *diag) HF_CHECKED;

#endif
