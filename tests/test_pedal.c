/* SPDX-License-Identifier: MIT */
/* One pedal: every pattern of presses against a second way to read it (with all of them known,
 * where the program must decide as time goes by), models of pedals and feet, and what gestures mean
 * in a session on a virtual clock. */
#include "player.h"

#include <holdfast/pedal.h>

/* ---- gestures -------------------------------------------------------------------------------- */

enum { PRESSES_MOST = 200 };

struct made {
    enum hf_gesture gesture;
    int64_t ms;
};

struct heard {
    struct made made[PRESSES_MOST];
    int count;
};

static void listen(struct hf_pedal *pedal, int64_t ms, struct heard *out)
{
    struct hf_press press;
    enum hf_gesture gesture;
    while ((gesture = hf_pedal_gesture(pedal, ms, &press)) != HF_GESTURE_NONE) {
        assert_true(out->count < PRESSES_MOST);
        assert_int_equal(press.at, press.ms * 8);
        out->made[out->count++] = (struct made){gesture, press.ms};
    }
}

/* Presses at these times, listened to every `step` ms, as a loop does that is that slow. */
static struct heard hear(const int64_t *ms, int count, int64_t step)
{
    struct hf_pedal pedal;
    struct heard out = {.count = 0};
    int next = 0;
    hf_pedal_init(&pedal);
    for (int64_t now = 0; now <= ms[count - 1] + 2000; now += step) {
        for (; next < count && ms[next] <= now; next++)
            hf_pedal_press(&pedal, (struct hf_press){ms[next], ms[next] * 8}, false);
        listen(&pedal, now, &out);
    }
    return out;
}

/* derived: the rules of the header, read over all presses at once */
static struct heard read_all(const int64_t *ms, int count)
{
    struct heard out = {.count = 0};
    for (int i = 0; i < count;) {
        int64_t gap = i + 1 < count ? ms[i + 1] - ms[i] : 100000;
        int64_t then = i + 2 < count ? ms[i + 2] - ms[i + 1] : 100000;
        int held_from = gap < 120 ? i + 1 : gap <= 700 && then <= 120 ? i + 2 : 0;
        enum hf_gesture gesture = held_from    ? HF_GESTURE_HELD
                                  : gap <= 400 ? HF_GESTURE_TWICE
                                               : HF_GESTURE_ONCE;
        out.made[out.count++] = (struct made){gesture, ms[i]};
        if (held_from) {
            for (i = held_from + 1; i < count && ms[i] - ms[i - 1] <= 240; i++)
                ;
        } else {
            i += gesture == HF_GESTURE_TWICE ? 2 : 1;
        }
    }
    return out;
}

static void every_pattern_of_five_presses_is_read_by_the_rules(void **state)
{
    (void)state;
    static const int64_t gaps[] = {0,   33,  92,  119, 120, 121, 240, 241,
                                   399, 400, 401, 500, 699, 700, 701, 900};
    int64_t ms[5] = {50};
    for (int pattern = 0; pattern < 16 * 16 * 16 * 16; pattern++) {
        for (int i = 1, rest = pattern; i < 5; i++, rest /= 16)
            ms[i] = ms[i - 1] + gaps[rest % 16];
        struct heard expected = read_all(ms, 5);
        struct heard heard = hear(ms, 5, 10);
        if (heard.count != expected.count ||
            memcmp(heard.made, expected.made, (size_t)heard.count * sizeof heard.made[0]) != 0)
            fail_msg("pattern %d: %d gestures, expected %d; the first %d, expected %d", pattern,
                     heard.count, expected.count, (int)heard.made[0].gesture,
                     (int)expected.made[0].gesture);
    }
}

static void how_often_the_loop_looks_changes_nothing(void **state)
{
    (void)state;
    static const int64_t steps[] = {1, 7, 16, 100};
    struct hf_random random;
    hf_random_init(&random, 3, 3);
    for (int round = 0; round < 500; round++) {
        int64_t ms[12] = {20};
        for (int i = 1; i < 12; i++)
            ms[i] = ms[i - 1] + hf_random_below(&random, 900);
        struct heard expected = read_all(ms, 12);
        for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
            struct heard heard = hear(ms, 12, steps[i]);
            assert_int_equal(heard.count, expected.count);
            assert_memory_equal(heard.made, expected.made,
                                (size_t)heard.count * sizeof heard.made[0]);
        }
    }
}

/* derived: a key that is held repeats after 200 to 660 ms, 11 to 50 times a second: the slowest is
 * a text console as it comes (250 ms, 10.9 a second), the longest wait that of a bare X server */
