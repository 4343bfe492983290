/* SPDX-License-Identifier: MIT */
/*
 * wording: what is spoken, in words: of a cue when it begins and when it is named, and of whatever
 * else happens in a session. This is the one place for sentences: a practice that has more to say
 * adds its case here, and nothing else.
 *
 * Pure; texts go to buffers of the caller. Any thread may call it.
 *
 * A text is for the ear and for the journal: notes are capital letters with words after them ("C
 * sharp", "E flat", "Cis", "7"), parted by commas; no other word is written in capitals, and no
 * sentence begins with one. "" says nothing.
 */
#ifndef HOLDFAST_WORDING_H
#define HOLDFAST_WORDING_H

#include <stdbool.h>

#include <holdfast/journal.h>
#include <holdfast/timeline.h>
#include <holdfast/utterance.h>

struct hf_wording {
    const struct hf_request *request;
    bool all;  /* --speak-only: what to do, marks and levels too; else names alone */
    int level; /* of ear, of the cue that is spoken of; 0 without */
};

/* When something of a cue is said. What BEGINS says must give nothing away that is named later. */
enum hf_moment {
    HF_MOMENT_BEGINS, /* with the cue's beginning, where it is not named then */
    HF_MOMENT_NAMED   /* when it is named */
};

/* What is said of a cue; `held` is what is held with it. Returns `text`. */
char *hf_wording_cue(const struct hf_wording *wording, enum hf_moment moment,
                     const struct hf_record *cue, const struct hf_record *held,
                     char text[HF_UTTERANCE_TEXT]);

/* In ear: what is asked of a cue of this level, and what its numbers stand for at levels 1 and 2,
 * where that is no list to be learnt once. `begins`: the level begins with this cue; then it is
 * brief. Where it would be too long it says less. Returns `text`. */
char *hf_wording_question(const struct hf_wording *wording, const struct hf_record *cue,
                          bool begins, char text[HF_UTTERANCE_TEXT]);

/* The same for sight: the chord from its lowest note up (its frets where those are in view), each
 * name by a rule for that note alone, so that no spelling tells which belong together. `first`:
 * what is asked of it too. Returns `text`. */
char *hf_wording_chord(const struct hf_wording *wording, const struct hf_record *cue,
                       const struct hf_record *held, bool first, char text[HF_UTTERANCE_TEXT]);

/* Which number is right, with ", " after it, where a level's numbers are not those of all; else "".
 * Returns `text`. */
char *hf_wording_number(const struct hf_wording *wording, const struct hf_record *cue,
                        char text[HF_UTTERANCE_TEXT]);

/* What is said in the lead-in. Returns `text`. */
char *hf_wording_opening(const struct hf_wording *wording, const struct hf_record *held,
                         uint32_t total, char text[HF_UTTERANCE_TEXT]);

/* What is said when a record of any other type is written: a mark, a stay, an end. `timeline` is
 * the session as far as it has come. Returns `text`. */
char *hf_wording_record(const struct hf_wording *wording, const struct hf_record *record,
                        const struct hf_timeline *timeline, char text[HF_UTTERANCE_TEXT]);

/* What is said just before a break, whatever else is spoken: in it nothing sounds. Returns `text`.
 */
char *hf_wording_rest(char text[HF_UTTERANCE_TEXT]);

/* The names of a record's notes as they are spoken, "C sharp, D, G". A letter that comes twice is
 * told apart: "C natural, C sharp". Returns `text`. */
char *hf_wording_names(const struct hf_record *record, char text[HF_UTTERANCE_TEXT]);

#endif
