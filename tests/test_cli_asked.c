/* SPDX-License-Identifier: MIT */
/*
 * A player who is asked: ear training by level and chords in view, answered at known times, on a
 * virtual clock; and what a display of one's own gets of a session. In order `listed` the answers
 * are known: the completions of C E G# by ascending pitch classes (published: the interface
 * contract), of kind 1 the first, fourth and fifth.
 */
#define _XOPEN_SOURCE 700

#include "haste.h"

#include <jansson.h>

#define EAR "ear", TRIAD, "--order", "listed", SHORT, "--plain"
#define ROUND_1 "2 1\n5 2\n8 2\n11 1\n14 1\n17 2\n"
#define ROUND_2 "20 1\n23 2\n26 2\n29 1\n32 1\n35 2\n"

/* ---- ear ------------------------------------------------------------------------------------- */

static void an_answer_is_told_right_or_what_it_was(void **state)
{
    (void)state;
    assert_int_equal(play("2 1\n3.5 2\n5 3\n8.5 r\n9.2 g\n11 4\n", EAR, "--level", "3"), 0);
    LINES("Level: 3, which of the 6 is it?  (always in the same place)", "1 to 6 your answer",
          "        Level 3: which of the 6 is it?  (always in the same place)",
          "        1 C# D G   2 C# F# G   3 D Eb A   4 Eb A Bb   5 F F# B   6 F Bb B",
          "  0:01  1 of 6  listen ", "  0:02  1 of 6  it is  * (1)   you said: 1, right",
          "        it is answered already", "  0:04  2 of 6  listen ",
          "  0:05  2 of 6  it is  * (2)   you said: 3, D Eb A, missed", "  0:07  3 of 6  listen ",
          "  0:08  3 of 6  it is  * (3)", "        3 of 6  got", "  0:10  4 of 6  listen ",
          "  0:11  4 of 6  it is  * (4)   you said: 4, right", "  0:15  5 of 6  it is  * (5)",
          "Marks:  got 3, missed 1", "        missed C# F# G (cue 2)");
    assert_no_line("Level:  *"); /* a fixed level has no next time */
    assert_replays();
}

static void each_level_asks_its_own_question(void **state)
{
    (void)state;
    static const char *const questions[] = {
        "which kind is it?  (always in the same place, note by note)",
        "which of the 3 is it?  (its kind is told; mind the lowest note)",
        "which of the 6 is it?  (always in the same place)",
        "which of the 6 is it?  (in any register)",
        "which of the 6 is it?  (all notes at once)",
        "which of the 6 is it?  (all at once; the held notes silent)"};
    for (int i = 0; i < 6; i++) {
        char level[2] = {(char)('1' + i), 0}, line[128], before[128];
        snprintf(line, sizeof line, "        Level %s: %s", level, questions[i]);
        snprintf(before, sizeof before, "Level: %s, %s", level, questions[i]);
        assert_int_equal(play("5 q\n", EAR, "--level", level), 0);
        LINES(before, line, "  0:01  1 of 6  listen ", "  0:03  1 of 6  it is  *");
        if (i == 1)
            LINES("        one of: 1 C# D G   2 F F# B   3 Eb A Bb", "  0:01  1 of 6  listen ",
                  "        one of: 1 C# F# G   2 F Bb B   3 D Eb A", "  0:04  2 of 6  listen ");
        if (i == 0)
            LINES("        1 C# D G or Eb A Bb or F F# B", "        2 C# F# G or D Eb A or F Bb B");
    }
}

