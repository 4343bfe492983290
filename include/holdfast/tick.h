/* SPDX-License-Identifier: MIT */
/*
 * tick: the short sound that counts beats: a sine of 1000 Hz (accent: 1333 Hz) that falls by 60 dB
 * in 60 ms and peaks at -18 dBFS, after a raised cosine of 1 ms.
 *
 * The caller owns the struct. init off the audio thread, the rest on it.
 */
#ifndef HOLDFAST_TICK_H
#define HOLDFAST_TICK_H

#include <stdbool.h>
#include <stdint.h>

#include <holdfast/vector.h>

struct hf_tick {
    uint32_t step[2], phase; /* of tick and accent */
    bool accent;
    float gain, decay;
    int32_t attack;
    int64_t age; /* samples since it began; negative: silent */
};

void hf_tick_init(struct hf_tick *tick, int rate_hz);

/* Starts it anew with the next rendered chunk's sample `from`. Real-time safe. */
void hf_tick_strike(struct hf_tick *tick, bool accent);

/* Adds to out[from..]; later chunks with from = 0. Real-time safe. */
void hf_tick_render(struct hf_tick *tick, int from, float out[HF_CHUNK]);

#endif
