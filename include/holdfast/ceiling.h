/* SPDX-License-Identifier: MIT */
/*
 * ceiling: the last thing before the output, which nothing passes: a true-peak limiter with the
 * interpolator of ITU-R BS.1770 annex 2. Below the threshold its output is its input, delayed, bit
 * for bit; what is not a finite number becomes silence and is counted.
 *
 * The caller owns the struct; it points only at constant data. init off the audio thread, render on
 * it.
 */
#ifndef HOLDFAST_CEILING_H
#define HOLDFAST_CEILING_H

#include <stdint.h>

#include <holdfast/vector.h>

/* What is promised, and what it works with: in dB of full scale, true peak. */
#define HF_CEILING_DB (-6.0)
#define HF_CEILING_INNER_DB (-6.2)

/* Window of 1.5 ms at 192 kHz. */
#define HF_CEILING_WINDOW_MOST 288
#define HF_CEILING_INTERPOLATOR 6 /* samples that the interpolator looks ahead */
#define HF_CEILING_RING 512       /* a power of two above window + look-ahead + chunk */

struct hf_ceiling {
    _Alignas(HF_ALIGNMENT) float history[2][HF_CEILING_RING];
    float recent[2][11 + HF_CHUNK]; /* what the interpolator still needs, then the chunk */
    uint32_t wanted[HF_CEILING_WINDOW_MOST]; /* gains in Q30, a ring of one window */
    uint32_t held[HF_CEILING_WINDOW_MOST];   /* after minimum and release */
    uint64_t held_sum;
    uint32_t released; /* the last gain after minimum and release */
    uint32_t release;  /* fraction a sample, Q30 */
    int32_t calm;      /* samples since anything was asked of it, up to what empties both rings */
    int32_t window;
    int32_t at; /* in the rings of a window */
    uint32_t ring_at;
    float threshold;
    const struct hf_vector *vector;
    uint64_t not_numbers; /* how many samples were not finite */
    uint64_t reduced;     /* how many samples had a gain under 1 */
};

/* `threshold`: linear, largest true peak (hf_gain(HF_CEILING_INNER_DB)); rate 8000 to 192000. */
void hf_ceiling_init(struct hf_ceiling *ceiling, long rate, float threshold);

/* Samples by which the output comes later than the input: 78 at 48 kHz. */
int hf_ceiling_latency(const struct hf_ceiling *ceiling);

/* Limits `count` samples (any number) of both sides in place, with one gain for both. The result
 * does not depend on how a signal is cut into calls. Real-time safe. */
void hf_ceiling_render(struct hf_ceiling *ceiling, float *left, float *right, int count);

#endif
