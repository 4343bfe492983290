/* SPDX-License-Identifier: MIT */
/* Order weak: what the journals leave in doubt comes more often, and nothing is starved. */
#include <stdio.h>
#include <string.h>

#include "check.h"

#include <holdfast/random.h>
#include <holdfast/review.h>
#include <holdfast/schedule.h>

static struct hf_schedule schedule; /* large */
static struct hf_request request;

static void begin(const char *held, const char *added, uint64_t seed, long rounds)
{
    char text[32];
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_HELD, held, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_ADDED, added, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_ORDER, "weak", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_EVERY, "2s", NULL));
    snprintf(text, sizeof text, "%ld", rounds);
    assert_ok(hf_request_set(&request, HF_OPT_ROUNDS, text, NULL));
    snprintf(text, sizeof text, "%llu", (unsigned long long)seed);
    assert_ok(hf_request_set(&request, HF_OPT_SEED, text, NULL));
    assert_ok(hf_request_resolve(&request, NULL));
}

static int all_completions(struct hf_completion out[HF_COMPLETIONS_MOST])
{
    return hf_pairing_complete(request.held.set, request.added, out);
}

static void weigh(const double *weights, int count)
{
    struct hf_completion all[HF_COMPLETIONS_MOST];
    assert_int_equal(all_completions(all), count);
    request.weights = count;
    for (int i = 0; i < count; i++)
        request.weight[i] = (struct hf_request_weight){all[i].pcs, weights[i]};
}

static void each_comes_in_any_two_rounds_and_none_twice_in_a_row(void **state)
{
    (void)state;
    /* derived: the rule of the order, looked at in every window of two rounds, for every seed and
     * the worst weights that there can be */
    static const char *const added[] = {"3-5", "1-1", "2-2", "3-1", "3-8", "2-1"};
    static int came[4000];
    for (uint64_t seed = 0; seed < 60; seed++) {
        struct hf_completion all[HF_COMPLETIONS_MOST];
        double weights[HF_COMPLETIONS_MOST];
        struct hf_random random;
        struct hf_cue cue;
        begin("C E G#", added[seed % 6], seed, 100);
        int count = all_completions(all), given = 0;
        hf_random_init(&random, seed, 1);
        for (int i = 0; i < count; i++)
            weights[i] = hf_random_below(&random, 2) ? HF_REVIEW_MOST : HF_REVIEW_LEAST;
        weigh(weights, count);
        assert_ok(hf_schedule_init(&schedule, &request, NULL));
        while (hf_schedule_next(&schedule, &cue))
            came[given++] = cue.id - 1;
        assert_int_equal(given, 100 * count);
        for (int from = 0; from + 2 * count <= given; from++) {
            unsigned seen = 0;
            for (int i = 0; i < 2 * count; i++)
                seen |= 1u << came[from + i];
            if (seen != (1u << count) - 1)
                fail_msg("seed %d: one is missing in the two rounds from %d", (int)seed, from);
        }
        for (int i = 1; i < given && count > 1; i++)
            assert_int_not_equal(came[i], came[i - 1]);
        hf_schedule_deinit(&schedule);
    }
}

static void near_misses_between_them_do_not_count(void **state)
{
    (void)state;
    /* derived: the same rule, looked at in the completions alone */
    static const double weights[6] = {2.1, 2.1, 0.05, 0.05, 2.1, 0.05};
    static int came[4000];
    struct hf_cue cue;
    begin("C E G#", "3-5", 7, 100);
    assert_ok(hf_request_set(&request, HF_OPT_PRACTICE, "ear", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_NEAR_MISS, "yes", NULL));
    assert_ok(hf_request_resolve(&request, NULL));
    weigh(weights, 6);
    assert_ok(hf_schedule_init(&schedule, &request, NULL));
    int given = 0, near = 0;
    while (hf_schedule_next(&schedule, &cue)) {
        if (cue.id > 0)
            came[given++] = cue.id;
        near += cue.id == 0;
    }
    assert_true(near > 100 && given >= 600);
    for (int from = 0; from + 12 <= given; from++) {
        unsigned seen = 0;
        for (int i = 0; i < 12; i++)
            seen |= 1u << came[from + i];
        assert_int_equal(seen, 0x7e);
    }
    hf_schedule_deinit(&schedule);
}

static void without_journals_all_come_alike(void **state)
{
    (void)state;
    /* derived: six equal weights, 6000 cues: 1000 each; chance alone leaves 5 standard deviations,
     * 5 sqrt(6000 / 6 * 5 / 6) = 144 */
    int came[7] = {0};
    struct hf_cue cue;
    begin("C E G#", "3-5", 3, 1000);
    assert_ok(hf_schedule_init(&schedule, &request, NULL));
    while (hf_schedule_next(&schedule, &cue))
        came[cue.id]++;
    for (int id = 1; id <= 6; id++)
        assert_in_range(came[id], 1000 - 144, 1000 + 144);
    hf_schedule_deinit(&schedule);
}

