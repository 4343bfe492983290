/* SPDX-License-Identifier: MIT */
/* When something is said, on a virtual clock: names are over before their notes, never come before
 * they may, and are broken off with their cue. derived: from these rules; the talker's lengths are
 * known. */
#include "told.h"

static void whole_session(const char *way)
{
    begin((const char *[]){"cue", way, "every", "3s", "lead-in", "2s", NULL});
    run_to(HF_NEVER);
}

static void in_confirm_a_name_comes_when_told_and_is_over_before_its_notes(void **state)
{
    (void)state;
    whole_session("confirm");
    for (uint32_t cue = 1; cue <= 6; cue++) {
        const struct trace_row *name = said(cue, 0);
        assert_non_null(name);
        assert_int_equal(name->session, cue_of(cue)->tell);
        assert_true(name->session + name->length + GAP <= cue_of(cue)->hear);
        assert_null(said(cue, 1));
    }
    finish();
}

/* Named and sounded at once: the name comes first, and the notes stay where they are. */
static void in_lead_a_name_is_over_just_before_the_cue(void **state)
{
    (void)state;
    whole_session("lead");
    for (uint32_t cue = 1; cue <= 6; cue++) {
        const struct trace_row *name = said(cue, 0);
        assert_non_null(name);
        assert_int_equal(cue_of(cue)->hear, 2 * RATE + (int64_t)(cue - 1) * 3 * RATE);
        assert_int_equal(name->session + name->length + GAP, cue_of(cue)->hear);
        assert_null(said(cue, 1));
    }
    finish();
}

static void in_ear_a_name_comes_after_the_notes_when_it_is_told(void **state)
{
    (void)state;
    whole_session("ear");
    for (uint32_t cue = 1; cue <= 6; cue++) {
        assert_int_equal(said(cue, 0)->session, cue_of(cue)->tell);
        assert_true(cue_of(cue)->hear < cue_of(cue)->tell);
        assert_null(said(cue, 1));
    }
    finish();
}

/* The fourth at the beginning; then the name, which is told when it begins, and is over before the
 * notes, which stay where they are: two thirds of the way. */
static void in_gap_and_reverse_telling_takes_the_time_of_speaking(void **state)
{
    (void)state;
    static const char *const ways[] = {"gap", "reverse"};
    for (int way = 0; way < 2; way++) {
        whole_session(ways[way]);
        for (uint32_t cue = 1; cue <= 6; cue++) {
            const struct hf_timeline_cue *c = cue_of(cue);
            assert_int_equal(said(cue, 0)->session, c->at);
            const struct trace_row *name = said(cue, 1);
            assert_non_null(name);
            assert_int_equal(name->session, c->tell);
            assert_int_equal(name->session + name->length + GAP, c->hear);
            assert_int_equal(c->hear, c->at + 2 * RATE); /* derived: 2/3 of 3 s */
            assert_null(said(cue, 2));
        }
        finish();
    }
}

static void in_silent_a_name_comes_when_told(void **state)
{
    (void)state;
    whole_session("silent");
    for (uint32_t cue = 1; cue <= 6; cue++)
        assert_int_equal(said(cue, 0)->session, cue_of(cue)->tell);
    finish();
}

/* A name that can't be over before its notes isn't begun. */
static void what_does_not_fit_is_left_out(void **state)
{
    (void)state;
    static const char *const ways[] = {"confirm", "lead", "gap"};
    for (int way = 0; way < 3; way++) {
        begin((const char *[]){"cue", ways[way], "every", "0.2s", "lead-in", "1s", NULL});
        run_to(HF_NEVER);
        int names = 0;
        for (uint32_t cue = 1; cue <= 6; cue++)
            names += said(cue, 0) && said(cue, 0)->session >= cue_of(cue)->tell;
        assert_int_equal(names, 0);
        finish();
    }
}

