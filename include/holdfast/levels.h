/* SPDX-License-Identifier: MIT */
/*
 * levels: slow ear training in six levels: what is asked at each, what a player's number means, the
 * sets that are nearly a completion (near misses), and when a level goes up or down.
 *
 * Values in, values out to memory of the caller. Pure; any thread may call it.
 *
 * The levels:
 *   1  which kind, every completion always in the same place
 *   2  which position within the kind, which is told; the held notes have a clear lowest note
 *   3  which of all, every completion always in the same place
 *   4  which of all, in any register
 *   5  the same, all notes at once in place of one after another
 *   6  the same, and the held notes are silent until it is named
 */
#ifndef HOLDFAST_LEVELS_H
#define HOLDFAST_LEVELS_H

#include <holdfast/pairing.h>
#include <holdfast/voicing.h>

enum { HF_LEVELS = 6, HF_CHOICES_MOST = 9, HF_NEAR_MISSES_MOST = 12 };

/* Up to which level something is so. */
enum { HF_LEVEL_KINDS = 1, HF_LEVEL_POSITIONS = 2, HF_LEVEL_IN_PLACE = 3, HF_LEVEL_ONE_BY_ONE = 4 };

/* From this level on the held notes are silent while the player answers. */
enum { HF_LEVEL_SILENT = 6 };

/* Between notes that come one after another, in seconds. */
#define HF_LEVEL_STAGGER_S 0.7

/* ---- up and down ---- */

struct hf_levels {
    int level, lowest; /* the lowest that has a question to ask */
    bool fixed;        /* it stays */
    int good;          /* rounds in a row with at most one miss, at this level */
};

/* The lowest level that asks something of these completions: 1 where there are kinds to tell
 * apart, 2 where there are positions, else 3. */
int hf_levels_lowest(const struct hf_completion *completions, int count);

/* Takes a finished round of `cues` cues, of which so many were marked. A cue without a mark counts
 * as a miss on the way up, and not at all on the way down. After two rounds in a row with at most
 * one miss the level goes up, after one with more than half missed down. Returns 1, -1, or 0 where
 * it stays (always when it is fixed). */
int hf_levels_take_round(struct hf_levels *levels, int cues, int got, int missed);

/* ---- near misses ---- */

/* A set that lies a semitone in one note from the completion `of` (an id), and is none. */
struct hf_near_miss {
    hf_pcset pcs;
    int of;
};

/* The near misses of an augmented triad's 016s, in order of `of`, the 015 before the 026; returns
 * how many: 12, or 0 for any other held set or class (where none are known to be fair). */
int hf_levels_near_misses(hf_pcset held, const struct hf_completion *completions, int count,
                          struct hf_near_miss out[HF_NEAR_MISSES_MOST]);

/* ---- what is asked ---- */

/* One answer that can be given by a number: any of these completions. */
struct hf_choice {
    int id; /* what is recorded for it: of these the one most like what sounds */
    int count;
    int ids[HF_COMPLETIONS_MOST];
};

/* What can be answered to a cue. */
struct hf_question {
    int count; /* of the choices that have a number; the rest of the completions have none */
    struct hf_choice choice[HF_CHOICES_MOST];
    bool none;  /* that it is none of them is an answer too */
    int answer; /* index of the right choice; -1: none of them, or one without a number */
};

/* The question of a level about `pcs`, a completion or a near miss of the held set. */
void hf_levels_ask(hf_pcset held, const struct hf_completion *completions, int count, int level,
                   bool near_misses, hf_pcset pcs, struct hf_question *out);

/* ---- how it sounds ---- */

/* Of some voicings the one that stays the same: in normal order upward from its first member where
 * there is such a one, and of several the lowest. -1 for none at all. */
int hf_levels_place(hf_pcset pcs, const struct hf_voicing *voicings, int count);

/* A voicing with its lowest note an octave lower, so that it is clear which it is; as it was where
 * that would lie under E1 or its two lowest notes are an octave apart already. */
struct hf_voicing hf_levels_clear(const struct hf_voicing *held);

#endif
