/* SPDX-License-Identifier: MIT */
/* Breaks on a virtual clock: when they come, which key goes on, what is recorded. Expectations are
 * derived: from the length that was asked for, and the fade of a pause (300 ms up to 64 samples).
 */
#include "player.h"

#include <stdio.h>

enum { RATE = 8000, FADE = 2432 };

/* A minute of sound between breaks; cues of 20 s. */
static void begin(const char *break_every, const char *rounds)
{
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_HELD, "C E G#", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_RATE, "8000", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_EVERY, "20s", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_ROUNDS, rounds, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_BREAK_EVERY, break_every, NULL));
    begin_session();
}

/* Chunks until the session's clock stands or the session is over, `most` at most; the loop of a
 * player asks for a break before each. */
static void run(long most)
{
    struct hf_report late[HF_TRANSPORT_REPORTS];
    while (most-- > 0 && !hf_transport_done(&v.transport)) {
        int count = 0;
        int64_t before = v.transport.now;
        hf_conductor_break(&conductor, v.transport.now);
        virtual_tend(&v);
        virtual_chunk(&v, late, &count);
        virtual_reports(&v, late, &count);
        if (v.transport.now == before && v.transport.stopped)
            return;
    }
}

static void press_and_pass(enum hf_key key)
{
    assert_ok(press(key));
    chunks(1);
}

static int count(const char *type)
{
    int found = 0;
    char what[40];
    snprintf(what, sizeof what, "\"t\":\"%s\"", type);
    for (const char *at = v.lines; (at = strstr(at, what)); at++)
        found++;
    return found;
}

static void a_break_comes_after_so_much_sound(void **state)
{
    (void)state;
    begin("1m", "3");
    run(1 << 20);
    assert_int_equal(v.transport.now, 60 * RATE + FADE);
    assert_non_null(strstr(v.lines, "\"t\":\"pause\",\"at\":480000,"));
    assert_non_null(strstr(v.lines, "\"t\":\"break\",\"at\":480000,\"sounded\":480000,"));
    assert_true(conductor.timeline.on_break);
    chunks(99); /* one was silent already */
    press_and_pass(HF_KEY_NEXT);
    assert_false(conductor.timeline.on_break);
    assert_int_equal(count("next"), 0); /* any key goes on, and does nothing else */
    assert_int_equal(conductor.timeline.rested, 100 * HF_GRID);
    run(1 << 20); /* a minute of sound after the first: the pause's fade is not counted twice */
    assert_int_equal(v.transport.now, 2 * 60 * RATE + 2 * FADE);
    assert_non_null(strstr(v.lines, "\"sounded\":480000,\"crc"));
    assert_int_equal(conductor.timeline.breaks, 2);
    finish();
}

static void every_key_but_quit_goes_on(void **state)
{
    (void)state;
    for (int key = HF_KEY_STAY; key <= HF_KEY_SIGNAL; key++) {
        begin("1m", "3");
        run(1 << 20);
        press_and_pass((enum hf_key)key);
        bool leaves = key == HF_KEY_QUIT || key == HF_KEY_SIGNAL;
        assert_int_equal(count("end"), leaves);
        assert_int_equal(count("resume"), !leaves);
        assert_int_equal(count("mark") + count("stay") + count("volume"), 0);
        finish();
    }
}

static void a_long_pause_is_as_good_as_a_break(void **state)
{
    (void)state;
    for (int longer = 0; longer <= 1; longer++) {
        int64_t silence = (int64_t)HF_CONDUCTOR_RESTED_S * RATE / HF_GRID - !longer;
        begin("1m", "3");
        run(30 * RATE / HF_GRID);
        press_and_pass(HF_KEY_PAUSE);
        run(1 << 20);
        chunks(silence - 1);
        press_and_pass(HF_KEY_PAUSE);
        int64_t resumed = v.transport.now - HF_GRID;
        run(1 << 20);
        assert_int_equal(conductor.timeline.breaks, 1);
        assert_int_equal(v.transport.now, (longer ? resumed : 0) + 60 * RATE + FADE);
        finish();
    }
}

static void off_and_the_last_cue_have_none(void **state)
{
    (void)state;
    begin("off", "3");
    run(1 << 20);
    assert_int_equal(count("break"), 0);
    assert_int_equal(count("end"), 1);
    finish();
    begin("111s", "1"); /* derived: 10 s and 5 cues of 20 s: the sixth, the last, runs from 1:50 */
    run(1 << 20);
    assert_int_equal(count("break"), 0);
    assert_int_equal(count("end"), 1);
    finish();
}

static void a_break_waits_for_what_was_asked_before(void **state)
{
    (void)state;
    begin("1m", "3");
    run(60 * RATE / HF_GRID);
    assert_ok(hf_conductor_key(&conductor, HF_KEY_PAUSE, v.transport.now, NULL));
    assert_false(hf_conductor_break(&conductor, v.transport.now)); /* this pause is the player's */
    virtual_tend(&v);
    chunks(100);
    assert_int_equal(count("pause"), 1);
    assert_int_equal(count("break"), 0);
    finish();
}

static void a_break_alone_is_refused_in_a_journal(void **state)
{
    (void)state;
    begin("1m", "3");
    struct hf_record record = {.type = HF_RECORD_BREAK, .n = 9, .at = 640, .sounded = 640};
    assert_int_equal(hf_timeline_apply(&conductor.timeline, &record, NULL), HF_E_DATA);
    struct hf_record pause = {.type = HF_RECORD_PAUSE, .n = 9, .at = 640};
    assert_ok(hf_timeline_apply(&conductor.timeline, &pause, NULL));
    record.sounded = 641; /* more than there was */
    assert_int_equal(hf_timeline_apply(&conductor.timeline, &record, NULL), HF_E_DATA);
    record.sounded = 640;
    assert_ok(hf_timeline_apply(&conductor.timeline, &record, NULL));
    assert_int_equal(hf_timeline_apply(&conductor.timeline, &record, NULL), HF_E_DATA);
    finish();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_break_comes_after_so_much_sound),
        cmocka_unit_test(every_key_but_quit_goes_on),
        cmocka_unit_test(a_long_pause_is_as_good_as_a_break),
        cmocka_unit_test(off_and_the_last_cue_have_none),
        cmocka_unit_test(a_break_waits_for_what_was_asked_before),
        cmocka_unit_test(a_break_alone_is_refused_in_a_journal),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
