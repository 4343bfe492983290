/* SPDX-License-Identifier: MIT */
/*
 * roam: what a player who chooses for himself is on, how long he was on each completion, and what
 * he might do with it. In roam every completion stands in view; in hunt those that were found.
 *
 * Values in, values out to memory of the caller. Pure; any thread may call it.
 */
#ifndef HOLDFAST_ROAM_H
#define HOLDFAST_ROAM_H

#include <holdfast/pairing.h>
#include <holdfast/timeline.h>

/* One of the completions, in the order of their ids. */
struct hf_roam_item {
    struct hf_completion completion;
    char names[HF_EVENT_NOTES][HF_SPELLED_TEXT]; /* parallel to its ascending list */
    int size;                                    /* of its list */
    bool here;                                   /* the player is on it */
    bool in_view;                                /* not so only in hunt, before it is found */
    int visits;                                  /* times it was chosen */
    int64_t samples;                             /* spent on it */
};

struct hf_roam_view {
    int count;
    struct hf_roam_item items[HF_COMPLETIONS_MOST];
    int here;                      /* index, -1 before the first choice */
    int ring[HF_COMPLETIONS_MOST]; /* the order of `next`, as indices */
    bool is_ring;                  /* it is the ring of smallest movements; else the order of ids */
    int64_t alone;                 /* samples before the first choice */
};

/* Works out the view at session sample `now` (HF_NEVER: the whole). `request` is resolved. */
void hf_roam_look(const struct hf_request *request, const struct hf_timeline *timeline, int64_t now,
                  struct hf_roam_view *out);

/* Where `next` leads from an index, -1 for none: around the ring where there is one, else in the
 * order of ids; from none to `own`, or the first where that is -1. */
int hf_roam_next(const struct hf_completion *completions, int count, int from, int own);

/* Suggestions: ways to play what the player is on. */
enum hf_suggestion {
    HF_SUGGEST_LINE,
    HF_SUGGEST_CHORD,
    HF_SUGGEST_SPLIT,       /* one note low, the others high */
    HF_SUGGEST_INTERLEAVED, /* with the held notes, in turn */
    HF_SUGGEST_HELD_NOTE,   /* one note held, the others around it */
    HF_SUGGESTIONS
};

enum { HF_SUGGESTION_TEXT = 240 };

/* The suggestion after `turn` others (from 0), as a plain sentence; those that a set of one note
 * has no use for are left out. With every time around another note is the one set apart. Returns
 * `text`. */
char *hf_roam_suggest(const struct hf_roam_item *item, const struct hf_record *held, unsigned turn,
                      char text[HF_SUGGESTION_TEXT]);

#endif
