/* SPDX-License-Identifier: MIT */
/*
 * sight: chords to look at: is it the all-trichord hexachord, and which three of its notes are the
 * 016? Half of them are; the others are near misses, one note a semitone or a tone away from a real
 * one, drawn so that neither spelling nor span nor register tells which is which.
 *
 * Values in, values out to memory of the caller. Pure apart from memory; one thread at a time for
 * each deck.
 */
#ifndef HOLDFAST_SIGHT_H
#define HOLDFAST_SIGHT_H

#include <stddef.h>

#include <holdfast/fretboard.h>
#include <holdfast/notes.h>
#include <holdfast/random.h>
#include <holdfast/voicing.h>

enum { HF_SIGHT_NOTES = 6, HF_SIGHT_HALF = 3, HF_SIGHT_ROUND = 6, HF_SIGHT_CHORDS_MOST = 200 };

/* Where chords lie when they come without a place: E2 to E5. */
enum { HF_SIGHT_LOW = 40, HF_SIGHT_HIGH = 76 };

/* The two halves and the whole sound so many seconds apart. */
#define HF_SIGHT_APART_S 2.0

/* A chord of six pitch classes, parted in two. Of a real one the halves are its augmented triad and
 * its 016; of a foil what lies in their place. */
struct hf_sight_chord {
    bool real;
    hf_pcset first, second;  /* the triad's part; the 016's */
    struct hf_voicing notes; /* all six, ascending */
    int strings;             /* of the shape; 0 for none */
    struct hf_shape shape;
};

/* Parts six different pitch classes: a real chord in its halves; any other as the nearest real one
 * would be (most common notes, then least movement). False for a set of another size. */
bool hf_sight_part(hf_pcset set, struct hf_sight_chord *out);

/* What tells chords apart without thought, and is therefore the same for real ones and foils: the
 * outer notes (span and register), and how the names look by the plain rule (C C# D Eb E F F# G G#
 * A Bb B). */
struct hf_sight_look {
    int low, high;
    int sharps, flats;
    int letters; /* different ones */
};
void hf_sight_look_at(const struct hf_voicing *notes, struct hf_sight_look *out);

/* Chords of the player's own, from the lines of a text: the notes of one a line, in any notation;
 * empty lines and those that begin with ; are left out. Writes at most HF_SIGHT_CHORDS_MOST.
 * HF_E_DATA, with the line in diag->line: no notes, not six different ones, too many chords, or
 * none at all. */
enum hf_status hf_sight_read(const char *text, size_t length, struct hf_sight_chord *out,
                             size_t *count, struct hf_diag *diag) HF_CHECKED;

/* The chords of a session, one after another. */
struct hf_sight {
    struct hf_random random;
    const struct hf_fretboard *board; /* chords lie in the hand; NULL: anywhere */
    const struct hf_sight_chord *own; /* the player's, each once a round; NULL: drawn ones */
    size_t own_count, own_given;
    size_t own_order[HF_SIGHT_CHORDS_MOST];
    hf_pcset foils[HF_SUBSETS_MOST]; /* what nearly is one; ascending */
    int foil_count;
    hf_pcset last;                               /* set of the chord before */
    struct hf_voicing choices[HF_VOICINGS_MOST]; /* what is chosen from */
};

/* Starts the deck of a seed; `board` and `own` may be NULL, and outlive it. */
void hf_sight_init(struct hf_sight *sight, uint64_t seed, const struct hf_fretboard *board,
                   const struct hf_sight_chord *own, size_t own_count);

/* The next chord. HF_E_USAGE: no such chord lies in this hand. HF_E_MEMORY. */
enum hf_status hf_sight_next(struct hf_sight *sight, struct hf_sight_chord *out,
                             struct hf_diag *diag) HF_CHECKED;

#endif
