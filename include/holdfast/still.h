/* SPDX-License-Identifier: MIT */
/*
 * still: a cue as a picture, for whoever edits a film: its names in large letters, what is held,
 * and when it comes. Drawn by cairo, which a build may lack.
 *
 * Pure apart from the file that is written, whole or not at all. One thread at a time.
 */
#ifndef HOLDFAST_STILL_H
#define HOLDFAST_STILL_H

#include <holdfast/cuesheet.h>

/* 16 to 9, in pixels. */
enum { HF_STILL_WIDTH = 1280, HF_STILL_HEIGHT = 720 };

/* Whether this build can draw. HF_E_USAGE otherwise. */
enum hf_status hf_still_check(struct hf_diag *diag) HF_CHECKED;

/* Draws row `index` into a file, .svg or .png. Errors: those of hf_wholefile_open; HF_E_IO,
 * HF_E_MEMORY; those of hf_still_check. */
enum hf_status hf_still_write(const struct hf_cuesheet *sheet, size_t index, const char *path,
                              struct hf_diag *diag) HF_CHECKED;

#endif
