/* SPDX-License-Identifier: MIT */
/*
 * What a review says of sessions as they are played: ear training and its levels, near misses,
 * roam, hunt, shapes in the hand, other classes. The sessions are played on a virtual clock with
 * answers that are known (order `listed`), so that every figure is derived from the keys.
 */
#define _XOPEN_SOURCE 700

#include <time.h>

#include "haste.h"

#include "forge.h"

/* Keeps the last session under a name, as if it had begun so many days ago. */
static void keep(const char *name, int days_ago)
{
    struct forge forge = forge_read("j.jsonl");
    time_t then = time(NULL) - (time_t)days_ago * 86400;
    struct tm local;
    char was[64], started[64];
    const char *at = strstr(forge.line[0], "\"started\":\"");
    assert_non_null(at);
    snprintf(was, sizeof was, "%.36s", at); /* with its quotation mark */
    localtime_r(&then, &local);
    strftime(started, sizeof started, "\"started\":\"%Y-%m-%dT12:00:00+00:00", &local);
    forge_change(&forge, 0, was, started);
    forge_write(&forge, name);
    forge_free(&forge);
}

#define EAR "ear", TRIAD, "--order", "listed", SHORT, "--plain"
#define ROUNDS_1_2 "2 1\n5 2\n8 2\n11 1\n14 1\n17 2\n20 1\n23 2\n26 2\n29 1\n32 1\n35 2\n"

#define review(...) run("review", __VA_ARGS__, NULL)

static void the_levels_of_ear_training_are_told_with_their_days(void **state)
{
    (void)state;
    char line[128], days[2][16];
    for (int i = 0; i < 2; i++) {
        time_t then = time(NULL) - (time_t)(i ? 1 : 3) * 86400;
        struct tm local;
        localtime_r(&then, &local);
        strftime(days[i], sizeof days[i], "%Y-%m-%d", &local);
    }
    assert_int_equal(play(ROUNDS_1_2 "38 1\n40 q\n", EAR, "--rounds", "3"), 0);
    keep("ear-1.jsonl", 3);
    keep("ear-2.jsonl", 2); /* the same level: no change */
    assert_int_equal(
        play("2 2\n5 1\n8 1\n11 2\n14 1\n17 2\n", EAR, "--rounds", "2", "--level", "4+"), 0);
    keep("ear-3.jsonl", 1);
    assert_int_equal(review(scratch("ear-1.jsonl"), scratch("ear-2.jsonl"), scratch("ear-3.jsonl")),
                     0);
    assert_ran();
    snprintf(line, sizeof line, "Ear level   2 from %s,  3 from %s", days[0], days[1]);
    LINES("Practised   * in 3 sessions on 3 days, *", line, "Answers     *, median * s, *");
}

static void near_misses_are_counted_apart(void **state)
{
    (void)state;
    /* every one is answered "none of them": the near misses rightly, which the journal tells of */
    assert_int_equal(play("2 0\n5 0\n8 0\n11 0\n14 0\n17 0\n20 0\n23 0\n26 0\n29 0\n32 0\n35 0\n",
                          EAR, "--near-miss", "--level", "3"),
                     0);
    size_t size = 0;
    int near = 0;
    char line[128];
    char *journal = (char *)scratch_read("j.jsonl", &size);
    for (const char *at = journal; (at = strstr(at, "\"id\":0,\"pcs\"")) != NULL; at++)
        near++;
    free(journal);
    assert_true(near > 0);
    snprintf(line, sizeof line, "Near misses told from the six %d times of %d", near, near);
    assert_int_equal(review(scratch("j.jsonl")), 0);
    LINES(line);
    assert_int_equal(play("2 1\n5 2\n8 3\n11 4\n14 5\n17 6\n20 1\n23 2\n26 3\n29 4\n32 5\n35 6\n",
                          EAR, "--near-miss", "--level", "3"),
                     0);
    assert_int_equal(review(scratch("j.jsonl")), 0);
    LINES("Near misses told from the six 0 times of [1-9]*");
}

static void where_a_player_roamed_and_what_was_found_is_told(void **state)
{
    (void)state;
    /* a minute and a half with the first, half a minute with the fourth */
    assert_int_equal(play("10 1\n100 4\n130 q\n", "roam", TRIAD, "--cue", "lead", "--seed", "1",
                          "--rate", "8000", "--plain"),
                     0);
    LINES("Time:  0:10 alone", "       1:30  1  C# D G", "       0:3*  4  Eb A Bb");
    keep("roam.jsonl", 0);
    assert_int_equal(play("2 C# D G\\r\n4 F F# B\\r\n6 C# D G\\r\n8 q\n", "hunt", TRIAD, "--seed",
                          "1", "--rate", "8000", "--plain"),
                     0);
    LINES("        C# D G: yes, 1 of 6", "        F F# B: yes, 2 of 6",
          "        C# D G: found already, number 1 of 6", "Found: 2 of 6", "       1  C# D G",
          "       2  F F# B");
    keep("hunt.jsonl", 0);
    assert_int_equal(review(scratch("roam.jsonl"), scratch("hunt.jsonl"), "--detail"), 0);
    LINES("Roamed      C# D G over C E G#: 1.5 min", "            Eb A Bb over C E G#: 0.5 min",
          "[.] C# D G over C E G#*", "    *found 1 in hunt", "[.] F F# B over C E G#*",
          "    *found 1 in hunt");
}

