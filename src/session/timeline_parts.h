/* SPDX-License-Identifier: MIT */
/* timeline_parts: what the files of the timeline share; for src/session/timeline*.c alone. */
#ifndef HOLDFAST_TIMELINE_PARTS_H
#define HOLDFAST_TIMELINE_PARTS_H

#include <holdfast/timeline.h>

/* Index of the last cue that began at or before `now`, and of the one that runs then; -1 for none.
 */
long timeline_begun(const struct hf_timeline *t, int64_t now);
long timeline_running(const struct hf_timeline *t, int64_t now);

/* timeline_check.c */
/* Says something about the session, and moves neither time nor sound. */
bool timeline_is_note(enum hf_record_type type);
/* HF_E_DATA for a record that can't follow those before it. */
enum hf_status timeline_check(const struct hf_timeline *t, const struct hf_record *r,
                              struct hf_diag *diag) HF_CHECKED;

#endif
