/* SPDX-License-Identifier: MIT */
/* The rules of the journal, one by one, on a virtual clock; expected times are derived by hand from
 * the rules as the contract states them. Rate 8000, lead-in 1 s, cues of 3 s unless said. */
#include "player.h"

#include <stdio.h>

enum { RATE = 8000, LEAD = 8000, CUE = 24000 };

static const char *volume = "0";

static void begin(const char *way, const char *every)
{
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_HELD, "C E G#", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_RATE, "8000", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_LEAD_IN, "1s", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_EVERY, every, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_CUE, way, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_VOLUME, volume, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_ROUNDS, "1", NULL));
    begin_session();
}

/* The last record written, without its number and check sum. */
static void assert_last(const char *expected)
{
    size_t start = v.length - 1;
    while (start > 0 && v.lines[start - 1] != '\n')
        start--;
    const char *line = strchr(v.lines + start, ',') + 1;
    size_t length = strcspn(line, "\n") - 18;
    if (length != strlen(expected) || memcmp(line, expected, length) != 0)
        fail_msg("%.*s, expected %s", (int)length, line, expected);
}

static const struct hf_timeline_cue *cue(size_t number)
{
    assert_true(number <= conductor.timeline.count);
    return &conductor.timeline.cues[number - 1];
}

static void assert_times(size_t number, int64_t at, int64_t tell, int64_t hear, int64_t end)
{
    assert_int_equal(cue(number)->at, at);
    assert_int_equal(cue(number)->tell, tell);
    assert_int_equal(cue(number)->hear, hear);
    assert_int_equal(cue(number)->end, end);
}

static void a_cue_is_written_when_the_one_before_it_begins(void **state)
{
    (void)state;
    begin("confirm", "3s");
    assert_int_equal(conductor.timeline.count, 1); /* before any sound */
    run_to(LEAD - HF_GRID);
    assert_int_equal(conductor.timeline.count, 1);
    run_to(LEAD + HF_GRID);
    assert_int_equal(conductor.timeline.count, 2);
    assert_times(1, LEAD, LEAD, LEAD + 16000, LEAD + CUE);
    assert_times(2, LEAD + CUE, LEAD + CUE, LEAD + CUE + 16000, LEAD + 2 * CUE);
    run_to(LEAD + 6 * CUE + 1);
    assert_last("\"t\":\"end\",\"at\":152000,\"why\":\"finished\",\"fade\":40000");
    assert_int_equal(hf_timeline_length(&conductor.timeline), LEAD + 6 * CUE + 40000);
    finish();
}

static void lead_names_and_sounds_at_once(void **state)
{
    (void)state;
    begin("lead", "3s");
    run_to(LEAD + HF_GRID);
    assert_times(1, LEAD, LEAD, LEAD, LEAD + CUE);
    assert_int_equal(v.trace[1].kind, HF_ACTION_SOUND);
    assert_int_equal(v.trace[1].session, LEAD);
    finish();
}

static void next_ends_the_cue_where_it_is_pressed(void **state)
{
    (void)state;
    begin("confirm", "3s");
    run_to(12800);
    assert_ok(press(HF_KEY_NEXT));
    run_to(12800 + HF_GRID);
    assert_times(1, LEAD, LEAD, HF_NEVER, 12800); /* a hear that was to come is void */
    assert_times(2, 12800, 12800, 28800, 36800);
    assert_non_null(strstr(v.lines, "\"t\":\"next\",\"at\":12800,\"shift\":-19200,"));
    finish();
}

static void next_in_the_lead_in_brings_the_first_cue(void **state)
{
    (void)state;
    begin("confirm", "3s");
    run_to(640);
    assert_ok(press(HF_KEY_NEXT));
    run_to(640 + HF_GRID);
    assert_times(1, 640, 640, 16640, 24640);
    assert_non_null(strstr(v.lines, "\"t\":\"next\",\"at\":640,\"shift\":-7360,"));
    finish();
}