/* Where the span breathes, names are over before their notes at its shortest too. */
static void a_span_that_breathes_leaves_room_for_names_at_its_shortest(void **state)
{
    (void)state;
    static const char *const ways[] = {"gap", "reverse"};
    struct hf_diag diag = {0};
    for (int way = 0; way < 2; way++) {
        begin((const char *[]){"cue", ways[way], "breathe", "6s..3s", "lead-in", "1s", "rounds",
                               "4", NULL});
        assert_ok(hf_narrator_prepare(&told.narrator, &schedule, NULL));
        run_to(HF_NEVER);
        for (uint32_t cue = 1; cue <= 24; cue++) {
            assert_int_equal(said(cue, 1)->session, cue_of(cue)->tell);
            assert_int_equal(said(cue, 1)->session + said(cue, 1)->length + GAP, cue_of(cue)->hear);
        }
        finish();
        begin((const char *[]){"cue", ways[way], "breathe", "6s..0.9s", "lead-in", "1s", NULL});
        assert_int_equal(hf_narrator_prepare(&told.narrator, &schedule, &diag), HF_E_USAGE);
        assert_non_null(strstr(diag.message, "the shorter length of --breathe is too short"));
        virtual_end(&told.v);
        hf_conductor_deinit(&told.conductor);
    }
    /* Unasked, what has no room is left out, not said over its notes. */
    begin((const char *[]){"cue", "gap", "every", "0.3s", "lead-in", "1s", NULL});
    run_to(HF_NEVER);
    for (uint32_t cue = 1; cue <= 6; cue++)
        assert_null(said(cue, 1)); /* the first is what is known from the beginning */
    finish();
}

static void next_breaks_off_what_is_being_said(void **state)
{
    (void)state;
    begin((const char *[]){"cue", "confirm", "every", "3s", "lead-in", "2s", NULL});
    run_to(2 * RATE + 192);
    assert_non_null(said(1, 0));
    press(HF_KEY_NEXT);
    run_to(2 * RATE + 512);
    int64_t hush = first_of(HF_ACTION_HUSH, 0);
    assert_true(hush < said(1, 0)->session + said(1, 0)->length);
    assert_int_equal(said(2, 0)->session, cue_of(2)->at); /* and the next one is said at once */
    assert_true(cue_of(2)->at <= hush + HF_GRID);
    finish();
}

static void next_leaves_out_what_was_not_yet_told(void **state)
{
    (void)state;
    begin((const char *[]){"cue", "ear", "every", "3s", "lead-in", "2s", NULL});
    run_to(2 * RATE + 640);
    press(HF_KEY_NEXT);
    run_to(HF_NEVER);
    assert_null(said(1, 0));
    assert_non_null(said(2, 0));
    finish();
}

static void in_lead_next_says_the_name_with_its_notes(void **state)
{
    (void)state;
    begin((const char *[]){"cue", "lead", "every", "3s", "lead-in", "2s", NULL});
    run_to(2 * RATE + 640);
    press(HF_KEY_NEXT);
    run_to(2 * RATE + 1280);
    assert_int_equal(said(2, 0)->session, cue_of(2)->at);
    finish();
}

static void reveal_says_the_name_at_once(void **state)
{
    (void)state;
    static const char *const ways[] = {"ear", "gap", "reverse"};
    for (int way = 0; way < 3; way++) {
        begin((const char *[]){"cue", ways[way], "every", "3s", "lead-in", "2s", NULL});
        run_to(2 * RATE + 3200);
        press(HF_KEY_REVEAL);
        run_to(HF_NEVER);
        const struct trace_row *name = said(1, way == 0 ? 0 : 1);
        assert_int_equal(name->session, 2 * RATE + 3200);
        assert_int_equal(name->session, cue_of(1)->tell);
        assert_null(said(1, way == 0 ? 1 : 2));
        finish();
    }
}

static void a_stay_holds_back_names(void **state)
{
    (void)state;
    begin((const char *[]){"cue", "ear", "every", "3s", "lead-in", "2s", NULL});
    run_to(2 * RATE + 640);
    press(HF_KEY_STAY);
    run_to(6 * RATE);
    assert_null(said(1, 0));
    press(HF_KEY_STAY);
    run_to(HF_NEVER);
    assert_int_equal(said(1, 0)->session, cue_of(1)->tell);
    finish();
}

static void where_the_player_ends_cues_each_press_speaks(void **state)
{
    (void)state;
    begin((const char *[]){"cue", "gap", "every", "wait", "lead-in", "1s", NULL});
    run_to(RATE + 3200);
    assert_int_equal(said(1, 0)->session, RATE); /* the fourth */
    assert_null(said(1, 1));
    press(HF_KEY_NEXT); /* names and sounds */
    run_to(RATE + 6400);
    assert_int_equal(said(1, 1)->session, RATE + 3200);
    press(HF_KEY_NEXT); /* the next cue */
    run_to(RATE + 9600);
    assert_int_equal(said(2, 0)->session, RATE + 6400);
    press(HF_KEY_QUIT);
    finish();
}

