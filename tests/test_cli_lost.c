/* SPDX-License-Identifier: MIT */
/*
 * What comes between a player and a session, on a virtual clock: an output that goes away in any
 * state of it and comes back or not, signals, the level check before it, a replay that is left.
 * Expectations are derived from the promises: the cue waits for 20 s at most, the journal is whole
 * and replays, the status says how it ended, nothing is recorded that was not played.
 */
#define _XOPEN_SOURCE 700

#include "haste.h"

enum { USAGE = 64, DEVICE = 69, LOST = 75, TERMINATED = 128 + SIGTERM };

#define HERE TRIAD, SHORT, "--plain"

static void assert_lost(void)
{
    assert_refused(LOST, "the sound output went away");
}

/* ---- lost outputs ---------------------------------------------------------------------------- */

static void an_output_that_comes_back_finds_the_cue_as_it_was(void **state)
{
    (void)state;
    assert_int_equal(play("2 \\x\n6 \\o\n", HERE), 0);
    LINES("  0:01  1 of 6  find   *",
          "        the sound output went away: the cue waits, for 20 s at most", "        resumed",
          "  0:03  1 of 6  hear   *", "  0:04  2 of 6  find   *", "Played: 0:19, 6 cues");
    assert_string_equal(types(), "session hold cue cue lost resume cue cue cue cue end");
    assert_replays();
    /* one that flaps: half a second between the tries, each away time a pause of its own */
    assert_int_equal(play("2 \\x\n4 \\o\n8 \\x\n9 \\o\n", HERE), 0);
    assert_string_equal(types(),
                        "session hold cue cue lost resume cue lost resume cue cue cue end");
    assert_replays();
}

static void one_that_stays_away_ends_the_session_with_a_whole_journal(void **state)
{
    (void)state;
    assert_int_equal(play("2 \\x\n23 \\o\n", HERE), LOST);
    assert_lost();
    LINES("Played: 0:02, 1 cue", "Go on:  * play --resume *");
    assert_string_equal(types(), "session hold cue cue lost end");
    assert_replays();
}

static void keys_are_answered_while_it_is_away(void **state)
{
    (void)state;
    assert_int_equal(play("2 \\x\n2.5 r\n3 g\n3.5 p\n3.7 ?\n4 \\o\n9 q\n", HERE), 0);
    LINES("        paused: p goes on", "        1 of 6  got",
          "        there is no sound output now: waiting for it", "Space stay / go on*",
          "        resumed", "  0:03  1 of 6  hear   *", "        end: the sound fades");
    assert_string_equal(types(), "session hold cue cue lost mark resume cue cue end");
    assert_replays();
    assert_int_equal(play("2 \\x\n4 q\n", HERE), 0);
    LINES("Played: 0:02, 1 cue", "Go on:  * play --resume *");
    assert_string_equal(types(), "session hold cue cue lost end");
    assert_replays();
}

static void it_may_go_away_in_a_pause_a_stay_or_the_last_fade(void **state)
{
    (void)state;
    assert_int_equal(play("2 p\n3 \\x\n5 \\o\n7 p\n9 q\n", HERE), 0);
    LINES("        pause", "        the sound output went away: waiting for it, 20 s at most",
          "        resumed", "  0:03  1 of 6  hear   *");
    assert_string_equal(types(), "session hold cue cue pause resume cue end");
    assert_replays();
    assert_int_equal(play("2 \\s\n3 \\x\n5 \\o\n7 \\s\n9 q\n", HERE), 0);
    LINES("        stay: *", "        the sound output went away: *", "        resumed",
          "        the cues go on");
    assert_string_equal(types(), "session hold cue cue stay lost resume go cue end");
    assert_replays();
    assert_int_equal(play("2 q\n2.5 \\x\n9 \\o\n", HERE), LOST);
    assert_lost();
    assert_string_equal(types(), "session hold cue cue end");
    assert_replays();
}

static void a_signal_ends_a_session_that_waits_too(void **state)
{
    (void)state;
    assert_int_equal(play("2 \\x\n4 \\t\n", HERE), TERMINATED);
    LINES("Played: 0:02, 1 cue");
    assert_string_equal(types(), "session hold cue cue lost end");
    assert_replays();
    assert_int_equal(play("2 \\t\n", HERE), TERMINATED);
    LINES("        end: the sound fades", "Played: 0:02, 1 cue");
    assert_string_equal(types(), "session hold cue cue end");
    assert_replays();
    assert_int_equal(play("2 \\t\n2.01 \\x\n", HERE), TERMINATED); /* the signal came first */
    assert_replays();
    assert_int_equal(play("2 p\n3 \\t\n", HERE), TERMINATED);
    assert_string_equal(types(), "session hold cue cue pause end");
    assert_replays();
}