static void a_chords_own_comes_first(void **state)
{
    (void)state;
    struct hf_notes held, added;
    struct hf_cue cue;
    static const double weights[6] = {2.1, 2.1, 0.05, 2.1, 2.1, 2.1};
    begin("C E G#", "3-5", 5, 2);
    assert_ok(hf_notes_parse("C3 E3 G#3", NULL, &held, NULL));
    assert_ok(hf_notes_parse("D4 Eb4 A4", NULL, &added, NULL));
    assert_ok(hf_request_split(&request, &held, &added, NULL));
    assert_ok(hf_request_resolve(&request, NULL));
    weigh(weights, 6);
    assert_ok(hf_schedule_init(&schedule, &request, NULL));
    assert_true(hf_schedule_next(&schedule, &cue));
    assert_int_equal(cue.id, 3);
    hf_schedule_deinit(&schedule);
}

/* ---- a simulated learner --------------------------------------------------------------------- */

enum { DAYS = 40, ROUNDS = 4, FIRST_DAYS = 5 };

/* Marks as the reader of journals does, without one. */
static void mark(struct hf_review_cell *cell, bool got, int32_t day)
{
    cell->cued++;
    cell->got += got;
    cell->missed += !got;
    cell->recent = (cell->recent << 1 | got) & ((1u << HF_REVIEW_RECENT) - 1);
    if (cell->recent_count < HF_REVIEW_RECENT)
        cell->recent_count++;
    cell->last_day = day;
}

/* A learner whose rates are invented: one completion comes to him at `weak`, the others at
 * `strong`. Counts cues after the first days. */
static void learn(double weak, double strong, uint64_t seed, int came[6])
{
    struct hf_review_cell cells[6] = {{0}};
    struct hf_random chance;
    hf_random_init(&chance, seed, 2);
    memset(came, 0, 6 * sizeof *came);
    for (int day = 0; day < DAYS; day++) {
        double weights[6];
        struct hf_cue cue;
        begin("C E G#", "3-5", seed * 1000 + (uint64_t)day, ROUNDS);
        for (int i = 0; i < 6; i++)
            weights[i] = hf_review_weight(cells[i].cued ? &cells[i] : NULL, day);
        weigh(weights, 6);
        assert_ok(hf_schedule_init(&schedule, &request, NULL));
        while (hf_schedule_next(&schedule, &cue)) {
            double rate = cue.id == 2 ? weak : strong;
            mark(&cells[cue.id - 1], (double)hf_random_unit(&chance) < rate, day);
            came[cue.id - 1] += day >= FIRST_DAYS;
        }
        hf_schedule_deinit(&schedule);
    }
}

static void what_is_weak_comes_at_least_twice_as_often(void **state)
{
    (void)state;
    /* derived: the requirement, for learners whose rates are invented: 0.3 against 0.95, 0.5
     * against 0.95, 0.2 against 0.8 */
    static const double rates[][2] = {{0.3, 0.95}, {0.5, 0.95}, {0.2, 0.8}};
    for (size_t r = 0; r < sizeof rates / sizeof *rates; r++)
        for (uint64_t seed = 1; seed <= 10; seed++) {
            int came[6];
            learn(rates[r][0], rates[r][1], seed, came);
            int cues = (DAYS - FIRST_DAYS) * ROUNDS * 6;
            for (int i = 0; i < 6; i++) {
                if (i != 1 && came[1] < 2 * came[i])
                    fail_msg("%g against %g, seed %d: %d against %d", rates[r][0], rates[r][1],
                             (int)seed, came[1], came[i]);
                assert_true(came[i] >= cues / 12); /* at least once in two rounds */
            }
        }
}

static void a_learner_who_knows_all_has_all_alike(void **state)
{
    (void)state;
    /* derived: equal rates leave no reason for more than half as much again */
    int came[6];
    learn(0.95, 0.95, 3, came);
    for (int i = 0; i < 6; i++)
        for (int j = 0; j < 6; j++)
            assert_true(2 * came[i] < 3 * came[j]);
}

static void a_weight_lies_between_its_limits(void **state)
{
    (void)state;
    /* derived: least when twenty of twenty came today, most when never marked and two weeks ago or
     * never; more doubt and more days never weigh less */
    assert_true(hf_review_weight(NULL, 100) == HF_REVIEW_MOST);
    for (int count = 0; count <= HF_REVIEW_RECENT; count++)
        for (int got = 0; got <= count; got++)
            for (int days = -3; days < 20; days++) {
                struct hf_review_cell cell = {.cued = 1,
                                              .recent = (1u << got) - 1,
                                              .recent_count = count,
                                              .last_day = 100 - days};
                struct hf_review_cell better = cell;
                better.recent = better.recent << 1 | 1;
                double weight = hf_review_weight(&cell, 100);
                assert_true(weight >= HF_REVIEW_LEAST && weight <= HF_REVIEW_MOST);
                assert_true(hf_review_weight(&cell, 101) >= weight);
                if (got < count)
                    assert_true(hf_review_weight(&better, 100) < weight);
            }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_comes_in_any_two_rounds_and_none_twice_in_a_row),
        cmocka_unit_test(near_misses_between_them_do_not_count),
        cmocka_unit_test(without_journals_all_come_alike),
        cmocka_unit_test(a_chords_own_comes_first),
        cmocka_unit_test(what_is_weak_comes_at_least_twice_as_often),
        cmocka_unit_test(a_learner_who_knows_all_has_all_alike),
        cmocka_unit_test(a_weight_lies_between_its_limits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
