/* SPDX-License-Identifier: MIT */
/*
 * speech_level: how loud an utterance is, after ITU-R BS.1770-5: K-weighting, blocks of 400 ms that
 * overlap by three quarters, gates at -70 LUFS and 10 LU under the mean.
 *
 * Pure; any thread.
 */
#ifndef HOLDFAST_OUTLET_SPEECH_LEVEL_H
#define HOLDFAST_OUTLET_SPEECH_LEVEL_H

#include <stdint.h>

enum { SPEECH_LEVEL_HZ = 48000 };

/* Loudness in LUFS of `count` samples at 48 kHz, heard alike from both sides; what is shorter than
 * a block counts as one. Silence: -200. */
double speech_level_lufs(const float *samples, int64_t count);

#endif
