/* SPDX-License-Identifier: MIT */
/* Invariant: a span never leaves the two lengths. What it came to stands in the cue's record, so
 * that nothing after the session depends on the factors here. */
#include <holdfast/breath.h>

#include <math.h>

/* A miss takes back the gain of some eight cues: ln 1.25 / -ln 0.97 = 7.3. */
static const double AFTER_MISS = 1.25, OTHERWISE = 0.97;

enum { BLIND = 2 }; /* cues that are laid before any can be marked */

void hf_breath_init(struct hf_breath *b, const struct hf_request *request)
{
    *b = (struct hf_breath){.now = request->every.amount,
                            .longest = request->longest.amount,
                            .shortest = request->shortest.amount,
                            .in_beats = request->every.in_beats};
}

struct hf_span hf_breath_next(struct hf_breath *b, bool missed)
{
    if (b->given < BLIND)
        b->given++;
    else
        b->now *= missed ? AFTER_MISS : OTHERWISE;
    if (b->now > b->longest)
        b->now = b->longest;
    if (b->now < b->shortest)
        b->now = b->shortest;
    return (struct hf_span){.in_beats = b->in_beats,
                            .amount = b->in_beats ? floor(b->now + 0.5) : b->now};
}

int64_t hf_breath_length(const struct hf_request *request, uint32_t cues)
{
    struct hf_breath breath;
    int64_t length = 0;
    hf_breath_init(&breath, request);
    for (uint32_t i = 0; i < cues; i++)
        length += hf_request_samples(request, hf_breath_next(&breath, false));
    return length;
}
