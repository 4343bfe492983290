/* SPDX-License-Identifier: MIT */
/*
 * added: the added notes that sound: when each starts, where it lies between left and right, when
 * it is damped. Their sound is prepared in slots that the engine owns.
 *
 * The caller owns the memory. hf_added_init off the audio thread; the rest is real-time safe.
 */
#ifndef HOLDFAST_SOUND_ADDED_H
#define HOLDFAST_SOUND_ADDED_H

#include <holdfast/held.h>
#include <holdfast/struck.h>

enum { HF_ADDED_SLOTS = 128 };

struct hf_added_note {
    uint16_t slot;
    bool begun;
    float left, right;
    int64_t start_at, damp_at;
};

struct hf_added {
    struct hf_struck *slots; /* HF_ADDED_SLOTS of them */
    int64_t stagger;         /* samples */
    int count;
    struct hf_added_note notes[HF_ADDED_SLOTS];
};

void hf_added_init(struct hf_added *added, struct hf_struck *slots, int rate_hz);

/* From session sample `at` the event's notes sound (slots in its `voices`), in its manner; closer
 * together where its cue is short. No slot is in use twice, so that there is always a place. */
void hf_added_begin(struct hf_added *added, const struct hf_event *event, int64_t at);

/* Damps what sounds from `at` on. */
void hf_added_damp(struct hf_added *added, int64_t at);

/* Adds the chunk at session sample `chunk_at` to the bus. Slots that are free again are written to
 * `returned`; the result is how many. */
int hf_added_render(struct hf_added *added, int64_t chunk_at, struct hf_bus *bus,
                    uint16_t returned[HF_ADDED_SLOTS]);

#endif
