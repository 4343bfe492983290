/* SPDX-License-Identifier: MIT */
/*
 * takeaway: what a session leaves beside its sound file for other programs: stems, a track and a
 * picture for each cue, captions, a table of times. All of it is made of the session's records.
 * Main thread only.
 */
#ifndef HOLDFAST_CLI_TAKEAWAY_H
#define HOLDFAST_CLI_TAKEAWAY_H

#include <stdbool.h>

#include <holdfast/cuesheet.h>
#include <holdfast/journal.h>
#include <holdfast/timeline.h>

struct session;

struct takeaway {
    const char *stems;    /* --stems: a directory */
    const char *tracks;   /* --tracks: a directory */
    const char *captions; /* --captions: a file */
    const char *times;    /* --times: a file */
    const char *stills;   /* --stills: a directory */
    bool png;             /* --stills-as, */
    bool stills_as_said;  /* where it was said */
    bool formats;         /* --formats: nothing but the list of them */
};

/* Takes one of its options. HF_E_USAGE. */
enum hf_status takeaway_option(struct takeaway *takeaway, int code, const char *text,
                               struct hf_diag *diag) HF_CHECKED;

/* Whether there is anything to write but the sound file. */
bool takeaway_wanted(const struct takeaway *takeaway);

/* Refuses what can't be together, before anything is made. HF_E_USAGE. */
enum hf_status takeaway_check(const struct session *session, struct hf_diag *diag) HF_CHECKED;

/* The formats of sound files, on stdout. */
void takeaway_say_formats(void);

/* Makes a directory where there is none. HF_E_CREATE. */
enum hf_status takeaway_directory(const char *path, struct hf_diag *diag) HF_CHECKED;

/* The cues that were given, with the frames of a file at `rate_hz` where they lie. `*rows` is the
 * caller's to free. HF_E_MEMORY. */
enum hf_status takeaway_rows(const struct hf_journal *journal, const struct hf_timeline *timeline,
                             int rate_hz, struct hf_cuesheet_row **rows, size_t *count,
                             struct hf_diag *diag) HF_CHECKED;

/* What a session is called in the files that are made of it. Returns `text`. */
enum { TAKEAWAY_TITLE = 200 };
char *takeaway_title(const struct hf_journal *journal, char text[TAKEAWAY_TITLE]);

/* Writes captions, times, tracks and stills. */
enum hf_status takeaway_write(const struct session *session, const struct hf_journal *journal,
                              const struct hf_timeline *timeline, const struct hf_cuesheet *sheet,
                              struct hf_diag *diag) HF_CHECKED;

#endif
