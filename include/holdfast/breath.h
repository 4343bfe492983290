/* SPDX-License-Identifier: MIT */
/*
 * breath: how long the next cue lasts where the span breathes: a quarter longer after a miss, and
 * otherwise a little shorter from cue to cue, between two lengths that the player gave.
 *
 * The caller owns the struct. Pure; one thread at a time.
 */
#ifndef HOLDFAST_BREATH_H
#define HOLDFAST_BREATH_H

#include <holdfast/request.h>

struct hf_breath {
    double now, longest, shortest; /* seconds, or beats */
    bool in_beats;
    int given; /* cues so far, up to the first that can know of a mark */
};

/* Starts at the request's --every, which lies between the two lengths of its --breathe. */
void hf_breath_init(struct hf_breath *breath, const struct hf_request *request);

/* The length of the next cue, in whole beats where it is in beats. A cue is laid while the one
 * before it begins, so the third is the first that can know how one went. `missed`: a cue was
 * marked missed since the last one was laid. */
struct hf_span hf_breath_next(struct hf_breath *breath, bool missed);

/* Samples of so many cues when none is missed. */
int64_t hf_breath_length(const struct hf_request *request, uint32_t cues);

#endif