/* ---- before a session ------------------------------------------------------------------------ */

static void the_level_is_set_and_strings_are_tuned_before_it(void **state)
{
    (void)state;
    assert_int_equal(play("0.2 \\e[A\\e[B\n0.3 \\e[B\n0.4 t\n1 tttttt\n20 ?\n21 x\n24 q\n", HERE,
                          "--start", "check", "--volume", "-9.5"),
                     0);
    /* derived: onto whole numbers; a guitar's strings, each in its turn, then the first again */
    LINES("Set your level now,*", "t sounds the open strings,*", "Any other key begins   q leaves",
          "        volume -9 dB", "        volume -10 dB", "        volume -11 dB", "        E2",
          "        A2", "        D3", "        G3", "        B3", "        E4", "        E2",
          "Set your level now,*", "Space stay / go on*", "  0:01  1 of 6  find   *");
    assert_string_equal(types(), "session hold cue cue end");
    size_t size = 0;
    char *journal = (char *)scratch_read("j.jsonl", &size);
    assert_non_null(strstr(journal, "\"volume\":\"-11\"")); /* what was set is the session's */
    free(journal);
    assert_replays();
}

static void a_string_asked_for_too_often_waits_for_the_player(void **state)
{
    (void)state;
    int names = 0;
    assert_int_equal(
        play("0.4 tttttttttttttttttttttttttttttttt\n1 x\n2 q\n", HERE, "--start", "check"), 0);
    for (const char *at = ran.out; (at = strstr(at, "\n        ")) != NULL; at++)
        names += at[9] >= 'A' && at[9] <= 'G' && at[11] == '\n';
    assert_in_range(names, 8,
                    10); /* derived: eight tones of 2.5 s ahead, and the one that sounds */
}

/* At a terminal it comes by itself; nothing is louder than loudest, nor softer than softest. */
static void the_level_check_keeps_to_its_range(void **state)
{
    (void)state;
    setenv("HASTY_TERMINAL", "1", 1);
    setenv("TERM", "no-such-terminal", 1);
    assert_int_equal(play("0.2 \\e[A\n1 q\n", TRIAD, SHORT), 0);
    unsetenv("HASTY_TERMINAL");
    LINES("Set your level now,*", "Nothing was played, and nothing is recorded.");
    assert_no_line("        volume *");
    assert_int_equal(play("0.2 \\e[B\n1 q\n", HERE, "--start", "check", "--volume", "-40"), 0);
    assert_no_line("        volume *");
}

static void at_the_keys_nothing_is_tuned(void **state)
{
    (void)state;
    assert_int_equal(play("0.4 t\n1 x\n2 q\n", HERE, "--start", "check", "--hand", "keys"), 0);
    assert_no_line("t sounds the open strings*");
    assert_no_line("        [A-G][0-9]");
}

static void whoever_leaves_before_it_has_no_session(void **state)
{
    (void)state;
    static const struct {
        const char *keys;
        int status;
    } ways[] = {
        {"1 q\n", 0}, {"1 \\t\n", TERMINATED}, {"1 q\n1.1 \\t\n", TERMINATED}, {"1 \\x\n", LOST}};
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        assert_int_equal(play(ways[i].keys, HERE, "--start", "check"), ways[i].status);
        assert_int_equal(access(scratch("j.jsonl"), F_OK), -1);
        assert_no_line("*1 of 6*");
        if (ways[i].status == LOST)
            assert_lost();
        else
            LINES("Nothing was played, and nothing is recorded.");
    }
    assert_int_equal(play("", HERE, "--start", "soon"), USAGE);
    assert_refused(USAGE, "start \"soon\" is not check or now");
}

/* ---- a replay -------------------------------------------------------------------------------- */

#define replay(keys, ...) (press(keys), run("replay", scratch("j.jsonl"), "--plain", __VA_ARGS__))

/* Seconds into it: a stay of one, a mark, a volume, each told when it was. */
static void begin_replay(void)
{
    assert_int_equal(play("5 \\s\n6 \\s\n6.5 g\n7 \\e[B\n7.5 \\e[D\n8 g\n9 q\n", HERE), 0);
}

static void a_replay_tells_what_was_told(void **state)
{
    (void)state;
    begin_replay();
    char was[RUN_TEXT], line[512];
    snprintf(was, sizeof was, "%s", ran.out);
    assert_int_equal(replay("", NULL), 0);
    const char *at = ran.out;
    for (const char *from = strstr(was, "  0:01  "); from && *from; from = strchr(from, '\n') + 1) {
        snprintf(line, sizeof line, "%.*s", (int)strcspn(from, "\n"), from);
        if (line[0] != ' ')
            break;
        char *of = strstr(line, " of 6  ");
        if (of)
            of[4] = '3'; /* those that there were */
        if (strcmp(line, "        volume -1 dB") == 0)
            continue;
        at = find_line(at, line);
        if (!at)
            fail_msg("no \"%s\" in\n%s", line, ran.out);
    }
}