static void a_held_key_is_one_gesture_however_it_repeats(void **state)
{
    (void)state;
    for (int64_t wait = 200; wait <= 660; wait += 20)
        for (int rate = 11; rate <= 50; rate++)
            for (int64_t held = 800; held <= 2400; held += 400) {
                int64_t ms[PRESSES_MOST] = {100};
                int count = 1;
                for (int64_t at = wait; at < held; at = wait + (count - 1) * 1000 / rate)
                    ms[count++] = 100 + at;
                struct heard heard = hear(ms, count, 10);
                if (heard.count != 1 || heard.made[0].gesture != HF_GESTURE_HELD)
                    fail_msg("after %d ms, %d a second, for %d ms: %d gestures, the first %d",
                             (int)wait, rate, (int)held, heard.count, (int)heard.made[0].gesture);
            }
}

static void feet_are_understood(void **state)
{
    (void)state;
    for (int64_t gap = 130; gap <= 400; gap++) {
        const int64_t ms[] = {10, 10 + gap, 2000, 2000 + gap};
        struct heard heard = hear(ms, 4, 10);
        assert_int_equal(heard.count, 2);
        assert_int_equal(heard.made[0].gesture, HF_GESTURE_TWICE);
        assert_int_equal(heard.made[1].gesture, HF_GESTURE_TWICE);
        assert_int_equal(heard.made[1].ms, 2000);
    }
    for (int64_t gap = 401; gap <= 2000; gap++) {
        const int64_t ms[] = {10, 10 + gap, 10 + 2 * gap};
        struct heard heard = hear(ms, 3, 10);
        assert_int_equal(heard.count, 3);
        for (int i = 0; i < 3; i++)
            assert_int_equal(heard.made[i].gesture, HF_GESTURE_ONCE);
    }
}

/* When a pedal tells of its release, nothing has to be guessed from repeats. */
static void a_pedal_that_tells_of_its_release_is_understood_sooner(void **state)
{
    (void)state;
    for (int64_t down = 10; down <= 1500; down += 10) {
        struct hf_pedal pedal;
        struct heard heard = {.count = 0};
        int64_t at = 0;
        hf_pedal_init(&pedal);
        hf_pedal_press(&pedal, (struct hf_press){0, 0}, true);
        for (int64_t now = 0; now <= 2000 && heard.count == 0; now++) {
            if (now == down)
                hf_pedal_release(&pedal, now);
            listen(&pedal, now, &heard);
            at = now;
        }
        /* derived: held from 700 ms on, else once, known 400 ms after it began, or at its release
         * where that is later */
        bool held = down > HF_PEDAL_HOLD_MS;
        assert_int_equal(heard.made[0].gesture, held ? HF_GESTURE_HELD : HF_GESTURE_ONCE);
        assert_int_equal(at, held ? 701 : down > 401 ? down : 401);
    }
    for (int64_t gap = 30; gap <= 900; gap += 10) {
        struct hf_pedal pedal;
        struct heard heard = {.count = 0};
        hf_pedal_init(&pedal);
        hf_pedal_press(&pedal, (struct hf_press){0, 0}, true);
        hf_pedal_release(&pedal, 20);
        hf_pedal_press(&pedal, (struct hf_press){gap, gap * 8}, true);
        hf_pedal_release(&pedal, gap + 20);
        listen(&pedal, 3000, &heard);
        assert_int_equal(heard.count, gap <= 400 ? 1 : 2);
        assert_int_equal(heard.made[0].gesture, gap <= 400 ? HF_GESTURE_TWICE : HF_GESTURE_ONCE);
    }
}

/* ---- what they mean -------------------------------------------------------------------------- */

enum { RATE = 8000, LEAD = 8000, CUE = 24000 };

static struct hf_pedal pedal;

static void begin(const char *way, const char *every)
{
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_HELD, "C E G#", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_RATE, "8000", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_LEAD_IN, "1s", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_EVERY, every, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_CUE, way, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_ROUNDS, "1", NULL));
    begin_session();
    hf_pedal_init(&pedal);
}

