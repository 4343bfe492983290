/* SPDX-License-Identifier: MIT */
/*
 * drone: one sustained note of a patch: partials that breathe slowly, each by itself, without ever
 * bending the pitch. Phases and drift are functions of the session sample; only the breath noise
 * remembers.
 *
 * The caller owns the struct (aligned to HF_ALIGNMENT); it points only at constant data. init off
 * the audio thread, render on it; one thread at a time for each note.
 */
#ifndef HOLDFAST_DRONE_H
#define HOLDFAST_DRONE_H

#include <stdint.h>

#include <holdfast/patch.h>
#include <holdfast/random.h>
#include <holdfast/vector.h>

/* A partial's drift is depth * (.62 sin r1 + .38 sin r2): its mean square, for a depth of 1. */
#define HF_DRONE_DRIFT_FIRST 0.62
#define HF_DRONE_DRIFT_SECOND 0.38
#define HF_DRONE_DRIFT_POWER                                                                       \
    ((HF_DRONE_DRIFT_FIRST * HF_DRONE_DRIFT_FIRST +                                                \
      HF_DRONE_DRIFT_SECOND * HF_DRONE_DRIFT_SECOND) /                                             \
     2)

struct hf_drone_control {
    uint32_t start[2]; /* phases of the two slow sines at session sample 0 */
    uint32_t step[2];  /* a chunk */
    uint32_t beat;     /* phase between the copies at session sample 0 */
};

struct hf_drone {
    _Alignas(HF_ALIGNMENT) struct hf_vector_partial partial[HF_PATCH_PARTIALS_MOST];
    float gain_at[HF_PATCH_PARTIALS_MOST]; /* at session sample control_at */
    float level[HF_PATCH_PARTIALS_MOST];
    uint32_t start[HF_PATCH_PARTIALS_MOST]; /* phase at session sample 0 */
    struct hf_drone_control control[HF_PATCH_PARTIALS_MOST];
    const struct hf_vector *vector;
    int64_t control_at;
    int count;
    float drift_depth;
    float beat_depth;
    uint32_t beat_step; /* a chunk */
    struct hf_random noise;
    float breath_gain;
    float breath_keep[2][4]; /* two one-pole low-passes: what stays after 1, 2, 3, 4 samples */
    float breath_take[2];    /* what comes in */
    float breath_state[2];
};

/* Prepares a note. `index`: which of the held notes it is (0 to 11); phases, drift and breath come
 * from the streams HF_STREAM_DRONE + index and HF_STREAM_BREATH + index of `seed`. `cents`: offset
 * from equal temperament. `gain`: linear, from hf_loudness_drone_gain. The patch must be a drone.
 * Costs some tens of microseconds. */
void hf_drone_init(struct hf_drone *drone, const struct hf_patch *patch, int midi, double cents,
                   long a4_mhz, long rate, uint64_t seed, int index, double gain);

/* Overwrites `out` with the 64 samples from session sample `chunk_at` on, a multiple of 64. To be
 * called for every chunk while the session's clock runs, in order. Real-time safe. */
void hf_drone_render(struct hf_drone *drone, int64_t chunk_at, float out[HF_CHUNK]);

#endif