/* A mark is heard after the name, and isn't kept for after a pause. */
static void remarks_wait_for_names_and_not_for_pauses(void **state)
{
    (void)state;
    begin((const char *[]){"cue", "confirm", "every", "3s", "lead-in", "2s", "speak", "all", NULL});
    run_to(2 * RATE + 128);
    press(HF_KEY_GOT);
    run_to(4 * RATE);
    const struct trace_row *name = said(1, 0), *mark = said(1, 1);
    assert_non_null(mark);
    assert_true(mark->session >= name->session + name->length);
    /* derived: HF_NARRATOR_MARK_S after the key, which is after the name here */
    assert_in_range(mark->session, 2 * RATE + 128 + 800, 2 * RATE + 128 + 800 + HF_GRID);
    press(HF_KEY_PAUSE);
    run_to(4 * RATE + 2400); /* the clock stands from there: 300 ms */
    for (int i = 0; i < 5; i++) {
        int count = 0;
        virtual_chunk(&told.v, told.late, &count);
        virtual_reports(&told.v, told.late, &count);
    }
    press(HF_KEY_MISSED);
    for (int i = 0; i < 5; i++) {
        int count = 0;
        virtual_chunk(&told.v, told.late, &count);
        virtual_reports(&told.v, told.late, &count);
    }
    press(HF_KEY_PAUSE);
    finish();
    assert_null(said(1, 2));
    for (int i = 1; said(0, i); i++)
        assert_true(said(0, i)->length != 6 * TALKER_PER_LETTER); /* "missed" has six letters */
}

static void what_was_said_is_in_the_journal(void **state)
{
    (void)state;
    begin((const char *[]){"cue", "confirm", "every", "3s", "lead-in", "2s", "speak", "all", "held",
                           "C E G#", NULL});
    run_to(3 * RATE);
    assert_non_null(strstr(told.v.lines, "\"t\":\"speech\",\"at\":0,\"text\":\"listen to C, E, G "
                                         "sharp. 6 cues\",\"length\":1240,\"sum\":\""));
    assert_non_null(
        strstr(told.v.lines, "\"t\":\"speech\",\"at\":16000,\"cue\":2,\"text\":\"find "));
    press(HF_KEY_QUIT);
    run_to(HF_NEVER);
    assert_non_null(strstr(told.v.lines, "\"text\":\"the end\""));
    finish();
}

/* Once a break has begun nothing sounds: it is told of before. */
static void a_break_is_told_of_just_before_it_comes(void **state)
{
    (void)state;
    begin((const char *[]){"cue", "silent", "every", "30s", "lead-in", "20s", "break-every", "4s",
                           "speak", "all", NULL});
    for (int64_t at = 0; at < 8 * RATE; at += HF_GRID) {
        run_to(at);
        hf_narrator_tend(&told.narrator, at);
        virtual_tend(&told.v);
    }
    const struct trace_row *rest = said(0, 1); /* the opening is the first */
    assert_non_null(rest);
    assert_int_equal(rest->length, 38 * TALKER_PER_LETTER); /* its letters */
    assert_true(rest->session + rest->length <= 4 * RATE);
    assert_true(rest->session + rest->length >= 4 * RATE - RATE - 2 * HF_GRID);
    assert_null(said(0, 2)); /* once */
    press(HF_KEY_QUIT);
    finish();
}

/* Plays to the first break and gives the session sample at which its fade begins; at `keyed` a next
 * is pressed, so that a name takes the place of what tells of the break. */
static int64_t to_break(const char *speak, const char *way, int64_t keyed)
{
    begin((const char *[]){"cue", way, "every", "30s", "lead-in", "2s", "break-every", "4s",
                           "speak", speak, NULL});
    for (int64_t at = 0; at < 20 * RATE && !told.conductor.on_break; at += HF_GRID) {
        run_to(at);
        if (at == keyed)
            press(HF_KEY_NEXT);
        hf_narrator_tend(&told.narrator, at);
        hf_conductor_break(&told.conductor, at);
        virtual_tend(&told.v);
    }
    run_to(told.v.transport.now + HF_GRID);
    assert_true(told.conductor.on_break);
    return told.v.transport.out_at;
}

