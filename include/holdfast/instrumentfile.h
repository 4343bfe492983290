/* SPDX-License-Identifier: MIT */
/*
 * instrumentfile: the text of an instrument file (INI) into a fretboard, with every mistake named
 * by file, line, key, value and what is allowed; and the instruments that ship. It reads text only;
 * finding files is the command line's work.
 *
 * Pure; any thread may call it.
 */
#ifndef HOLDFAST_INSTRUMENTFILE_H
#define HOLDFAST_INSTRUMENTFILE_H

#include <stddef.h>

#include <holdfast/fretboard.h>
#include <holdfast/status.h>

/*
 * [instrument]
 * about = one line (may be left out)
 * strings = E2 A2 D3 G3 B3 E4      the open strings, lowest first, 1 to 12
 * frets = 19                       1 to 36
 * capo = 0                         0 to 24, under frets; 0 where left out
 * scale_mm = 650                   100 to 2000, from nut to bridge
 * nut_spacing_mm = 8.5             1 to 60, between neighbouring strings
 * bridge_spacing_mm = 11.5         1 to 60
 * reach_mm = 100                   1 to 1000; 100 where left out
 * fingers = 4                      1 to 5; 4 where left out
 * plucking_fingers = 4             1 to 5; 4 where left out
 * left_handed = no                 yes or no; no where left out
 */

/* Reads `length` bytes of text. `filename` is for messages only, `name` becomes the instrument's.
 * HF_E_DATA with a full diagnostic: `FILE:LINE: [section] key = value: what is wrong (what is
 * allowed)`. */
enum hf_status hf_instrumentfile_parse(const char *text, size_t length, const char *filename,
                                       const char *name, struct hf_fretboard *out,
                                       struct hf_diag *diag) HF_CHECKED;

/* An instrument that ships. */
struct hf_instrument {
    const char *name;
    const char *text;
};

/* guitar first, ended by a NULL name. */
extern const struct hf_instrument hf_instruments[];

/* The text of one by its name, or NULL. */
const char *hf_instrumentfile_find_builtin(const char *name);

#endif
