/* SPDX-License-Identifier: MIT */
/*
 * held: the held set as sound: notes that last, notes struck anew every so often, or none. One set
 * replaces another by a slow crossfade (struck: by damping).
 *
 * The caller owns the struct (large, aligned to HF_ALIGNMENT; zeroed, then hf_held_init). Slots are
 * prepared on the control thread and belong to the audio thread from hf_held_begin until it gives
 * their number back through `returned`.
 */
#ifndef HOLDFAST_HELD_H
#define HOLDFAST_HELD_H

#include <stdbool.h>
#include <stdint.h>

#include <holdfast/drone.h>
#include <holdfast/event.h>
#include <holdfast/struck.h>

enum {
    HF_HELD_SLOTS = HF_HOLD_PLACES /* one set that goes, one that comes */
};

enum hf_held_way { HF_HELD_SUSTAINED, HF_HELD_STRUCK, HF_HELD_OFF };

struct hf_held_setting {
    enum hf_held_way way;
    struct hf_patch patch; /* a drone for sustained, a struck one for struck */
    bool pure;             /* major thirds on both sides of the lowest note pure */
    int rate_hz;
    int64_t a4_mhz;
    uint64_t seed;
    int64_t restrike; /* samples between strikes */
};

/* Two sounding notes of a struck one, so that the last strike can be damped under the next. */
struct hf_held_slot {
    struct hf_drone drone;
    struct hf_struck ready, ringing[2];
};

struct hf_held_note {
    uint16_t slot;
    bool rings[2];
    int turn; /* which of the two was struck last */
    float left, right;
    int64_t start_at, release_at, strike_at; /* session samples */
};

struct hf_held {
    struct hf_held_slot slots[HF_HELD_SLOTS];
    struct hf_held_setting setting;
    struct hf_held_note notes[HF_HELD_SLOTS];
    int count;
    int64_t attack, change, stagger; /* samples */
};

/* A bus: both sides of one chunk. */
struct hf_bus {
    float left[HF_CHUNK], right[HF_CHUNK];
};

void hf_held_init(struct hf_held *held, const struct hf_held_setting *setting);

/* Control thread: prepares note `index` of the `count` notes (MIDI, ascending) in a slot. */
void hf_held_prepare(struct hf_held *held, int slot, const uint8_t *notes, int count, int index);

/* Audio thread, real-time safe: from session sample `at` the event's notes (slots in its `voices`)
 * are held in place of those before. Slots that find no place are written to `returned`, which has
 * room for HF_EVENT_NOTES; the result is how many. */
int hf_held_begin(struct hf_held *held, const struct hf_event *event, int64_t at,
                  uint16_t returned[HF_EVENT_NOTES]);

/* Audio thread, real-time safe: adds the chunk at session sample `chunk_at` to the bus. Slots that
 * are free again are written to `returned`; the result is how many. */
int hf_held_render(struct hf_held *held, int64_t chunk_at, struct hf_bus *bus,
                   uint16_t returned[HF_HELD_SLOTS]);

/* Cents from equal temperament of a note above the lowest of an augmented triad when the thirds on
 * both sides of it are pure (5:4, so that 128:125 falls between the other two). */
double hf_held_pure_cents(int semitones_above_lowest);

/* Adds a note to a bus with its gains for the two sides. Real-time safe. */
void hf_bus_add(struct hf_bus *bus, const float note[HF_CHUNK], float left, float right);

/* Equal-power gains of note `index` of `count` spread evenly over +-width (0 to 1). */
void hf_bus_pan(double width, int index, int count, float *left, float *right);

#endif
