/* SPDX-License-Identifier: MIT */
/*
 * Invariants: a chunk is never longer than the shortest line, so what a chunk reads was written
 * before it; no delay moves; the matrix keeps energy and the absorptions lose it, so the loop is
 * stable; what falls below TINY becomes 0, so no denormal number goes round.
 *
 * Rings: a line's ring is a multiple of HF_CHUNK long and is followed by a copy of its first chunk,
 * so that any 64 samples of it lie in a row. The diffusers do the same in steps of 16, since at low
 * rates their delays are shorter than a chunk.
 */
#include <holdfast/room.h>

#include <math.h>
#include <stdbool.h>
#include <string.h>

#include <holdfast/sine.h>

#define TINY 1e-18f
#define STEP 16
#define DIFFUSION 0.6f
#define HIGH_PASS_HZ 60.0

/* Brings the power of both sides together to that of the input, from 200 to 3500 Hz (measured). */
#define OUT_DB (-12.28)
#define T60_S 2.45
#define T60_HIGH_S 1.8
#define HIGH_HZ 4000.0
#define TWO_PI 6.283185307179586
#define LOG2_E 1.4426950408889634

/* At 48 kHz; primes, so that few echoes coincide. */
static const int line_delays[HF_ROOM_LINES] = {1259, 1399, 1559, 1733, 1933, 2153, 2393, 2663,
                                               2963, 3299, 3673, 4091, 4549, 5059, 5639, 6271};
static const int diffuser_delays[2][HF_ROOM_DIFFUSERS] = {{113, 199, 317, 467},
                                                          {127, 211, 331, 487}};

static bool is_prime(long n)
{
    for (long d = 2; d * d <= n; d++)
        if (n % d == 0)
            return false;
    return n > 1;
}

/* The prime nearest to the delay at this rate; of two, the smaller. */
static int32_t scaled(int delay, long rate)
{
    long near = (delay * rate + 24000) / 48000;
    for (long off = 0;; off++) {
        if (is_prime(near - off))
            return (int32_t)(near - off);
        if (is_prime(near + off))
            return (int32_t)(near + off);
    }
}

static double fall(double samples, double t60_samples)
{
    return hf_gain(-60.0 * samples / t60_samples);
}

/* One pole that loses 60 dB in T60_S at 0 Hz and in T60_HIGH_S at HIGH_HZ, over the line's delay
 * (Jot and Chaigne; the pole from the ratio of the two losses). */
static void init_absorption(struct hf_room *room, int line, long rate)
{
    double delay = room->delay[line], second = (double)rate;
    double at_0 = fall(delay, T60_S * second);
    double ratio = fall(delay, T60_HIGH_S * second) / at_0;
    double a = 1.0 - ratio * ratio;
    double b = 1.0 - ratio * ratio * hf_cosine_radians(TWO_PI * HIGH_HZ / second);
    double pole = a < 1e-12 ? 0.0 : (b - sqrt(b * b - a * a)) / a;
    room->keep[line] = (float)pole;
    room->take[line] = (float)(at_0 * (1.0 - pole));
}

void hf_room_init(struct hf_room *room, long rate)
{
    int32_t begin = 0;
    memset((char *)room + sizeof room->memory, 0, sizeof *room - sizeof room->memory);
    room->vector = hf_vector_best();
    for (int n = 0; n < HF_ROOM_LINES; n++) {
        room->delay[n] = scaled(line_delays[n], rate);
        room->begin[n] = begin;
        room->size[n] = (room->delay[n] + 2 * HF_CHUNK - 1) / HF_CHUNK * HF_CHUNK;
        begin += room->size[n] + HF_CHUNK;
        init_absorption(room, n, rate);
    }
    memset(room->memory, 0, (size_t)begin * sizeof room->memory[0]);
    for (int side = 0; side < 2; side++)
        for (int n = 0; n < HF_ROOM_DIFFUSERS; n++)
            room->diffuser_delay[side][n] = scaled(diffuser_delays[side][n], rate);
    room->high_pass_keep = (float)hf_exp2(-TWO_PI * HIGH_PASS_HZ / (double)rate * LOG2_E);
    room->out_gain = (float)hf_gain(OUT_DB);
}

static float without_tiny(float x)
{
    return x < TINY && x > -TINY ? 0.0f : x;
}

static void high_pass(struct hf_room *room, int side, const float *in, float *out)
{
    float state = room->high_pass_state[side], last = room->high_pass_in[side];
    float keep = room->high_pass_keep;
    for (int i = 0; i < HF_CHUNK; i++) {
        float rise = in[i] - last;
        last = in[i];
        state = keep * (state + rise);
        out[i] = state;
    }
    room->high_pass_state[side] = without_tiny(state);
    room->high_pass_in[side] = last;
}

