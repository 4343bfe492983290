/* SPDX-License-Identifier: MIT */
/* A schedule that goes on after some cues gives what the whole one would have given: the same
 * notes, shapes, holds and rests, in every order and practice that can be chosen again (derived:
 * the promise of the header). */
#include "asking.h"

#include <string.h>

#include <holdfast/instrumentfile.h>
#include <holdfast/schedule.h>

enum { CUES_MOST = 64 };

static struct hf_schedule whole, rest; /* large */
static struct hf_request request;

/* `settings`: key, value, ..., NULL. */
static void ask(const char *const *settings)
{
    hf_request_init(&request);
    for (; settings[0]; settings += 2)
        set_option(&request, settings[0], settings[1]);
    assert_ok(hf_request_set(&request, HF_OPT_SEED, "11", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_RATE, "8000", NULL));
    assert_ok(hf_request_resolve(&request, NULL));
    if (request.given[HF_OPT_HAND] && !request.keys) {
        struct hf_fretboard board;
        const char *text = hf_instrumentfile_find_builtin("guitar");
        assert_ok(hf_instrumentfile_parse(text, strlen(text), "guitar", "guitar", &board, NULL));
        hf_request_take_board(&request, &board);
    }
}

static void assert_same_cue(const struct hf_cue *a, const struct hf_cue *b, uint32_t skipped)
{
    assert_int_equal(a->serial, b->serial + skipped);
    assert_int_equal(a->id, b->id);
    assert_int_equal(a->pcs, b->pcs);
    assert_true(hf_voicing_same(&a->voicing, &b->voicing));
    assert_int_equal(a->has_hold, b->has_hold);
    assert_true(!a->has_hold || hf_voicing_same(&a->hold, &b->hold));
    assert_int_equal(a->strings, b->strings);
    if (a->strings)
        assert_memory_equal(a->shape.fret, b->shape.fret, (size_t)a->strings);
    assert_int_equal(a->length, b->length);
    assert_int_equal(a->rest, b->rest);
    assert_int_equal(a->drone.stage, b->drone.stage);
}

static void try_all(const char *const *settings)
{
    static struct hf_cue cues[CUES_MOST];
    hf_pcset given[CUES_MOST];
    uint32_t count = 0;
    ask(settings);
    assert_ok(hf_schedule_init(&whole, &request, NULL));
    while (count < CUES_MOST && hf_schedule_next(&whole, &cues[count])) {
        given[count] = cues[count].pcs;
        count++;
    }
    hf_schedule_deinit(&whole);
    assert_in_range(count, 4, CUES_MOST);
    for (uint32_t n = 0; n <= count; n++) {
        struct hf_cue cue;
        uint32_t before = n / 3; /* of some nobody knows any more what they were */
        assert_ok(hf_schedule_init(&rest, &request, NULL));
        assert_int_equal(hf_schedule_skip(&rest, before, given + before, n - before),
                         n < hf_schedule_cues(&rest) + n && n < count);
        for (uint32_t i = n; n < count && i < count; i++) {
            assert_true(hf_schedule_next(&rest, &cue));
            assert_same_cue(&cues[i], &cue, n);
        }
        assert_true(n == count || hf_schedule_cues(&rest) == count - n);
        assert_false(n < count && hf_schedule_next(&rest, &cue));
        hf_schedule_deinit(&rest);
    }
}

static void every_order_goes_on_as_the_whole_would(void **state)
{
    (void)state;
    static const char *const orders[] = {"shuffle", "near", "far", "ring", "listed", "grip"};
    for (size_t i = 0; i < sizeof orders / sizeof orders[0]; i++)
        try_all((const char *const[]){"held", "C E G#", "order", orders[i], "rounds", "4",
                                      "register", "all", NULL});
    try_all((const char *const[]){"cue", "reverse", "rounds", "2", NULL});
    try_all((const char *const[]){"held", "C E G#", "support", "fading", "rounds", "3", NULL});
}

static void hands_go_on_as_they_lay(void **state)
{
    (void)state;
    try_all((const char *const[]){"held", "C E G#", "hand", "guitar", "rounds", "2", NULL});
    try_all((const char *const[]){"held", "C E G#", "hand", "guitar", "hold", "hand", "rounds", "2",
                                  NULL});
    try_all((const char *const[]){"held", "C E G#", "hand", "guitar", "leap", "60", NULL});
    try_all((const char *const[]){"held", "C E G#", "hand", "keys", "rounds", "2", NULL});
}

static void a_warm_up_goes_on_with_its_next_step(void **state)
{
    (void)state;
    try_all((const char *const[]){"practice", "warmup", "held", "C E G#", "day", "2026-11-25",
                                  "rounds", "1", NULL});
}

/* The steps behind a cue go with it, and are counted in the serial numbers. */
static void steps_behind_a_cue_are_skipped_with_it(void **state)
{
    (void)state;
    static struct hf_cue cues[CUES_MOST];
    hf_pcset given[CUES_MOST];
    uint32_t count = 0, whole_count = 0;
    ask((const char *const[]){"held", "C E G#", "unfold", "3-5,3-11", "rounds", "2", NULL});
    assert_ok(hf_schedule_init(&whole, &request, NULL));
    while (hf_schedule_next(&whole, &cues[count])) {
        if (cues[count].step == 0)
            given[whole_count++] = cues[count].pcs;
        count++;
    }
    assert_int_equal(count, 36); /* derived: twelve cues with two steps each */
    for (uint32_t n = 0; n < whole_count; n++) {
        struct hf_cue cue;
        assert_ok(hf_schedule_init(&rest, &request, NULL));
        assert_true(hf_schedule_skip(&rest, 0, given, n));
        assert_int_equal(hf_schedule_cues(&rest), whole_count - n);
        for (uint32_t i = 3 * n; i < count; i++) {
            assert_true(hf_schedule_next(&rest, &cue));
            assert_int_equal(cues[i].step, cue.step);
            assert_same_cue(&cues[i], &cue, 3 * n);
        }
        assert_false(hf_schedule_next(&rest, &cue));
    }
}

static void other_cues_are_noticed_and_then_only_the_number_counts(void **state)
{
    (void)state;
    static const hf_pcset others[] = {0x86, 0x86}; /* twice the same */
    ask((const char *const[]){"held", "C E G#", "rounds", "2", NULL});
    assert_ok(hf_schedule_init(&rest, &request, NULL));
    assert_false(hf_schedule_skip(&rest, 0, others, 2));
    assert_false(hf_schedule_shorten(&rest, 2)); /* it has given some */
    assert_ok(hf_schedule_init(&rest, &request, NULL));
    assert_false(hf_schedule_skip(&rest, 1000000, NULL, 0)); /* a head made up to do harm */
    assert_ok(hf_schedule_init(&rest, &request, NULL));
    assert_false(hf_schedule_shorten(&rest, 12));
    assert_true(hf_schedule_shorten(&rest, 5));
    assert_int_equal(hf_schedule_cues(&rest), 7);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_order_goes_on_as_the_whole_would),
        cmocka_unit_test(hands_go_on_as_they_lay),
        cmocka_unit_test(a_warm_up_goes_on_with_its_next_step),
        cmocka_unit_test(steps_behind_a_cue_are_skipped_with_it),
        cmocka_unit_test(other_cues_are_noticed_and_then_only_the_number_counts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
