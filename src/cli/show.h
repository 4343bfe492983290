/* SPDX-License-Identifier: MIT */
/*
 * show: a running session in plain lines: one for each thing that happens, and on a terminal a last
 * line that always says what to do now and how long it lasts. What it shows is a function of the
 * timeline and the sample that is heard.
 *
 * The caller owns the struct, which starts with what is set by hand and zeros. Main thread only.
 */
#ifndef HOLDFAST_CLI_SHOW_H
#define HOLDFAST_CLI_SHOW_H

#include "scene.h"
#include "session.h"

enum { SHOW_TEXT = 320 };

struct show {
    struct scene_source of;
    bool terminal; /* stdout is one: the last line may be written over, and be bold */

    bool line_open;
    char status[SHOW_TEXT];     /* as it stands there */
    size_t begun, named, heard; /* cues said so far */
    bool resting, staying, paused, ending, volume_known;
    double volume_db;
};

/* Prints a line above the last one. */
void show_line(struct show *show, const char *line);

/* Prints what has come about by `now`, and the last line anew where it changed. */
void show_update(struct show *show, int64_t now);

/* What to do now, with the time that it lasts: the last line. Pure. Returns `text`. */
char *show_status(const struct show *show, int64_t now, char text[SHOW_TEXT]);

/* Says that the cue at `now` sounds again; that it was marked. */
void show_again(struct show *show, int64_t now);
void show_mark(struct show *show, long cue_n, enum hf_mark mark);

/* Says what an answer of hunt was, or a hint, from a record that the timeline has; nothing for
 * others. `tell`: another class by its name. */
void show_choice(struct show *show, const struct hf_record *record, bool tell);

/* A grip that the first cue needs. */
void show_first_grip(struct show *show);

/* Takes the last line away. */
void show_close(struct show *show);

/* Got and missed in all, with the cues that were missed; nothing where nothing was marked. */
void show_marks(const struct hf_timeline *timeline);

#endif