/* One chunk of 8 ms, with what the pedal says by then, as the live loop does it. */
static void live_chunk(int64_t ms)
{
    struct hf_report late[HF_TRANSPORT_REPORTS];
    struct hf_press press;
    struct hf_diag diag;
    enum hf_gesture gesture;
    int count = 0;
    int64_t now = v.transport.now;
    while ((gesture = hf_pedal_gesture(&pedal, ms, &press)) != HF_GESTURE_NONE) {
        struct hf_pedal_wish wish =
            hf_pedal_wish(&conductor.timeline, true, gesture, press.at, now);
        if (wish.marks)
            assert_ok(hf_conductor_mark(&conductor, wish.cue, wish.as, press.at, NULL));
        if (wish.presses) {
            enum hf_status status = hf_conductor_key(&conductor, wish.key, now, &diag);
            assert_true(status == HF_OK || status == HF_E_USAGE);
        }
        virtual_tend(&v);
    }
    for (long n; (n = hf_pedal_missed(&pedal, &conductor.timeline, now)) != 0; virtual_tend(&v))
        assert_ok(hf_conductor_mark(&conductor, n, HF_MARK_MISSED, now, NULL));
    virtual_chunk(&v, late, &count);
    virtual_reports(&v, late, &count);
}

/* Plays to the end (or for `most_ms`), with presses at these times of the output's clock. */
static void play(const int64_t *presses_ms, int count, int64_t most_ms)
{
    int next = 0;
    for (int64_t ms = 0; !hf_transport_done(&v.transport) && ms < most_ms; ms += 8) {
        for (; next < count && presses_ms[next] <= ms; next++)
            hf_pedal_press(&pedal, (struct hf_press){presses_ms[next], v.transport.now}, false);
        live_chunk(ms);
    }
}

/* "g" got, "m" missed, "-" none, a letter a cue. */
static void assert_marks(const char *expected)
{
    for (size_t i = 0; expected[i]; i++) {
        const struct hf_timeline_cue *cue = &conductor.timeline.cues[i];
        char mark = !cue->marked ? '-' : cue->mark == HF_MARK_GOT ? 'g' : 'm';
        if (mark != expected[i])
            fail_msg("cue %zu is marked %c, expected %s", i + 1, mark, expected);
    }
}

/* The first letters of the journal's types, which differ enough here. */
static void assert_types(const char *expected)
{
    char types[64] = "";
    size_t count = 0;
    for (const char *at = v.lines; (at = strstr(at, "\"t\":\"")) && count < 63; at += 5)
        types[count++] = at[5];
    assert_string_equal(types, expected);
}

/* Cues of 3 s from 1 s on; in ear the name comes after 2 of them. */
static void a_session_by_one_pedal_is_marked_right(void **state)
{
    (void)state;
    begin("ear", "3s");
    static const int64_t presses[] = {
        3200,       /* cue 1, named at 3.0 s: got, and on at 3.9, when no more came */
        4400, 4600, /* cue 2, from 3.9 to 6.9: again */
        6000,       /* named at 5.9: got, and on at 6.7 */
        7200,       /* cue 3, from 6.7 to 9.7: reveal at 7.9 */
        8400,       /* got, and on at 9.1 */
        /* cue 4 passes, from 9.1 to 12.1 */
        15000, /* cue 5, named at 14.1: got, and over at 15.1, before it is sure */
    };
    play(presses, 7, 60000);
    assert_true(hf_transport_done(&v.transport));
    assert_marks("gggmgm"); /* derived: the comments; the last one passes too */
    assert_types("hcc" /* what is held, two cues */ "mnc" /* got and on */ "a" /* again */
                 "mnc"
                 "r" /* reveal */ "mnc"
                 "mc" /* missed, and a cue by itself */ "m"
                 "me");
    finish();
}

static void what_is_not_pressed_is_missed_once(void **state)
{
    (void)state;
    static const char *const ways[] = {"lead", "confirm", "silent", "ear", "gap"};
    for (size_t i = 0; i < 5; i++) {
        begin(ways[i], "3s");
        play(NULL, 0, 60000);
        assert_marks("mmmmmm");
        int marks = 0;
        for (const char *at = v.lines; (at = strstr(at, "\"t\":\"mark\"")); at++)
            marks++;
        assert_int_equal(marks, 6);
        finish();
    }
}

static void a_press_counts_where_it_was_pressed(void **state)
{
    (void)state;
    /* derived: cue 1 of lead runs from 1.0 to 4.0 s; pressed just before its end it is got, and the
     * cue after it has not been skipped when that is sure, 0.7 s later */
    begin("lead", "3s");
    static const int64_t presses[] = {3960};
    play(presses, 1, 5000);
    assert_marks("g-");
    assert_null(strstr(v.lines, "\"t\":\"next\""));
    assert_non_null(strstr(v.lines, "\"as\":\"got\""));
    finish();
}

