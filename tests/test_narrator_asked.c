/* SPDX-License-Identifier: MIT */
/* What a session that speaks asks and answers in ear and sight, and what it refuses. derived: from
 * the rules of test_narrator.c. */
#include "told.h"

static void begin_ear(const char *level, const char *lead_in)
{
    begin((const char *[]){"practice", "ear", "level", level, "held", "C E G#", "every", "12s",
                           "lead-in", lead_in, "speak", "all", "rounds", "2", NULL});
    assert_ok(hf_narrator_prepare(&told.narrator, &schedule, NULL));
}

enum { NOTES = 2 * 5600 + RATE }; /* derived: three notes 0.7 s apart, and a second */

static void a_question_comes_in_the_lead_in_or_after_the_notes(void **state)
{
    (void)state;
    begin_ear("1", "8s");
    run_to(8 * RATE);
    assert_int_equal(said(1, 0)->session + said(1, 0)->length + GAP, 8 * RATE);
    assert_true(said(1, 0)->session >= said(0, 0)->length + GAP); /* after the opening */
    run_to(8 * RATE + 7 * RATE);
    assert_null(said(1, 1));
    press(HF_KEY_QUIT);
    finish();
    begin_ear("1", "1s");
    run_to(HF_NEVER);
    assert_int_equal(said(1, 0)->session, RATE + NOTES);
    assert_true(said(1, 0)->session + said(1, 0)->length + GAP <= cue_of(1)->tell);
    assert_int_equal(said(1, 1)->session, cue_of(1)->tell); /* the name */
    for (uint32_t cue = 2; cue <= 12; cue++)                /* asked once */
        assert_int_equal(said(cue, 0)->session, cue_of(cue)->tell);
    finish();
}

/* At level 2 the three are told where they are others than those of the cue before. */
static void the_answers_are_told_where_they_change(void **state)
{
    (void)state;
    int changes = 0;
    begin_ear("2", "1s");
    run_to(HF_NEVER);
    for (uint32_t cue = 2; cue <= 12; cue++) {
        bool before = (cue_of(cue - 1)->record.id == 1 || cue_of(cue - 1)->record.id == 4 ||
                       cue_of(cue - 1)->record.id == 5), /* published: kinds 1 4 5 and 2 3 6 */
            here = (cue_of(cue)->record.id == 1 || cue_of(cue)->record.id == 4 ||
                    cue_of(cue)->record.id == 5);
        assert_int_equal(said(cue, 0)->session,
                         before != here ? cue_of(cue)->at + NOTES : cue_of(cue)->tell);
        changes += before != here;
    }
    assert_true(changes > 2 && changes < 11);
    finish();
}

/* Once it is told nothing is asked; and what was to be asked ahead is not said over the notes. */
static void what_is_asked_too_late_is_left_out(void **state)
{
    (void)state;
    begin_ear("1", "1s");
    run_to(RATE + 1280);
    press(HF_KEY_REVEAL);
    run_to(12 * RATE);
    assert_int_equal(said(1, 0)->session, RATE + 1280); /* the name alone */
    assert_null(said(1, 1));
    press(HF_KEY_QUIT);
    finish();
    begin_ear("1", "8s");
    run_to(RATE);
    press(HF_KEY_NEXT);
    run_to(5 * RATE);
    assert_null(said(1, 0));
    press(HF_KEY_AGAIN); /* but then it is asked after its notes */
    run_to(5 * RATE + NOTES + HF_GRID);
    assert_int_equal(said(1, 0)->session, 5 * RATE + NOTES);
    press(HF_KEY_QUIT);
    finish();
}

/* A pedal marks and goes on: the notes that follow are not covered by the mark. */
static void a_mark_is_not_said_over_the_next_cue(void **state)
{
    (void)state;
    begin_ear("3", "1s");
    run_to(10 * RATE);
    press(HF_KEY_GOT);
    press(HF_KEY_NEXT);
    run_to(10 * RATE + 1280);
    assert_null(said(1, 2)); /* after what is asked and the name */
    assert_ok(hf_conductor_mark(&told.conductor, cue_of(1)->record.n, HF_MARK_MISSED,
                                told.v.transport.now, NULL));
    run_to(12 * RATE);
    for (int i = 0; i < told.v.rows; i++)
        assert_false(told.v.trace[i].kind == HF_ACTION_SPEAK &&
                     told.v.trace[i].session >= 10 * RATE);
    press(HF_KEY_REVEAL);
    run_to(13 * RATE);
    press(HF_KEY_GOT);
    run_to(14 * RATE);
    assert_int_equal(said(2, 1)->length, 3 * TALKER_PER_LETTER); /* "got" */
    press(HF_KEY_QUIT);
    finish();
}

