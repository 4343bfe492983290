/* SPDX-License-Identifier: MIT */
/*
 * inifile: the text of an INI file (a patch, an instrument, a saved session): looked at before inih
 * reads anything from it, so that nothing in it can surprise inih or a terminal; and read through
 * inih, line by line, up to the first fault.
 *
 * Pure; any thread may call it.
 */
#ifndef HOLDFAST_INIFILE_H
#define HOLDFAST_INIFILE_H

#include <stdbool.h>
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

/* Copies that line to `to`, cut to `size` bytes with its NUL; false at the end of the text. */
bool hf_inifile_next(const char *text, size_t length, size_t *at, char *to, size_t size);

/* The first fault of a file, which is the one that is told. The caller owns it; `failed` starts
 * false. Each of the functions returns false, so that a reader can end with it. */
struct hf_inifile_fault {
    const char *filename;
    struct hf_diag *diag;
    bool failed;
};

/* Bytes of a text of the file that a message can hold, cut between characters; for "%.*s". */
int hf_inifile_fitting(const char *text);

/* `FILE:LINE: what`; line 0 of an empty file counts as 1. */
bool hf_inifile_fail(struct hf_inifile_fault *fault, long line, const char *what);

/* `FILE:LINE: [section] key = value: what`, long texts cut between characters. */
bool hf_inifile_fail_key(struct hf_inifile_fault *fault, long line, const char *section,
                         const char *key, const char *value, const char *what);

/* The same with `(allowed: low to high)`. */
bool hf_inifile_fail_range(struct hf_inifile_fault *fault, long line, const char *section,
                           const char *key, const char *value, const char *what, double low,
                           double high);

/* A text on its way through inih. The caller owns it and fills in the first part; `self` is its
 * own, for the two functions. */
struct hf_inifile {
    const char *text;
    size_t length, at; /* begins at 0, or behind what stands before the first line */
    struct hf_inifile_fault fault;
    void *self;
    /* A line that begins with [, before inih has it: inih says nothing of a section as such. */
    void (*section)(void *self, const char *line);
    /* A key, as hf_inifile_fail: false where it is at fault. */
    bool (*key)(void *self, const char *section, const char *name, const char *value);
    long line; /* the number of the one that is read */
};

/* Checks the text, for `what`, then reads it. `shape` is what a line can be, as in
 * "neither [section] nor key = value". HF_E_DATA with the first fault. */
enum hf_status hf_inifile_read(struct hf_inifile *file, const char *what,
                               const char *shape) HF_CHECKED;

#endif
