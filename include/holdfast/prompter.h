/* SPDX-License-Identifier: MIT */
/*
 * prompter: the part of the transport that says at which sample something spoken begins and where
 * it is broken off. It moves no cue: it only follows the clock that the transport keeps.
 *
 * Belongs to the transport that it is part of. Real-time safe throughout; one thread at a time.
 *
 * The rules. What is said of a cue (SPEAK) begins when its plan time comes; at once when a next or
 * a reveal brings that time; never when its cue is over by then. It takes the place of whatever is
 * being said. What asks for something (`asks`) is left out once its cue is told, and once its cue
 * has begun if it was to come before. A remark (SAY at once, or one that `waits`, from its time on
 * and while its cue is not over) waits until nothing is being said, and is dropped in a pause. Any
 * other SAY with a time begins at that session sample: so a replay says what was said. What is
 * being said of a cue is broken off when the cue is over.
 */
#ifndef HOLDFAST_PROMPTER_H
#define HOLDFAST_PROMPTER_H

#include <holdfast/event.h>

enum { HF_PROMPTER_PLAN = 16, HF_PROMPTER_REMARKS = 6, HF_PROMPTER_TIMED = 32 };

struct hf_prompter {
    struct hf_event plan[HF_PROMPTER_PLAN]; /* SPEAK, in the order in which they came */
    int planned;
    struct hf_event remarks[HF_PROMPTER_REMARKS]; /* SAY at once, or that waits */
    int remarked;
    struct hf_event timed[HF_PROMPTER_TIMED]; /* SAY with a session time, ascending */
    int timed_count;
    uint32_t cue;   /* of what is being said, 0 for none */
    int64_t end_at; /* session sample where it ends */
    uint32_t told;  /* the cue that was told last */
};

struct hf_transport;

/* Takes a SPEAK or a SAY; false when there is no room for it now. Of remarks the oldest gives way.
 */
bool hf_prompter_take(struct hf_prompter *prompter, const struct hf_event *event);

/* After the transport has worked out its chunk, before its clock moves on: adds what begins and
 * what is broken off in it to its actions and reports. */
void hf_prompter_chunk(struct hf_prompter *prompter, struct hf_transport *transport);

/* In a chunk of a pause's silence: remarks would come too late. */
void hf_prompter_pause(struct hf_prompter *prompter);

#endif