static void held_stays_and_goes_on(void **state)
{
    (void)state;
    int64_t presses[64];
    int count = 0;
    begin("confirm", "3s");
    for (int64_t ms = 0; ms < 1000; ms += ms ? 40 : 500) /* held for a second, */
        presses[count++] = 1500 + ms;
    for (int64_t ms = 0; ms < 1000; ms += ms ? 40 : 250) /* and again */
        presses[count++] = 8000 + ms;
    play(presses, count, 9500);
    assert_non_null(strstr(v.lines, "\"t\":\"stay\""));
    assert_non_null(strstr(v.lines, "\"t\":\"go\""));
    assert_null(strstr(v.lines, "\"t\":\"mark\""));
    assert_true(conductor.timeline.stay_at == HF_NEVER);
    finish();
}

/* Where the player ends each cue: the first press sounds it, the second has got it; held, missed.
 */
static void with_wait_a_held_pedal_is_missed_and_on(void **state)
{
    (void)state;
    int64_t presses[64] = {2000, 4000, 6000};
    int count = 3;
    begin("confirm", "wait");
    for (int64_t ms = 0; ms < 1000; ms += ms ? 40 : 500)
        presses[count++] = 8000 + ms;
    play(presses, count, 10000);
    assert_marks("gm-");
    finish();
}

static void leaving_in_an_answer_marks_nothing(void **state)
{
    (void)state;
    begin("lead", "3s");
    play(NULL, 0, 5000);
    assert_ok(hf_conductor_key(&conductor, HF_KEY_QUIT, v.transport.now, NULL));
    virtual_tend(&v);
    play(NULL, 0, 60000);
    assert_marks("m-"); /* derived: the first passed by itself, the second was left */
    finish();
}

static void without_marks_a_press_goes_on(void **state)
{
    (void)state;
    begin("lead", "3s");
    play(NULL, 0, 2000);
    struct hf_timeline *t = &conductor.timeline;
    int64_t now = v.transport.now;
    assert_int_equal(hf_pedal_wish(t, false, HF_GESTURE_ONCE, now, now).key, HF_KEY_NEXT);
    assert_false(hf_pedal_wish(t, false, HF_GESTURE_ONCE, now, now).marks);
    assert_int_equal(hf_pedal_wish(t, false, HF_GESTURE_TWICE, now, now).key, HF_KEY_AGAIN);
    assert_int_equal(hf_pedal_wish(t, false, HF_GESTURE_HELD, now, now).key, HF_KEY_STAY);
    assert_true(hf_pedal_wish(t, true, HF_GESTURE_ONCE, now, now).marks); /* it has sounded */
    assert_int_equal(hf_pedal_wish(t, true, HF_GESTURE_HELD, now, now).key, HF_KEY_STAY);
    assert_false(hf_pedal_wish(t, true, HF_GESTURE_HELD, now, now).marks);
    assert_false(hf_pedal_wish(t, true, HF_GESTURE_NONE, now, now).presses);
    assert_ok(hf_conductor_key(&conductor, HF_KEY_PAUSE, now, NULL));
    virtual_tend(&v);
    play(NULL, 0, 800);
    for (int gesture = HF_GESTURE_ONCE; gesture <= HF_GESTURE_HELD; gesture++)
        assert_int_equal(hf_pedal_wish(t, true, (enum hf_gesture)gesture, now, now).key,
                         HF_KEY_PAUSE);
    finish();
}

static void only_what_can_be_got_or_missed_is_marked(void **state)
{
    (void)state;
    assert_true(hf_pedal_marks(HF_PRACTICE_IMPROVISE) && hf_pedal_marks(HF_PRACTICE_EAR));
    assert_true(hf_pedal_marks(HF_PRACTICE_SIGHT) && hf_pedal_marks(HF_PRACTICE_WARMUP));
    assert_false(hf_pedal_marks(HF_PRACTICE_ROAM) || hf_pedal_marks(HF_PRACTICE_HUNT));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_pattern_of_five_presses_is_read_by_the_rules),
        cmocka_unit_test(how_often_the_loop_looks_changes_nothing),
        cmocka_unit_test(a_held_key_is_one_gesture_however_it_repeats),
        cmocka_unit_test(feet_are_understood),
        cmocka_unit_test(a_pedal_that_tells_of_its_release_is_understood_sooner),
        cmocka_unit_test(a_session_by_one_pedal_is_marked_right),
        cmocka_unit_test(what_is_not_pressed_is_missed_once),
        cmocka_unit_test(a_press_counts_where_it_was_pressed),
        cmocka_unit_test(held_stays_and_goes_on),
        cmocka_unit_test(with_wait_a_held_pedal_is_missed_and_on),
        cmocka_unit_test(leaving_in_an_answer_marks_nothing),
        cmocka_unit_test(without_marks_a_press_goes_on),
        cmocka_unit_test(only_what_can_be_got_or_missed_is_marked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
