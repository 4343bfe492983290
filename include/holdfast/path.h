/* SPDX-License-Identifier: MIT */
/*
 * path: shortest chains through the members of one class, each sharing an augmented triad, four or
 * five notes with the next. Material for composing, and for cues that move little.
 *
 * Values in, values out to memory of the caller. Any thread may call it.
 */
#ifndef HOLDFAST_PATH_H
#define HOLDFAST_PATH_H

#include <holdfast/setclass.h>

/* What neighbours of a chain must share. */
enum hf_path_share {
    HF_PATH_ANY = 0,   /* an augmented triad, or four notes or more */
    HF_PATH_TRIAD = 3, /* an augmented triad */
    HF_PATH_FOUR = 4,  /* four notes or more */
    HF_PATH_FIVE = 5   /* five notes or more */
};

/* Finds a chain of members of the class of `from`, from it to `to`: as short as can be, of the
 * shortest one with the least movement in all, of those the first in the order of lists. Writes it
 * with both ends and returns how many sets it has (1 where from == to), 0 where there is none.
 * Method: Bellman, "On a routing problem", Quarterly of Applied Mathematics 16 (1958) [memory]. */
int hf_path_find(hf_pcset from, hf_pcset to, enum hf_path_share share,
                 hf_pcset out[HF_SETCLASS_FORMS]);

/* Why there is none, with an advice: HF_E_USAGE; HF_OK where there is one. */
enum hf_status hf_path_explain(hf_pcset from, hf_pcset to, enum hf_path_share share,
                               struct hf_diag *diag) HF_CHECKED;

#endif
