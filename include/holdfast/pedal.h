/* SPDX-License-Identifier: MIT */
/*
 * pedal: a whole session by one pedal. First presses become gestures (once, twice quickly, held),
 * then a gesture becomes what the player means by it at that place of the session.
 *
 * A pedal that acts as a keyboard tells of presses only, and repeats them while it is held, after a
 * delay and at a rate that differ from system to system; one that tells of its release (MIDI) is
 * understood sooner.
 *
 * The caller owns the memory; hf_pedal_init first. Pure: the clock is the caller's. One thread at a
 * time.
 */
#ifndef HOLDFAST_PEDAL_H
#define HOLDFAST_PEDAL_H

#include <holdfast/conductor.h>
#include <holdfast/timeline.h>

/* REPEAT: no foot presses twice in this time, but keys that are held repeat sooner, down to some 11
 * times a second. TWICE: presses farther apart are two. HOLD: a key that is held repeats by then.
 */
enum { HF_PEDAL_REPEAT_MS = 120, HF_PEDAL_TWICE_MS = 400, HF_PEDAL_HOLD_MS = 700 };

enum hf_gesture { HF_GESTURE_NONE, HF_GESTURE_ONCE, HF_GESTURE_TWICE, HF_GESTURE_HELD };

/* When a press came: on the caller's clock in ms, and the session sample heard then. */
struct hf_press {
    int64_t ms, at;
};

struct hf_pedal {
    int waiting; /* presses that are not understood yet, 0 to 2, */
    struct hf_press press[2];
    bool told;    /* the last one told of its beginning only, and will tell of its end */
    bool down;    /* it has not been released yet */
    bool holding; /* a held key still repeats, */
    int64_t repeat_ms;
    int ready; /* gestures understood and not taken, 0 to 4 */
    enum hf_gesture gesture[4];
    struct hf_press made[4]; /* their first presses */
    size_t judged;           /* cues of the timeline that were looked at for a miss */
};

void hf_pedal_init(struct hf_pedal *pedal);

/* The pedal goes down. `releases`: hf_pedal_release will tell when it comes up again. Times never
 * descend. */
void hf_pedal_press(struct hf_pedal *pedal, struct hf_press press, bool releases);
void hf_pedal_release(struct hf_pedal *pedal, int64_t ms);

/* The next gesture that is understood by `ms`, HF_GESTURE_NONE for none; `*press` is its first
 * press. Call it until there is none. */
enum hf_gesture hf_pedal_gesture(struct hf_pedal *pedal, int64_t ms, struct hf_press *press);

/* What a gesture asks for: a mark, a key, both in this order, or nothing. */
struct hf_pedal_wish {
    bool marks, presses;
    long cue; /* the n of the cue that is marked */
    enum hf_mark as;
    enum hf_key key;
};

/* True where the player is asked for something that can be got or missed. */
bool hf_pedal_marks(enum hf_practice practice);

/* What it means. In a pause: resume. Once: in the time of an answer (all of the cue has been said,
 * and it has not ended) got and on, earlier in a cue reveal, else next. Twice: again, or reveal
 * where it has not sounded. Held: stay or go on; where the player ends each cue missed and on. A
 * practice that marks nothing: next, again, stay. `at` is when it was pressed, `now` is now. */
struct hf_pedal_wish hf_pedal_wish(const struct hf_timeline *timeline, bool marks,
                                   enum hf_gesture gesture, int64_t at, int64_t now);

/* The n of the next cue whose answer was not pressed in its time, which has passed at `now`: it is
 * missed; 0 for none. Not while a press is still to be understood. Call it until there is none. */
long hf_pedal_missed(struct hf_pedal *pedal, const struct hf_timeline *timeline, int64_t now);

#endif
