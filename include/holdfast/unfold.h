/* SPDX-License-Identifier: MIT */
/*
 * unfold: the classes of three or four notes that a chord holds, one at a time: which there are,
 * and which notes stand for each, so that the voices move as little as they can from one to the
 * next.
 *
 * Values in, values out to memory of the caller. Pure; any thread may call it.
 */
#ifndef HOLDFAST_UNFOLD_H
#define HOLDFAST_UNFOLD_H

#include <holdfast/setclass.h>
#include <holdfast/voicing.h>

/* While notes of the chord sound, the others are so much softer. */
enum { HF_UNFOLD_UNDER_DB = -12 };

/* There are 12 classes of three notes and 29 of four. */
enum { HF_UNFOLD_MOST = 12 + 29 };

/* What is asked for: classes by name, or all of a size. */
struct hf_unfold_ask {
    int count; /* of `classes`, in the order asked for; 0 for all of `size` */
    const struct hf_setclass *classes[HF_UNFOLD_MOST];
    int size; /* 3 or 4; 0: nothing is asked for */
};

/* Reads "all", "tetrachords" or a list of classes of three or four notes, parted by commas or
 * spaces. HF_E_USAGE says which word is wrong. */
enum hf_status hf_unfold_parse(const char *text, struct hf_unfold_ask *out,
                               struct hf_diag *diag) HF_CHECKED;

/* The classes asked for that the chord has: in the order asked for, or by number. Returns how many.
 */
int hf_unfold_classes(const struct hf_unfold_ask *ask, hf_pcset chord,
                      const struct hf_setclass *out[HF_UNFOLD_MOST]);

/* One class of the chord. */
struct hf_unfold_step {
    hf_pcset pcs;
    int which,
        of; /* of the places where the class lies in the chord, in ascending order of lists */
    struct hf_voicing voicing;
};

/* Where the notes may lie: each where `chord` has it, or, without one, from `low` to `high`. */
struct hf_unfold_place {
    const struct hf_voicing *chord; /* or NULL */
    int low, high;
    /* Whether a voicing will do, asked of those that move less than the best so far; NULL: any
     * will. Where none does in the register, any elsewhere; where none does at all, any. */
    bool (*fits)(void *self, const struct hf_voicing *voicing);
    void *self;
};

/* Chooses the place of the class in the chord, and its voicing, with the least movement in pitch
 * from `from` (which has a note or more); of equals the first. A register without room for any is
 * as good as none. `choices` is room to work in. The chord has the class. */
void hf_unfold_choose(hf_pcset chord, const struct hf_setclass *class,
                      const struct hf_voicing *from, const struct hf_unfold_place *place,
                      struct hf_voicing choices[HF_VOICINGS_MOST], struct hf_unfold_step *out);

#endif
