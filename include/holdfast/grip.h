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

/* What `ask` wishes, of a completion added to a held grip, which must outlive it. */
struct hf_shapes_ask hf_grip_ask(const struct hf_shapes_ask *ask, const struct hf_shape *held,
                                 hf_pcset added);

/* What `ask` wishes of a grip for the held notes themselves: each of `count`
 * pitches once, or with count 0 each pitch class of `set`; on any strings, in any position. */
struct hf_shapes_ask hf_grip_ask_held(const struct hf_shapes_ask *ask, hf_pcset set,
                                      const int *midi, int count);

/* How many of the completions can be added to the grip; `can` tells which and may be NULL. Fails as
 * hf_shapes_first. */
enum hf_status hf_grip_count(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                             const struct hf_shape *held, const struct hf_completion *completions,
                             int count, bool can[HF_COMPLETIONS_MOST], int *playable,
                             struct hf_diag *diag) HF_CHECKED;

/* Of one or more grips the one to which the most completions can be added, of equals the first: its
 * index, and how many. */
enum hf_status hf_grip_best(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                            const struct hf_shapes *grips, const struct hf_completion *completions,
                            int count, size_t *index, int *playable,
                            struct hf_diag *diag) HF_CHECKED;

/* Another grip to which a completion can be added: the nearest (hf_shape_leap_mm, then
 * hf_shape_way_mm, then order of shapes) with the same pitches, or, where none of those does, with
 * the same pitch classes. `*same_pitches` tells which. Fails as hf_shapes_find. */
enum hf_status hf_grip_nearest(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                               const struct hf_shape *held, hf_pcset added, bool *found,
                               struct hf_shape *grip, bool *same_pitches,
                               struct hf_diag *diag) HF_CHECKED;

/* ---- families ---- */

/* A grip of held set and completion without open strings that keeps the held pitch classes and
 * gives another position of the completion's kind each time it moves on by `step` frets. */
struct hf_family {
    struct hf_shape base;        /* lowest on the neck */
    int kind;                    /* as hf_completion has it */
    int positions;               /* members: base, base + step, ... */
    int step;                    /* frets */
    int id[HF_COMPLETIONS_MOST]; /* completion of each member */
    enum hf_relation relation;   /* of the held notes to the added ones: held above is above */
};

struct hf_families {
    struct hf_family *family;
    size_t count;
};

/* A family of each of two kinds, which together give every completion. */
struct hf_family_pair {
    uint32_t a, b;  /* indices into the families, of the first kind and of the second */
    double leap_mm; /* between the two members that are nearest to each other */
    double way_mm;  /* of the fingers there */
};

struct hf_family_pairs {
    struct hf_family_pair *pair;
    size_t count;
};

/* All families of a held set and its completions, by kind, then hf_shape_compare of the base; none
 * where no transposition keeps the held set. Every member is within the wishes of `ask` for reach,
 * fingers, strings and frets. Fails as hf_shapes_find. */
enum hf_status hf_families_find(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                                hf_pcset held, const struct hf_completion *completions, int count,
                                struct hf_families *out, struct hf_diag *diag) HF_CHECKED;
void hf_families_free(struct hf_families *families);

/* The member at a position from 0. */
struct hf_shape hf_family_member(const struct hf_fretboard *board, const struct hf_family *family,
                                 int position);

/* Why there are no families: HF_E_USAGE with the reason as a sentence; HF_OK where there are some.
 */
enum hf_status hf_families_explain(const struct hf_fretboard *board,
                                   const struct hf_shapes_ask *ask, hf_pcset held,
                                   const struct hf_completion *completions, int count,
                                   struct hf_diag *diag) HF_CHECKED;

/* Every pair of families of kind 1 and kind 2 with the same relation, where these two are all
 * kinds: nearest first (leap, way, then the order of families). Empty for another number of kinds.
 */
enum hf_status hf_family_pairs_find(const struct hf_fretboard *board,
                                    const struct hf_families *families, struct hf_family_pairs *out,
                                    struct hf_diag *diag) HF_CHECKED;
void hf_family_pairs_free(struct hf_family_pairs *pairs);

/* ---- tour ---- */

enum { HF_TOUR_EXACT = 15, HF_TOUR_MOST = 2000 };

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
 * of the fingers: exactly where there are at most HF_TOUR_EXACT, else the best found, with a bound
 * that no walk can beat. The grips are those that `ask` wishes; every completion that has none is
 * left out. Methods: Held and Karp, "A dynamic programming approach to sequencing problems", J.
 * SIAM 10 (1962); "The traveling-salesman problem and minimum spanning trees", Operations Research
 * 18 (1970). Fails as hf_shapes_find, and with HF_E_USAGE for more than HF_TOUR_MOST grips. */
enum hf_status hf_tour_find(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                            const struct hf_shape *held, const struct hf_completion *completions,
                            int count, struct hf_tour *out, struct hf_diag *diag) HF_CHECKED;
void hf_tour_free(struct hf_tour *tour);

#endif
