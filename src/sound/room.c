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
    room->silent_chunks = room->size[HF_ROOM_LINES - 1] / HF_CHUNK; /* empty: idle from the start */
}

/* A recursion that would end in denormal numbers ends in 0. */
static float without_tiny(float x)
{
    return x < 1e-18f && x > -1e-18f ? 0.0f : x;
}

/* Both sides at once: two recursions take the time of one. */
static void high_pass(struct hf_room *room, const float *left, const float *right,
                      float out[2][HF_CHUNK])
{
    float keep = room->high_pass_keep;
    float state[2] = {room->high_pass_state[0], room->high_pass_state[1]};
    float last[2] = {room->high_pass_in[0], room->high_pass_in[1]};
    for (int i = 0; i < HF_CHUNK; i++) {
        state[0] = keep * state[0] + keep * (left[i] - last[0]);
        state[1] = keep * state[1] + keep * (right[i] - last[1]);
        last[0] = left[i];
        last[1] = right[i];
        out[0][i] = state[0];
        out[1][i] = state[1];
    }
    for (int side = 0; side < 2; side++) {
        room->high_pass_state[side] = without_tiny(state[side]);
        room->high_pass_in[side] = last[side];
    }
}

static void diffuse(struct hf_room *room, int side, float *signal)
{
    for (int n = 0; n < HF_ROOM_DIFFUSERS; n++) {
        int32_t delay = room->diffuser_delay[side][n];
        int32_t size = (delay + 2 * STEP - 1) / STEP * STEP;
        room->diffuser_write[side][n] = room->vector->diffuse(
            room->diffuser[side][n], size, delay, room->diffuser_write[side][n], DIFFUSION, signal);
    }
}

static const float *read_place(const struct hf_room *room, int n)
{
    int32_t read = room->write[n] - room->delay[n];
    return room->memory + room->begin[n] + (read < 0 ? read + room->size[n] : read);
}

/* The first chunk of a ring is written behind its last one, too. */
static void write_line(struct hf_room *room, int n, const float row[HF_CHUNK])
{
    float *ring = room->memory + room->begin[n];
    memcpy(ring + room->write[n], row, HF_CHUNK * sizeof *ring);
    if (room->write[n] == 0)
        memcpy(ring + room->size[n], row, HF_CHUNK * sizeof *ring);
    room->write[n] += HF_CHUNK;
    if (room->write[n] == room->size[n])
        room->write[n] = 0;
}

/* Even lines are heard left, odd ones right, with signs that leave the two sides alike in nothing:
 * of 200 drawn at random the ones with the least correlation (0.006; plainly alternating signs have
 * 0.08, since the matrix has such rows). */
const float hf_room_sign[HF_ROOM_LINES] = {-1, 1, 1, -1, 1, -1, 1, 1, -1, -1, 1, 1, -1, 1, -1, -1};

static bool nothing_in(const struct hf_room *room, const float *left, const float *right)
{
    return room->vector->largest(left, HF_CHUNK) == 0 &&
           room->vector->largest(right, HF_CHUNK) == 0;
}

/* Counts chunks in which neither the lines nor what is fed to them held anything: once these fill
 * the longest line, all is 0 and stays so until something comes in. */
static void watch(struct hf_room *room, bool silent_in, float row[HF_ROOM_LINES][HF_CHUNK],
                  float fed[2][HF_CHUNK])
{
    bool silent = silent_in && nothing_in(room, fed[0], fed[1]) &&
                  room->vector->largest(row[0], HF_ROOM_LINES * HF_CHUNK) == 0;
    room->silent_chunks = silent ? room->silent_chunks + 1 : 0;
}

void hf_room_render(struct hf_room *room, const float in_left[HF_CHUNK],
                    const float in_right[HF_CHUNK], float out_left[HF_CHUNK],
                    float out_right[HF_CHUNK])
{
    _Alignas(HF_ALIGNMENT) float row[HF_ROOM_LINES][HF_CHUNK];
    float fed[2][HF_CHUNK], heard[2][HF_CHUNK] = {{0}};
    const float *line[HF_ROOM_LINES];
    bool silent_in = nothing_in(room, in_left, in_right);
    bool idle = silent_in && room->silent_chunks * HF_CHUNK >= room->size[HF_ROOM_LINES - 1];
    if (!idle) {
        high_pass(room, in_left, in_right, fed);
        diffuse(room, 0, fed[0]);
        diffuse(room, 1, fed[1]);
        for (int n = 0; n < HF_ROOM_LINES; n++)
            line[n] = read_place(room, n);
        room->vector->absorb(line, room->take, room->keep, room->absorbed, row);
        room->vector->mix(row, fed, hf_room_sign, heard);
        for (int n = 0; n < HF_ROOM_LINES; n++)
            write_line(room, n, row[n]);
        watch(room, silent_in, row, fed);
    }
    for (int i = 0; i < HF_CHUNK; i++) {
        out_left[i] = heard[0][i] * room->out_gain;
        out_right[i] = heard[1][i] * room->out_gain;
    }
}
