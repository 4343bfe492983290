/* SPDX-License-Identifier: MIT */
/*
 * warmup: the steps of a gentle start: single notes of the completions of one kind against the held
 * ones, then their pairs, then each completion close, then spread. The list is made to be short: a
 * warm-up that has less time leaves steps out and never hurries.
 *
 * Values in, values out to memory of the caller. Pure; any thread may call it.
 */
#ifndef HOLDFAST_WARMUP_H
#define HOLDFAST_WARMUP_H

#include <holdfast/pairing.h>

/* Habits, not rules [inference]: a step lasts 15 s and never less than 6, a minute of them is
 * followed by 20 s of rest, and the held notes alone come first, for 20 s. The 24 steps that an
 * augmented triad and the 016 have then take eight minutes. */
enum {
    HF_WARMUP_STEP_S = 15,
    HF_WARMUP_STEP_LEAST_S = 6,
    HF_WARMUP_WORK_S = 60,
    HF_WARMUP_REST_S = 20,
    HF_WARMUP_NOTES_LEAST = 2, /* of a completion */
    HF_WARMUP_NOTES_MOST = 4,
    HF_WARMUP_OF_ONE = 4 + 6 + 2, /* steps of one completion of four notes */
    HF_WARMUP_STEPS_MOST = HF_COMPLETIONS_MOST * HF_WARMUP_OF_ONE
};

enum hf_warmup_stage { HF_WARMUP_NOTE, HF_WARMUP_PAIR, HF_WARMUP_CLOSE, HF_WARMUP_SPREAD };

struct hf_warmup_step {
    enum hf_warmup_stage stage;
    int index;    /* of the completion */
    hf_pcset pcs; /* what of it is added */
    int worth;    /* steps with less are left out first */
};

/* How many kinds completions have. */
int hf_warmup_kinds(const struct hf_completion *completions, int count);

/* All steps for the completions of a kind, stage by stage: notes, pairs, close, spread. Pairs by
 * interval class: 5, 1, 6, so that an 016 gives its perfect interval, semitone and tritone, then 4,
 * 3, 2. A completion of two notes is a pair itself and has none beside. `last` (an index, or -1) is
 * the completion that ends it, whatever is left out. Returns how many; completions have
 * HF_WARMUP_NOTES_LEAST to _MOST notes. */
int hf_warmup_steps(const struct hf_completion *completions, int count, int kind, int last,
                    struct hf_warmup_step out[HF_WARMUP_STEPS_MOST]);

/* Leaves out the steps of least worth until `keep` are left, 1 or more; the order stays. Returns
 * how many are left. First go all notes but one of each completion, then tritones and semitones,
 * spread, the other notes, perfect intervals, last the close ones; each of the last completion
 * first. */
int hf_warmup_shorten(struct hf_warmup_step *steps, int count, int keep);

/* How many steps go before a rest, at least 1, and how many steps of `step` samples fit into a
 * `span` of samples, rests included. */
int64_t hf_warmup_group(int64_t step, int rate_hz);
int64_t hf_warmup_fit(int64_t span, int64_t step, int rate_hz);

/* Samples that so many steps last with the rests between them. */
int64_t hf_warmup_length(int64_t steps, int64_t step, int rate_hz);

#endif
