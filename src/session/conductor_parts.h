/* SPDX-License-Identifier: MIT */
/*
 * conductor_parts: what the files of the conductor share; each function stands in the file named
 * above it. For src/session/conductor*.c and nobody else.
 */
#ifndef HOLDFAST_CONDUCTOR_PARTS_H
#define HOLDFAST_CONDUCTOR_PARTS_H

#include <holdfast/conductor.h>

/* conductor.c: steps. A record is numbered, goes to the timeline, and becomes a step. */
enum hf_status conductor_record(struct hf_conductor *c, struct hf_record record,
                                struct hf_diag *diag) HF_CHECKED;
void conductor_event(struct hf_conductor *c, struct hf_event event);

/* conductor_lay.c: what lies ahead on the plan. */
void conductor_put_notes(struct hf_event *event, const uint8_t *notes, int count);
enum hf_status conductor_lay_first_hold(struct hf_conductor *c, struct hf_diag *diag) HF_CHECKED;
void conductor_lay_count_in(struct hf_conductor *c);
/* Writes this cue ahead; the schedule's next, and after its last the finish. */
enum hf_status conductor_lay(struct hf_conductor *c, const struct hf_cue *cue,
                             struct hf_diag *diag) HF_CHECKED;
enum hf_status conductor_lay_next(struct hf_conductor *c, struct hf_diag *diag) HF_CHECKED;

#endif
