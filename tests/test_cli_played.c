/* SPDX-License-Identifier: MIT */
/*
 * What a player reads while a session sounds, from beginning to end, with keys at known times.
 * Lines are derived by hand from the options; `*` stands for what the seed decides.
 */
#define _XOPEN_SOURCE 700

#include "haste.h"

#include <holdfast/speech.h>

static void each_way_tells_what_it_tells_and_when(void **state)
{
    (void)state;
    assert_int_equal(play("", TRIAD, SHORT, "--plain", "--cue", "confirm"), 0);
    LINES("  0:01  1 of 6  find   [A-G]* [A-G]* [A-G]*",
          "  0:03  1 of 6  hear   *[0-9] *[0-9] *[0-9]", "  0:04  2 of 6  find   *",
          "  0:06  2 of 6  hear   *", "  0:18  6 of 6  hear   *", "        end: the sound fades",
          "Played: 0:19, 6 cues");
    assert_no_line("Go on: *");
    assert_int_equal(play("", TRIAD, SHORT, "--plain", "--cue", "lead"), 0);
    LINES("  0:01  1 of 6  play   *[0-9] *[0-9] *[0-9]", "  0:04  2 of 6  play   *");
    assert_no_line("*hear*");
    assert_int_equal(play("", TRIAD, SHORT, "--plain", "--cue", "silent"), 0);
    LINES("  0:01  1 of 6  play   [A-G]* [A-G]* [A-G]*", "  0:04  2 of 6  play   *");
    assert_no_line("*hear*");
    assert_int_equal(play("", TRIAD, SHORT, "--plain", "--cue", "ear"), 0);
    LINES("  0:01  1 of 6  listen ", "  0:03  1 of 6  it is  *[0-9] *[0-9] *[0-9]",
          "  0:04  2 of 6  listen ");
    assert_int_equal(play("", TRIAD, SHORT, "--plain", "--cue", "gap"), 0);
    LINES("  0:01  1 of 6  find   the third note:  * + [?]", "  0:03  1 of 6  hear   *");
    assert_int_equal(play("", SHORT, "--plain", "--cue", "reverse"), 0);
    LINES("        1 of 6  now hold *", "  0:01  1 of 6  find   the triad that completes it",
          "  0:03  1 of 6  hear   *", "        2 of 6  now hold *");
    assert_int_equal(play("", TRIAD, SHORT, "--plain", "--added", "014"), 0);
    LINES("Added: 014 (3-3), 12 completions making 2 classes, each cue says which",
          "  0:01  1 of 12  find   *  makes 6-*", "  0:03  1 of 12  hear   *  makes 6-*");
}

static void every_key_is_answered_in_words(void **state)
{
    (void)state;
    assert_int_equal(
        play("0.5 ?\n0.8 g\n1.5 \\e[A\n1.6 \\e[B\\e[B\n1.7 \\e[D\n2 r\n2.2 \\e[D\n3 \\s\n"
             "3.3 p\n4 p\n4.5 \\s\n5 m\n5.5 \\r\n6 z\n7 q\n",
             TRIAD, SHORT, "--plain"),
        0);
    LINES("Space stay / go on*", "g got*", "Space stay / go on*",
          "        no cue has been named yet: nothing to mark", "  0:01  1 of 6  find   *",
          "        the volume is at its highest, 0 dB", "        volume -2 dB",
          "        it has not sounded yet: r reveals it", "  0:02  1 of 6  hear   *",
          "  0:02  1 of 6  again  *", "        stay: the cues wait, the sound goes on",
          "        pause", "        resumed", "        the cues go on", "        1 of 6  missed",
          "  0:0*  2 of 6  find   *", "  0:0*  3 of 6  find   *", "        end: the sound fades",
          "Marks:  got 0, missed 1", "        missed * (cue 1)", "Played: 0:06, 3 cues",
          "Go on:  * play --resume *");
    assert_string_equal(types(),
                        "session hold cue cue volume volume reveal again stay pause resume "
                        "go mark cue next cue end");
    assert_replays();
}

/* Marks of the same three notes are one line. */
static void what_was_missed_is_listed_once_with_how_often(void **state)
{
    (void)state;
    assert_int_equal(
        play("2 m\n5 m\n8 g\n", TRIAD, SHORT, "--plain", "--order", "listed", "--rounds", "2"), 0);
    LINES("Marks:  got 1, missed 2", "        missed C# D G (cue 1)",
          "        missed C# F# G (cue 2)");
    assert_int_equal(
        play("2 m\n5 m\n20 m\n", TRIAD, SHORT, "--plain", "--order", "listed", "--rounds", "2"), 0);
    LINES("Marks:  got 0, missed 3", "        missed C# D G 2 times",
          "        missed C# F# G (cue 2)");
}