/* In a warm-up there is a rest after a minute; it belongs to no cue. */
static void next_in_a_rest_brings_the_cue_after_it(void **state)
{
    (void)state;
    enum { MINUTE = 60 * RATE, REST = 20 * RATE };
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_PRACTICE, "warmup", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_RATE, "8000", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_LEAD_IN, "1s", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_EVERY, "1m", NULL));
    begin_session();
    run_to(LEAD + HF_GRID);
    assert_times(1, LEAD, LEAD, LEAD + MINUTE * 2 / 3, LEAD + MINUTE);
    assert_int_equal(cue(2)->at, LEAD + MINUTE + REST);
    run_to(LEAD + MINUTE + 6400);
    assert_null(hf_timeline_running(&conductor.timeline, v.transport.now));
    assert_int_equal(press(HF_KEY_AGAIN), HF_E_USAGE); /* nothing runs in a rest */
    assert_ok(press(HF_KEY_NEXT));
    run_to(v.transport.now + HF_GRID);
    assert_int_equal(cue(2)->at, LEAD + MINUTE + 6400);
    assert_int_equal(cue(1)->end, LEAD + MINUTE);
    assert_non_null(strstr(v.lines, "\"t\":\"next\",\"at\":494400,\"shift\":-153600,"));
    finish();
}

static void next_after_the_last_cue_finishes(void **state)
{
    (void)state;
    begin("confirm", "3s");
    run_to(LEAD + 5 * CUE + 6400);
    assert_ok(press(HF_KEY_NEXT));
    run_to(LEAD + 5 * CUE + 6400 + HF_GRID);
    assert_last("\"t\":\"end\",\"at\":134400,\"why\":\"finished\",\"fade\":40000");
    finish();
}

static void stay_moves_later_times_by_its_length(void **state)
{
    (void)state;
    begin("confirm", "3s");
    run_to(12800);
    assert_ok(press(HF_KEY_STAY));
    run_to(64000); /* far past the cue's end */
    assert_last("\"t\":\"stay\",\"at\":12800");
    assert_ptr_equal(hf_timeline_running(&conductor.timeline, 64000), cue(1));
    assert_ok(press(HF_KEY_STAY));
    run_to(64000 + HF_GRID);
    assert_last("\"t\":\"go\",\"at\":64000,\"shift\":51200");
    assert_times(1, LEAD, LEAD, LEAD + 16000 + 51200, LEAD + CUE + 51200);
    finish();
}

static void next_in_a_stay_closes_it_first(void **state)
{
    (void)state;
    begin("confirm", "3s");
    run_to(12800);
    assert_ok(press(HF_KEY_STAY));
    run_to(25600);
    assert_ok(press(HF_KEY_NEXT));
    run_to(25600 + HF_GRID);
    const char *go = strstr(v.lines, "\"t\":\"go\",\"at\":25600,\"shift\":12800,");
    assert_non_null(go);
    assert_non_null(strstr(go, "\"t\":\"next\",\"at\":25600,\"shift\":-19200,"));
    assert_times(2, 25600, 25600, 41600, 49600);
    finish();
}

static void a_pause_fades_stops_the_clock_and_counts_silence(void **state)
{
    (void)state;
    const int64_t fade = 2432; /* derived: 300 ms are 2400 samples, up to a multiple of 64 */
    begin("confirm", "3s");
    run_to(12800);
    assert_ok(press(HF_KEY_PAUSE));
    run_to(1000000);
    assert_int_equal(v.transport.now, 12800 + fade);
    assert_last("\"t\":\"pause\",\"at\":12800");
    chunks(9); /* one was silent already */
    assert_ok(press(HF_KEY_PAUSE));
    chunks(1);
    assert_last("\"t\":\"resume\",\"at\":15232,\"after\":640");
    assert_times(1, LEAD, LEAD, LEAD + 16000,
                 LEAD + CUE); /* nothing moves on the session's clock */
    assert_int_equal(conductor.timeline.silence, 640);
    finish();
}

static void leaving_in_a_pause_ends_at_once(void **state)
{
    (void)state;
    begin("confirm", "3s");
    run_to(12800);
    assert_ok(press(HF_KEY_PAUSE));
    run_to(1000000);
    assert_ok(press(HF_KEY_QUIT));
    chunks(1);
    assert_last("\"t\":\"end\",\"at\":15232,\"why\":\"quit\",\"fade\":0");
    assert_true(hf_transport_done(&v.transport));
    finish();
}

