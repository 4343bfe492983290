/* SPDX-License-Identifier: MIT */
/*
 * chord_page: a chord from a score, for a command that is to play it: which of its splits is meant,
 * and what the player is told about them. Only code in src/cli includes this.
 *
 * The caller owns what it passes. Main thread only.
 */
#ifndef HOLDFAST_CHORD_PAGE_H
#define HOLDFAST_CHORD_PAGE_H

#include <holdfast/chord.h>
#include <holdfast/spelling.h>

/* Chooses the split of a chord whose notes have octaves: the `number`-th (from 1), or with 0 the
 * only one. Where the class to be added lies in no certain pairing, other pairings count too.
 * Prints on stdout what was chosen and where its halves lie; with several and no number the list of
 * them; with none what the chord is and the nearest chords that have one. HF_E_USAGE where none is
 * chosen; `diag` has the reason and the advice. */
enum hf_status hf_chord_choose(const struct hf_notes *chord, const struct hf_chord_wish *wish,
                               int number, enum hf_names names, struct hf_chord_split *out,
                               struct hf_diag *diag) HF_CHECKED;

#endif