/* Schroeder's allpass in place: v = x + g v[-m], y = v[-m] - g v. */
static void diffuse(struct hf_room *room, int side, int n, float *signal)
{
    float *ring = room->diffuser[side][n];
    int32_t delay = room->diffuser_delay[side][n];
    int32_t size = (delay + 2 * STEP - 1) / STEP * STEP;
    int32_t write = room->diffuser_write[side][n];
    for (int at = 0; at < HF_CHUNK; at += STEP) {
        int32_t read = write - delay < 0 ? write - delay + size : write - delay;
        for (int i = 0; i < STEP; i++) {
            float old = ring[read + i];
            float fresh = without_tiny(signal[at + i] + DIFFUSION * old);
            signal[at + i] = old - DIFFUSION * fresh;
            ring[write + i] = fresh;
        }
        if (write == 0)
            memcpy(ring + size, ring, STEP * sizeof *ring);
        write = write + STEP == size ? 0 : write + STEP;
    }
    room->diffuser_write[side][n] = write;
}

static void read_lines(const struct hf_room *room, float row[HF_ROOM_LINES][HF_CHUNK])
{
    for (int n = 0; n < HF_ROOM_LINES; n++) {
        int32_t read = room->write[n] - room->delay[n];
        if (read < 0)
            read += room->size[n];
        memcpy(row[n], room->memory + room->begin[n] + read, sizeof row[n]);
    }
}

static void absorb(struct hf_room *room, float row[HF_ROOM_LINES][HF_CHUNK])
{
    for (int n = 0; n < HF_ROOM_LINES; n++) {
        float state = room->absorbed[n], keep = room->keep[n], take = room->take[n];
        for (int i = 0; i < HF_CHUNK; i++) {
            state = take * row[n][i] + keep * state;
            row[n][i] = state;
        }
        room->absorbed[n] = without_tiny(state);
    }
}

/* Even lines are heard left, odd ones right, with signs that leave the two sides alike in nothing:
 * of 200 drawn at random the ones with the least correlation (0.006; plainly alternating signs have
 * 0.08, since the matrix has such rows). */
static const float sign[HF_ROOM_LINES] = {-1, 1, 1, -1, 1, -1, 1, 1, -1, -1, 1, 1, -1, 1, -1, -1};

static void listen(const struct hf_room *room, float row[HF_ROOM_LINES][HF_CHUNK],
                   float out[2][HF_CHUNK])
{
    for (int side = 0; side < 2; side++) {
        for (int i = 0; i < HF_CHUNK; i++) {
            float sum = sign[side] * row[side][i];
            for (int n = side + 2; n < HF_ROOM_LINES; n += 2)
                sum += sign[n] * row[n][i];
            out[side][i] = sum * room->out_gain;
        }
    }
}

static void write_lines(struct hf_room *room, float row[HF_ROOM_LINES][HF_CHUNK],
                        float fed[2][HF_CHUNK])
{
    for (int n = 0; n < HF_ROOM_LINES; n++) {
        float *ring = room->memory + room->begin[n];
        float *to = ring + room->write[n];
        for (int i = 0; i < HF_CHUNK; i++)
            to[i] = without_tiny(row[n][i] + fed[n & 1][i]);
        if (room->write[n] == 0)
            memcpy(ring + room->size[n], ring, HF_CHUNK * sizeof *ring);
        room->write[n] += HF_CHUNK;
        if (room->write[n] == room->size[n])
            room->write[n] = 0;
    }
}

void hf_room_render(struct hf_room *room, const float in_left[HF_CHUNK],
                    const float in_right[HF_CHUNK], float out_left[HF_CHUNK],
                    float out_right[HF_CHUNK])
{
    _Alignas(HF_ALIGNMENT) float row[HF_ROOM_LINES][HF_CHUNK];
    float fed[2][HF_CHUNK], heard[2][HF_CHUNK];
    high_pass(room, 0, in_left, fed[0]);
    high_pass(room, 1, in_right, fed[1]);
    for (int side = 0; side < 2; side++)
        for (int n = 0; n < HF_ROOM_DIFFUSERS; n++)
            diffuse(room, side, n, fed[side]);
    read_lines(room, row);
    absorb(room, row);
    listen(room, row, heard);
    room->vector->hadamard(row);
    write_lines(room, row, fed);
    memcpy(out_left, heard[0], sizeof heard[0]);
    memcpy(out_right, heard[1], sizeof heard[1]);
}
