/* SPDX-License-Identifier: MIT */
/*
 * source: where the steps of a session come from, be it a conductor or a replay. Whoever drives a
 * session (live, to a file, in rehearsal) sees only this.
 *
 * A source is two functions and what they work on, owned by its maker. One thread at a time.
 */
#ifndef HOLDFAST_SOURCE_H
#define HOLDFAST_SOURCE_H

#include <holdfast/conductor.h>

struct hf_source {
    /* Takes the next step; false when there is none now. */
    bool (*step)(void *self, struct hf_step *out);
    /* Hears what the engine did. */
    enum hf_status (*report)(void *self, const struct hf_report *report, struct hf_diag *diag);
    void *self;
};

/* What to do with a record before the events after it may go on: put it on the disk, print it. */
struct hf_sink {
    enum hf_status (*record)(void *self, const struct hf_record *record, struct hf_diag *diag);
    void *self;
};

struct hf_source hf_conductor_source(struct hf_conductor *conductor);

/* Runs a source to its end against a transport alone: no sound, no waiting. HF_E_BUG when it would
 * never end. */
enum hf_status hf_source_rehearse(struct hf_source source, struct hf_sink sink, int rate_hz,
                                  struct hf_diag *diag) HF_CHECKED;

#endif
