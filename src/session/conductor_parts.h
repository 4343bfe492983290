/* SPDX-License-Identifier: MIT */
/*
 * conductor_parts: what the files of the conductor share; each function stands in the file named
 * above it. For src/session/conductor*.c and nobody else.
 */
#ifndef HOLDFAST_CONDUCTOR_PARTS_H
#define HOLDFAST_CONDUCTOR_PARTS_H

#include <holdfast/conductor.h>

/* conductor.c: steps. A record is numbered, goes to the timeline, and becomes a step; a command is
 * sent for the next chunk. */
enum hf_status conductor_record(struct hf_conductor *c, struct hf_record record,
                                struct hf_diag *diag) HF_CHECKED;
void conductor_event(struct hf_conductor *c, struct hf_event event);
void conductor_command(struct hf_conductor *c, enum hf_event_kind kind);

/* Asks for the pause that an output that is away wants, or for its end, once that can be asked. */
void conductor_settle_away(struct hf_conductor *c);

/* Counts a command that is sent in another way. */
void conductor_ask(struct hf_conductor *c, enum hf_event_kind kind);
/* HF_E_USAGE for a key that can't be taken now. */
enum hf_status conductor_may(const struct hf_conductor *c, enum hf_key key,
                             struct hf_diag *diag) HF_CHECKED;

/* conductor_ear.c: answers and levels. */
void conductor_start_levels(struct hf_conductor *c);
/* Before the first cue of a round, and at the end: the level of what follows. */
enum hf_status conductor_take_round(struct hf_conductor *c, struct hf_diag *diag) HF_CHECKED;
/* The last cue laid has begun: lays the next, or withholds it; and gives it free. */
enum hf_status conductor_follow(struct hf_conductor *c, struct hf_diag *diag) HF_CHECKED;
enum hf_status conductor_release(struct hf_conductor *c, struct hf_diag *diag) HF_CHECKED;
enum hf_status conductor_mark(struct hf_conductor *c, long cue, enum hf_mark as, int64_t at,
                              struct hf_diag *diag) HF_CHECKED;
/* `cue`: the one that runs, or NULL. `choice` from 1; 0: none of them. */
enum hf_status conductor_pick(struct hf_conductor *c, const struct hf_timeline_cue *cue, int choice,
                              int64_t now, struct hf_diag *diag) HF_CHECKED;

/* Records an answer with its mark, and has the cue named. */
enum hf_status conductor_take_answer(struct hf_conductor *c, struct hf_record answer,
                                     struct hf_diag *diag) HF_CHECKED;

/* conductor_sight.c. `choice`: a note from 1, low to high; 0: no; HF_SIGHT_YES: yes. */
enum { HF_SIGHT_YES = -1 };
enum hf_status conductor_pick_note(struct hf_conductor *c, const struct hf_timeline_cue *cue,
                                   int choice, int64_t now, struct hf_diag *diag) HF_CHECKED;

/* conductor_lay.c: what lies ahead on the plan. */
void conductor_put_notes(struct hf_event *event, const uint8_t *notes, int count);
enum hf_status conductor_lay_first_hold(struct hf_conductor *c, struct hf_diag *diag) HF_CHECKED;
void conductor_lay_count_in(struct hf_conductor *c);
/* Writes this cue ahead; the schedule's next, and after its last the finish. */
enum hf_status conductor_lay(struct hf_conductor *c, const struct hf_cue *cue,
                             struct hf_diag *diag) HF_CHECKED;
enum hf_status conductor_lay_next(struct hf_conductor *c, struct hf_diag *diag) HF_CHECKED;

/* conductor_choose.c: where the player begins each cue. */
void conductor_start_choice(struct hf_conductor *c);
enum hf_status conductor_choose(struct hf_conductor *c, int index, struct hf_diag *diag) HF_CHECKED;
enum hf_status conductor_choose_key(struct hf_conductor *c, enum hf_key key,
                                    struct hf_diag *diag) HF_CHECKED;
/* A next that came before its cue is sent anew. */
void conductor_choose_again(struct hf_conductor *c);

/* conductor_break.c */
/* The record of a pause is made: that of its break, where it is one. */
enum hf_status conductor_note_break(struct hf_conductor *c, int64_t at,
                                    struct hf_diag *diag) HF_CHECKED;
/* A resume is heard, before its record is made. */
void conductor_end_pause(struct hf_conductor *c, const struct hf_report *r);

#endif