static void what_the_drone_does_is_told(void **state)
{
    (void)state;
    assert_int_equal(play("", TRIAD, SHORT, "--plain", "--support", "fading"), 0);
    LINES("Drone: gets softer, from cue 4 on only at the start, from 6 on none",
          "        the drone is softer, -4 dB", "  0:04  2 of 6  find   *",
          "        the drone is softer, -8 dB", "  0:07  3 of 6  find   *",
          "        the drone sounds at the start only: carry it on", "  0:10  4 of 6  find   *",
          "  0:13  5 of 6  find   *",
          "        no drone from here on: carry the held notes yourself",
          "  0:16  6 of 6  find   *");
}

static void a_new_grip_is_told_a_cue_before_it_is_needed(void **state)
{
    (void)state;
    assert_int_equal(play("", "--hand", "guitar", "--order", "grip", SHORT, "--plain"), 0);
    LINES("        2 of 6  will hold *   *-*-*-*-*-*", "  0:01  1 of 6  find   *   *-*-*-*-*-*",
          "  0:03  1 of 6  hear   *   *-*-*-*-*-*", "        2 of 6  now hold *",
          "        3 of 6  will hold *", "  0:04  2 of 6  find   *");
}

static void what_a_cue_unfolds_into_is_asked_then_told(void **state)
{
    (void)state;
    assert_int_equal(play("", TRIAD, SHORT, "--plain", "--unfold", "3-5,3-11", "--step", "1s"), 0);
    LINES("  0:01  1 of 6  find   *", "  0:03  1 of 6  hear   *",
          "  0:04  1 of 6, 1/2  find   016 (3-5)", "  0:04  1 of 6, 1/2  hear   *   016, * of 5",
          "  0:05  1 of 6, 2/2  find   037 (3-11, major or minor triad)",
          "  0:05  1 of 6, 2/2  hear   *   037, * of *", "  0:06  2 of 6  find   *");
}

static void a_warm_up_says_what_is_asked_and_when_to_rest(void **state)
{
    (void)state;
    /* derived: four steps of 15 s a minute, then a rest of 20 s with the hands off */
    assert_int_equal(play("130 q\n", "warmup", TRIAD, "--seed", "3", "--rate", "8000", "--plain"),
                     0);
    LINES("  0:20  1 of 24  find   *   note", "  0:30  1 of 24  hear   *   note",
          "  0:35  2 of 24  find   *   note", "        rest: hands off", "Played: 2:*");
}

/* ---- the terminal ---------------------------------------------------------------------------- */

static void without_keys_a_session_goes_on_unless_only_a_key_could(void **state)
{
    (void)state;
    assert_int_equal(play("2 \\d\n", TRIAD, SHORT, "--plain"), 0);
    LINES("  0:18  6 of 6  hear   *", "Played: 0:19, 6 cues");
    static const char *const waiting[] = {"2 \\s\n3 \\d\n", "2 p\n3 \\d\n"};
    for (int i = 0; i < 2; i++) {
        assert_int_equal(play(waiting[i], TRIAD, SHORT, "--plain"), 0);
        LINES("Played: 0:0[23], 1 cue", "Go on:  *");
        assert_replays();
    }
    assert_int_equal(play("2 \\d\n", TRIAD, "--every", "wait", "--rate", "8000", "--plain"), 0);
    LINES("Go on:  *");
    assert_int_equal(play("2 \\d\n", "roam", TRIAD, "--rate", "8000", "--plain"), 0);
    LINES("Go on:  *");
    assert_int_equal(play("1 \\d\n", TRIAD, SHORT, "--plain", "--start", "check"), 0);
    LINES("Set your level now,*", "Played: 0:19, 6 cues"); /* it begins, and knows what to do */
    press("2 p\n3 \\d\n");
    run("replay", scratch("j.jsonl"), "--plain", NULL); /* nothing else could end its pause */
    assert_ran();
    LINES("  0:01  1 of 6  find   *");
    assert_no_line("  0:04  2 of 6*");
}

/* A terminal that no screen is known for: the last line says what to do now, and goes in the end.
 */
