/* SPDX-License-Identifier: MIT */
/*
 * quiz: the words of the practices that ask and are answered, ear and sight: the question, the
 * answers with their numbers, what it was and what was answered.
 *
 * Texts are the caller's. Pure but for quiz_say_*, which print; main thread only.
 */
#ifndef HOLDFAST_CLI_QUIZ_H
#define HOLDFAST_CLI_QUIZ_H

#include "scene.h"
#include "session.h"

enum { QUIZ_TEXT = 640 };

/* True where the practice of the source asks. */
bool quiz_asks(const struct scene_source *source);

/* Sight: what was picked so far of a chord; "" for nothing. And its frame, printed, where it is to
 * be seen as one. */
char *quiz_picks(const struct scene_source *source, size_t index, char text[QUIZ_TEXT]);
void quiz_draw(const struct scene_source *source, size_t index);

/* For quiz.c: the same as the two below, of sight. */
char *quiz_sight_begins(const struct scene_source *source, size_t index, char text[QUIZ_TEXT]);
char *quiz_sight_told(const struct scene_source *source, size_t index, char text[QUIZ_TEXT]);

/* What there is to say when a cue begins: a new level with its answers, or what is asked now. ""
 * for nothing. Lines parted by newlines. Returns `text`. */
char *quiz_begins(const struct scene_source *source, size_t index, char text[QUIZ_TEXT]);

/* What it was, once it is told, and what was answered. Returns `text`. */
char *quiz_told(const struct scene_source *source, size_t index, char text[QUIZ_TEXT]);

/* The keys that answer, beside those of every session, in `text` or in a text of its own; NULL
 * where none do. */
const char *quiz_help(const struct hf_request *request, char text[QUIZ_TEXT]);

/* Reads the chords of the request's file, once, where one is named. HF_E_DATA with file and line;
 * the errors of hf_store_read. */
enum hf_status quiz_load_chords(struct session *session, struct hf_diag *diag) HF_CHECKED;

/* Before the session: what is asked; after it: the level that was reached. */
void quiz_say_session(const struct hf_request *request, const struct hf_schedule *schedule);
void quiz_say_end(const struct hf_request *request, const struct hf_timeline *timeline);

#endif
