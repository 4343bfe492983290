/* SPDX-License-Identifier: MIT */
/*
 * inifile: the text of an INI file (a patch, an instrument) before inih reads anything from it, so
 * that nothing in it can surprise inih or a terminal.
 *
 * Pure; any thread may call it.
 */
#ifndef HOLDFAST_INIFILE_H
#define HOLDFAST_INIFILE_H

#include <stddef.h>

#include <holdfast/status.h>

#define HF_INIFILE_BYTES_MOST 65536
#define HF_INIFILE_LINE_MOST 199

/* HF_E_DATA with the line for: too long as a whole or in a line, not UTF-8, a control byte, a line
 * that begins with a space (inih would take it for more of the value before it). `filename` and
 * `what`, as "a patch", are for messages only. */
enum hf_status hf_inifile_check(const char *text, size_t length, const char *filename,
                                const char *what, struct hf_diag *diag) HF_CHECKED;

/* The line at *at, without its end (\n or \r\n); moves *at to the next one. */
const char *hf_inifile_line(const char *text, size_t length, size_t *at, size_t *line_length);

#endif