static void shapes_and_other_classes_are_in_the_details(void **state)
{
    (void)state;
    assert_int_equal(play("2 g\n5 m\n9 q\n", TRIAD, SHORT, "--plain", "--hand", "guitar"), 0);
    keep("hand.jsonl", 0);
    assert_int_equal(play("2 g\n5 m\n9 q\n", TRIAD, SHORT, "--plain", "--added", "014"), 0);
    keep("014.jsonl", 0);
    assert_int_equal(review(scratch("hand.jsonl"), scratch("014.jsonl"), "--detail"), 0);
    /* derived: two cues of each session were marked, a third one began in each */
    LINES("[?] * over C E G# * 1/1 *", "    confirm 1; *; *x-*-*-* 1", "[?] * over C E G# * 0/1 *");
    char *journal = NULL;
    size_t size = 0;
    journal = (char *)scratch_read("014.jsonl", &size);
    assert_non_null(journal);
    free(journal);
    assert_int_equal(review(scratch("014.jsonl"), "--json"), 0);
    assert_non_null(strstr(ran.out, "\"others\":[{\"held\":[0,4,8],"));
    assert_int_equal(review(scratch("hand.jsonl"), "--json"), 0);
    assert_non_null(strstr(ran.out, "\"shapes\":[{\"frets\":[null,") ? ran.out
                                                                     : strstr(ran.out, ",null"));
}

static void hours_are_told_as_hours(void **state)
{
    (void)state;
    run("render", TRIAD, "--every", "1m", "--for", "65m", "--rate", "8000", "--dry-run",
        "--journal", scratch("long.jsonl"), NULL);
    assert_ran();
    assert_int_equal(review(scratch("long.jsonl")), 0);
    LINES("Practised   1 h 0[45] min in 1 session on 1 day, *", "*[.] x1[01]*");
}

/* Green, yellow, red; dim for what is not known: beside signs that say the same. */
static void colours_go_with_signs_and_can_be_had_without(void **state)
{
    (void)state;
    char keys[1024] = "";
    size_t used = 0;
    /* each round: the first got, the second missed, the third got in the first five rounds */
    for (int round = 0; round < 16; round++)
        used += (size_t)snprintf(keys + used, sizeof keys - used,
                                 round < 5 ? "%d g\n%d m\n%d g\n" : "%d g\n%d m\n", 18 * round + 2,
                                 18 * round + 5, 18 * round + 8);
    assert_int_equal(play(keys, TRIAD, SHORT, "--plain", "--order", "listed", "--rounds", "16"), 0);

    setenv("HASTY_TERMINAL", "1", 1);
    setenv("TERM", "xterm", 1);
    unsetenv("NO_COLOR");
    assert_int_equal(review(scratch("j.jsonl")), 0);
    assert_non_null(strstr(ran.out, "\033[32m# 16/16\033[0m"));
    assert_non_null(strstr(ran.out, "\033[31m- 0/16\033[0m"));
    assert_non_null(strstr(ran.out, "\033[33m+ 5/5\033[0m"));
    assert_non_null(strstr(ran.out, "\033[2m. x16\033[0m"));
    static const char *const without[][2] = {{"NO_COLOR", "1"}, {"TERM", "dumb"}};
    for (int i = 0; i < 2; i++) {
        setenv(without[i][0], without[i][1], 1);
        assert_int_equal(review(scratch("j.jsonl")), 0);
        assert_null(strchr(ran.out, '\033'));
        unsetenv("NO_COLOR");
        setenv("TERM", "xterm", 1);
    }
    unsetenv("HASTY_TERMINAL");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_levels_of_ear_training_are_told_with_their_days),
        cmocka_unit_test(near_misses_are_counted_apart),
        cmocka_unit_test(where_a_player_roamed_and_what_was_found_is_told),
        cmocka_unit_test(shapes_and_other_classes_are_in_the_details),
        cmocka_unit_test(hours_are_told_as_hours),
        cmocka_unit_test(colours_go_with_signs_and_can_be_had_without),
    };
    return cmocka_run_group_tests(tests, haste_begin, scratch_remove);
}
