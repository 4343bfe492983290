/* SPDX-License-Identifier: MIT */
/*
 * vector: the inner loops of the sound, each compiled for several vector widths from one source,
 * and the choice among them. Every width gives the same bits: lanes are consecutive samples, and
 * what is added for one sample is added in the same order.
 *
 * Constant data, owned by the program; the choice is made once and may be overruled (tests, bench)
 * before anything is initialised. Reading it is real-time safe on any thread.
 */
#ifndef HOLDFAST_VECTOR_H
#define HOLDFAST_VECTOR_H

#include <stddef.h>
#include <stdint.h>

/* Samples in a chunk: the engine's unit of work and the step of control values. A multiple of every
 * vector width. Chunks lie on multiples of it on the session's clock. */
#define HF_CHUNK 64

/* Alignment of the arrays inside the sound structs; memory for them comes from static storage, the
 * stack, or aligned_alloc(HF_ALIGNMENT, ...). */
#define HF_ALIGNMENT 64

/* One partial that sounds for a chunk: phase at the first sample and step of it, gain there and its
 * step a sample. */
struct hf_vector_partial {
    uint32_t phase;
    uint32_t step;
    float gain;
    float gain_step;
};

struct hf_vector {
    const char *name; /* "plain", "avx2", ... */
    int lanes;

    /* out[i] += (gain + gain_step * i) * sine(phase + step * i) for i in 0..63, partial by partial
     * in index order. Real-time safe. */
    void (*ramp)(const struct hf_vector_partial *partial, int count, float out[HF_CHUNK]);

    /* out[i] += gain * decay[64 n + i] * sine(phase + step * i), n the index of the partial, for
     * those whose gain is not 0. `decay` is aligned. Real-time safe. */
    void (*decay)(const struct hf_vector_partial *partial, int count, const float *decay,
                  float out[HF_CHUNK]);

    /* out[i] = sine(phase[i]) for count phases, a multiple of 16. Real-time safe. */
    void (*sine)(const uint32_t *phase, int count, float *out);

    /* The room's absorption: for each of 16 lines of 64 samples,
     * row[n][i] = state[n] = take[n] * line[n][i] + keep[n] * state[n]. Real-time safe. */
    void (*absorb)(const float *const line[16], const float take[16], const float keep[16],
                   float state[16], float row[16][HF_CHUNK]);

    /* The room's matrix: heard[s] = the sum of sign[n] * row[n] over even n (s = 0) or odd n, in
     * order; then row = H row / 4 + fed[n & 1], H the Hadamard matrix of order 16; what falls under
     * 1e-18 is 0. Real-time safe. */
    void (*mix)(float row[16][HF_CHUNK], float fed[2][HF_CHUNK], const float sign[16],
                float heard[2][HF_CHUNK]);

    /* Schroeder's allpass of a signal in place, over a ring of `size` (a multiple of 16) and 16
     * more that repeat its beginning; `delay` is 16 or more and 16 less than `size` at most.
     * Returns where the ring is written next. Real-time safe. */
    int (*diffuse)(float *ring, int size, int delay, int write, float gain, float signal[HF_CHUNK]);

    /* peak[i] = the largest absolute value of x[i + 6] of a sample and of the four interpolated
     * ones of ITU-R BS.1770 annex 2 around it, for count samples, a multiple of 16; x holds
     * count + 11 samples. Real-time safe. */
    void (*true_peak)(const float *x, int count, float *peak);

    /* The largest magnitude among count samples (a multiple of 16), as the bits of a float, so that
     * what is no finite number is larger than all that are. Real-time safe. */
    uint32_t (*largest)(const float *x, int count);
};

/* The widest that this machine runs, or what hf_vector_use asked for. */
const struct hf_vector *hf_vector_best(void);

/* All that are compiled in, narrowest first, ended by NULL; whether this machine runs one. */
const struct hf_vector *const *hf_vector_all(void);
int hf_vector_runs(const struct hf_vector *vector);

/* Makes hf_vector_best return this one from now on (NULL: the machine's best again). For tests and
 * measurements; not while another thread initialises a sound. */
void hf_vector_use(const struct hf_vector *vector);

#endif