static void on_a_terminal_the_last_line_says_what_to_do(void **state)
{
    (void)state;
    setenv("HASTY_TERMINAL", "1", 1);
    setenv("TERM", "no-such-terminal", 1);
    assert_int_equal(
        play("2 \\s\n3 p\n3.5 p\n4 \\s\n5 \\x\n7 \\o\n9 q\n", TRIAD, SHORT, "--start", "now"), 0);
    LINES("        no screen (this kind of terminal is not known): plain lines",
          "\r\033[[]K        \033[[]1mlisten to the held notes    next cue in "
          "0:01\033[[]0m\r\033[[]K  0:01  "
          "1 of 6  find   *",
          "\r\033[[]K        \033[[]1mfind  *    sound in 0:02\033[[]0m\r\033[[]K        stay: *",
          "*\033[[]1mstaying on  find  *    Space: go on\033[[]0m*        pause",
          "*\033[[]1mpaused: p resumes\033[[]0m*        resumed", "*        the cues go on",
          "*        the sound output went away: *",
          "*\033[[]1mwaiting for the sound output\033[[]0m*", "*        end: the sound fades",
          "*\033[[]1mthe sound fades\033[[]0m\r\033[[]KPlayed: *");
    setenv("TERM", "dumb", 1);
    assert_int_equal(play("2 q\n", TRIAD, SHORT, "--start", "now"), 0);
    LINES("        no screen (this terminal cannot move its cursor): plain lines");
    assert_null(strchr(ran.out, '\r'));
    assert_int_equal(play("2 q\n", TRIAD, SHORT, "--start", "now", "--plain"), 0);
    assert_no_line("*no screen*"); /* as asked for */
    assert_null(strchr(ran.out, '\r'));
    unsetenv("HASTY_TERMINAL");
}

/* One key does it all: once for the answer, again if it was got, twice quickly to hear it again. */
static void one_pedal_reveals_marks_and_goes_on(void **state)
{
    (void)state;
    assert_int_equal(
        play("1.5 \\s\n2.5 \\s\n4.5 \\s\n8 \\s\n8.2 \\s\n", TRIAD, SHORT, "--plain", "--one-pedal"),
        0);
    LINES("  0:01  1 of 6  find   *", "  0:0*  1 of 6  hear   *", "        1 of 6  got",
          "  0:0*  2 of 6  hear   *", "        2 of 6  missed", "Marks:  got 1, missed *");
    assert_non_null(strstr(types(), "reveal"));
    assert_replays();
    assert_int_equal(play("2 \\s\n5 \\s\n", "roam", TRIAD, "--rate", "8000", "--plain",
                          "--one-pedal", "--for", "9s"),
                     0);
    LINES("*  1  play   *", "*  2  play   *"); /* around the ring: 1 2 5 6 4 3 */
    assert_replays();
}

/* Eyes closed, the keys are asked for and told by ear. */
static void help_is_spoken_where_there_is_speech(void **state)
{
    (void)state;
    static const char *const rows[][3] = {
        {"improvise", "--one-pedal", "press for the answer. press again if you got it."},
        {"roam", "--one-pedal", "press for the next. twice quickly, again"}};
    if (!hf_speech_is_built())
        skip();
    for (int i = 0; i < 2; i++) {
        size_t size = 0;
        assert_int_equal(play("0.5 ?\n12 q\n", rows[i][0], TRIAD, "--seed", "3", "--rate", "8000",
                              "--plain", "--speak-only", rows[i][1]),
                         0);
        char *journal = (char *)scratch_read("j.jsonl", &size);
        if (!strstr(journal, rows[i][2]))
            fail_msg("no \"%s\" in %s", rows[i][2], journal);
        free(journal);
        assert_replays();
    }
}

static void keys_of_ones_own_come_from_a_file(void **state)
{
    (void)state;
    static const char keys[] = "next = n\n";
    scratch_write("own.ini", keys, sizeof keys - 1);
    assert_int_equal(play("2 n\n4 q\n", TRIAD, SHORT, "--plain", "--keys", scratch("own.ini")), 0);
    assert_string_equal(types(), "session hold cue cue next cue end");
    assert_int_equal(play("", TRIAD, SHORT, "--plain", "--keys", scratch("none.ini")), 66);
    assert_refused(66, "none.ini");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_way_tells_what_it_tells_and_when),
        cmocka_unit_test(every_key_is_answered_in_words),
        cmocka_unit_test(what_was_missed_is_listed_once_with_how_often),
        cmocka_unit_test(what_the_drone_does_is_told),
        cmocka_unit_test(a_new_grip_is_told_a_cue_before_it_is_needed),
        cmocka_unit_test(what_a_cue_unfolds_into_is_asked_then_told),
        cmocka_unit_test(a_warm_up_says_what_is_asked_and_when_to_rest),
        cmocka_unit_test(without_keys_a_session_goes_on_unless_only_a_key_could),
        cmocka_unit_test(on_a_terminal_the_last_line_says_what_to_do),
        cmocka_unit_test(one_pedal_reveals_marks_and_goes_on),
        cmocka_unit_test(help_is_spoken_where_there_is_speech),
        cmocka_unit_test(keys_of_ones_own_come_from_a_file),
    };
    return cmocka_run_group_tests(tests, haste_begin, scratch_remove);
}
