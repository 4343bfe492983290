/* SPDX-License-Identifier: MIT */
/*
 * shapes: what the command of that name was asked, what it found, and the pages and objects that
 * tell it. The caller owns what it passes. Main thread only.
 */
#ifndef HOLDFAST_CLI_SHAPES_H
#define HOLDFAST_CLI_SHAPES_H

#include <holdfast/grip.h>
#include <holdfast/query.h>

enum { SHAPES_TOP = 12 };

struct shapes {
    struct hf_query query;
    const char *instrument, *with;
    const char *position, *strings, *frets, *reach; /* to be read once the rest is known */
    bool list, all, families, tour, left_handed, no_open, doubled;
    size_t top; /* 0: not told */
    const struct hf_setclass *added;

    struct hf_fretboard board;
    struct hf_strings open;
    struct hf_shapes_ask ask;
    struct hf_notes notes; /* of the operands */
    struct hf_voicing from;
    bool has_notes;
};

/* How many of `count` are shown: all, --top, or `usual`. */
size_t shapes_shown(const struct shapes *asked, size_t count, size_t usual);

/* A held grip and what it allows. */
struct held {
    struct hf_notes notes;
    struct hf_shape grip;
    bool chosen; /* among `choices` grips, since it allows most */
    size_t choices;
    bool none; /* there is no grip; diag tells why */
    struct hf_diag diag;
};

/* A completion with a held grip. */
struct around {
    const struct hf_completion *completion;
    struct hf_shapes shapes;
    struct hf_diag why; /* where there are none */
    bool elsewhere;     /* another grip has some */
    bool same_pitches;
    struct hf_shape grip;  /* that grip */
    struct hf_shape first; /* and the first shape there */
};

/* Pages on stdout. `diag`: why a list is empty, with an empty message where it is not. */
void shapes_page(const struct shapes *asked, const struct hf_shapes *found, const struct held *held,
                 const struct hf_diag *diag);
void shapes_around_page(const struct shapes *asked, const struct held *held,
                        const struct around *around, int count);
void shapes_families_page(const struct shapes *asked, const struct hf_completion *completions,
                          const struct hf_families *families, const struct hf_family_pairs *pairs,
                          const struct hf_diag *diag);
void shapes_tour_page(const struct shapes *asked, const struct held *held,
                      const struct hf_completion *completions, int count,
                      const struct hf_tour *tour);

/* The same as objects; NULL without memory. */
json_t *shapes_json(const struct shapes *asked, const struct hf_shapes *found,
                    const struct held *held, const struct hf_diag *diag);
json_t *shapes_around_json(const struct shapes *asked, const struct held *held,
                           const struct around *around, int count);
json_t *shapes_families_json(const struct shapes *asked, const struct hf_completion *completions,
                             const struct hf_families *families,
                             const struct hf_family_pairs *pairs, const struct hf_diag *diag);
json_t *shapes_tour_json(const struct shapes *asked, const struct held *held,
                         const struct hf_completion *completions, const struct hf_tour *tour);

/* The list of instruments. */
enum hf_status shapes_instruments(bool json, struct hf_diag *diag) HF_CHECKED;

#endif