static void reveal_names_and_sounds_now(void **state)
{
    (void)state;
    begin("confirm", "3s");
    run_to(12800);
    assert_ok(press(HF_KEY_REVEAL));
    run_to(12800 + HF_GRID);
    assert_times(1, LEAD, LEAD, 12800, LEAD + CUE);
    assert_int_equal(press(HF_KEY_REVEAL), HF_E_USAGE);
    finish();
}

static void reveal_in_silent_leaves_the_sound_out(void **state)
{
    (void)state;
    begin("silent", "wait");
    run_to(12800);
    assert_times(1, LEAD, LEAD, HF_NEVER, HF_NEVER);
    assert_int_equal(press(HF_KEY_REVEAL), HF_E_USAGE); /* it is named, and never sounds */
    assert_ok(press(HF_KEY_NEXT));
    run_to(12800 + HF_GRID);
    assert_times(1, LEAD, LEAD, HF_NEVER, 12800);
    /* A record of it from elsewhere changes nothing either: the contract keeps `hear` null. */
    struct hf_record reveal = {.type = HF_RECORD_REVEAL, .n = 5, .at = 12928};
    assert_ok(hf_timeline_apply(&conductor.timeline, &reveal, NULL));
    assert_times(2, 12800, 12800, HF_NEVER, HF_NEVER);
    finish();
}

/* Ticks are asked for; they begin with each cue, whatever came before. */
static void a_tick_goes_with_the_cue_and_not_with_a_leap(void **state)
{
    (void)state;
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_RATE, "8000", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_LEAD_IN, "1s", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_EVERY, "3s", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_TEMPO, "60", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_METER, "2", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_TICK, "on", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_CUE, "silent", NULL));
    begin_session();
    run_to(LEAD + 12000);
    assert_ok(press(HF_KEY_NEXT)); /* in the second beat: the third does not come */
    run_to(LEAD + 12000 + 20000);
    static const int64_t ticks[] = {LEAD, LEAD + 8000, 20032, 28032, 36032};
    int found = 0;
    for (int i = 0; i < v.rows; i++)
        if (v.trace[i].kind == HF_ACTION_TICK)
            assert_int_equal(v.trace[i].session, ticks[found++]);
    assert_int_equal(found, 5); /* derived: a beat a second; the next at 20000 up to 64 */
    finish();
    assert_ok(hf_request_set(&request, HF_OPT_TICK, "off", NULL));
    assert_true(hf_request_beat(&request, RATE) == 0);
}

static void a_leap_over_the_count_in_drops_its_beats(void **state)
{
    (void)state;
    struct hf_event ticks[HF_COUNT_IN_MOST];
    begin("confirm", "3s");
    assert_int_equal(hf_conductor_count_in(&request, LEAD, ticks), 0); /* not in beats */
    assert_ok(hf_request_set(&request, HF_OPT_TEMPO, "240", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_EVERY, "12beats", NULL));
    assert_int_equal(hf_conductor_count_in(&request, LEAD, ticks), 4);
    assert_int_equal(ticks[0].at, LEAD - 4 * 2000); /* derived: 60 / 240 s are 2000 samples */
    assert_true(ticks[0].accent && !ticks[1].accent);
    for (int i = 0; i < 4; i++)
        ticks[i].at += 64; /* so that none has gone by */
    struct hf_transport t;
    hf_transport_init(&t, RATE);
    for (int i = 0; i < 4; i++)
        assert_true(hf_transport_take(&t, &ticks[i]));
    assert_true(hf_transport_take(
        &t, &(struct hf_event){
                .kind = HF_EVENT_CUE, .cue = 1, .at = LEAD, .hear = HF_NEVER, .end = LEAD + CUE}));
    assert_true(hf_transport_take(&t, &(struct hf_event){.kind = HF_EVENT_NEXT, .at = HF_AT_ONCE}));
    for (int i = 0; i < 200; i++) {
        hf_transport_chunk(&t);
        for (int j = 0; j < t.action_count; j++)
            assert_int_not_equal(t.actions[j].kind, HF_ACTION_TICK);
    }
    finish();
}

