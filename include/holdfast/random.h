/* SPDX-License-Identifier: MIT */
/*
 * random: the one source of chance, so that a session is a function of its seed. PCG32 XSH-RR
 * (M. E. O'Neill, "PCG: A Family of Simple Fast Space-Efficient Statistically Good Algorithms for
 * Random Number Generation", 2014): 64 bits of state, independent streams.
 *
 * The caller owns the state. Real-time safe. One thread at a time for each state.
 */
#ifndef HOLDFAST_RANDOM_H
#define HOLDFAST_RANDOM_H

#include <stdint.h>

struct hf_random {
    uint64_t state;
    uint64_t increment; /* odd; chooses the stream */
};

/* What a stream is for: separate ones, so that a way to cue never alters the drone. */
enum hf_stream {
    HF_STREAM_SCHEDULE = 1,
    HF_STREAM_HELD = 2,
    HF_STREAM_VOICING = 3,
    HF_STREAM_DITHER = 4,
    HF_STREAM_SIGHT = 5,
    HF_STREAM_UNFOLD = 6,
    HF_STREAM_DRONE = 1000,  /* + index of the held note */
    HF_STREAM_BREATH = 2000, /* + index of the held note */
    HF_STREAM_CUE = 3000
};

/* Starts `stream` of `seed`; any values are allowed. */
void hf_random_init(struct hf_random *random, uint64_t seed, uint64_t stream);

/* The next 32 bits, uniform. */
uint32_t hf_random_next(struct hf_random *random);

/* A whole number from 0 to bound - 1, uniform (rejection, no modulo bias); bound is 1 or more. */
uint32_t hf_random_below(struct hf_random *random, uint32_t bound);

/* A number from 0 up to, not including, 1: 24 bits, exact in float. */
float hf_random_unit(struct hf_random *random);

#endif
