/* SPDX-License-Identifier: MIT */
/*
 * chord: how a chord from a score splits into what is held and what is added, and, where it does
 * not, the nearest chords that do. The chord's own octaves and spelling are kept.
 *
 * Values in, values out to memory of the caller. Any thread may call it.
 */
#ifndef HOLDFAST_CHORD_H
#define HOLDFAST_CHORD_H

#include <holdfast/notes.h>
#include <holdfast/setclass.h>

enum {
    HF_CHORD_SPLITS_MOST = 99, /* splits that are kept */
    HF_CHORD_NEAR_MOST = 12    /* nearest chords that are kept */
};

/* What a split is to be: NULL for any class. */
struct hf_chord_wish {
    const struct hf_setclass *held;
    const struct hf_setclass *added;
    const struct hf_setclass *result; /* of held and added together */
    bool whole;                       /* held and added together are all of the chord */
    bool certain;                     /* the pair of classes always makes one class */
};

/* Two parts of a chord that share no note. */
struct hf_chord_split {
    hf_pcset held;
    hf_pcset added;
    hf_pcset rest; /* notes of the chord that are in neither */
};

/* A chord with as many notes that has a split, and how to get there. */
struct hf_chord_near {
    hf_pcset set;
    int movement;      /* semitones in all */
    int moves[HF_PCS]; /* by how many the chord's i-th pitch class (ascending) moves, -5 to 6 */
};

/* The wish behind --added and --result, NULL where not given. Neither, or 016 alone: augmented
 * triad and 016. Added alone: that class and all the rest of the chord. Result alone: any two
 * halves of it. Both: that class and what makes the result. Always of a certain pairing; a wish
 * with `added` may be loosened by clearing `certain`. */
struct hf_chord_wish hf_chord_wish_of(const struct hf_setclass *added,
                                      const struct hf_setclass *result);

/* Finds every split of a chord: held with more symmetry first, then the larger, then in the order
 * of lists of held and of added. Writes the first HF_CHORD_SPLITS_MOST; returns how many there are.
 */
int hf_chord_splits(hf_pcset chord, const struct hf_chord_wish *wish,
                    struct hf_chord_split out[HF_CHORD_SPLITS_MOST]);

/* Finds the chords of as many notes, the nearest in movement, that have a split: all that are
 * equally near, as far as there is room, fewest moved notes first. Returns how many, 0 where no
 * chord of so many notes has one. */
int hf_chord_near(hf_pcset chord, const struct hf_chord_wish *wish,
                  struct hf_chord_near out[HF_CHORD_NEAR_MOST]);

/* The notes of a list whose pitch classes are in a set, as they are: order, octaves, spelling. */
struct hf_notes hf_chord_part(const struct hf_notes *chord, hf_pcset part);

/* The chord with its notes moved; a note that moves loses its spelling. HF_E_USAGE where one would
 * leave MIDI 0 to 127. */
enum hf_status hf_chord_move(const struct hf_notes *chord, const struct hf_chord_near *near,
                             struct hf_notes *out, struct hf_diag *diag) HF_CHECKED;

#endif
