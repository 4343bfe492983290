/* SPDX-License-Identifier: MIT */
/*
 * resample: brings a sound to another rate, by a windowed sinc from a table (Smith and Gossett, "A
 * flexible sampling-rate conversion method", ICASSP 1984; window after Kaiser, beta 9). Our own
 * rather than a library's, so that it comes out the same on every build.
 *
 * The caller owns the struct, which is constant once it is filled. Pure; any thread.
 */
#ifndef HOLDFAST_RESAMPLE_H
#define HOLDFAST_RESAMPLE_H

#include <stdint.h>

/* Zero crossings of the kernel on each side, and entries of the table from one to the next. */
enum {
    HF_RESAMPLE_CROSSINGS = 40,
    HF_RESAMPLE_STEPS = 1024,
    HF_RESAMPLE_ENTRIES = HF_RESAMPLE_CROSSINGS * HF_RESAMPLE_STEPS + 2
};

struct hf_resampler {
    float table[HF_RESAMPLE_ENTRIES]; /* half of the kernel, from its middle */
};

void hf_resampler_init(struct hf_resampler *resampler);

/* How many samples `count` samples at from_hz become at to_hz: the last lies before their end. */
int64_t hf_resample_count(int64_t count, int from_hz, int to_hz);

/* Writes them; rates 8000 to 192000. Up to .42 of the lower rate the sound is as it was, to 0.01
 * dB; from .5 on nothing is left of it, to -90 dB. */
void hf_resample(const struct hf_resampler *resampler, const float *in, int64_t count, int from_hz,
                 float *out, int to_hz);

#endif
