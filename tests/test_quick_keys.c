/* SPDX-License-Identifier: MIT */
/* Keys in quick hands, or on a slow disk: pressed again before the sound has answered. What the
 * player may do next goes by what was pressed last, and once all is answered the conductor and the
 * sound agree (derived: the contract's keys: p pause and resume, Space stay and go on). */
#include "virtual.h"

#include <holdfast/random.h>

static struct hf_schedule schedule;
static struct hf_conductor conductor;
static struct virtual_session session;
static struct hf_report late[100000];
static int late_count;

static void begin_session(void)
{
    static const char *const settings[][2] = {
        {"held", "C E G#"}, {"every", "2s"}, {"lead-in", "1s"}, {"rate", "8000"}, {"rounds", "4"}};
    struct hf_request request;
    hf_request_init(&request);
    for (size_t i = 0; i < sizeof settings / sizeof *settings; i++)
        for (int key = 0; key < HF_OPTIONS; key++)
            if (strcmp(hf_option_name((enum hf_option)key), settings[i][0]) == 0)
                assert_ok(hf_request_set(&request, (enum hf_option)key, settings[i][1], NULL));
    assert_ok(hf_request_resolve(&request, NULL));
    static struct hf_request kept;
    kept = request;
    assert_ok(hf_schedule_init(&schedule, &kept, NULL));
    assert_ok(hf_conductor_init(&conductor, &kept, &schedule, NULL));
    virtual_begin(&session, hf_conductor_source(&conductor), kept.rate_hz);
    late_count = 0;
    virtual_tend(&session);
}

static void end_session(void)
{
    virtual_end(&session);
    hf_conductor_deinit(&conductor);
    hf_schedule_deinit(&schedule);
}

static void pass(int chunks)
{
    for (int i = 0; i < chunks; i++) {
        virtual_chunk(&session, late, &late_count);
        virtual_tend(&session);
        virtual_reports(&session, late, &late_count);
        session.rows = 0;
    }
}

static void press(enum hf_key key)
{
    struct hf_diag diag;
    (void)!hf_conductor_key(&conductor, key, session.transport.now, &diag);
}

static void assert_agree(void)
{
    const struct hf_timeline *timeline = &conductor.timeline;
    assert_int_equal(conductor.asked, 0);
    assert_int_equal(conductor.paused, timeline->pause_at != HF_NEVER);
    assert_int_equal(conductor.paused, session.transport.out_at != HF_NEVER);
    assert_int_equal(conductor.staying, timeline->stay_at != HF_NEVER);
}

/* p and Space, one to seven times, `apart` chunks between: an odd number is one, an even none. */
static void as_many_presses_as_one_or_none(void **state)
{
    (void)state;
    static const enum hf_key keys[] = {HF_KEY_PAUSE, HF_KEY_STAY};
    for (int apart = 0; apart < 40; apart++)
        for (int times = 1; times <= 7; times++)
            for (int k = 0; k < 2; k++) {
                begin_session();
                pass(200);
                for (int i = 0; i < times; i++) {
                    press(keys[k]);
                    pass(apart);
                }
                pass(400);
                assert_agree();
                assert_int_equal(k ? conductor.staying : conductor.paused, times % 2);
                if (times % 2) {
                    press(keys[k]);
                    pass(200);
                    assert_agree();
                    assert_false(k ? conductor.staying : conductor.paused);
                }
                end_session();
            }
}

/* Any keys at any times; then a rest, in which all is answered. */
static void after_any_keys_conductor_and_sound_agree(void **state)
{
    (void)state;
    static const enum hf_key keys[] = {HF_KEY_PAUSE, HF_KEY_PAUSE, HF_KEY_STAY,  HF_KEY_STAY,
                                       HF_KEY_NEXT,  HF_KEY_AGAIN, HF_KEY_REVEAL};
    for (uint64_t seed = 1; seed <= 400; seed++) {
        struct hf_random random;
        hf_random_init(&random, seed, 3);
        begin_session();
        for (int burst = 0; burst < 8 && !hf_transport_done(&session.transport); burst++) {
            for (int i = (int)hf_random_below(&random, 12); i > 0; i--) {
                if (hf_random_below(&random, 10) == 0) {
                    if (conductor.away)
                        hf_conductor_back(&conductor);
                    else
                        hf_conductor_away(&conductor);
                }
                press(keys[hf_random_below(&random, 7)]);
                pass((int)hf_random_below(&random, 30));
            }
            pass(120);
            if (session.transport.end_at == HF_NEVER)
                assert_agree();
        }
        end_session();
    }
}

/* A loose plug, on a slow disk: nothing piles up, and what it was at last is how it ends. */
static void an_output_may_come_and_go_as_it_likes(void **state)
{
    (void)state;
    for (int times = 1; times <= 400; times++) {
        begin_session();
        pass(200);
        press(HF_KEY_NEXT);
        for (int i = 0; i < times; i++) {
            if (i % 2)
                hf_conductor_back(&conductor);
            else
                hf_conductor_away(&conductor);
            if (i % 5 == 0)
                virtual_chunk(&session, late, &late_count); /* reports lie */
            assert_true(conductor.asked <= HF_CONDUCTOR_ASKED);
            assert_true(conductor.step_count < HF_CONDUCTOR_STEPS);
        }
        session.rows = 0;
        pass(400);
        assert_agree();
        assert_int_equal(conductor.paused, times % 2);
        end_session();
    }
}

/* The output is back before its pause was answered; whoever presses p then, twice, has paused. */
static void a_pause_of_the_players_own_stays_the_players(void **state)
{
    (void)state;
    for (int apart = 0; apart < 40; apart++)
        for (int times = 1; times <= 4; times++) {
            begin_session();
            pass(200);
            hf_conductor_away(&conductor);
            for (int i = 0; i < apart; i++)
                virtual_chunk(&session, late, &late_count); /* reports lie */
            hf_conductor_back(&conductor);
            for (int i = 0; i < times; i++)
                press(HF_KEY_PAUSE);
            session.rows = 0;
            pass(400);
            assert_agree();
            assert_int_equal(conductor.paused, times % 2 == 0);
            end_session();
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(as_many_presses_as_one_or_none),
        cmocka_unit_test(an_output_may_come_and_go_as_it_likes),
        cmocka_unit_test(a_pause_of_the_players_own_stays_the_players),
        cmocka_unit_test(after_any_keys_conductor_and_sound_agree),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
