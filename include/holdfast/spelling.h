/* SPDX-License-Identifier: MIT */
/*
 * spelling: the names of pitch classes and pitches: which letter and accidental a member of a set
 * takes, and how that is written. An 016 is spelled so that its perfect interval reads as a fourth
 * or fifth; everything else by one simple table.
 *
 * Values in, text out to buffers of the caller. Any thread may call it.
 */
#ifndef HOLDFAST_SPELLING_H
#define HOLDFAST_SPELLING_H

#include <holdfast/pcset.h>
#include <holdfast/status.h>

enum { HF_SPELLED_TEXT = 24 /* bytes for a name with its octave, whatever the number */ };

/* How names are written: --names. */
enum hf_names {
    HF_NAMES_SIMPLE,  /* the rules of this module; the player's own spelling where there is one */
    HF_NAMES_SHARPS,  /* C C# D D# E F F# G G# A A# B */
    HF_NAMES_FLATS,   /* C Db D Eb E F Gb G Ab A Bb B */
    HF_NAMES_NUMBERS, /* 0 to 11 */
    HF_NAMES_GERMAN   /* the rules of this module; H for B, B for Bb, Cis, Es, As ... */
};

/* A spelled pitch class: letter 'A' to 'G', accidental -2 (bb) to 2 (##). Letter 0: none. */
struct hf_spelled {
    char letter;
    signed char accidental;
};

/* Reads sharps, flats, numbers or german. HF_E_USAGE names the four. */
enum hf_status hf_names_parse(const char *text, enum hf_names *out,
                              struct hf_diag *diag) HF_CHECKED;

/* The pitch class of a spelling; the letter must not be 0. */
int hf_spelled_pc(struct hf_spelled spelled);

/* Spells a set: out[i] is for its i-th member, ascending. Returns how many members. An 016: first
 * its perfect interval as a fourth or fifth, then simple names (no E#, B#, Cb, Fb, no doubles),
 * then its semitone as a second. Other sets: C C# D Eb E F F# G G# A Bb B. */
int hf_spelling_of(hf_pcset set, enum hf_names names, struct hf_spelled out[HF_PCS]);

/* The same for one pitch class alone. */
struct hf_spelled hf_spelling_pc(int pc, enum hf_names names);

/* Writes a pitch class: "C#", "Cis", "1". Returns `text`. */
char *hf_spelled_format(struct hf_spelled spelled, enum hf_names names, char text[HF_SPELLED_TEXT]);

/* Writes a pitch, MIDI 0 to 127, whose pitch class `spelled` names: "C#4", "Cis4"; the octave is
 * the letter's (MIDI 60 as B# is B#3). As numbers: pitch class and octave, "1/4". */
char *hf_spelled_format_pitch(struct hf_spelled spelled, int midi, enum hf_names names,
                              char text[HF_SPELLED_TEXT]);

#endif
