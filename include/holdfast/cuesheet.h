/* SPDX-License-Identifier: MIT */
/*
 * cuesheet: the cues of a session with the places where they lie in its sound file, for those who
 * work on with that file: as captions (WebVTT, W3C 2019) and as a table (CSV, RFC 4180). The rows
 * are plain text and frames, whoever laid them.
 *
 * The caller owns rows and texts. Pure apart from memory; any thread may call it.
 */
#ifndef HOLDFAST_CUESHEET_H
#define HOLDFAST_CUESHEET_H

#include <stddef.h>
#include <stdint.h>

#include <holdfast/status.h>

enum { HF_CUESHEET_TEXT = 160 };

/* A time of a row that never comes. */
#define HF_CUESHEET_NEVER INT64_MAX

/* Times are frames of the sound file. `tell` is when all of the cue is named, `hear` when it
 * sounds; before `tell`, `before` says all that is known. */
struct hf_cuesheet_row {
    long number; /* from 1 */
    int id;      /* of the completion */
    int64_t at, tell, hear, end;
    char names[HF_CUESHEET_TEXT];   /* "D Eb A" */
    char pitches[HF_CUESHEET_TEXT]; /* with octaves, upward */
    char held[HF_CUESHEET_TEXT];    /* what is held, with octaves */
    char frets[HF_CUESHEET_TEXT];   /* "x-3-2-1-x-x", or "" */
    char before[HF_CUESHEET_TEXT];  /* "listen" */
    const char *mark;               /* "got", "missed" or "" */
};

struct hf_cuesheet {
    const char *title; /* one line, UTF-8 */
    int rate_hz;
    const struct hf_cuesheet_row *rows; /* ascending in time */
    size_t count;
};

/* Captions: what is known of a cue, what to find, what is heard. `*text` is the caller's to free.
 * HF_E_MEMORY. */
enum hf_status hf_cuesheet_captions(const struct hf_cuesheet *sheet, char **text, size_t *length,
                                    struct hf_diag *diag) HF_CHECKED;

/* A table with a head line: cue, at_s, tell_s, hear_s, end_s, id, names, pitches, held, frets,
 * mark. Seconds with six decimals; a time that never comes is empty. */
enum hf_status hf_cuesheet_table(const struct hf_cuesheet *sheet, char **text, size_t *length,
                                 struct hf_diag *diag) HF_CHECKED;

#endif
