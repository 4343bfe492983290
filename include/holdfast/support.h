/* SPDX-License-Identifier: MIT */
/*
 * support: how the held notes let go of the player over a session: softer from cue to cue, then
 * sounding only at the start of each, then not at all. It never gets louder than it began.
 *
 * Values in, values out. Pure; any thread may call it.
 */
#ifndef HOLDFAST_SUPPORT_H
#define HOLDFAST_SUPPORT_H

#include <stdint.h>

/* How far the held notes sink while they still last, and the level at which there are none. */
enum { HF_SUPPORT_LOW_DB = -12, HF_DRONE_NONE_DB = -60 };

enum hf_support_stage { HF_SUPPORT_WHOLE, HF_SUPPORT_START, HF_SUPPORT_NONE };

struct hf_support {
    enum hf_support_stage stage;
    int db; /* of the held notes, 0 to HF_SUPPORT_LOW_DB, or HF_DRONE_NONE_DB */
};

/* The support at a cue, `place` from 0 of `total` [inference]: in the first half from 0 dB down in
 * even steps; then at the start of each cue only, for two thirds of what is left; then none. */
struct hf_support hf_support_at(uint32_t place, uint32_t total);

/* How long the held notes sound at the start of a cue of `length` samples (0: the player ends it):
 * a quarter of it, or 5 s; and how long they take to come and go: half of that, at most 2 s. */
struct hf_support_times {
    int64_t hold, over;
};
struct hf_support_times hf_support_times(int64_t length, int rate_hz);

#endif
