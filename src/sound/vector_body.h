/* SPDX-License-Identifier: MIT */
/*
 * The inner loops, once for each vector width: included by vector_plain.c, vector_avx2.c and
 * vector_avx512.c with LANES and TARGET defined. Lanes are consecutive samples and no sum crosses
 * lanes, so the width never shows in the result.
 */
#include <holdfast/vector.h>

#include <string.h>

#include "sine_poly.h"
#include "true_peak.h"

typedef float floats __attribute__((vector_size(4 * LANES)));
typedef uint32_t words __attribute__((vector_size(4 * LANES)));
typedef int32_t whole __attribute__((vector_size(4 * LANES)));

#define INNER static inline __attribute__((always_inline)) TARGET
#define VECTORS (HF_CHUNK / LANES)

static const uint32_t ramp_words[16] = {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15};

static const float ramp_floats[HF_CHUNK] = {
    0,  1,  2,  3,  4,  5,  6,  7,  8,  9,  10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21,
    22, 23, 24, 25, 26, 27, 28, 29, 30, 31, 32, 33, 34, 35, 36, 37, 38, 39, 40, 41, 42, 43,
    44, 45, 46, 47, 48, 49, 50, 51, 52, 53, 54, 55, 56, 57, 58, 59, 60, 61, 62, 63};

INNER floats load(const float *from)
{
    floats v;
    memcpy(&v, from, sizeof v);
    return v;
}

INNER void store(float *to, floats v)
{
    memcpy(to, &v, sizeof v);
}

INNER words load_words(const uint32_t *from)
{
    words v;
    memcpy(&v, from, sizeof v);
    return v;
}

/* Every lane the same; the sum with a zero vector is exact. */
INNER words all_words(uint32_t value)
{
    return value + (words){0};
}

/* Vectors that are computed side by side, step by step: the steps of one depend on each other, and
 * a processor sees only so far ahead. */
enum { ROW = 4, MOST = 2 * ROW };
#define EACH(count) _Pragma("GCC unroll 8") for (int j = 0; j < (count); j++)

/* hf_sine, lane by lane, of phases that have HF_SINE_QUADRANT taken off already. */
INNER void sines_from_peak(const words *from_peak, int count, floats *y)
{
    words sign[MOST], distance[MOST];
    floats x[MOST], s[MOST], w[MOST];
    EACH(count) sign[j] = (words)((whole)from_peak[j] >> 31);
    EACH(count) distance[j] = (from_peak[j] ^ sign[j]) - sign[j];
    EACH(count) distance[j] = HF_SINE_QUADRANT - distance[j];
    EACH(count) x[j] = __builtin_convertvector((whole)distance[j], floats) * 0x1p-30f;
    EACH(count) s[j] = x[j] * 0.5f;
    EACH(count) s[j] = 0.5f - x[j] * s[j];
    EACH(count) w[j] = HF_SINE_W2 * s[j] + HF_SINE_W1;
    EACH(count) w[j] = w[j] * s[j] + HF_SINE_W0;
    EACH(count) w[j] = s[j] + (s[j] * s[j]) * w[j];
    EACH(count) y[j] = x[j] + x[j] * w[j];
}

/* Phases of the first ROW vectors of a partial; returns the step to the next ROW. */
INNER words first_phases(const struct hf_vector_partial *p, words *phase)
{
    words advance = all_words(p->step * LANES);
    phase[0] = (p->phase - HF_SINE_QUADRANT) + load_words(ramp_words) * p->step;
    for (int j = 1; j < ROW; j++)
        phase[j] = phase[j - 1] + advance;
    return all_words(p->step * LANES * ROW);
}

/* Adds one partial or two to the sum of a chunk; `fallen` is NULL where gains go in straight lines.
 */