static void two_good_rounds_go_up_and_a_bad_one_goes_down(void **state)
{
    (void)state;
    assert_int_equal(play(ROUND_1 ROUND_2 "38 1\n", EAR, "--rounds", "3"), 0);
    LINES("       (two good rounds go up a level, a round with more than half missed down)",
          "  0:35  12 of 18  it is  * right",
          "        Level 2: which of the 3 is it?  (its kind is told; mind the lowest note)",
          "        one of: 1 C# D G   2 F F# B   3 Eb A Bb", "  0:37  13 of 18  listen ",
          "  0:38  13 of 18  it is  * (1)   you said: 1, right",
          "Level:  2; --level 2+ begins there next time");
    assert_non_null(strstr(types(), "level"));
    assert_replays();
    assert_int_equal(
        play("2 2\n5 1\n8 1\n11 2\n14 1\n17 2\n", EAR, "--rounds", "2", "--level", "3+"), 0);
    LINES("        Level 3: *", "        Level 2: *",
          "Level:  2; --level 2+ begins there next time");
    assert_replays();
}

static void one_that_is_none_of_them_is_known_by_nought(void **state)
{
    (void)state;
    /* a near miss among the cues: every cue is answered "none of them" */
    assert_int_equal(play("2 0\n5 0\n8 0\n11 0\n14 0\n17 0\n20 0\n23 0\n26 0\n29 0\n32 0\n35 0\n",
                          EAR, "--near-miss", "--level", "3"),
                     0);
    LINES("1 to 6 your answer   0 none of them", "        *0 none of them");
    LINES("*it is  *, none of them   you said: none of them, right");
    LINES("*it is  * ([1-6])   you said: none of them, missed");
    assert_replays();
    assert_int_equal(play("5 q\n", EAR, "--near-miss", "--level", "2"), 0);
    LINES("        one of: 1 *   2 *   3 *   0 none of them");
}

/* Twelve completions have more names than keys. */
static void where_there_are_more_than_keys_r_tells(void **state)
{
    (void)state;
    assert_int_equal(play("2 9\n5 q\n", EAR, "--added", "014", "--level", "3"), 0);
    LINES("1 to 9 your answer", "        1 C# D F   2 C# D Bb   3 C# A Bb *",
          "        or another: r tells which, then g or m",
          "  0:02  1 of 12  it is  * (1)   you said: 9, F F# A, missed  makes 6-15");
}

/* ---- sight ----------------------------------------------------------------------------------- */

#define SIGHT                                                                                      \
    "sight", "--every", "10s", "--lead-in", "1s", "--rounds", "1", "--seed", "3", "--rate", "8000"

static void what_is_picked_of_a_chord_is_told_until_it_is_an_answer(void **state)
{
    (void)state;
    assert_int_equal(
        play("2 1\n2.5 1\n3 1\n3.3 2\n3.6 3\n12 n\n22 r\n23 m\n25 q\n", SIGHT, "--plain"), 0);
    LINES("Chord: six notes; is it 6-Z17, and which three are the 016?  (half of them are)",
          "n it is not   1 to 6 from the lowest note: the three that are the 016",
          "  0:01  1 of 6  look   1 *  2 *  3 *  4 *  5 *  6 *",
          "        n: it is not; else press the numbers of the three that are the 016",
          "        picked 1 *", "        picked none", "        picked 1 *",
          "        picked 1 *, 2 *", "  0:03  1 of 6  it is  *6-*: * + *   you said: * * *, *",
          "  0:11  2 of 6  look   *", "  0:12  2 of 6  it is  *   you said: no, *",
          "  0:21  3 of 6  look   *", "  0:22  3 of 6  it is  *: * + *", "        3 of 6  missed");
    assert_replays();
    /* numbers are set off from the notes that are numbers */
    assert_int_equal(play("2 1\n3 q\n", SIGHT, "--plain", "--names", "numbers"), 0);
    LINES("  0:01  1 of 6  look   1: *  2: *  3: *  4: *  5: *  6: *");
}

static void in_a_frame_no_name_tells_what_the_frets_do(void **state)
{
    (void)state;
    assert_int_equal(
        play("2 1\n2.5 3\n5 q\n", SIGHT, "--plain", "--hand", "guitar", "--view", "frame"), 0);
    LINES("  0:01  1 of 6  look   *-*-*-*-*-*", "        picked 1", "        picked 1, 3");
    assert_no_line("        picked 1 [A-G]*");
}

