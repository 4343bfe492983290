/* SPDX-License-Identifier: MIT */
/*
 * master: the gain over the whole mix: the player's volume, and the fades of pause, resume and end.
 * A new volume is reached by a ramp, so that it never clicks; where the ramp lies depends on the
 * session's clock alone.
 *
 * The caller owns the memory. hf_master_init off the audio thread; the rest is real-time safe.
 */
#ifndef HOLDFAST_SOUND_MASTER_H
#define HOLDFAST_SOUND_MASTER_H

#include <holdfast/transport.h>

#include "ramp.h"

struct hf_master {
    struct hf_ramp volume;
    int64_t length; /* of its ramp, in samples */
};

/* Starts at a volume, in dB. */
void hf_master_init(struct hf_master *master, double volume_db, int rate_hz);

/* From session sample `at`, the first of a chunk, the gain moves to `db`, from wherever it is. */
void hf_master_set(struct hf_master *master, int db, int64_t at);

/* The gain of each sample of the chunk at `chunk_at`. */
void hf_master_gain(const struct hf_master *master, const struct hf_transport *transport,
                    int64_t chunk_at, float gain[HF_CHUNK]);

#endif