INNER void add_partials(const struct hf_vector_partial *const *p, const float *const *fallen,
                        int partials, floats *sum)
{
    words phase[MOST], leap[2];
    for (int m = 0; m < partials; m++)
        leap[m] = first_phases(p[m], phase + m * ROW);
    for (int k = 0; k < VECTORS; k += ROW) {
        floats y[MOST], gain[MOST];
        sines_from_peak(phase, partials * ROW, y);
        EACH(partials * ROW)
        {
            const struct hf_vector_partial *of = p[j / ROW];
            int at = (k + j % ROW) * LANES;
            gain[j] = fallen ? of->gain * load(fallen[j / ROW] + at)
                             : of->gain + of->gain_step * load(ramp_floats + at);
        }
        EACH(partials * ROW) y[j] = gain[j] * y[j];
        EACH(partials * ROW) sum[k + j % ROW] += y[j];
        EACH(partials * ROW) phase[j] += leap[j / ROW];
    }
}

TARGET static void ramp(const struct hf_vector_partial *partial, int count, float out[HF_CHUNK])
{
    floats sum[VECTORS];
    memcpy(sum, out, sizeof sum);
    int n = 0;
    for (; n + 2 <= count; n += 2) {
        const struct hf_vector_partial *two[2] = {&partial[n], &partial[n + 1]};
        add_partials(two, NULL, 2, sum);
    }
    if (n < count) {
        const struct hf_vector_partial *one[1] = {&partial[n]};
        add_partials(one, NULL, 1, sum);
    }
    memcpy(out, sum, sizeof sum);
}

/* Those that sound, two by two. */
TARGET static void decay(const struct hf_vector_partial *partial, int count, const float *fallen,
                         float out[HF_CHUNK])
{
    const struct hf_vector_partial *p[2];
    const float *f[2];
    floats sum[VECTORS];
    int waiting = 0;
    memcpy(sum, out, sizeof sum);
    for (int n = 0; n < count; n++) {
        if (partial[n].gain == 0)
            continue;
        p[waiting] = &partial[n];
        f[waiting] = fallen + n * HF_CHUNK;
        if (++waiting < 2)
            continue;
        add_partials(p, f, 2, sum);
        waiting = 0;
    }
    if (waiting)
        add_partials(p, f, 1, sum);
    memcpy(out, sum, sizeof sum);
}

TARGET static void sine(const uint32_t *phase, int count, float *out)
{
    for (int i = 0; i < count; i += LANES) {
        words from_peak = load_words(phase + i) - HF_SINE_QUADRANT;
        floats y;
        sines_from_peak(&from_peak, 1, &y);
        store(out + i, y);
    }
}

#include "vector_room.h"

INNER floats larger(floats a, floats b)
{
    words choose = (words)(a > b);
    return (floats)(((words)a & choose) | ((words)b & ~choose));
}

/* A filter and its mirror image share their products: with e = x[j] + x[11-j], o = x[j] - x[11-j],
 * one is E + O and the other E - O. */
INNER floats mirrored_peak(const floats *even, const floats *odd, const float *even_taps,
                           const float *odd_taps)
{
    floats e = even_taps[0] * even[0];
    floats o = odd_taps[0] * odd[0];
    for (int j = 1; j < 6; j++) {
        e += even_taps[j] * even[j];
        o += odd_taps[j] * odd[j];
    }
    return larger(magnitude(e + o), magnitude(e - o));
}

TARGET static void true_peak(const float *x, int count, float *peak)
{
    for (int i = 0; i < count; i += LANES) {
        floats even[6], odd[6];
        for (int j = 0; j < 6; j++) {
            floats a = load(x + i + j), b = load(x + i + 11 - j);
            even[j] = a + b;
            odd[j] = a - b;
        }
        floats outer = mirrored_peak(even, odd, hf_true_peak_even[0], hf_true_peak_odd[0]);
        floats inner = mirrored_peak(even, odd, hf_true_peak_even[1], hf_true_peak_odd[1]);
        store(peak + i, larger(magnitude(load(x + i + 6)), larger(outer, inner)));
    }
}

TARGET static uint32_t largest(const float *x, int count)
{
    words most = {0};
    for (int i = 0; i < count; i += LANES) {
        words bits = (words)load(x + i) & 0x7fffffffu;
        words more = (words)(bits > most);
        most = (bits & more) | (most & ~more);
    }
    uint32_t result = 0;
    for (int lane = 0; lane < LANES; lane++)
        result = most[lane] > result ? most[lane] : result;
    return result;
}

#define LOOPS ramp, decay, sine, absorb, mix, diffuse, true_peak, largest