/* ---- a display of one's own ------------------------------------------------------------------ */

/* A scene has the keys that the README names, and no other; at the end nothing is left to do. */
static void check_scene(json_t *scene)
{
    static const char *const keys[] = {"holdfast", "event",   "at",     "state", "do",   "large",
                                       "held",     "todo",    "under",  "hint",  "next", "cue",
                                       "cues",     "round",   "rounds", "what",  "in",   "left",
                                       "stands",   "holding", "adding", "items"};
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
        if (!json_object_get(scene, keys[i]))
            fail_msg("a scene without %s", keys[i]);
    assert_int_equal(json_object_size(scene), sizeof keys / sizeof keys[0]);
    if (strcmp(json_string_value(json_object_get(scene, "state")), "end") != 0)
        return;
    assert_string_equal(json_string_value(json_object_get(scene, "do")), "the end");
    assert_string_equal(json_string_value(json_object_get(scene, "hint")), "");
    assert_true(json_is_null(json_object_get(scene, "in")));
}

/* Every line is an object of this version. What they tell of, each once where it goes on: the state
 * of a scene, or the event itself; without what is said in passing. */
static const char *states(void)
{
    static char text[2048], line[1 << 15];
    char last[32] = "";
    size_t used = 0;
    text[0] = 0;
    for (const char *at = ran.out; *at; at = strchr(at, '\n') + 1) {
        snprintf(line, sizeof line, "%.*s", (int)strcspn(at, "\n"), at);
        json_t *event = json_loads(line, JSON_REJECT_DUPLICATES, NULL);
        if (!event || json_integer_value(json_object_get(event, "holdfast")) != 1)
            fail_msg("no object of version 1: %s", line);
        const char *kind = json_string_value(json_object_get(event, "event"));
        const char *told =
            strcmp(kind, "scene") != 0 ? kind : json_string_value(json_object_get(event, "state"));
        if (strcmp(kind, "scene") == 0)
            check_scene(event);
        if (strcmp(told, "line") != 0 && strcmp(told, last) != 0) {
            used +=
                (size_t)snprintf(text + used, sizeof text - used, "%s%.30s", used ? " " : "", told);
            snprintf(last, sizeof last, "%.30s", told);
        }
        json_decref(event);
    }
    return text;
}

static void a_stream_tells_each_state_once_and_ends(void **state)
{
    (void)state;
    assert_int_equal(play("2 \\s\n3 p\n4 p\n5 \\s\n6 \\e[A\n8 q\n", TRIAD, SHORT, "--json"), 0);
    assert_string_equal(states(), "session lead-in cue stay pause stay cue end");
    assert_non_null(strstr(ran.out, "\"text\":\"the volume is at its highest, 0 dB\""));
    char journal[600];
    snprintf(journal, sizeof journal, "\"event\":\"end\",\"journal\":\"%s\"}\n",
             scratch("j.jsonl"));
    assert_non_null(strstr(ran.out, journal));
    press("1.5 q\n");
    assert_int_equal(run("replay", scratch("j.jsonl"), "--json", NULL), 0);
    assert_string_equal(states(), "session lead-in cue end");
    assert_non_null(strstr(ran.out, "\"replay\":true"));
}

