/* SPDX-License-Identifier: MIT */
/*
 * schedule: the musical choices of a session, one cue after another: which completion, in which
 * voicing. It is a generator that knows no clock; the conductor lays what it gives in time.
 *
 * The caller owns the memory; everything random comes from the request's seed. Pure; one thread at
 * a time.
 */
#ifndef HOLDFAST_SCHEDULE_H
#define HOLDFAST_SCHEDULE_H

#include <holdfast/pairing.h>
#include <holdfast/random.h>
#include <holdfast/request.h>
#include <holdfast/voicing.h>

struct hf_cue {
    uint32_t serial; /* from 1 */
    int id;          /* of the completion */
    hf_pcset pcs;
    struct hf_voicing voicing;
};

struct hf_schedule {
    struct hf_completion completions[HF_COMPLETIONS_MOST];
    int count;
    enum hf_order order;
    enum hf_register_way where;
    bool order_given;
    int own;                 /* index of the completion that a chord brought with it, -1 without */
    struct hf_voicing own_voicing;
    int held_low, held_high; /* lowest and highest held note */
    int low, high;           /* of HF_REGISTER_RANGE */

    struct hf_random orders, voicings;
    uint32_t given, total;
    int sequence[HF_COMPLETIONS_MOST]; /* this round's order, as indices */
    struct hf_voicing last[HF_COMPLETIONS_MOST];
    struct hf_voicing choices[HF_VOICINGS_MOST];
};

/* Prepares the cues of a resolved request. HF_E_USAGE: nothing completes the held set, the order
 * needs a ring that is not there, the register is too small for a completion, or not one whole cue
 * fits. */
enum hf_status hf_schedule_init(struct hf_schedule *schedule, const struct hf_request *request,
                                struct hf_diag *diag) HF_CHECKED;

/* Gives the next cue; false after the last. */
bool hf_schedule_next(struct hf_schedule *schedule, struct hf_cue *out);

/* Where added notes may lie in a round (from 0), as MIDI numbers. */
void hf_schedule_register(const struct hf_schedule *schedule, uint32_t round, int *low, int *high);

#endif
