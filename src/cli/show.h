/* SPDX-License-Identifier: MIT */
/*
 * show: a running session as the player sees it: on the screen; or in plain lines, one for each
 * thing that happens, and on a terminal a last line that always says what to do now and how long it
 * lasts; or as a stream of JSON. What it shows is a function of the timeline and the sample that is
 * heard.
 *
 * The caller owns the struct, which starts with what is set by hand and zeros. Main thread only.
 */
#ifndef HOLDFAST_CLI_SHOW_H
#define HOLDFAST_CLI_SHOW_H

#include <stdio.h>

#include "scene.h"
#include "session.h"
#include "theme.h"

enum { SHOW_TEXT = 320 };

enum show_kind { SHOW_PLAIN, SHOW_SCREEN, SHOW_JSON };

struct show {
    struct scene_source of;
    enum theme theme;
    FILE *stream;  /* of JSON; NULL without */
    bool plain;    /* no screen, on a terminal neither */
    bool terminal; /* stdout is one: the last line may be written over, and be bold */

    bool line_open;
    char status[SHOW_TEXT];     /* as it stands there */
    size_t begun, named, heard; /* cues said so far */
    bool resting, staying, paused, ending, volume_known;
    double volume_db;
    int64_t rested; /* output samples of breaks, as far as told */

    enum show_kind kind; /* from show_open on */
    char remark[SHOW_TEXT];
    double remark_s, drawn_s; /* when it was said; when something was drawn last */
    struct scene drawn;
};

/* Begins to show: on the screen where there can be one, else in lines. */
void show_open(struct show *show);

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

/* How long nothing will change of itself but the bar, at `now`, in milliseconds, at most `most`. */
int show_rest_ms(const struct show *show, int64_t now, int most);

/* The last object of a stream: the session is over, its record is there (NULL: it has none). */
void show_json_end(FILE *stream, const char *journal);

/* Takes the last line away, or the screen. */
void show_close(struct show *show);

/* Got and missed in all, with a line for each completion that was missed; nothing where nothing was
 * marked. */
void show_marks(const struct hf_timeline *timeline);

#endif
