/* SPDX-License-Identifier: MIT */
/*
 * chooser: what a player of roam and hunt does beside the keys of every session: notes typed in
 * hunt, hints, suggestions; and the words for it. The line that is typed is a state of bytes; what
 * the words say is a function of the timeline.
 *
 * The caller owns the struct, which starts with what is set by hand and zeros. Main thread only.
 */
#ifndef HOLDFAST_CLI_CHOOSER_H
#define HOLDFAST_CLI_CHOOSER_H

#include <stdio.h>

#include <holdfast/conductor.h>
#include <holdfast/roam.h>

enum { CHOOSER_LINE = 64, CHOOSER_TEXT = 400 };

struct chooser {
    const struct hf_request *request;
    struct hf_conductor *conductor; /* NULL: nothing is taken */
    bool tell;                      /* hunt: another class is told by its name */

    char line[CHOOSER_LINE]; /* as typed so far */
    size_t length;
    unsigned suggestions; /* given */

    enum hf_status failed; /* what was given could not be recorded: the session can't go on */
};

enum chooser_press {
    CHOOSER_LEFT,  /* not for the chooser: it may be a key */
    CHOOSER_TAKEN, /* the line changed, or there is nothing to say */
    CHOOSER_SAYS   /* `reply` says what came of it; records wait for the disk */
};

/* Feeds a byte that is not in an escape sequence, typed at session sample `now`. */
enum chooser_press chooser_feed(struct chooser *chooser, unsigned char byte, int64_t now,
                                char reply[CHOOSER_TEXT]);

/* The notes of a line as hf_notes_parse wants it: names typed in small letters become capitals, in
 * German h too. Pure; writes at most CHOOSER_LINE bytes. */
void chooser_tidy(const char *line, bool german, char out[CHOOSER_LINE]);

/* The keys, in a line or two; NULL where they are those of every session. */
const char *chooser_help(const struct hf_request *request);

/* ---- words ----------------------------------------------------------------------------------- */

/* What an answer of hunt was, from its record, which the timeline has. Returns `text`. */
char *chooser_answer(const struct hf_timeline *timeline, const struct hf_record *answer, bool tell,
                     char text[CHOOSER_TEXT]);

/* A hint as a sentence. Returns `text`. */
char *chooser_hint(const struct hf_hunt *hunt, const struct hf_hint *hint, char text[CHOOSER_TEXT]);

/* What the session is, in place of cues, way and order; what there is to do; the list in view. */
void chooser_say_session(const struct hf_request *request, int count);
void chooser_say_list(const struct hf_request *request, const struct hf_timeline *timeline);

/* How long the player was on each; what was found. After the end. */
void chooser_say_end(const struct hf_request *request, const struct hf_timeline *timeline,
                     int rate_hz);

#endif