/* Whatever was said before is over by then, and of the break it was told whole. */
static void assert_told_before(int64_t at)
{
    bool whole = false;
    int64_t end = 0;
    for (int i = 0; i < told.v.rows; i++) {
        const struct trace_row *row = &told.v.trace[i];
        if (row->session >= at || (row->kind != HF_ACTION_SPEAK && row->kind != HF_ACTION_HUSH))
            continue;
        whole = whole && row->session >= end;
        whole |= row->about == 0 && row->length == 38 * TALKER_PER_LETTER;
        end = row->session + (row->kind == HF_ACTION_SPEAK ? row->length : 0);
    }
    assert_true(whole);
    assert_true(end + GAP <= at);
}

/* Whatever is spoken, and whatever comes between: the words are over before the sound fades. */
static void a_break_waits_until_it_is_told_of(void **state)
{
    (void)state;
    static const char *const speaks[] = {"names", "all"}, *const ways[] = {"silent", "ear"};
    const int64_t told_of = 4 * RATE - RATE - 38 * TALKER_PER_LETTER; /* it begins about here */
    for (int speak = 0; speak < 2; speak++)
        for (int way = 0; way < 2; way++)
            for (int64_t key = -1; key < 4 * RATE; key = key < 0 ? told_of - 1280 : key + 320) {
                int64_t out_at = to_break(speaks[speak], ways[way], key < 0 ? key : key / 64 * 64);
                assert_told_before(out_at);
                assert_true(out_at <= 8 * RATE); /* soon all the same */
                press(HF_KEY_QUIT);
                finish();
            }
}

/* Whoever asks for the cue again hears its notes, and then its name again, if it was told. */
static void again_says_a_name_that_was_told(void **state)
{
    (void)state;
    begin((const char *[]){"cue", "ear", "every", "9s", "lead-in", "2s", "speak", "all", NULL});
    run_to(2 * RATE + 1600);
    press(HF_KEY_AGAIN);
    run_to(8 * RATE + 1280);
    assert_null(said(1, 1)); /* not told yet: the first is its name, when it was told */
    press(HF_KEY_AGAIN);
    run_to(10 * RATE);
    assert_non_null(said(1, 1));
    assert_int_equal(said(1, 1)->session,
                     8 * RATE + 1280 + RATE); /* derived: HF_NARRATOR_LISTEN_S */
    press(HF_KEY_AGAIN);
    run_to(10 * RATE + 1280);
    press(HF_KEY_NEXT); /* the name would come after the next notes: it is left out */
    run_to(10 * RATE + 3 * RATE);
    assert_null(said(1, 2));
    press(HF_KEY_QUIT);
    finish();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(in_confirm_a_name_comes_when_told_and_is_over_before_its_notes),
        cmocka_unit_test(in_lead_a_name_is_over_just_before_the_cue),
        cmocka_unit_test(in_ear_a_name_comes_after_the_notes_when_it_is_told),
        cmocka_unit_test(in_gap_and_reverse_telling_takes_the_time_of_speaking),
        cmocka_unit_test(in_silent_a_name_comes_when_told),
        cmocka_unit_test(what_does_not_fit_is_left_out),
        cmocka_unit_test(a_span_that_breathes_leaves_room_for_names_at_its_shortest),
        cmocka_unit_test(next_breaks_off_what_is_being_said),
        cmocka_unit_test(next_leaves_out_what_was_not_yet_told),
        cmocka_unit_test(in_lead_next_says_the_name_with_its_notes),
        cmocka_unit_test(reveal_says_the_name_at_once),
        cmocka_unit_test(a_stay_holds_back_names),
        cmocka_unit_test(where_the_player_ends_cues_each_press_speaks),
        cmocka_unit_test(remarks_wait_for_names_and_not_for_pauses),
        cmocka_unit_test(what_was_said_is_in_the_journal),
        cmocka_unit_test(a_break_is_told_of_just_before_it_comes),
        cmocka_unit_test(a_break_waits_until_it_is_told_of),
        cmocka_unit_test(again_says_a_name_that_was_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
