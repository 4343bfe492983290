/* SPDX-License-Identifier: MIT */
/* Invariant: `sequence` holds each completion of the round once (but in order weak). */
#include "schedule_parts.h"

#include <string.h>

static void shuffle(struct hf_schedule *s)
{
    int last = s->sequence[s->count - 1];
    /* Fisher and Yates as in Knuth, The Art of Computer Programming 2, algorithm P; drawn anew
     * while the round would begin as the last one ended. */
    do {
        for (int i = 0; i < s->count; i++)
            s->sequence[i] = i;
        for (int i = s->count - 1; i > 0; i--) {
            int j = (int)hf_random_below(&s->orders, (uint32_t)i + 1);
            int held = s->sequence[i];
            s->sequence[i] = s->sequence[j];
            s->sequence[j] = held;
        }
    } while (s->given > 0 && s->count > 1 && s->sequence[0] == last);
}

/* Around the ring, from a place that the seed gives; every round goes on where the last ended. */
static void go_around(struct hf_schedule *s)
{
    int ring[HF_COMPLETIONS_MOST];
    int count = hf_pairing_ring(s->completions, s->count, ring);
    if (s->given > 0)
        return; /* the same order again: it ends beside where it begins */
    int first = (int)hf_random_below(&s->orders, (uint32_t)count);
    for (int i = 0; i < count; i++)
        s->sequence[i] = ring[(first + i) % count] - 1;
}

/* A chord's own completion first, then the others by their movement from it. */
static void go_out_from_own(struct hf_schedule *s)
{
    for (int i = 0; i < s->count; i++) {
        int distance = hf_pcset_movement(s->completions[s->own].pcs, s->completions[i].pcs, NULL);
        int at = i; /* insertion keeps them ascending, equals in order of id */
        for (; at > 0; at--) {
            int before = s->sequence[at - 1];
            if (hf_pcset_movement(s->completions[s->own].pcs, s->completions[before].pcs, NULL) <=
                distance)
                break;
            s->sequence[at] = before;
        }
        s->sequence[at] = i;
    }
}

static void bring_own_first(struct hf_schedule *s)
{
    int at = 0;
    while (s->sequence[at] != s->own)
        at++;
    if (s->order == HF_ORDER_RING) { /* turn the ring */
        int ring[HF_COMPLETIONS_MOST];
        memcpy(ring, s->sequence, sizeof ring);
        for (int i = 0; i < s->count; i++)
            s->sequence[i] = ring[(at + i) % s->count];
    } else {
        s->sequence[at] = s->sequence[0];
        s->sequence[0] = s->own;
    }
}

/* From one to the nearest, or farthest, that has not come in this round; of equals by the seed. */
static void go_by_movement(struct hf_schedule *s, bool near)
{
    bool come[HF_COMPLETIONS_MOST] = {false};
    int last =
        s->given ? s->sequence[s->count - 1] : (int)hf_random_below(&s->orders, (uint32_t)s->count);
    for (int place = 0; place < s->count; place++) {
        int best = 0, best_distance = 0, equals = 0; /* equals 0: none yet */
        for (int i = 0; i < s->count; i++) {
            int distance = hf_pcset_movement(s->completions[last].pcs, s->completions[i].pcs, NULL);
            if (come[i] || (i == last && s->count > 1 && place == 0 && s->given))
                continue;
            if (place == 0 && !s->given)
                distance = i == last ? (near ? -1 : 1000) : distance; /* begin with the draw */
            bool better =
                equals == 0 || (near ? distance < best_distance : distance > best_distance);
            equals = better ? 1 : distance == best_distance ? equals + 1 : equals;
            if (better ||
                (distance == best_distance && hf_random_below(&s->orders, (uint32_t)equals) == 0)) {
                best = i;
                best_distance = distance;
            }
        }
        come[best] = true;
        s->sequence[place] = last = best;
    }
}

/* One kind through its positions, then the next. */
static void go_by_kind(struct hf_schedule *s)
{
    for (int i = 0; i < s->count; i++) {
        const struct hf_completion *one = &s->completions[i];
        int at = i; /* insertion keeps them ascending */
        for (; at > 0; at--) {
            const struct hf_completion *before = &s->completions[s->sequence[at - 1]];
            if (before->kind < one->kind ||
                (before->kind == one->kind && before->position <= one->position))
                break;
            s->sequence[at] = s->sequence[at - 1];
        }
        s->sequence[at] = i;
    }
}

static void order_round(struct hf_schedule *s)
{
    switch (s->order) {
    case HF_ORDER_SHUFFLE:
        shuffle(s);
        return;
    case HF_ORDER_RING:
        go_around(s);
        return;
    case HF_ORDER_NEAR:
    case HF_ORDER_FAR:
        go_by_movement(s, s->order == HF_ORDER_NEAR);
        return;
    case HF_ORDER_GRIP:
        go_by_kind(s);
        return;
    case HF_ORDER_WEAK:
        schedule_order_weak(s);
        return;
    case HF_ORDER_LISTED:
    case HF_ORDER_TOUR:
    case HF_ORDER_PATH:
        for (int i = 0; i < s->count; i++)
            s->sequence[i] = i;
        return;
    }
}

void schedule_begin_round(struct hf_schedule *s)
{
    bool own = s->own >= 0 && s->given == 0;
    if (own && !s->order_given) {
        go_out_from_own(s);
        return;
    }
    order_round(s);
    if (own && s->order != HF_ORDER_WEAK)
        bring_own_first(s);
}
