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

/* What is promised, and what it works with: in dB of full scale, true peak. The difference is what
 * the standard's interpolator misses of a full-band signal (0.31 dB, measured), and a little. */
#define HF_CEILING_DB (-6.0)
#define HF_CEILING_INNER_DB (-6.35)

/* Window of 1.5 ms at 192 kHz. */
#define HF_CEILING_WINDOW_MOST 288
#define HF_CEILING_INTERPOLATOR 6
#define HF_CEILING_TAIL 11
#define HF_CEILING_SPARE 16
#define HF_CEILING_WANTED_MOST 512 /* powers of two above window + look-ahead + chunk */
#define HF_CEILING_RING 512

/* The average of the last `size` gains. */
struct hf_ceiling_average {
    uint32_t gain[HF_CEILING_WINDOW_MOST / 2];
    uint64_t sum;
    int32_t size;
    int32_t next;
};

struct hf_ceiling {
    _Alignas(HF_ALIGNMENT) float history[2][HF_CEILING_RING];
    /* what the detector still needs, then the new, then zeros up to a multiple of 16 */
    float recent[2][HF_CEILING_TAIL + HF_CHUNK + HF_CEILING_SPARE];
    uint32_t wanted[HF_CEILING_WANTED_MOST];    /* gains in Q30: a queue of rising ones, */
    uint32_t wanted_at[HF_CEILING_WANTED_MOST]; /* and when each came */
    struct hf_ceiling_average smooth[2];        /* one after the other */
    uint32_t released;                          /* the last gain after minimum and release */
    uint32_t release;                           /* fraction of the way back to 1 a sample, Q30 */
    int32_t window;
    uint32_t first; /* the queue's ends, counted without end */
    uint32_t last;
    uint32_t now; /* samples that have come */
    float threshold;
    const struct hf_vector *vector;
    uint64_t not_numbers; /* how many samples were not finite */
    uint64_t reduced;     /* how many frames had a gain under 1 */
};

/* `threshold`: linear, largest true peak (hf_gain(HF_CEILING_INNER_DB)); rate 8000 to 192000. */
void hf_ceiling_init(struct hf_ceiling *ceiling, long rate, float threshold);

/* Samples by which the output comes later than the input: 78 at 48 kHz. */
int hf_ceiling_latency(const struct hf_ceiling *ceiling);

/* Limits `count` samples (any number) of both sides in place, with one gain for both. The result
 * does not depend on how a signal is cut into calls. Real-time safe. */
void hf_ceiling_render(struct hf_ceiling *ceiling, float *left, float *right, int count);

#endif