static void what_a_stay_reveals_has_come_and_stays_where_it_was(void **state)
{
    (void)state;
    begin("confirm", "3s");
    run_to(12800);
    assert_ok(press(HF_KEY_STAY));
    run_to(19200);
    assert_ok(press(HF_KEY_REVEAL));
    run_to(25600);
    assert_times(1, LEAD, LEAD, 19200, LEAD + CUE);
    assert_true(hf_timeline_shown(&conductor.timeline, cue(1)->hear, 25600));
    assert_int_equal(v.trace[v.rows - 1].kind, HF_ACTION_SOUND); /* it sounds there, */
    assert_int_equal(v.trace[v.rows - 1].session, 19200);
    assert_ok(press(HF_KEY_AGAIN)); /* so it can be heard again, */
    run_to(32000);
    assert_ok(press(HF_KEY_STAY));
    run_to(32000 + HF_GRID);
    assert_last("\"t\":\"go\",\"at\":32000,\"shift\":19200");
    assert_times(1, LEAD, LEAD, 19200, LEAD + CUE + 19200); /* and only the end moves */
    finish();
}

/* The time at which it would have sounded has gone by, but in the stay it did not come. */
static void a_long_stay_still_hides_what_it_kept_back(void **state)
{
    (void)state;
    begin("confirm", "3s");
    run_to(12800);
    assert_ok(press(HF_KEY_STAY));
    run_to(LEAD + 16000 + 4800);
    assert_ok(press(HF_KEY_REVEAL));
    run_to(32000);
    assert_times(1, LEAD, LEAD, LEAD + 16000 + 4800, LEAD + CUE);
    assert_true(hf_timeline_shown(&conductor.timeline, cue(1)->hear, 32000));
    assert_int_equal(press(HF_KEY_REVEAL), HF_E_USAGE);
    finish();
}

static void again_sounds_the_same_notes_and_moves_nothing(void **state)
{
    (void)state;
    begin("lead", "3s");
    run_to(12800);
    assert_ok(press(HF_KEY_AGAIN));
    run_to(12800 + HF_GRID);
    assert_last("\"t\":\"again\",\"at\":12800");
    assert_int_equal(v.trace[v.rows - 1].kind, HF_ACTION_AGAIN);
    assert_memory_equal(v.trace[v.rows - 1].notes, cue(1)->record.notes, 3);
    assert_times(1, LEAD, LEAD, LEAD, LEAD + CUE);
    finish();
}

static void marks_belong_to_the_cue_told_last(void **state)
{
    (void)state;
    begin("confirm", "3s");
    run_to(4000);
    assert_int_equal(press(HF_KEY_GOT), HF_E_USAGE); /* a stray: nothing has been named */
    assert_int_equal(press(HF_KEY_AGAIN), HF_E_USAGE);
    assert_int_equal(press(HF_KEY_REVEAL), HF_E_USAGE);
    run_to(12800);
    assert_ok(press(HF_KEY_GOT));
    assert_last("\"t\":\"mark\",\"at\":12800,\"cue\":2,\"as\":\"got\"");
    run_to(LEAD + CUE + HF_GRID);
    assert_ok(press(HF_KEY_MISSED));
    assert_int_equal(cue(2)->record.n, 3);
    assert_last("\"t\":\"mark\",\"at\":32064,\"cue\":3,\"as\":\"missed\"");
    finish();
}

static void a_number_that_nobody_asked_for_does_nothing(void **state)
{
    (void)state;
    begin("confirm", "3s");
    run_to(12800);
    size_t length = v.length;
    for (int key = HF_KEY_CHOICE_1; key <= HF_KEY_CHOICE_9; key++)
        assert_int_equal(press((enum hf_key)key), HF_E_USAGE);
    run_to(12800 + HF_GRID);
    assert_int_equal(v.length, length);
    finish();
}

static void with_wait_the_first_press_sounds_and_the_second_goes_on(void **state)
{
    (void)state;
    begin("confirm", "wait");
    assert_times(1, LEAD, LEAD, HF_NEVER, HF_NEVER);
    run_to(64000);
    assert_times(1, LEAD, LEAD, HF_NEVER, HF_NEVER);
    assert_times(2, HF_NEVER, HF_NEVER, HF_NEVER, HF_NEVER);
    assert_ok(press(HF_KEY_NEXT));
    run_to(64000 + HF_GRID);
    assert_last("\"t\":\"reveal\",\"at\":64000");
    assert_times(1, LEAD, LEAD, 64000, HF_NEVER);
    run_to(70400);
    assert_ok(press(HF_KEY_NEXT));
    run_to(70400 + HF_GRID);
    assert_non_null(strstr(v.lines, "\"t\":\"next\",\"at\":70400,\"crc\"")); /* without a shift */
    assert_times(1, LEAD, LEAD, 64000, 70400);
    assert_times(2, 70400, 70400, HF_NEVER, HF_NEVER);
    finish();
}

