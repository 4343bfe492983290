/* SPDX-License-Identifier: MIT */
/*
 * voicing: pitch classes placed in registers. Lists the close, open and doubled voicings of a set
 * between two pitches, and measures them, so that a cue can choose one.
 *
 * The caller owns the lists. Pure; any thread may call it.
 */
#ifndef HOLDFAST_VOICING_H
#define HOLDFAST_VOICING_H

#include <stdbool.h>
#include <stdint.h>

#include <holdfast/pcset.h>

enum { HF_VOICINGS_MOST = 4096 };

struct hf_voicing {
    uint8_t count;
    uint8_t notes[HF_PCS]; /* MIDI numbers, ascending */
};

/* Every voicing of `set` whose notes all lie from `low` to `high` (MIDI numbers, both included):
 * close (all within an octave) in every inversion, and open: a close one with one or two of its
 * upper voices an octave lower (the terms are common practice). No voicing comes twice. Writes at
 * most HF_VOICINGS_MOST, in order of inversion, octave, then openness; returns how many. */
int hf_voicing_list(hf_pcset set, int low, int high, struct hf_voicing out[HF_VOICINGS_MOST]);

/* What voicings are wanted. All zeros but the register: close and open ones, nothing doubled, no
 * limit of the lowest interval. */
struct hf_voicing_ask {
    int low, high;      /* MIDI, both included */
    bool no_close;      /* leave out those within an octave */
    bool no_open;       /* leave out those wider than an octave before anything is doubled */
    int doublings;      /* 0 to 2: how many voices sound an octave higher or lower as well */
    double clear_least; /* least hf_voicing_clearness; HF_VOICING_CLEAR is the usual, 0 takes all */
};

/* As hf_voicing_list, by the wishes of `ask`; with doublings every way to double that the register
 * has, and at most 12 notes. */
int hf_voicing_find(hf_pcset set, const struct hf_voicing_ask *ask,
                    struct hf_voicing out[HF_VOICINGS_MOST]);

/* The voicing of some MIDI numbers, in any order, each once; count at most 12. */
struct hf_voicing hf_voicing_of(const int *notes, int count);

/* The voicing that a list with octaves is, its notes ascending (at most HF_PCS of them). */
struct hf_notes;
struct hf_voicing hf_voicing_of_notes(const struct hf_notes *notes);

bool hf_voicing_same(const struct hf_voicing *a, const struct hf_voicing *b);

/* ---- measures ---- */

/* Semitones from the lowest note to the highest; 0 for fewer than two notes. */
int hf_voicing_span(const struct hf_voicing *voicing);

/* The steps between neighbours from the lowest on, in semitones; returns how many, count - 1. */
int hf_voicing_spacing(const struct hf_voicing *voicing, int steps[HF_PCS]);

/* True for all within less than an octave. */
bool hf_voicing_is_close(const struct hf_voicing *voicing);

/* How far apart the two lowest notes are, where 1 is the distance at which two pure tones of these
 * pitches are roughest (Sethares 1993: the greatest d). Under 1 they run together in beats more
 * than they are heard as two: low intervals need to be wide. A semitone reaches 1 at A4, a whole
 * tone at F3, a minor third at G#2, a major third at D2, a fourth at A#1 [computed]. Fewer than two
 * notes: HUGE_VAL. */
double hf_voicing_clearness(const struct hf_voicing *voicing);
#define HF_VOICING_CLEAR 1.0

/* Roughness d of two partials, in Hz and with amplitudes of any one unit (W. A. Sethares, "Local
 * consonance and the relationship between timbre and scale", JASA 94 (1993)). 440 Hz against A#4,
 * amplitudes 1: 0.898681. */
double hf_voicing_roughness(double a_hz, double b_hz, double a_amplitude, double b_amplitude);

/* Where notes lie against held ones: all under the lowest, all over the highest, or else through.
 */
enum hf_relation { HF_RELATION_BELOW, HF_RELATION_THROUGH, HF_RELATION_ABOVE };
enum hf_relation hf_voicing_relation(const struct hf_voicing *voicing,
                                     const struct hf_voicing *held);

/* True where a note of the voicing lies strictly between `low` and `high`. */
bool hf_voicing_between(const struct hf_voicing *voicing, int low, int high);

/* Movement in pitch: the least total of semitones when every note of one goes to a note of the
 * other and none is left out. Of unequal numbers several notes of the larger share one of the
 * smaller. 0 where one is empty. */
int hf_voicing_movement(const struct hf_voicing *from, const struct hf_voicing *to);

#endif
