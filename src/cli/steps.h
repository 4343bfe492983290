/* SPDX-License-Identifier: MIT */
/* steps: what is said and shown of a chord that unfolds, class by class. Main thread only. */
#ifndef HOLDFAST_CLI_STEPS_H
#define HOLDFAST_CLI_STEPS_H

#include "scene.h"

enum { STEPS_TEXT = 160 };

/* Is it a step of the cue before it? */
bool steps_is(const struct hf_timeline_cue *cue);

/* The class as it is asked for, "016 (3-5)", with a common name where there is one. Returns `text`.
 */
char *steps_asked(const struct hf_record *step, char text[STEPS_TEXT]);

/* What sounds: pitches, class, place: "C#5 D5 G5   016, 1 of 5". Returns `text`. */
char *steps_heard(const struct hf_record *step, char text[STEPS_TEXT]);

/* The scene of a step that is named, and maybe heard. */
void steps_describe(const struct hf_timeline_cue *cue, bool heard, struct scene *scene);

/* What follows a cue or step: another step, another cue, or the end of the session. */
enum steps_after { STEPS_STEP, STEPS_CUE, STEPS_END };
enum steps_after steps_after(const struct scene_source *source, const struct hf_timeline_cue *cue);

#endif