static void a_replay_tells_answers_and_hints(void **state)
{
    (void)state;
    assert_int_equal(play("2 C# D G\\r\n3 C# D G\\r\n4 C D G\\r\n5 C# D F#\\r\n6 h\n7 h\n9 q\n",
                          "hunt", TRIAD, "--tell", "--seed", "1", "--rate", "8000", "--plain"),
                     0);
    static const char *const told[] = {"        C# D G: yes, 1 of 6",
                                       "        C# D G: found already, number 1 of 6",
                                       "        C D G: C is held already",
                                       "        C# D F#: no 016*",
                                       "        hint: 5 left*",
                                       "        hint: one of them has a *",
                                       NULL};
    assert_lines(told);
    assert_int_equal(replay("", NULL), 0);
    assert_lines(told);
}

static void a_replay_knows_two_keys_and_says_so(void **state)
{
    (void)state;
    begin_replay();
    assert_int_equal(replay("0.5 ?\n1.5 x\n1.7 g\n2 p\n5 p\n", NULL), 0);
    LINES("p pause / resume   q leave   [?] keys", "p pause / resume   q leave   [?] keys",
          "  0:01  1 of 3  find   *", "        in a replay: p pauses and resumes, q leaves",
          "  0:03  1 of 3  hear   *", "        end: the sound fades");
}

/* Whatever the journal tells of in the two seconds of the fade. */
static void a_replay_can_be_left_at_any_time(void **state)
{
    (void)state;
    begin_replay();
    for (int tenths = 0; tenths < 90; tenths += 7) {
        char keys[64];
        snprintf(keys, sizeof keys, "%d.%d q\n", tenths / 10, tenths % 10);
        assert_int_equal(replay(keys, NULL), 0);
        assert_string_equal(ran.err, "");
        snprintf(keys, sizeof keys, "%d.%d \\t\n", tenths / 10, tenths % 10);
        assert_int_equal(replay(keys, NULL), TERMINATED);
        assert_string_equal(ran.err, "");
    }
    assert_int_equal(replay("2 p\n3 q\n", NULL), 0);
    assert_int_equal(replay("2 \\x\n", NULL), LOST);
    assert_lost();
}

/* ---- timbres --------------------------------------------------------------------------------- */

static void a_timbre_is_heard_on_the_four_triads(void **state)
{
    (void)state;
    press("");
    assert_int_equal(run("patches", "flute", "--play", NULL), 0);
    LINES("Sound: nowhere, in haste at 48000 Hz", "flute on C E G#", "flute on Db F A",
          "flute on D F# A#", "flute on Eb G B");
    assert_int_equal(run("patches", "--compare", "flute,plucked-nylon", NULL), 0);
    LINES("flute on C E G#", "plucked-nylon on C E G#", "flute on Db F A",
          "plucked-nylon on Eb G B");
    press("8 \\t\n");
    assert_int_equal(run("patches", "flute", "--play", NULL), TERMINATED);
    LINES("flute on C E G#", "flute on Db F A");
    assert_no_line("flute on D F# A#");
    press("8 \\x\n");
    assert_int_equal(run("patches", "flute", "--play", NULL), LOST);
    assert_lost();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_output_that_comes_back_finds_the_cue_as_it_was),
        cmocka_unit_test(one_that_stays_away_ends_the_session_with_a_whole_journal),
        cmocka_unit_test(keys_are_answered_while_it_is_away),
        cmocka_unit_test(it_may_go_away_in_a_pause_a_stay_or_the_last_fade),
        cmocka_unit_test(a_signal_ends_a_session_that_waits_too),
        cmocka_unit_test(the_level_is_set_and_strings_are_tuned_before_it),
        cmocka_unit_test(a_string_asked_for_too_often_waits_for_the_player),
        cmocka_unit_test(the_level_check_keeps_to_its_range),
        cmocka_unit_test(at_the_keys_nothing_is_tuned),
        cmocka_unit_test(whoever_leaves_before_it_has_no_session),
        cmocka_unit_test(a_replay_tells_what_was_told),
        cmocka_unit_test(a_replay_tells_answers_and_hints),
        cmocka_unit_test(a_replay_knows_two_keys_and_says_so),
        cmocka_unit_test(a_replay_can_be_left_at_any_time),
        cmocka_unit_test(a_timbre_is_heard_on_the_four_triads),
    };
    return cmocka_run_group_tests(tests, haste_begin, scratch_remove);
}
