/* SPDX-License-Identifier: MIT */
/*
 * schedule_parts: what the files of the schedule share with each other and nobody else.
 */
#ifndef HOLDFAST_SCHEDULE_PARTS_H
#define HOLDFAST_SCHEDULE_PARTS_H

#include <holdfast/schedule.h>

/* schedule.c */
void schedule_take_held(struct hf_schedule *s, const struct hf_voicing *held);
int schedule_list_choices(struct hf_schedule *s, hf_pcset pcs, uint32_t round);
struct hf_voicing schedule_choose_other(struct hf_schedule *s, int count,
                                        const struct hf_voicing *last);
enum hf_status schedule_no_room(const struct hf_schedule *s, uint32_t round, hf_pcset pcs,
                                struct hf_diag *diag) HF_CHECKED;

enum hf_status schedule_too_long(int64_t seconds, struct hf_diag *diag) HF_CHECKED;

enum hf_register_way schedule_way_of_round(const struct hf_schedule *s, uint32_t round);
struct hf_voicing schedule_choose_voicing(struct hf_schedule *s, int index, uint32_t round);

/* schedule_hand.c: voicings that lie in a hand. */
bool schedule_in_reach_of_keys(const struct hf_schedule *s, const struct hf_voicing *added);
int schedule_filter_voicings(struct hf_schedule *s, int count, uint32_t round);
enum hf_status schedule_take_hand(struct hf_schedule *s, const struct hf_request *request,
                                  struct hf_diag *diag) HF_CHECKED;
enum hf_status schedule_check_hand(struct hf_schedule *s, struct hf_diag *diag) HF_CHECKED;
bool schedule_shape_of(const struct hf_fretboard *board, const struct hf_notes *notes,
                       struct hf_shape *shape);
bool schedule_next_in_hand(struct hf_schedule *s, int index, uint32_t round, struct hf_cue *cue);
void schedule_next_stop(struct hf_schedule *s, struct hf_cue *cue);

/* schedule_order.c: the sequence of a round. */
void schedule_begin_round(struct hf_schedule *s);

/* schedule_ear.c: completions and near misses to be told apart by ear. */
enum hf_status schedule_start_ear(struct hf_schedule *s, const struct hf_request *request,
                                  struct hf_diag *diag) HF_CHECKED;
enum hf_status schedule_check_ear(struct hf_schedule *s, struct hf_diag *diag) HF_CHECKED;
void schedule_next_ear(struct hf_schedule *s, struct hf_cue *out);

/* schedule_weak.c: those that ask for practice more often. */
void schedule_take_weights(struct hf_schedule *s, const struct hf_request *request);
void schedule_order_weak(struct hf_schedule *s);

/* schedule_sight.c: chords to look at, as a held half and an added one. */
enum hf_status schedule_start_sight(struct hf_schedule *s, const struct hf_request *request,
                                    struct hf_diag *diag) HF_CHECKED;
bool schedule_next_sight(struct hf_schedule *s, struct hf_cue *out);
enum hf_status schedule_count_cues(struct hf_schedule *s, const struct hf_request *request,
                                   struct hf_diag *diag) HF_CHECKED;

/* schedule_script.c: cues whose held notes change: along a path, and in reverse. */
void schedule_next_leg(struct hf_schedule *s, struct hf_cue *out);
void schedule_next_reversed(struct hf_schedule *s, uint32_t round, struct hf_cue *out);
void schedule_start_reversed(struct hf_schedule *s);
enum hf_status schedule_check_path(struct hf_schedule *s, struct hf_diag *diag) HF_CHECKED;
enum hf_status schedule_check_reversed(struct hf_schedule *s, struct hf_diag *diag) HF_CHECKED;

/* schedule_unfold.c: the classes of a chord, after its cue. */
enum hf_status schedule_start_unfold(struct hf_schedule *s, const struct hf_request *request,
                                     struct hf_diag *diag) HF_CHECKED;
void schedule_begin_unfold(struct hf_schedule *s, const struct hf_cue *cue);
void schedule_next_unfold(struct hf_schedule *s, struct hf_cue *cue);

/* schedule_warmup.c: the steps of a warm-up. */
enum hf_status schedule_start_warmup(struct hf_schedule *s, const struct hf_request *request,
                                     struct hf_diag *diag) HF_CHECKED;
/* Makes the last pass as long as the session's total has it. */
void schedule_keep_steps(struct hf_schedule *s);
void schedule_next_step(struct hf_schedule *s, struct hf_cue *cue);

#endif