static void with_wait_in_lead_every_press_goes_on(void **state)
{
    (void)state;
    begin("lead", "wait");
    run_to(16000);
    for (int i = 0; i < 6; i++) {
        assert_ok(press(HF_KEY_NEXT));
        run_to(v.transport.now + 10 * HF_GRID);
    }
    assert_last("\"t\":\"end\",\"at\":19200,\"why\":\"finished\",\"fade\":40000");
    finish();
}

static void the_volume_turns_by_whole_steps_within_its_range(void **state)
{
    (void)state;
    begin("confirm", "3s");
    run_to(6400);
    assert_int_equal(press(HF_KEY_LOUDER), HF_E_USAGE); /* it begins at the highest */
    assert_ok(press(HF_KEY_SOFTER));
    run_to(6400 + HF_GRID);
    assert_last("\"t\":\"volume\",\"at\":6400,\"db\":-1");
    assert_true(conductor.timeline.volume_db == -1);
    for (int i = 0; i < 39; i++) {
        assert_ok(press(HF_KEY_SOFTER));
        run_to(v.transport.now + HF_GRID);
    }
    assert_int_equal(press(HF_KEY_SOFTER), HF_E_USAGE); /* derived: the range is -40 to 0 */
    assert_true(conductor.timeline.volume_db == -40);
    assert_ok(press(HF_KEY_PAUSE));
    run_to(v.transport.now + HF_GRID);
    assert_int_equal(press(HF_KEY_LOUDER), HF_E_USAGE); /* nothing would be heard of it */
    finish();
}

static void a_volume_between_two_steps_goes_to_the_nearest(void **state)
{
    (void)state;
    static const struct {
        const char *begin;
        enum hf_key key;
        double db; /* derived: the next whole number on that side */
    } rows[] = {{"-3.5", HF_KEY_LOUDER, -3},  {"-3.5", HF_KEY_SOFTER, -4},
                {"-3", HF_KEY_LOUDER, -2},    {"-3", HF_KEY_SOFTER, -4},
                {"-0.5", HF_KEY_LOUDER, 0},   {"0", HF_KEY_SOFTER, -1},
                {"-39.5", HF_KEY_SOFTER, -40}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        volume = rows[i].begin;
        begin("confirm", "3s");
        volume = "0";
        run_to(6400);
        assert_ok(press(rows[i].key));
        run_to(6400 + HF_GRID);
        assert_true(conductor.timeline.volume_db == rows[i].db);
        finish();
    }
}

/* As a pause, whose fade is 2432 samples at 8000 Hz (derived: 300 ms up to 64). */
static void an_output_that_comes_back_finds_the_same_cue(void **state)
{
    (void)state;
    struct hf_diag diag;
    begin("confirm", "3s");
    run_to(12800);
    hf_conductor_away(&conductor);
    hf_conductor_away(&conductor); /* it is away already */
    virtual_tend(&v);
    run_to(12800 + 2432);
    chunks(10);
    assert_last("\"t\":\"lost\",\"at\":12800");
    assert_true(conductor.timeline.away);
    assert_int_equal(press(HF_KEY_PAUSE), HF_E_USAGE);
    assert_int_equal(press(HF_KEY_NEXT), HF_E_USAGE);
    hf_conductor_back(&conductor);
    virtual_tend(&v);
    chunks(1);
    assert_last("\"t\":\"resume\",\"at\":15232,\"after\":640"); /* derived: ten chunks of 64 */
    assert_false(conductor.timeline.away);
    assert_ok(press(HF_KEY_STAY)); /* and all goes on, in the same cue */
    run_to(15232 + 2 * HF_GRID);
    assert_int_equal(conductor.running, 1);
    hf_conductor_away(&conductor);
    virtual_tend(&v);
    chunks(60);
    assert_ok(hf_conductor_lost(&conductor, v.transport.now, &diag)); /* not a second time */
    virtual_tend(&v);
    assert_last("\"t\":\"end\",\"at\":17792,\"why\":\"lost\",\"fade\":0"); /* 15360 + 2432 */
    finish();
}

