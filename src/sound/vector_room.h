/* SPDX-License-Identifier: MIT */
/*
 * The room's inner loops, a part of vector_body.h. The absorption is a recursion in time, so there
 * lanes are lines: four lines by four samples are turned over, side by side as many as the vector
 * holds.
 */

#define TINY 1e-18f

INNER floats magnitude(floats v)
{
    return (floats)((words)v & 0x7fffffffu);
}

/* What is below TINY becomes 0: no denormal number goes round. */
INNER floats without_tiny(floats v)
{
    return (floats)((words)v & (words)(magnitude(v) >= TINY));
}

/* In each four lanes: a0 b0 a1 b1, a2 b2 a3 b3, a0 a1 b0 b1, a2 a3 b2 b3. */
#if LANES == 4
#define LOW(a, b) __builtin_shufflevector(a, b, 0, 4, 1, 5)
#define HIGH(a, b) __builtin_shufflevector(a, b, 2, 6, 3, 7)
#define FRONT(a, b) __builtin_shufflevector(a, b, 0, 1, 4, 5)
#define BACK(a, b) __builtin_shufflevector(a, b, 2, 3, 6, 7)
#elif LANES == 8
#define LOW(a, b) __builtin_shufflevector(a, b, 0, 8, 1, 9, 4, 12, 5, 13)
#define HIGH(a, b) __builtin_shufflevector(a, b, 2, 10, 3, 11, 6, 14, 7, 15)
#define FRONT(a, b) __builtin_shufflevector(a, b, 0, 1, 8, 9, 4, 5, 12, 13)
#define BACK(a, b) __builtin_shufflevector(a, b, 2, 3, 10, 11, 6, 7, 14, 15)
#else
#define LOW(a, b)                                                                                  \
    __builtin_shufflevector(a, b, 0, 16, 1, 17, 4, 20, 5, 21, 8, 24, 9, 25, 12, 28, 13, 29)
#define HIGH(a, b)                                                                                 \
    __builtin_shufflevector(a, b, 2, 18, 3, 19, 6, 22, 7, 23, 10, 26, 11, 27, 14, 30, 15, 31)
#define FRONT(a, b)                                                                                \
    __builtin_shufflevector(a, b, 0, 1, 16, 17, 4, 5, 20, 21, 8, 9, 24, 25, 12, 13, 28, 29)
#define BACK(a, b)                                                                                 \
    __builtin_shufflevector(a, b, 2, 3, 18, 19, 6, 7, 22, 23, 10, 11, 26, 27, 14, 15, 30, 31)
#endif

/* Four rows to four columns, in each four lanes. */
INNER void turn_over(floats v[4])
{
    floats a = LOW(v[0], v[1]), b = LOW(v[2], v[3]), c = HIGH(v[0], v[1]), d = HIGH(v[2], v[3]);
    v[0] = FRONT(a, b);
    v[1] = BACK(a, b);
    v[2] = FRONT(c, d);
    v[3] = BACK(c, d);
}

typedef float four __attribute__((vector_size(16)));

INNER four load_four(const float *from)
{
    four v;
    memcpy(&v, from, sizeof v);
    return v;
}

INNER void store_four(float *to, four v)
{
    memcpy(to, &v, sizeof v);
}

/* The same four samples of every fourth line from `first` on, and back to rows. */
#if LANES == 4
INNER floats gather(const float *const line[16], int first, int at)
{
    return load_four(line[first] + at);
}

INNER void scatter(float row[16][HF_CHUNK], int first, int at, floats v)
{
    store_four(row[first] + at, v);
}
#else
typedef float eight __attribute__((vector_size(32)));

INNER eight gather_eight(const float *const line[16], int first, int at)
{
    return __builtin_shufflevector(load_four(line[first] + at), load_four(line[first + 4] + at), 0,
                                   1, 2, 3, 4, 5, 6, 7);
}

INNER void scatter_eight(float row[16][HF_CHUNK], int first, int at, eight v)
{
    store_four(row[first] + at, __builtin_shufflevector(v, v, 0, 1, 2, 3));
    store_four(row[first + 4] + at, __builtin_shufflevector(v, v, 4, 5, 6, 7));
}

