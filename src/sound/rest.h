/* SPDX-License-Identifier: MIT */
/*
 * rest: the gain of the held notes where they fall silent for a while and come back, both by a slow
 * fade on the session's clock.
 *
 * The caller owns the memory. hf_rest_init off the audio thread; the rest is real-time safe.
 */
#ifndef HOLDFAST_SOUND_REST_H
#define HOLDFAST_SOUND_REST_H

#include <holdfast/held.h>

/* How long the fade is. */
#define HF_REST_S 1.5

struct hf_rest {
    float from, to; /* gains */
    int64_t at;     /* where the fade from the one to the other begins */
    int64_t length; /* of the fade, in samples */
};

/* Starts with the held notes sounding. */
void hf_rest_init(struct hf_rest *rest, int rate_hz);

/* From the chunk at `chunk_at` on they fade to silence, or back, from wherever they are. */
void hf_rest_set(struct hf_rest *rest, bool silent, int64_t chunk_at);

/* Applies the gain to the chunk at `chunk_at` of their bus. */
void hf_rest_apply(const struct hf_rest *rest, int64_t chunk_at, struct hf_bus *bus);

#endif
