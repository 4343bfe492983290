/* SPDX-License-Identifier: MIT */
/*
 * track: one cue of a session as a piece of sound that can go round for ever: the held notes
 * without a seam (hf_loop), the added ones where they sound in the cue, with what is left of them
 * at the end going on at the beginning.
 *
 * The caller owns the samples. Not real-time safe; one thread at a time for each call.
 */
#ifndef HOLDFAST_TRACK_H
#define HOLDFAST_TRACK_H

#include <stdint.h>

#include <holdfast/engine.h>

/* The shortest piece, in seconds: in less the held notes could not stay in tune. A shorter cue is
 * given as much silence of its own as is missing. */
#define HF_TRACK_SHORTEST_S 8.0

struct hf_track_setting {
    struct hf_engine_setting engine; /* as the session had it; nobody speaks */
    int held_count;                  /* 0 where nothing is held */
    uint8_t held[HF_EVENT_NOTES];
    struct hf_event cue; /* its `at` is 0; `hear` (or HF_NEVER) and `end` count from there */
};

/* Makes the piece, about as long as the cue: `*frames` of interleaved stereo in `*stereo`, which
 * the caller frees, under the ceiling also where it goes round. HF_E_MEMORY. */
enum hf_status hf_track_make(const struct hf_track_setting *setting, float **stereo,
                             int64_t *frames, struct hf_diag *diag) HF_CHECKED;

#endif