#if LANES == 8
INNER floats gather(const float *const line[16], int first, int at)
{
    return gather_eight(line, first, at);
}

INNER void scatter(float row[16][HF_CHUNK], int first, int at, floats v)
{
    scatter_eight(row, first, at, v);
}
#else
INNER floats gather(const float *const line[16], int first, int at)
{
    return __builtin_shufflevector(gather_eight(line, first, at), gather_eight(line, first + 8, at),
                                   0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15);
}

INNER void scatter(float row[16][HF_CHUNK], int first, int at, floats v)
{
    scatter_eight(row, first, at, __builtin_shufflevector(v, v, 0, 1, 2, 3, 4, 5, 6, 7));
    scatter_eight(row, first + 8, at, __builtin_shufflevector(v, v, 8, 9, 10, 11, 12, 13, 14, 15));
}
#endif
#endif

INNER floats absorb_4(const float *const line[16], int first, int at, floats take, floats keep,
                      floats state, float row[16][HF_CHUNK])
{
    floats v[4];
    for (int j = 0; j < 4; j++)
        v[j] = gather(line, first + j, at);
    turn_over(v);
    for (int j = 0; j < 4; j++)
        v[j] = state = take * v[j] + keep * state;
    turn_over(v);
    for (int j = 0; j < 4; j++)
        scatter(row, first + j, at, v[j]);
    return state;
}

TARGET static void absorb(const float *const line[16], const float take[16], const float keep[16],
                          float state[16], float row[16][HF_CHUNK])
{
    floats now[16 / LANES];
    memcpy(now, state, sizeof now);
    for (int at = 0; at < HF_CHUNK; at += 4)
        for (int n = 0; n < 16 / LANES; n++)
            now[n] = absorb_4(line, n * LANES, at, load(take + n * LANES), load(keep + n * LANES),
                              now[n], row);
    for (int n = 0; n < 16 / LANES; n++)
        now[n] = without_tiny(now[n]);
    memcpy(state, now, sizeof now);
}

/* Four rounds of sums and differences. */
INNER void hadamard(floats v[16])
{
#pragma GCC unroll 4
    for (int span = 1; span < 16; span *= 2) {
#pragma GCC unroll 16
        for (int n = 0; n < 16; n++) {
            if (n & span)
                continue;
            floats sum = v[n] + v[n + span];
            v[n + span] = v[n] - v[n + span];
            v[n] = sum;
        }
    }
}

INNER floats signed_sum(const floats v[16], const float sign[16], int side)
{
    floats sum = sign[side] * v[side];
#pragma GCC unroll 8
    for (int n = side + 2; n < 16; n += 2)
        sum += sign[n] * v[n];
    return sum;
}

TARGET static void mix(float row[16][HF_CHUNK], float fed[2][HF_CHUNK], const float sign[16],
                       float heard[2][HF_CHUNK])
{
    for (int at = 0; at < HF_CHUNK; at += LANES) {
        floats v[16];
#pragma GCC unroll 16
        for (int n = 0; n < 16; n++)
            v[n] = load(&row[n][at]);
        store(&heard[0][at], signed_sum(v, sign, 0));
        store(&heard[1][at], signed_sum(v, sign, 1));
        hadamard(v);
        floats left = load(&fed[0][at]), right = load(&fed[1][at]);
#pragma GCC unroll 16
        for (int n = 0; n < 16; n++)
            store(&row[n][at], without_tiny(v[n] * 0.25f + (n & 1 ? right : left)));
    }
}

/* Schroeder's allpass in place: v = x + g v[-m], y = v[-m] - g v. */
TARGET static int diffuse(float *ring, int size, int delay, int write, float gain,
                          float signal[HF_CHUNK])
{
    for (int at = 0; at < HF_CHUNK; at += 16) {
        int read = write - delay < 0 ? write - delay + size : write - delay;
        for (int i = 0; i < 16; i += LANES) {
            floats old = load(ring + read + i);
            floats fresh = without_tiny(load(signal + at + i) + gain * old);
            store(signal + at + i, old - gain * fresh);
            store(ring + write + i, fresh);
        }
        if (write == 0)
            memcpy(ring + size, ring, 16 * sizeof *ring);
        write = write + 16 == size ? 0 : write + 16;
    }
    return write;
}
