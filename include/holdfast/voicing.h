/* SPDX-License-Identifier: MIT */
/*
 * voicing: pitch classes placed in registers. Lists the close and open voicings of a set between
 * two pitches, so that a cue can choose one.
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

bool hf_voicing_same(const struct hf_voicing *a, const struct hf_voicing *b);

/* True where a note of the voicing lies strictly between `low` and `high`. */
bool hf_voicing_between(const struct hf_voicing *voicing, int low, int high);

#endif
