/* SPDX-License-Identifier: MIT */
/*
 * narrator_parts: what the files of the narrator share; each function stands in narrator.c. For
 * src/session/narrator*.c and nobody else.
 */
#ifndef HOLDFAST_NARRATOR_PARTS_H
#define HOLDFAST_NARRATOR_PARTS_H

#include <holdfast/narrator.h>

int64_t narrator_samples(const struct hf_narrator *n, double seconds);

/* The utterance of a text, NULL where there is nothing to say. */
const struct hf_utterance *narrator_spoken(struct hf_narrator *n, const char *text,
                                           uint32_t *words);

/* How long naming takes, the silence after it included. `self`: the narrator. */
int64_t narrator_naming_length(void *self, const struct hf_record *cue);

/* How long the notes of a cue are to be heard before anything is said over them. */
int64_t narrator_sounding(const struct hf_narrator *n, const struct hf_record *cue);

#endif
