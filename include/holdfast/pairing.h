/* SPDX-License-Identifier: MIT */
/*
 * pairing: how two sets that share no note make a third: the completions of a held set, the ring
 * and the kinds that they form, which pairs of classes always make one class, and how a set splits
 * into two such halves. All of it is found by trying every case.
 *
 * Values in, values out to memory of the caller. Any thread may call it.
 */
#ifndef HOLDFAST_PAIRING_H
#define HOLDFAST_PAIRING_H

#include <holdfast/setclass.h>

enum {
    HF_COMPLETIONS_MOST = HF_SETCLASS_FORMS,
    HF_RESULTS_MOST = HF_SETCLASS_FORMS,
    HF_SPLITS_MOST = HF_SETS / 2 - 1 /* ways to part twelve notes in two */
};

/* A member of the added class that shares no note with the held set. */
struct hf_completion {
    int id; /* from 1, in ascending order of lists */
    hf_pcset pcs;
    hf_pcset perfect, semitone, tritone; /* the pairs of ic 5, 1 and 6 of an 016; else empty */
    int kind;     /* from 1: completions that transpositions keeping the held set map on each other;
                     kind 1 is that of id 1, the next that of the lowest id not yet in one */
    int position; /* from 1: the lowest id of the kind is 1, position p is that set transposed by
                     the (p-1)th smallest n > 0 that keeps the held set and gives a set not had */
    hf_pcset united;                  /* held and pcs together */
    const struct hf_setclass *result; /* class of `united` */
};

/* Finds every completion of `held` by `added`, in order of id; returns how many, maybe 0. */
int hf_pairing_complete(hf_pcset held, const struct hf_setclass *added,
                        struct hf_completion out[HF_COMPLETIONS_MOST]);

/* Keeps only the completions whose union is of a class; ids and kinds count anew from 1. Returns
 * how many are left. */
int hf_pairing_keep(struct hf_completion *completions, int count, const struct hf_setclass *result);

/* Why `hf_pairing_complete` gave none, as a sentence in diag->message (the advice says which size
 * or classes could). HF_E_USAGE; HF_OK where there is one. */
enum hf_status hf_pairing_explain(hf_pcset held, const struct hf_setclass *added,
                                  struct hf_diag *diag) HF_CHECKED;

/* Total movement between each two completions: out[i][j] for ids i + 1 and j + 1. */
void hf_pairing_movement(const struct hf_completion *completions, int count,
                         int out[HF_COMPLETIONS_MOST][HF_COMPLETIONS_MOST]);

/* The ring: ids around the cycle of smallest movements, from 1 towards the neighbour that shares
 * more notes with it (of equals the lower id). There is a ring where, of three or more, each has
 * exactly two others at the least movement of all, and these steps make one cycle. Returns how
 * many ids, all or 0. */
int hf_pairing_ring(const struct hf_completion *completions, int count,
                    int out[HF_COMPLETIONS_MOST]);

/* The one augmented triad that completes an 016 to 6-Z17; the empty set for any other set. */
hf_pcset hf_pairing_triad_for(hf_pcset trichord);

/* Two classes and what their disjoint unions can be. */
struct hf_pairing {
    const struct hf_setclass *held;
    const struct hf_setclass *added;
    int results; /* how many classes; 0: they are never disjoint; 1: the pairing is certain */
    const struct hf_setclass *result[HF_RESULTS_MOST]; /* ascending index */
    int completions;                                   /* that one held set has */
    hf_pcset example; /* of them, of the held class's prime form, the first */
};

/* What a held and an added class make. */
void hf_pairing_of(const struct hf_setclass *held, const struct hf_setclass *added,
                   struct hf_pairing *out);

/* Which of two classes is called held: the one with more symmetry, then the larger, then the lower
 * number. True where it is `a` (also for a == b). */
bool hf_pairing_holds(const struct hf_setclass *a, const struct hf_setclass *b);

/* A set parted in two, both non-empty. */
struct hf_split {
    hf_pcset held;
    hf_pcset added;
};

/* Every certain split of a set, held being the half of hf_pairing_holds (of one class: the lower
 * list); augmented triad and 016 first, then by the size of held, then by its pitch classes.
 * Returns how many. */
int hf_pairing_splits(hf_pcset set, struct hf_split out[HF_SPLITS_MOST]);

#endif
