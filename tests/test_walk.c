/* SPDX-License-Identifier: MIT */
/* Walks over all of a few places: against every order, and against the exact table. */
#include "check.h"

#include <math.h>
#include <stdlib.h>

#include <holdfast/grip.h>
#include <holdfast/random.h>

#include "../src/instrument/walk.h"

/* The shortest of all orders, by trying them (Heap's way to go through them). */
static double shortest_by_trying(const double *cost, size_t count)
{
    size_t order[8], turn[8] = {0};
    double best = 1e9;
    for (size_t i = 0; i < count; i++)
        order[i] = i;
    for (size_t i = 0; i < count;) {
        double length = hf_walk_length(cost, count, order);
        best = length < best ? length : best;
        for (i = 1; i < count && turn[i] >= i; i++)
            turn[i] = 0;
        if (i < count) {
            size_t with = i % 2 ? turn[i] : 0, held = order[i];
            order[i] = order[with];
            order[with] = held;
            turn[i]++;
        }
    }
    return best;
}

static double *random_cost(struct hf_random *random, size_t count, bool plane)
{
    double *cost = calloc(count * count, sizeof *cost), x[64], y[64];
    assert_non_null(cost);
    for (size_t i = 0; i < count; i++) {
        x[i] = hf_random_below(random, 1000) / 10.0;
        y[i] = hf_random_below(random, 1000) / 10.0;
    }
    for (size_t i = 0; i < count; i++)
        for (size_t j = 0; j < i; j++)
            cost[i * count + j] = cost[j * count + i] =
                plane ? hypot(x[i] - x[j], y[i] - y[j]) : hf_random_below(random, 100);
    return cost;
}

static void visits_all_once(const size_t *order, size_t count)
{
    bool met[64] = {false};
    for (size_t i = 0; i < count; i++) {
        assert_in_range(order[i], 0, count - 1);
        assert_false(met[order[i]]);
        met[order[i]] = true;
    }
}

static void short_walks_are_the_shortest_of_all_orders(void **state)
{
    (void)state;
    struct hf_random random;
    hf_random_init(&random, 10, 1);
    for (int turn = 0; turn < 200; turn++) {
        size_t count = 1 + (size_t)turn % 7, order[8];
        double *cost = random_cost(&random, count, turn & 1), length = -1, bound = -1;
        assert_ok(hf_walk_find(cost, count, HF_TOUR_EXACT, order, &length, &bound));
        visits_all_once(order, count);
        assert_true(fabs(length - shortest_by_trying(cost, count)) < 1e-9);
        assert_true(fabs(length - hf_walk_length(cost, count, order)) < 1e-9);
        assert_true(fabs(length - bound) < 1e-9);
        free(cost);
    }
}

/* Where the exact table can still be made, the improved walk must not be shorter than it, nor the
 * bound above it; and both must be close. */
static void long_walks_lie_between_their_bound_and_a_little_more(void **state)
{
    (void)state;
    struct hf_random random;
    double gap = 0;
    int best = 0;
    hf_random_init(&random, 11, 1);
    for (int turn = 0; turn < 39; turn++) {
        size_t count = 2 + (size_t)turn % 13, order[64];
        double *cost = random_cost(&random, count, turn & 1), shortest = 0, length, bound;
        assert_ok(hf_walk_find(cost, count, HF_TOUR_EXACT, order, &shortest, &bound));
        assert_ok(hf_walk_find(cost, count, 0, order, &length, &bound));
        visits_all_once(order, count);
        assert_true(length >= shortest - 1e-9);
        assert_true(bound <= shortest + 1e-9);
        assert_ok(
            hf_walk_bound(cost, count, 1.5 * shortest, &bound)); /* a walk half as long again */
        assert_true(bound <= shortest + 1e-9);
        best += length <= shortest + 1e-9;
        gap += shortest > 0 ? (shortest - bound) / shortest : 0;
        free(cost);
    }
    assert_true(best >= 38);      /* pinned: all 39 */
    assert_true(gap / 39 < 0.05); /* pinned */
    for (int turn = 0; turn < 4; turn++) {
        size_t count = 60, order[64];
        double *cost = random_cost(&random, count, true), length, bound;
        assert_ok(hf_walk_find(cost, count, HF_TOUR_EXACT, order, &length, &bound));
        visits_all_once(order, count);
        assert_true(bound <= length && length < bound * 1.05); /* pinned: 0 to 2 hundredths */
        free(cost);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(short_walks_are_the_shortest_of_all_orders),
        cmocka_unit_test(long_walks_lie_between_their_bound_and_a_little_more),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
