/* SPDX-License-Identifier: MIT */
/* Order weak. Invariants: of any two rounds of cues in a row each completion has at least one; none
 * comes twice in a row; beyond that they come in proportion to their weights, by chance. */
#include "schedule_parts.h"

void schedule_take_weights(struct hf_schedule *s, const struct hf_request *request)
{
    for (int i = 0; i < s->count; i++) {
        s->weight[i] = 1;
        s->came[i] = -1;
        for (int j = 0; j < request->weights; j++)
            if (request->weight[j].pcs == s->completions[i].pcs)
                s->weight[i] = request->weight[j].weight;
    }
}

/* The cue, from 0, by which one must have come again: two rounds after it came last. */
static int64_t deadline(const struct hf_schedule *s, int index)
{
    return s->came[index] + 2 * (int64_t)s->count;
}

/* The earliest deadline with as many completions due by it as there are cues left, or the latest
 * of all: only those due by it may come now. It always leaves one that didn't come just now. */
static int64_t bound_at(const struct hf_schedule *s, int64_t at)
{
    int64_t bound = INT64_MAX;
    for (int i = 0; i < s->count; i++) {
        int64_t by = deadline(s, i);
        int due = 0;
        for (int j = 0; j < s->count; j++)
            due += deadline(s, j) <= by;
        if (due >= by - at + 1 && by < bound)
            bound = by;
    }
    return bound;
}

static int pick(struct hf_schedule *s, int64_t at, int last)
{
    int64_t bound = bound_at(s, at);
    double sum = 0, before = 0;
    int chosen = last;
    for (int i = 0; i < s->count; i++)
        if (i != last && deadline(s, i) <= bound)
            sum += s->weight[i];
    double draw = sum * (double)hf_random_unit(&s->orders);
    for (int i = 0; i < s->count; i++) {
        if (i == last || deadline(s, i) > bound)
            continue;
        if (draw >= before)
            chosen = i;
        before += s->weight[i];
    }
    return chosen;
}

void schedule_order_weak(struct hf_schedule *s)
{
    int last = s->picked ? s->sequence[s->count - 1] : -1;
    for (int place = 0; place < s->count; place++) {
        int64_t at = s->picked++; /* not `given`: in ear near misses come between */
        bool own = s->own >= 0 && at == 0;
        last = s->count == 1 ? 0 : own ? s->own : pick(s, at, last);
        s->sequence[place] = last;
        s->came[last] = at;
    }
}