static void a_player_who_paused_before_the_output_went_stays_so(void **state)
{
    (void)state;
    begin("confirm", "3s");
    run_to(12800);
    assert_ok(press(HF_KEY_PAUSE));
    run_to(12800 + 2432);
    hf_conductor_away(&conductor);
    hf_conductor_back(&conductor);
    virtual_tend(&v);
    chunks(10);
    assert_last("\"t\":\"pause\",\"at\":12800");
    assert_ok(press(HF_KEY_PAUSE));
    chunks(1);
    assert_last("\"t\":\"resume\",\"at\":15232,\"after\":640");
    finish();
}

static void a_lost_output_ends_the_record(void **state)
{
    (void)state;
    struct hf_diag diag;
    begin("confirm", "3s");
    run_to(12800);
    assert_ok(hf_conductor_lost(&conductor, 12345, &diag));
    virtual_tend(&v);
    assert_last("\"t\":\"end\",\"at\":12345,\"why\":\"lost\",\"fade\":0");
    assert_int_equal(press(HF_KEY_NEXT), HF_E_USAGE);
    finish();
}

static void fades_are_those_of_the_contract(void **state)
{
    (void)state;
    /* published: the journal section of the interface contract: 5 s, 2 s, 0, 40 ms */
    assert_int_equal(hf_conductor_fade(HF_WHY_FINISHED, 48000), 240000);
    assert_int_equal(hf_conductor_fade(HF_WHY_QUIT, 48000), 96000);
    assert_int_equal(hf_conductor_fade(HF_WHY_LOST, 48000), 0);
    assert_int_equal(hf_conductor_fade(HF_WHY_SIGNAL, 48000), 1920);
    assert_int_equal(hf_transport_pause_fade(48000), 14400);
    assert_int_equal(hf_transport_pause_fade(44100), 13248); /* derived: 13230 up to 64 */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cue_is_written_when_the_one_before_it_begins),
        cmocka_unit_test(lead_names_and_sounds_at_once),
        cmocka_unit_test(next_ends_the_cue_where_it_is_pressed),
        cmocka_unit_test(next_in_the_lead_in_brings_the_first_cue),
        cmocka_unit_test(next_in_a_rest_brings_the_cue_after_it),
        cmocka_unit_test(next_after_the_last_cue_finishes),
        cmocka_unit_test(stay_moves_later_times_by_its_length),
        cmocka_unit_test(next_in_a_stay_closes_it_first),
        cmocka_unit_test(a_pause_fades_stops_the_clock_and_counts_silence),
        cmocka_unit_test(leaving_in_a_pause_ends_at_once),
        cmocka_unit_test(reveal_names_and_sounds_now),
        cmocka_unit_test(reveal_in_silent_leaves_the_sound_out),
        cmocka_unit_test(a_tick_goes_with_the_cue_and_not_with_a_leap),
        cmocka_unit_test(a_leap_over_the_count_in_drops_its_beats),
        cmocka_unit_test(what_a_stay_reveals_has_come_and_stays_where_it_was),
        cmocka_unit_test(a_long_stay_still_hides_what_it_kept_back),
        cmocka_unit_test(again_sounds_the_same_notes_and_moves_nothing),
        cmocka_unit_test(marks_belong_to_the_cue_told_last),
        cmocka_unit_test(a_number_that_nobody_asked_for_does_nothing),
        cmocka_unit_test(with_wait_the_first_press_sounds_and_the_second_goes_on),
        cmocka_unit_test(with_wait_in_lead_every_press_goes_on),
        cmocka_unit_test(the_volume_turns_by_whole_steps_within_its_range),
        cmocka_unit_test(a_volume_between_two_steps_goes_to_the_nearest),
        cmocka_unit_test(an_output_that_comes_back_finds_the_same_cue),
        cmocka_unit_test(a_player_who_paused_before_the_output_went_stays_so),
        cmocka_unit_test(a_lost_output_ends_the_record),
        cmocka_unit_test(fades_are_those_of_the_contract),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
