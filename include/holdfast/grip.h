/* SPDX-License-Identifier: MIT */
/*
 * grip: held notes and their completions in one hand: which completions can be added while a grip
 * stays, families of grips that give a kind in all its positions by moving along the neck, pairs of
 * families that give every completion, and the shortest walk over all grips around a held one.
 *
 * Lists are allocated and owned by the caller, who frees them. No shared state; any thread may call
 * it.
 */
#ifndef HOLDFAST_GRIP_H
#define HOLDFAST_GRIP_H

#include <holdfast/pairing.h>
#include <holdfast/shapes.h>

/* ---- around a held grip ---- */

/* What `ask` wants of a completion added to a held grip: the set is the completion's. */
struct hf_shapes_ask hf_grip_ask(const struct hf_shapes_ask *ask, const struct hf_shape *held,
                                 hf_pcset added);

/* How many of the completions can be added to the grip; `can` tells which and may be NULL. */
int hf_grip_count(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                  const struct hf_shape *held, const struct hf_completion *completions, int count,
                  bool can[HF_COMPLETIONS_MOST]);

/* Of grips for the same notes the one to which the most completions can be added; of equals the
 * first. Returns its index; `most` tells how many. -1 for an empty list. */
ptrdiff_t hf_grip_best(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                       const struct hf_shapes *grips, const struct hf_completion *completions,
                       int count, int *most);

/* Another grip from which a completion can be added: the nearest (hf_shape_leap_mm, then
 * hf_shape_way_mm, then order of shapes) with the same pitches, or, where none of those does, with
 * the same pitch classes. `*same_pitches` tells which. False where there is none. HF_E_MEMORY. */
enum hf_status hf_grip_nearest(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                               const struct hf_shape *held, hf_pcset added, bool *found,
                               struct hf_shape *grip, bool *same_pitches,
                               struct hf_diag *diag) HF_CHECKED;

/* ---- families ---- */

/* A grip of held set and completion, all strings stopped or silent, that gives another position of
 * the completion's kind each time it moves on by `step` frets. */
struct hf_family {
    struct hf_shape base;       /* lowest on the neck */
    int kind;                   /* as hf_completion has it */
    int positions;              /* members: base, base + step, ... */
    int step;                   /* frets */
    int id[HF_COMPLETIONS_MOST]; /* completion of each member */
    enum hf_relation relation;  /* of the held notes to the added ones */
};

struct hf_families {
    struct hf_family *family;
    size_t count;
};

/* A family of each of two kinds, which together give every completion. */
struct hf_family_pair {
    uint32_t a, b;   /* indices into the families, of the first kind and of the second */
    double leap_mm;  /* between the two members that are nearest to each other */
    double way_mm;   /* of the fingers there */
};

struct hf_family_pairs {
    struct hf_family_pair *pair;
    size_t count;
};

/* All families of a held set and its completions, by kind, then hf_shape_compare of the base. Every
 * member fits the hand. `ask` gives limits only. HF_E_MEMORY, HF_E_USAGE as hf_shapes_find. */
enum hf_status hf_families_find(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                                hf_pcset held, const struct hf_completion *completions, int count,
                                struct hf_families *out, struct hf_diag *diag) HF_CHECKED;
void hf_families_free(struct hf_families *families);

/* The member at a position from 0. */
struct hf_shape hf_family_member(const struct hf_fretboard *board, const struct hf_family *family,
                                 int position);

/* Why there are no families: as hf_shapes_explain. */
enum hf_status hf_families_explain(const struct hf_fretboard *board,
                                   const struct hf_shapes_ask *ask, hf_pcset held,
                                   const struct hf_completion *completions, int count,
                                   struct hf_diag *diag) HF_CHECKED;

/* Every pair of families of kind 1 and kind 2 with the same relation, where these are all kinds:
 * nearest first (leap, way, then the order of families). Empty for any other number of kinds. */
enum hf_status hf_family_pairs_find(const struct hf_fretboard *board,
                                    const struct hf_families *families,
                                    struct hf_family_pairs *out, struct hf_diag *diag) HF_CHECKED;
void hf_family_pairs_free(struct hf_family_pairs *pairs);

/* ---- tour ---- */

struct hf_tour_stop {
    struct hf_shape shape; /* held notes and completion */
    int id;                /* of the completion */
    double way_mm;         /* of the fingers from the stop before; 0 for the first */
};

struct hf_tour {
    struct hf_tour_stop *stop;
    size_t count;
    double length_mm; /* sum of the ways */
    double bound_mm;  /* no walk over these grips is shorter */
    bool shortest;    /* proven: length and bound are the same to a micrometre */
};

/* Walks over all grips of all completions around a held one, each once, with the shortest total way
 * of the fingers: exactly where there are at most HF_TOUR_EXACT, else the best found, with a bound.
 * Methods: Held and Karp, "A dynamic programming approach to sequencing problems", J. SIAM 10
 * (1962); "The traveling-salesman problem and minimum spanning trees", Operations Research 18
 * (1970). HF_E_MEMORY, HF_E_USAGE where there are more than HF_TOUR_MOST grips. */
enum { HF_TOUR_EXACT = 12, HF_TOUR_MOST = 2000 };
enum hf_status hf_tour_find(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                            const struct hf_shape *held, const struct hf_completion *completions,
                            int count, struct hf_tour *out, struct hf_diag *diag) HF_CHECKED;
void hf_tour_free(struct hf_tour *tour);

#endif
