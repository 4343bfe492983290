/* SPDX-License-Identifier: MIT */
/* Cues whose length breathes: longer after a miss, shorter otherwise, within two lengths, and only
 * as far ahead as cues are laid. Rate 8000. */
#include "player.h"

#include <math.h>

enum { RATE = 8000 };

static enum hf_status ask(const char *practice, const char *breathe, const char *every)
{
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_PRACTICE, practice, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_RATE, "8000", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_LEAD_IN, "1s", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_ROUNDS, "10", NULL));
    if (hf_request_set(&request, HF_OPT_BREATHE, breathe, &refusal) != HF_OK)
        return HF_E_USAGE;
    if (every)
        assert_ok(hf_request_set(&request, HF_OPT_EVERY, every, NULL));
    return hf_request_resolve(&request, &refusal);
}

static void begin(const char *practice, const char *breathe, const char *every)
{
    assert_ok(ask(practice, breathe, every));
    lay_session();
    virtual_tend(&v);
}

static int64_t length_of(size_t index)
{
    const struct hf_timeline_cue *cue = &conductor.timeline.cues[index];
    return cue->end - cue->at;
}

static void lengths_stay_between_the_two_and_move_slowly(void **state)
{
    (void)state;
    struct hf_breath breath;
    assert_ok(ask("improvise", "40s..15s", NULL));
    hf_breath_init(&breath, &request);
    double last = 40;
    for (int i = 0; i < 200; i++) {
        struct hf_span span = hf_breath_next(&breath, false);
        if (i < 2)
            assert_true(span.amount >= 40 && span.amount <= 40); /* begins with the longer */
        else
            assert_true(span.amount < last || span.amount <= 15);
        assert_true(span.amount >= 15 && span.amount > last * 0.96);
        last = span.amount;
    }
    assert_true(last <= 15);
    for (int i = 0; i < 10; i++) {
        struct hf_span span = hf_breath_next(&breath, true);
        assert_true(span.amount > last || span.amount >= 40);
        assert_true(span.amount <= 40);
        last = span.amount;
    }
    assert_true(last >= 40);
}

static void in_beats_they_are_whole(void **state)
{
    (void)state;
    struct hf_breath breath;
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_BREATHE, "12beats..4beats", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_TEMPO, "60", NULL));
    assert_ok(hf_request_resolve(&request, &refusal));
    hf_breath_init(&breath, &request);
    for (int i = 0; i < 60; i++) {
        struct hf_span span = hf_breath_next(&breath, i % 9 == 8);
        assert_true(span.in_beats);
        assert_true(floor(span.amount) >= span.amount && span.amount >= 4 && span.amount <= 12);
    }
}

static void a_miss_lengthens_the_cue_after_next(void **state)
{
    (void)state;
    begin("improvise", "40s..15s", "20s");
    const int64_t cue = 20 * RATE;
    run_to(RATE + cue + 8000); /* in the second cue; the third is laid */
    assert_int_equal(conductor.timeline.count, 3);
    assert_ok(hf_conductor_key(&conductor, HF_KEY_MISSED, v.transport.now, &refusal));
    assert_int_equal(length_of(0), cue);
    assert_int_equal(length_of(1), cue);
    int64_t third = length_of(2);
    assert_int_equal(third, cue * 97 / 100); /* derived: it was laid before */
    run_to(RATE + 2 * cue + 8000);
    assert_int_equal(conductor.timeline.count, 4);
    assert_in_range(length_of(3), third * 5 / 4 - 1, third * 5 / 4 + 1);
    int64_t fourth = length_of(3);
    assert_ok(hf_conductor_key(&conductor, HF_KEY_GOT, v.transport.now, &refusal));
    run_to(RATE + 2 * cue + third + 8000);
    assert_in_range(length_of(4), (int64_t)((double)fourth * 0.97) - 1,
                    (int64_t)((double)fourth * 0.97) + 1);
    finish();
}