static void a_stream_tells_rests_frets_and_answers(void **state)
{
    (void)state;
    assert_int_equal(play("105 q\n", "warmup", TRIAD, "--seed", "3", "--rate", "8000", "--json"),
                     0);
    assert_string_equal(states(), "session lead-in cue rest cue end");
    assert_int_equal(play("3 q\n", TRIAD, SHORT, "--json", "--hand", "guitar", "--preview"), 0);
    assert_non_null(strstr(ran.out, "\"frets\":["));
    assert_non_null(strstr(ran.out, "null")); /* a string that is silent */
    assert_int_equal(
        play("2 1\n5 1\n", "ear", TRIAD, "--order", "listed", SHORT, "--json", "--level", "3"), 0);
    assert_non_null(
        strstr(ran.out, "{\"key\":\"1\",\"names\":[\"C#\",\"D\",\"G\"],\"mark\":\"right\"}"));
    assert_non_null(
        strstr(ran.out, "{\"key\":\"1\",\"names\":[\"C#\",\"D\",\"G\"],\"mark\":\"wrong\"}"));
    assert_int_equal(play("2 1\n4 q\n", "roam", TRIAD, "--seed", "1", "--rate", "8000", "--json"),
                     0);
    assert_non_null(strstr(ran.out, "\"mark\":\"now\""));
    assert_int_equal(
        play("2 C# D G\\r\n4 q\n", "hunt", TRIAD, "--seed", "1", "--rate", "8000", "--json"), 0);
    assert_non_null(strstr(ran.out, "C# D G: yes, 1 of 6"));
    assert_null(strstr(ran.out, "\"F\",\"F#\",\"B\"")); /* which is not found */
    assert_string_equal(states(), "session lead-in cue end");
    const char *over = strstr(ran.out, "\"state\":\"end\"");
    assert_non_null(over && strstr(over, "\"cue\":1,\"cues\":6,"));
}

/* What a cue hides is in no object before its time: the names of the first one, by its journal. */
static void a_stream_hides_what_is_hidden(void **state)
{
    (void)state;
    static const char *const ways[] = {"ear", "gap", "reverse"};
    /* whoever sees a word for a second is to know what is asked */
    static const char *const asks[] = {"\"do\":\"which?\"", "\"do\":\"find\"", "\"do\":\"triad?\""};
    for (int i = 0; i < 3; i++) {
        char names[64];
        assert_int_equal(i < 2 ? play("2.9 q\n", TRIAD, SHORT, "--json", "--cue", ways[i])
                               : play("2.9 q\n", SHORT, "--json", "--cue", ways[i]),
                         0);
        size_t size = 0;
        char *journal = (char *)scratch_read("j.jsonl", &size);
        const char *cue = strstr(journal, "\"t\":\"cue\"");
        const char *at = strstr(cue, "\"names\":") + 8;
        snprintf(names, sizeof names, "%.*s", (int)strcspn(at, "]") + 1, at);
        if (strstr(ran.out, names))
            fail_msg("%s: %s is told in\n%s", ways[i], names, ran.out);
        assert_non_null(strstr(ran.out, asks[i]));
        assert_non_null(strstr(ran.out, i == 2 ? "\"large\":[\"?\"" : "\"large\":["));
        free(journal);
    }
}

static void a_stream_goes_alone(void **state)
{
    (void)state;
    assert_int_equal(play("", TRIAD, SHORT, "--json", "--plain"), 64);
    assert_refused(64, "--json and --plain are two ways: choose one");
    assert_int_equal(play("", TRIAD, SHORT, "--json", "--dry-run"), 64);
    assert_refused(64, "--json tells what is heard, which here is nothing");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_answer_is_told_right_or_what_it_was),
        cmocka_unit_test(each_level_asks_its_own_question),
        cmocka_unit_test(two_good_rounds_go_up_and_a_bad_one_goes_down),
        cmocka_unit_test(one_that_is_none_of_them_is_known_by_nought),
        cmocka_unit_test(where_there_are_more_than_keys_r_tells),
        cmocka_unit_test(what_is_picked_of_a_chord_is_told_until_it_is_an_answer),
        cmocka_unit_test(in_a_frame_no_name_tells_what_the_frets_do),
        cmocka_unit_test(a_stream_tells_each_state_once_and_ends),
        cmocka_unit_test(a_stream_tells_rests_frets_and_answers),
        cmocka_unit_test(a_stream_hides_what_is_hidden),
        cmocka_unit_test(a_stream_goes_alone),
    };
    return cmocka_run_group_tests(tests, haste_begin, scratch_remove);
}
