/* SPDX-License-Identifier: MIT */
/* The text of a patch file before anything is read from it. */
#ifndef HOLDFAST_SOUND_PATCHFILE_TEXT_H
#define HOLDFAST_SOUND_PATCHFILE_TEXT_H

#include <stddef.h>

#include <holdfast/status.h>

/* HF_E_DATA with the line for: too long as a whole or in a line, not UTF-8, a control byte, a line
 * that begins with a space (inih would take it for more of the value before it). */
enum hf_status hf_patchfile_check_text(const char *text, size_t length, const char *filename,
                                       struct hf_diag *diag) HF_CHECKED;

/* The line at *at, without its end (\n or \r\n); moves *at to the next one. */
const char *hf_patchfile_line(const char *text, size_t length, size_t *at, size_t *line_length);

#endif
