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

/* What is asked for. hf_shapes_ask_init fills in the instrument's own limits. */
struct hf_shapes_ask {
    hf_pcset set; /* pitch classes, each once */
    int count;    /* above 0: these different pitches instead, each once */
    int midi[HF_STRINGS_MOST];
    bool doubled;                    /* pitch classes each at least once */
    bool no_open;                    /* no open string (held ones apart) */
    int string_low, string_high;     /* from 0, both included */
    int fret_high;                   /* highest fret used */
    int position_low, position_high; /* both included; HF_POSITION_ANY low: any */
    double reach_mm;
    int fingers;
    const struct hf_shape *held; /* stays as it is while the notes are added; NULL: none. The shapes
                                    found hold both. Reach, fingers and position count for both,
                                    strings, frets and open strings for the added notes only */
    const struct hf_voicing
        *from; /* movement is counted from here to what is added; NULL: it is 0 */
    const struct hf_notes *spelled; /* how notes are written in reasons; NULL: simply */
    enum hf_names names;
};

/* A search that takes more steps than HF_SHAPES_STEPS, some seconds, is given up: HF_E_USAGE. */
enum { HF_POSITION_ANY = -1, HF_SHAPES_MOST = 1 << 20, HF_SHAPES_STEPS = 1 << 28 };

struct hf_shapes {
    struct hf_shape *shape;
    size_t count;
};

/* Everything that the instrument allows, nothing asked for yet. */
void hf_shapes_ask_init(struct hf_shapes_ask *ask, const struct hf_fretboard *board);

/* Asks for the notes of a list, which must outlive the asking: with octaves its pitches, else its
 * pitch classes. */
void hf_shapes_ask_notes(struct hf_shapes_ask *ask, const struct hf_notes *notes);

/* Finds all shapes, sorted by hf_shape_compare, maybe none: every string and fret for every note is
 * tried that the wishes allow. HF_E_MEMORY; HF_E_USAGE for more than HF_SHAPES_MOST shapes, or a
 * search that is given up. */
enum hf_status hf_shapes_find(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                              struct hf_shapes *out, struct hf_diag *diag) HF_CHECKED;

/* Frees the list and empties it. */
void hf_shapes_free(struct hf_shapes *shapes);

/* The first shape of that list, without the list. `*found` tells whether there is one; `out` may be
 * NULL, which is quicker. HF_E_USAGE where the search is given up. */
enum hf_status hf_shapes_first(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                               bool *found, struct hf_shape *out, struct hf_diag *diag) HF_CHECKED;

/* Why there is none: HF_E_USAGE with the reason as a sentence (which note is too low by how much,
 * too many notes, which stretch on which strings) and an advice; HF_OK where there is one. */
enum hf_status hf_shapes_explain(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                                 struct hf_diag *diag) HF_CHECKED;

#endif
