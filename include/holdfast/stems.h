/* SPDX-License-Identifier: MIT */
/*
 * stems: the buses of a session in files of their own, beside the mix: held.wav, added.wav,
 * tick.wav and speech.wav, in floats. Their sum, in this order and in floats, is the mix before the
 * ceiling. A bus that never sounds gets no file.
 *
 * The module owns what hf_stems_open makes until commit or discard. One thread at a time; it hears
 * the engine by its tap, so the engine must not be live.
 */
#ifndef HOLDFAST_STEMS_H
#define HOLDFAST_STEMS_H

#include <stdint.h>

#include <holdfast/engine.h>
#include <holdfast/soundfile.h>

struct hf_stems;

/* Starts the files in a directory, which is there. `form` as the mix has it; its bits are not used.
 * Errors: those of hf_soundfile_open. */
enum hf_status hf_stems_open(struct hf_stems **out, const char *directory,
                             const struct hf_soundfile_form *form, struct hf_diag *diag) HF_CHECKED;

/* For hf_engine_set_tap. */
struct hf_engine_tap hf_stems_tap(struct hf_stems *stems);

/* Ends every file after `frames` frames and puts them into place; frees in every case. HF_E_IO also
 * for what went wrong while the engine ran: then no file is left. */
enum hf_status hf_stems_commit(struct hf_stems *stems, int64_t frames,
                               struct hf_diag *diag) HF_CHECKED;

/* Drops them all. `stems` may be NULL. */
void hf_stems_discard(struct hf_stems *stems);

/* The name of a stem, as its file has it without the extension. */
const char *hf_stem_name(enum hf_stem stem);

#endif
