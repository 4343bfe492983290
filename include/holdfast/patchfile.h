/* SPDX-License-Identifier: MIT */
/*
 * patchfile: the text of a patch file (INI) into a patch, with every mistake named by file, line,
 * key, value and what is allowed. It reads text only; finding files is the command line's work.
 *
 * Pure; any thread; not real-time safe.
 */
#ifndef HOLDFAST_PATCHFILE_H
#define HOLDFAST_PATCHFILE_H

#include <stddef.h>

#include <holdfast/inifile.h>
#include <holdfast/patch.h>
#include <holdfast/status.h>

#define HF_PATCHFILE_BYTES_MOST HF_INIFILE_BYTES_MOST

/* Reads `length` bytes of text. `filename` is for messages only. Fails with HF_E_DATA and a full
 * diagnostic: `FILE:LINE: [section] key = value: what is wrong (what is allowed)`. */
enum hf_status hf_patchfile_parse(const char *text, size_t length, const char *filename,
                                  struct hf_patch *out, struct hf_diag *diag) HF_CHECKED;

/* What can only be said once the rate is known: HF_E_DATA when a formant lies over half of it. */
enum hf_status hf_patchfile_fits(const struct hf_patch *patch, const char *filename, long rate,
                                 struct hf_diag *diag) HF_CHECKED;

/* The text of a shipped patch by its name without .ini, or NULL. */
const char *hf_patchfile_find_builtin(const char *name);

#endif
