/* SPDX-License-Identifier: MIT */
/*
 * hunt: the player finds the completions: what some notes are (one of them, another class, notes
 * that share one with the held set), which were found, and hints, one small step at a time. It is a
 * function of the held set, the added class and the records so far.
 *
 * The caller owns the struct. Pure; one thread at a time.
 */
#ifndef HOLDFAST_HUNT_H
#define HOLDFAST_HUNT_H

#include <holdfast/journal.h>
#include <holdfast/pairing.h>

struct hf_hunt {
    hf_pcset held;
    const struct hf_setclass *added;
    struct hf_completion completions[HF_COMPLETIONS_MOST];
    int count;
    uint32_t found;                 /* bit i: completions[i] */
    int found_count;                /* how many */
    int order[HF_COMPLETIONS_MOST]; /* completions[i] was found as the order[i]-th, 0: not yet */
    int hints[HF_COMPLETIONS_MOST]; /* steps of help that led to completions[i], 0 without */
    int last;                       /* index of the one found last, -1 before */
    int target;          /* index of the one that hints lead to, -1 where all are found */
    int step;            /* hints given on the way to it */
    uint64_t seed;       /* of the first target */
    enum hf_names names; /* how notes are to be written */
};

/* What some notes are. */
struct hf_verdict {
    enum hf_finding finding;
    hf_pcset pcs;
    int index;                     /* found, again: of the completion; else -1 */
    int nth;                       /* found, again: it is the nth that was found */
    hf_pcset shared;               /* shares: the held notes among them */
    int hints;                     /* found: steps of help that led to it */
    const struct hf_setclass *set; /* the class of the notes */
};

/* Steps of a hint, in their order; a step that would say nothing is left out. */
enum hf_hint_kind {
    HF_HINT_FORMS,   /* how many are left of each form */
    HF_HINT_BETWEEN, /* between which held notes an interval of one of them lies */
    HF_HINT_NOTE,    /* some of its notes, one more with each step, but not the last */
    HF_HINT_WHOLE    /* all of its notes */
};

struct hf_hint {
    enum hf_hint_kind kind;
    int step;                           /* from 1 */
    int left;                           /* completions not found yet */
    int forms;                          /* HF_HINT_FORMS: how many are there, */
    hf_pcset form[HF_COMPLETIONS_MOST]; /* each transposed so that its normal order begins at 0, */
    int form_left[HF_COMPLETIONS_MOST]; /* and how many of it are not found yet */
    int interval;                       /* HF_HINT_BETWEEN: in semitones; 0 is a note alone */
    int low, high;                      /* the held pitch classes below and above it */
    hf_pcset notes;                     /* HF_HINT_NOTE, HF_HINT_WHOLE */
};

/* Starts with nothing found, for a resolved request. */
void hf_hunt_init(struct hf_hunt *hunt, const struct hf_request *request);

/* What the notes are. Any set; what is not as large as the added class is another class. */
struct hf_verdict hf_hunt_judge(const struct hf_hunt *hunt, hf_pcset pcs);

/* The record of an answer, without its number. */
struct hf_record hf_hunt_answer(const struct hf_verdict *verdict, int64_t at);

/* Takes an answer or a hint from its record; other records leave it as it is. */
void hf_hunt_apply(struct hf_hunt *hunt, const struct hf_record *record);

/* Works out the hint that the steps given so far have come to, or nothing (false) before the first
 * and where all are found. The last step stays. */
bool hf_hunt_hint(const struct hf_hunt *hunt, struct hf_hint *out);

/* How many steps lead to the target, 0 where all are found. */
int hf_hunt_steps(const struct hf_hunt *hunt);

/* True where every completion is found. */
bool hf_hunt_done(const struct hf_hunt *hunt);

#endif
