/* SPDX-License-Identifier: MIT */
/* warmup: what a warm-up says and shows beside its cues. Main thread only. */
#ifndef HOLDFAST_CLI_WARMUP_H
#define HOLDFAST_CLI_WARMUP_H

#include "scene.h"
#include "session.h"

/* What was understood, as say_session; with the words on strain, once. */
void say_warmup(const struct session *session);

/* What a step is: "note", "fifth", "tritone", "close", "spread". */
const char *warmup_word(const struct hf_record *cue);

/* Between two cues with time between them; `*until` gets the beginning of the next. */
bool scene_rests(const struct hf_timeline *timeline, int64_t now, int64_t *until);

scene_practice scene_warmup;

#endif