static void a_miss_that_is_taken_back_lengthens_nothing(void **state)
{
    (void)state;
    begin("improvise", "40s..15s", "20s");
    run_to(RATE + 20 * RATE + 8000);
    assert_ok(hf_conductor_key(&conductor, HF_KEY_MISSED, v.transport.now, &refusal));
    assert_ok(hf_conductor_key(&conductor, HF_KEY_GOT, v.transport.now, &refusal));
    run_to(RATE + 40 * RATE + 8000);
    assert_true(length_of(3) < length_of(2));
    finish();
}

static void it_breathes_in_ear_and_sight_too(void **state)
{
    (void)state;
    static const char *const practices[] = {"ear", "sight"};
    for (int i = 0; i < 2; i++) {
        begin(practices[i], "9s..3s", "5s");
        run_to(RATE + 5 * RATE + 8000);
        /* an answer that is wrong: in ear the other kind, in sight no to a real one or any three */
        if (i == 0) {
            struct hf_question q;
            hf_levels_ask(request.held.set, schedule.completions, schedule.count, 1, false,
                          conductor.timeline.cues[1].record.pcs, &q);
            int wrong = (q.answer + 1) % q.count;
            assert_ok(hf_conductor_key(&conductor, (enum hf_key)(HF_KEY_CHOICE_1 + wrong),
                                       v.transport.now, &refusal));
        } else if (conductor.timeline.cues[1].record.id) {
            assert_ok(hf_conductor_key(&conductor, HF_KEY_CHOICE_NONE, v.transport.now, &refusal));
        } else {
            for (int k = 0; k < 3; k++)
                assert_ok(hf_conductor_key(&conductor, (enum hf_key)(HF_KEY_CHOICE_1 + k),
                                           v.transport.now, &refusal));
        }
        assert_int_equal(conductor.timeline.cues[1].mark, HF_MARK_MISSED);
        run_to(RATE + 10 * RATE + 8000);
        assert_true(length_of(3) > length_of(2));
        finish();
    }
}

static void untouched_it_is_as_long_as_was_told(void **state)
{
    (void)state;
    begin("improvise", "4s..1.5s", NULL);
    run_to(INT64_MAX);
    assert_int_equal(conductor.timeline.end_at, hf_schedule_length(&schedule));
    assert_int_equal(conductor.timeline.count, 60);
    assert_int_equal(length_of(59), 12000);
    finish();
}

static void what_it_does_not_go_with_is_refused(void **state)
{
    (void)state;
    static const char *const bad[] = {"",       "40s",   "15s..40s",    "40s..40s",
                                      "40s..",  "..15s", "40s..8beats", "40s..0s",
                                      "2h..1s", "a..b",  "40s..15s.."};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        assert_int_equal(ask("improvise", bad[i], NULL), HF_E_USAGE);
    assert_int_equal(ask("warmup", "40s..15s", NULL), HF_E_USAGE);
    assert_int_equal(ask("roam", "40s..15s", NULL), HF_E_USAGE);
    assert_int_equal(ask("improvise", "40s..15s", "wait"), HF_E_USAGE);
    assert_int_equal(ask("improvise", "40s..15s", "10s"), HF_E_USAGE);
    assert_int_equal(ask("improvise", "40s..15s", "41s"), HF_E_USAGE);
    assert_int_equal(ask("improvise", "8beats..4beats", NULL), HF_E_USAGE); /* no tempo */
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_BREATHE, "40s..15s", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_FOR, "10m", NULL));
    assert_int_equal(hf_request_resolve(&request, &refusal), HF_E_USAGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lengths_stay_between_the_two_and_move_slowly),
        cmocka_unit_test(in_beats_they_are_whole),
        cmocka_unit_test(a_miss_lengthens_the_cue_after_next),
        cmocka_unit_test(a_miss_that_is_taken_back_lengthens_nothing),
        cmocka_unit_test(it_breathes_in_ear_and_sight_too),
        cmocka_unit_test(untouched_it_is_as_long_as_was_told),
        cmocka_unit_test(what_it_does_not_go_with_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
