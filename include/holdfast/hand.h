/* SPDX-License-Identifier: MIT */
/*
 * hand: where the hand goes from cue to cue. It knows every shape of every completion on the
 * player's instrument, and gives one that is in reach, in the register, and not the one of last
 * time as long as there are others.
 *
 * The module owns the lists of shapes (init, deinit). Pure apart from memory; everything random
 * comes from the caller's stream. One thread at a time.
 */
#ifndef HOLDFAST_HAND_H
#define HOLDFAST_HAND_H

#include <holdfast/grip.h>
#include <holdfast/random.h>

/* What the hand is to do. */
struct hf_hand_ask {
    struct hf_fretboard board;
    bool holds;     /* the held notes are in the same hand */
    bool fixed;     /* and their grip never changes: what cannot be added to it is left out */
    double leap_mm; /* the farthest the hand moves between cues; 0: any way */
    bool has_grip;  /* the held notes were given as this grip */
    struct hf_shape grip;
};

/* What the next shape is to be. */
enum hf_hand_way { HF_HAND_ANY, HF_HAND_NEAR, HF_HAND_FAR };
struct hf_hand_want {
    int low, high; /* where the added notes lie, MIDI */
    bool between;  /* one of them between these two, where there is such a shape */
    int held_low, held_high;
    enum hf_hand_way way;
};

/* The shapes of one completion, and which have come since all had. */
struct hf_hand_list {
    struct hf_shapes shapes;
    bool *come;
};

struct hf_hand {
    struct hf_hand_ask ask;
    int count;
    hf_pcset added[HF_COMPLETIONS_MOST];
    struct hf_hand_list lists[HF_COMPLETIONS_MOST];
    bool can[HF_COMPLETIONS_MOST]; /* has a shape with the grip as it was chosen */
    struct hf_shape grip;          /* of the held notes, when they are in the hand */
    struct hf_shape last;          /* the shape given last */
    bool moved;                    /* there is one */
    bool in_want;                  /* memory ran out when a grip was to be changed */
};

/* Finds all shapes. `held`: the held notes with the voicing they have now; `placed` when that
 * voicing is the player's own, else any grip of the pitch classes will do, and the one is taken to
 * which most completions can be added. HF_E_USAGE: a completion that has no shape at all (not with
 * `holds`, where it may bring a new grip; with `fixed` only when none has), or no grip;
 * HF_E_MEMORY. */
enum hf_status hf_hand_init(struct hf_hand *hand, const struct hf_hand_ask *ask,
                            const struct hf_voicing *held, bool placed,
                            const struct hf_completion *completions, int count,
                            struct hf_diag *diag) HF_CHECKED;
void hf_hand_deinit(struct hf_hand *hand);

/* How many shapes of a completion have their added notes between two pitches. */
int hf_hand_room(const struct hf_hand *hand, int index, int low, int high);

/* Gives the next shape of a completion and remembers it. Where the leap and the register together
 * leave none, the register gives way first. `new_grip` is set when the held notes must be taken
 * anew (`grip` then has how). False when there is none within the leap, or no memory. */
bool hf_hand_next(struct hf_hand *hand, int index, const struct hf_hand_want *want,
                  struct hf_random *random, struct hf_shape *out, bool *new_grip);

/* The added notes of a shape: all but those of the grip when that is in the hand. */
struct hf_voicing hf_hand_added(const struct hf_hand *hand, const struct hf_shape *shape);

#endif