static void help_says_again_what_is_asked(void **state)
{
    (void)state;
    begin_ear("1", "1s");
    run_to(RATE + 4 * RATE);
    int64_t length = said(1, 0)->length;
    hf_narrator_help(&told.narrator, 5 * RATE, "keys");
    virtual_tend(&told.v);
    run_to(5 * RATE + 4 * RATE);
    assert_int_equal(said(1, 1)->session, 5 * RATE);
    assert_true(said(1, 1)->length > length); /* with an example of each kind */
    assert_int_equal(said(0, 1)->session, 5 * RATE + said(1, 1)->length + HF_GRID -
                                              (said(1, 1)->length - 1) % HF_GRID - 1);
    press(HF_KEY_QUIT);
    finish();
    begin((const char *[]){"every", "3s", NULL});
    hf_narrator_help(&told.narrator, 0, "keys");
    virtual_tend(&told.v);
    run_to(RATE);
    assert_null(said(0, 0));
    press(HF_KEY_QUIT);
    finish();
}

/* A chord of sight is read out in view, then told in halves, over before these sound. */
static void a_chord_is_read_out_and_told_before_it_sounds(void **state)
{
    (void)state;
    begin((const char *[]){"practice", "sight", "every", "6s", "lead-in", "1s", "speak", "all",
                           NULL});
    assert_ok(hf_narrator_prepare(&told.narrator, &schedule, NULL));
    run_to(HF_NEVER);
    for (uint32_t cue = 1; cue <= 6; cue++) {
        assert_int_equal(said(cue, 0)->session, cue_of(cue)->at);
        assert_int_equal(said(cue, 1)->session, cue_of(cue)->tell);
        assert_int_equal(said(cue, 1)->session + said(cue, 1)->length + GAP, cue_of(cue)->hear);
        assert_null(said(cue, 2));
    }
    finish();
    struct hf_diag diag;
    begin((const char *[]){"practice", "sight", "every", "1.2s", "speak", "all", NULL});
    assert_int_equal(hf_narrator_prepare(&told.narrator, &schedule, &diag), HF_E_USAGE);
    virtual_end(&told.v);
    hf_conductor_deinit(&told.conductor);
}

static void cues_that_are_too_short_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *way, *every, *lead_in;
        enum hf_status status;
    } rows[] = {
        {"confirm", "2s", "0s", HF_OK},        {"confirm", "0.5s", "5s", HF_E_USAGE},
        {"lead", "2s", "2s", HF_OK},           {"lead", "0.2s", "2s", HF_E_USAGE},
        {"lead", "2s", "0.1s", HF_E_USAGE},    {"ear", "2s", "0s", HF_OK},
        {"ear", "0.3s", "0s", HF_E_USAGE},     {"gap", "3s", "0s", HF_OK},
        {"gap", "0.9s", "0s", HF_E_USAGE},     {"reverse", "3s", "0s", HF_OK},
        {"reverse", "0.9s", "0s", HF_E_USAGE}, {"silent", "1s", "0s", HF_OK},
        {"silent", "0.1s", "0s", HF_E_USAGE},  {"lead", "wait", "0s", HF_OK},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct hf_diag diag = {0};
        begin((const char *[]){"cue", rows[i].way, "every", rows[i].every, "lead-in",
                               rows[i].lead_in, NULL});
        enum hf_status status = hf_narrator_prepare(&told.narrator, &schedule, &diag);
        if (status != rows[i].status)
            fail_msg("%s every %s: %s", rows[i].way, rows[i].every, diag.message);
        virtual_end(&told.v);
        hf_conductor_deinit(&told.conductor);
        if (status == HF_OK)
            continue;
        /* what is advised will do */
        bool lead = strncmp(diag.message, "--lead-in", 9) == 0;
        char advised[16] = "";
        assert_int_equal(sscanf(diag.advice, "choose %15s or more", advised), 1);
        begin((const char *[]){"cue", rows[i].way, "every", lead ? rows[i].every : advised,
                               "lead-in", lead ? advised : rows[i].lead_in, NULL});
        assert_ok(hf_narrator_prepare(&told.narrator, &schedule, &diag));
        virtual_end(&told.v);
        hf_conductor_deinit(&told.conductor);
    }
}

/* Everything that can be asked is spoken before the session begins. */
static void names_are_prepared_before_the_session(void **state)
{
    (void)state;
    static const char *const ways[] = {"confirm", "lead", "silent", "ear", "gap"};
    for (int way = 0; way < 5; way++) {
        begin((const char *[]){"cue", ways[way], "every", "3s", "lead-in", "2s", "voicing", "open",
                               "rounds", "4", NULL});
        assert_ok(hf_narrator_prepare(&told.narrator, &schedule, NULL));
        uint32_t prepared = talker.count;
        run_to(HF_NEVER);
        assert_int_equal(talker.count, prepared);
        finish();
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_question_comes_in_the_lead_in_or_after_the_notes),
        cmocka_unit_test(the_answers_are_told_where_they_change),
        cmocka_unit_test(what_is_asked_too_late_is_left_out),
        cmocka_unit_test(a_mark_is_not_said_over_the_next_cue),
        cmocka_unit_test(help_says_again_what_is_asked),
        cmocka_unit_test(a_chord_is_read_out_and_told_before_it_sounds),
        cmocka_unit_test(cues_that_are_too_short_are_refused),
        cmocka_unit_test(names_are_prepared_before_the_session),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
