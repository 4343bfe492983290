/* SPDX-License-Identifier: MIT */
/*
 * shapes: every way in which notes lie in one hand on an instrument. The search tries every string
 * and fret and leaves out only what cannot become a shape, so that its list is complete.
 *
 * Lists are allocated and owned by the caller, who frees them. No shared state; any thread may call
 * it.
 */
#ifndef HOLDFAST_SHAPES_H
#define HOLDFAST_SHAPES_H

#include <stddef.h>

#include <holdfast/fretboard.h>
#include <holdfast/status.h>

/* What is asked for. hf_shapes_ask fills in the instrument's own limits. */
struct hf_shapes_ask {
    hf_pcset set;              /* pitch classes, each once */
    int count;                 /* above 0: these pitches instead, each once */
    int midi[HF_STRINGS_MOST];
    bool doubled;              /* pitch classes each at least once */
    bool no_open;              /* no open string (held ones apart) */
    int string_low, string_high;     /* from 0, both included */
    int fret_high;                   /* highest fret used */
    int position_low, position_high; /* both included; HF_POSITION_ANY low: any, also none */
    double reach_mm;
    int fingers;
    const struct hf_shape *held; /* stays as it is while the notes are added; NULL: none. The shapes
                                    found hold both, and the limits count for both, those of strings
                                    and frets for the added notes only */
    const struct hf_voicing *from; /* movement is counted from here; NULL: no movement */
};

enum { HF_POSITION_ANY = -1, HF_SHAPES_MOST = 1 << 20 };

struct hf_shapes {
    struct hf_shape *shape;
    size_t count;
};

/* Everything that the instrument allows, nothing asked for yet. */
void hf_shapes_ask_init(struct hf_shapes_ask *ask, const struct hf_fretboard *board);

/* Asks for the notes of a list: with octaves its pitches, else its pitch classes. HF_E_USAGE for no
 * notes, or for more than HF_STRINGS_MOST. */
enum hf_status hf_shapes_ask_notes(struct hf_shapes_ask *ask, const struct hf_notes *notes,
                                   struct hf_diag *diag) HF_CHECKED;

/* Finds all shapes, sorted by hf_shape_compare, maybe none. HF_E_MEMORY; HF_E_USAGE where there
 * are more than HF_SHAPES_MOST, or a search beyond bounds. */
enum hf_status hf_shapes_find(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                              struct hf_shapes *out, struct hf_diag *diag) HF_CHECKED;

/* Frees the list and empties it. */
void hf_shapes_free(struct hf_shapes *shapes);

/* The first shape of that list, without the list; false where there is none. */
bool hf_shapes_first(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                     struct hf_shape *out);

/* Whether there is any. */
bool hf_shapes_exist(const struct hf_fretboard *board, const struct hf_shapes_ask *ask);

/* Why there is none: HF_E_USAGE with the reason as a sentence (which note is too low by how much,
 * too many notes, which stretch on which strings) and an advice; HF_OK where there is one. */
enum hf_status hf_shapes_explain(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                                 struct hf_diag *diag) HF_CHECKED;

#endif
