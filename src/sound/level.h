/* SPDX-License-Identifier: MIT */
/*
 * level: the gain of the held notes where the session makes them softer, for good or for a while.
 * Every change is a slow fade that begins with a chunk.
 *
 * The caller owns the memory. hf_level_init off the audio thread; the rest is real-time safe.
 */
#ifndef HOLDFAST_SOUND_LEVEL_H
#define HOLDFAST_SOUND_LEVEL_H

#include "ramp.h"

struct hf_level {
    struct hf_ramp ramp;
    int64_t gone_at;     /* where a fade to nothing begins, HF_NEVER for none */
    int64_t gone_length; /* of that fade */
};

/* At a gain of 1. */
void hf_level_init(struct hf_level *level);

/* From `chunk_at` on moves to `gain`, from wherever it is, in `length` samples; and after `hold`
 * samples, if that is above 0, to nothing in as many. */
void hf_level_set(struct hf_level *level, float gain, int64_t length, int64_t hold,
                  int64_t chunk_at);

/* Applies the gain of the chunk at `chunk_at`; chunks must come in order. */
void hf_level_apply(struct hf_level *level, int64_t chunk_at, struct hf_bus *bus);

#endif
