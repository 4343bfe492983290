/* SPDX-License-Identifier: MIT */
/*
 * notes: lists of notes as a player writes them (names, pitches, numbers, frets), read and placed.
 * What was given is kept: order, spelling, octaves.
 *
 * A list is a value of fixed size that the caller owns. Any thread may call it.
 */
#ifndef HOLDFAST_NOTES_H
#define HOLDFAST_NOTES_H

#include <holdfast/pcset.h>
#include <holdfast/spelling.h>
#include <holdfast/status.h>

enum {
    HF_NOTES_MOST = 12,   /* notes of a list */
    HF_NOTES_TEXT = 512,  /* bytes that a list may have, and for hf_notes_format */
    HF_STRINGS_MOST = 12, /* strings of an instrument */
    HF_NO_OCTAVE = -1     /* in place of a MIDI number */
};

struct hf_note {
    int pc;                    /* 0 to 11 */
    int midi;                  /* 0 to 127, sounding (60 is middle C), or HF_NO_OCTAVE */
    struct hf_spelled spelled; /* as the player wrote it; letter 0 for a number or a fret */
    int string;                /* 0 is the lowest, -1 unless given as a fret */
    int fret;                  /* -1 unless given as a fret */
};

enum hf_notes_kind {
    HF_NOTES_EMPTY,   /* {} */
    HF_NOTES_NAMES,   /* C E G# */
    HF_NOTES_PITCHES, /* C3 E3 G#3 */
    HF_NOTES_NUMBERS, /* 0 4 8, 048, [0,4,8] */
    HF_NOTES_FRETS    /* x-3-2-1-x-x */
};

struct hf_notes {
    enum hf_notes_kind kind;
    int count;                          /* notes kept */
    struct hf_note note[HF_NOTES_MOST]; /* in the order given; frets: lowest string first */
    hf_pcset set;                       /* their pitch classes */
    signed char frets[HF_STRINGS_MOST]; /* of a list given as frets: every string's, -1 for a silent
                                           one, also where two sound the same pitch */
    hf_pcset repeated; /* pitch classes that came again and were left out: again at all in a list
                          without octaves, at the same pitch in one with octaves */
};

/* The open strings of an instrument, lowest string first, as MIDI numbers. */
struct hf_strings {
    int count;
    int midi[HF_STRINGS_MOST];
    int frets; /* the highest fret */
};

/* Six strings, E2 A2 D3 G3 B3 E4, 24 frets. */
extern const struct hf_strings hf_strings_guitar;

/* How a list is to be read; a NULL pointer to it means all zeros. */
struct hf_notes_how {
    const struct hf_strings *strings; /* NULL: the guitar */
    bool as_written;                  /* octaves of names are guitar notation: sound 12 lower */
    bool german;                      /* names are Cis, Es, As, H; B is B flat */
};

/* Reads a note list: words parted by spaces or commas, all of one kind. HF_E_USAGE: the message
 * says which word and what would be right, diag->column where it starts (in characters, from 1). */
enum hf_status hf_notes_parse(const char *text, const struct hf_notes_how *how,
                              struct hf_notes *out, struct hf_diag *diag) HF_CHECKED;

/* A list of numbers in ascending order, as if "0 4 8" had been read. */
struct hf_notes hf_notes_of_set(hf_pcset set);

/* True where every note has its octave (the empty list has). */
bool hf_notes_placed(const struct hf_notes *notes);

/* Gives octaves to a list without: upward in the order given, the first in C3 to B3, each next one
 * above the last by less than an octave. A list that has octaves stays as it is. HF_E_USAGE where a
 * long falling list would pass G9. */
enum hf_status hf_notes_place(struct hf_notes *notes, struct hf_diag *diag) HF_CHECKED;

/* The spelling of each pitch class of the list, parallel to its ascending set; returns how many.
 * With HF_NAMES_SIMPLE and HF_NAMES_GERMAN the player's own (the first where a pitch class came
 * twice), else or without one hf_spelling_of. */
int hf_notes_spelling(const struct hf_notes *notes, enum hf_names names,
                      struct hf_spelled out[HF_PCS]);

/* Writes one note by the same rules, with its octave where it has one. `in` is the list that it is
 * in. Returns `text`. */
char *hf_note_format(const struct hf_notes *in, int index, enum hf_names names,
                     char text[HF_SPELLED_TEXT]);

/* Writes the whole list in the order given, with octaves where they are: "C3 E3 G#3"; "{}" for the
 * empty one. Returns `text`. */
char *hf_notes_format(const struct hf_notes *notes, enum hf_names names, char text[HF_NOTES_TEXT]);

#endif
