/* SPDX-License-Identifier: MIT */
/*
 * Good walks over many places. A walk is kept as a round through one more place, number `count`,
 * that is free to reach: where the round passes it the walk begins and ends. Invariants: `round`
 * holds every place once and `at` where; a change is made only when it shortens the round by more
 * than rounding can. Everything random has a fixed seed, so that the same places give the same
 * walk.
 */
#include "walk.h"

#include <stdlib.h>
#include <string.h>

#include <holdfast/random.h>

enum { SEGMENT_MOST = 3, KICKS_MOST = 2000, KICK_WORK = 200000, KICK_SPAN = 30, KICK_CUTS = 3 };
static const double least_gain = 1e-9;

struct tour {
    const double *cost;
    size_t count; /* without the free place */
    size_t size;  /* with it */
    size_t *round, *at, *spare;
    bool *calm; /* places around which nothing was found to improve */
};

static double between(const struct tour *t, size_t a, size_t b)
{
    return a == t->count || b == t->count ? 0 : t->cost[a * t->count + b];
}

static size_t place(const struct tour *t, size_t index)
{
    return t->round[index % t->size];
}

static void wake(struct tour *t, size_t a)
{
    t->calm[a] = false;
}

static double round_length(const struct tour *t)
{
    double length = 0;
    for (size_t i = 0; i < t->size; i++)
        length += between(t, t->round[i], place(t, i + 1));
    return length;
}

/* ---- changes --------------------------------------------------------------------------------- */

/* Turns round the part of `length` places that begins at an index. */
static void reverse(struct tour *t, size_t begin, size_t length)
{
    for (size_t i = 0; i < length / 2; i++) {
        size_t *low = &t->round[(begin + i) % t->size];
        size_t *high = &t->round[(begin + length - 1 - i) % t->size];
        size_t held = *low;
        *low = *high;
        *high = held;
    }
    for (size_t i = 0; i < length; i++)
        t->at[place(t, begin + i)] = (begin + i) % t->size;
}

/* Two steps, a to b and c to d, become a to c and b to d. */
static bool uncross(struct tour *t, size_t a)
{
    for (size_t i = 2; i + 1 < t->size; i++) {
        size_t b = place(t, t->at[a] + 1), c = place(t, t->at[a] + i),
               d = place(t, t->at[a] + i + 1);
        double gain = between(t, a, b) + between(t, c, d) - between(t, a, c) - between(t, b, d);
        if (gain <= least_gain)
            continue;
        reverse(t, t->at[b], i);
        wake(t, a);
        wake(t, b);
        wake(t, c);
        wake(t, d);
        return true;
    }
    return false;
}

/* The part of `length` places that begins with `a` goes, turned round or not, between two others.
 */
static bool move_part(struct tour *t, size_t a, size_t length)
{
    size_t begin = t->at[a], end = place(t, begin + length - 1);
    size_t before = place(t, begin + t->size - 1), after = place(t, begin + length);
    double out = between(t, before, a) + between(t, end, after) - between(t, before, after);
    for (size_t i = 0; i + 1 < t->size - length; i++) {
        size_t c = place(t, begin + length + i), d = place(t, begin + length + i + 1);
        double open = between(t, c, d);
        double straight = between(t, c, a) + between(t, end, d) - open;
        double turned = between(t, c, end) + between(t, a, d) - open;
        if (out - (straight < turned ? straight : turned) <= least_gain)
            continue;
        /* part, then what stands up to c: changed over by turning both and then the whole */
        if (straight < turned)
            reverse(t, begin, length);
        reverse(t, begin, length + i + 1);
        reverse(t, begin, i + 1);
        wake(t, a);
        wake(t, end);
        wake(t, before);
        wake(t, after);
        wake(t, c);
        wake(t, d);
        return true;
    }
    return false;
}

static bool improve_at(struct tour *t, size_t a)
{
    if (uncross(t, a))
        return true;
    for (size_t length = 1; length <= SEGMENT_MOST && length + 2 < t->size; length++)
        if (move_part(t, a, length) ||
            move_part(t, place(t, t->at[a] + t->size - (length - 1)), length))
            return true;
    return false;
}

