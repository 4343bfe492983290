/* SPDX-License-Identifier: MIT */
/*
 * fretboard: an instrument with frets and the hand on it: where a finger stands, and what a shape
 * (a string and a fret for each note) asks of both hands. All lengths are computed without the
 * maths library, so that every build finds the same shapes.
 *
 * Values of fixed size that the caller owns. Pure; any thread may call it.
 */
#ifndef HOLDFAST_FRETBOARD_H
#define HOLDFAST_FRETBOARD_H

#include <stdbool.h>
#include <stdint.h>

#include <holdfast/notes.h>
#include <holdfast/voicing.h>

enum {
    HF_FRETS_MOST = 36,
    HF_FRETBOARD_NAME = 64,   /* bytes for a name */
    HF_FRETBOARD_ABOUT = 100, /* bytes for a line about it */
    HF_SILENT = -1,           /* in place of a fret */
    HF_SHAPE_TEXT = 3 * HF_STRINGS_MOST
};

/* Frets are counted from the capo, or from the nut where there is none, as players count them. */
struct hf_fretboard {
    char name[HF_FRETBOARD_NAME];
    char about[HF_FRETBOARD_ABOUT]; /* may be empty */
    int strings;
    int midi[HF_STRINGS_MOST]; /* the open strings without capo, lowest (nearest the left) first */
    int frets;                 /* on the neck, from the nut */
    int capo;                  /* fret of the neck, 0 for none */
    double scale_mm;           /* from nut to bridge */
    double nut_mm, bridge_mm;  /* between neighbouring strings there */
    double reach_mm;           /* longest reach of the hand */
    int fingers;               /* that stop strings */
    int plucking;              /* fingers that pluck */
    bool left_handed;
};

/* The open strings and frets as notes are read on them, the capo counted in. */
struct hf_strings hf_fretboard_strings(const struct hf_fretboard *board);

/* The highest fret that can be stopped. */
int hf_fretboard_last(const struct hf_fretboard *board);

/* Where a finger stands, string 0 being the lowest: the distance of the fret wire from the nut,
 * scale * (1 - 2^(-n/12)) for the n-th wire of the neck; and across, from the middle of the neck,
 * (string number - (strings + 1) / 2) * spacing there, the spacing growing evenly from nut to
 * bridge. */
double hf_fretboard_along_mm(const struct hf_fretboard *board, int fret);
double hf_fretboard_across_mm(const struct hf_fretboard *board, int string, int fret);

/* Between two places. */
double hf_fretboard_distance_mm(const struct hf_fretboard *board, int string_a, int fret_a,
                                int string_b, int fret_b);

/* ---- shapes ---- */

/* What the right hand can do: pluck all at once; stroke over all, since no silent string lies
 * between sounding ones; or only roll, one after another. The first that fits. */
enum hf_right_hand { HF_RIGHT_PLUCK, HF_RIGHT_STRUM, HF_RIGHT_ROLL };

struct hf_shape {
    int8_t fret[HF_STRINGS_MOST]; /* HF_SILENT, 0 open; beyond the instrument HF_SILENT */
    /* What follows is measured by hf_shape_measure. */
    uint8_t sounding; /* strings */
    uint8_t stopped;
    uint8_t fingers;  /* the least number: notes stopped at one fret share one finger when every
                         sounding string between them is stopped at that fret or higher */
    uint8_t position; /* lowest stopped fret; 0 where none is */
    uint8_t right;    /* enum hf_right_hand */
    double reach_mm;  /* greatest distance between two stopped notes, to the nearest nanometre;
                         0 for one or none */
    int movement;     /* semitones from the notes that were asked for, as hf_shapes_find has it */
};

/* All strings silent, measured. */
void hf_shape_init(struct hf_shape *shape);

/* Fills in what is measured, but for `movement`, which becomes 0. */
void hf_shape_measure(const struct hf_fretboard *board, struct hf_shape *shape);

/* True where hand and neck allow it: fingers, reach and frets. */
bool hf_shape_fits(const struct hf_fretboard *board, const struct hf_shape *shape);

/* The sounding notes as MIDI numbers, lowest string first; returns how many. */
int hf_shape_notes(const struct hf_fretboard *board, const struct hf_shape *shape,
                   int notes[HF_STRINGS_MOST]);
struct hf_voicing hf_shape_voicing(const struct hf_fretboard *board, const struct hf_shape *shape);
hf_pcset hf_shape_set(const struct hf_fretboard *board, const struct hf_shape *shape);

/* The strings of the two stopped notes that are farthest apart; false for fewer than two. */
bool hf_shape_stretch(const struct hf_fretboard *board, const struct hf_shape *shape, int *string_a,
                      int *string_b);

/* The same frets on the same strings. And an order: by reach, then movement, then frets from the
 * lowest string on, silent before open. Less than, equal to or greater than 0. */
bool hf_shape_same(const struct hf_shape *a, const struct hf_shape *b);
int hf_shape_compare(const struct hf_shape *a, const struct hf_shape *b);

/* How far the hand moves along the neck: between the wires of the lowest stopped frets of two
 * shapes; 0 where one has no stopped note, which leaves the hand where it is. */
double hf_shape_leap_mm(const struct hf_fretboard *board, const struct hf_shape *from,
                        const struct hf_shape *to);

/* How far the fingers move in all: the least total distance when every stopped note of one shape
 * goes to a stopped note of the other and none is left out; of unequal numbers the surplus goes
 * to the nearest. 0 where one has no stopped note. To the nearest nanometre. */
double hf_shape_way_mm(const struct hf_fretboard *board, const struct hf_shape *from,
                       const struct hf_shape *to);

/* "x-3-2-1-x-x", lowest string first. Returns `text`. */
char *hf_shape_format(const struct hf_fretboard *board, const struct hf_shape *shape,
                      char text[HF_SHAPE_TEXT]);

/* The shape of a list read as frets; HF_E_USAGE where it is not one for this instrument. */
enum hf_status hf_shape_of_notes(const struct hf_fretboard *board, const struct hf_notes *notes,
                                 struct hf_shape *out, struct hf_diag *diag) HF_CHECKED;

#endif
