/* SPDX-License-Identifier: MIT */
/*
 * ramp: a gain that moves from where it is to another by a slow fade on the session's clock. What
 * it is of, and when it moves, is for master, rest and level to say.
 *
 * The caller owns the memory. Real-time safe.
 */
#ifndef HOLDFAST_SOUND_RAMP_H
#define HOLDFAST_SOUND_RAMP_H

#include <holdfast/held.h>

struct hf_ramp {
    float from, to;
    int64_t at, length; /* of the fade from the one to the other, in samples */
};

/* At a gain. */
void hf_ramp_init(struct hf_ramp *ramp, float gain);

/* From `at` on, the first sample of a chunk, moves to `gain`, from wherever it is, in `length`
 * samples. */
void hf_ramp_set(struct hf_ramp *ramp, float gain, int64_t length, int64_t at);

/* The gain of each sample of the chunk at `chunk_at`. */
void hf_ramp_gain(const struct hf_ramp *ramp, int64_t chunk_at, float gain[HF_CHUNK]);

/* Applies it to the chunk at `chunk_at` of a bus; chunks must come in order. */
void hf_ramp_apply(const struct hf_ramp *ramp, int64_t chunk_at, struct hf_bus *bus);

#endif