static void improve(struct tour *t)
{
    bool any = true;
    while (any) {
        any = false;
        for (size_t a = 0; a < t->size; a++) {
            while (!t->calm[a]) {
                t->calm[a] = true;
                if (improve_at(t, a)) {
                    t->calm[a] = false;
                    any = true;
                }
            }
        }
    }
}

/* ---- kicks ----------------------------------------------------------------------------------- */

/* Two neighbouring parts change over: a change that the improvements cannot make alone. */
static void kick(struct tour *t, struct hf_random *random)
{
    size_t most = t->size / 3 < KICK_SPAN ? t->size / 3 : KICK_SPAN;
    size_t begin = hf_random_below(random, (uint32_t)t->size);
    size_t first = 1 + hf_random_below(random, (uint32_t)most);
    size_t second = 1 + hf_random_below(random, (uint32_t)most);
    for (size_t i = 0; i < first + second; i++)
        t->spare[i] = place(t, begin + (i < second ? first + i : i - second));
    for (size_t i = 0; i < first + second; i++) {
        t->round[(begin + i) % t->size] = t->spare[i];
        t->at[t->spare[i]] = (begin + i) % t->size;
    }
    size_t loose[2 * KICK_CUTS] = {t->size + begin - 1,        begin,
                                   begin + second - 1,         begin + second,
                                   begin + first + second - 1, begin + first + second};
    for (size_t i = 0; i < 2 * KICK_CUTS; i++)
        wake(t, place(t, loose[i]));
}

static void kick_about(struct tour *t, size_t *best)
{
    struct hf_random random;
    double length = round_length(t);
    size_t work = t->size < 8 ? 0 : KICK_WORK / t->size;
    size_t kicks = work < KICKS_MOST ? work : KICKS_MOST;
    hf_random_init(&random, 1, 1);
    memcpy(best, t->round, t->size * sizeof *best);
    for (size_t i = 0; i < kicks; i++) {
        kick(t, &random);
        improve(t);
        double now = round_length(t);
        if (now <= length) {
            length = now;
            memcpy(best, t->round, t->size * sizeof *best);
            continue;
        }
        memcpy(t->round, best, t->size * sizeof *best);
        for (size_t j = 0; j < t->size; j++)
            t->at[t->round[j]] = j;
    }
}

/* From the free place always to the nearest that is left. */
static void begin_greedily(struct tour *t)
{
    for (size_t i = 0; i < t->size; i++)
        t->round[i] = (i + t->count) % t->size;
    for (size_t i = 1; i + 1 < t->size; i++) {
        size_t nearest = i;
        for (size_t j = i + 1; j < t->size; j++)
            if (between(t, t->round[i - 1], t->round[j]) <
                between(t, t->round[i - 1], t->round[nearest]))
                nearest = j;
        size_t held = t->round[i];
        t->round[i] = t->round[nearest];
        t->round[nearest] = held;
    }
    for (size_t i = 0; i < t->size; i++)
        t->at[t->round[i]] = i;
}

enum hf_status hf_walk_improve(const double *cost, size_t count, size_t *order)
{
    size_t size = count + 1, start = 0;
    size_t *memory = malloc(4 * size * sizeof *memory);
    struct tour t = {cost, count, size, memory, NULL, NULL, calloc(size, sizeof *t.calm)};
    if (!memory || !t.calm) {
        free(memory);
        free(t.calm);
        return HF_E_MEMORY;
    }
    t.at = memory + size;
    t.spare = memory + 2 * size;
    size_t *best = memory + 3 * size;
    begin_greedily(&t);
    improve(&t);
    kick_about(&t, best);
    while (best[start] != count)
        start++;
    for (size_t i = 0; i < count; i++)
        order[i] = best[(start + 1 + i) % size];
    free(memory);
    free(t.calm);
    return HF_OK;
}
