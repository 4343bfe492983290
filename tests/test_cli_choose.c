/* SPDX-License-Identifier: MIT */
/*
 * roam and hunt from the outside: what a dry run shows and records, and journals made by hand:
 * whole ones, and ones that contradict themselves (derived from the rules of the journal: null
 * times, a next without a shift, one cue that waits at a time).
 */
#define _XOPEN_SOURCE 700

#include <stdio.h>

#include "run.h"

#include "forge.h"

enum { DATA = 65 };

static const char cue_3[] =
    "\"t\":\"cue\",\"at\":null,\"id\":3,\"pcs\":[2,3,9],\"notes\":[62,69,75],"
    "\"names\":[\"D\",\"A\",\"Eb\"],\"tell\":null,\"hear\":null,\"end\":null";
static const char cue_1[] =
    "\"t\":\"cue\",\"at\":null,\"id\":1,\"pcs\":[1,2,7],\"notes\":[61,67,74],"
    "\"names\":[\"C#\",\"G\",\"D\"],\"tell\":null,\"hear\":null,\"end\":null";

static void dry_run(const char *practice)
{
    run("play", practice, "--held", "C E G#", "--seed", "1", "--rate", "8000", "--dry-run",
        "--journal", scratch("j.jsonl"), NULL);
    assert_ran();
}

static void a_dry_run_of_roam_lists_the_six_and_records_no_cue(void **state)
{
    (void)state;
    dry_run("roam");
    assert_non_null(strstr(ran.out, "   3  D Eb A       kind 2, position 3\n"));
    /* published: the ring of the interface contract */
    assert_non_null(strstr(ran.out, "around the ring: 1 2 5 6 4 3\n"));
    struct forge forge = forge_read("j.jsonl");
    assert_int_equal(forge.count, 2); /* the session and what is held */
    assert_non_null(strstr(forge.line[0], "\"practice\":\"roam\""));
    assert_non_null(strstr(forge.line[0], "\"every\":\"wait\""));
    forge_free(&forge);
}

static void a_dry_run_of_hunt_tells_none_of_them(void **state)
{
    (void)state;
    static const char *const names[] = {"C# D G",  "C# F# G", "D Eb A",
                                        "Eb A Bb", "F F# B",  "F Bb B"};
    dry_run("hunt");
    assert_non_null(strstr(ran.out, "find the 6 yourself"));
    for (int i = 0; i < 6; i++)
        assert_null(strstr(ran.out, names[i]));
    struct forge forge = forge_read("j.jsonl");
    assert_int_equal(forge.count, 2);
    forge_free(&forge);
}

/* A session made by hand: two choices and an end. */
static struct forge begin(const char *practice)
{
    dry_run(practice);
    struct forge forge = forge_read("j.jsonl");
    forge_insert(&forge, 2, cue_3);
    forge_insert(&forge, 3, "\"t\":\"next\",\"at\":8000");
    forge_insert(&forge, 4, cue_1);
    forge_insert(&forge, 5, "\"t\":\"next\",\"at\":16000");
    forge_insert(&forge, 6, "\"t\":\"end\",\"at\":40000,\"why\":\"quit\",\"fade\":16000");
    return forge;
}

static void finish(struct forge *forge, int status, const char *says)
{
    forge_write(forge, "k.jsonl");
    forge_free(forge);
    run("replay", scratch("k.jsonl"), "-o", scratch("k.wav"), NULL);
    if (status)
        assert_refused(status, says);
    else
        assert_ran();
    if (!status)
        assert_non_null(strstr(ran.out, says));
    remove(scratch("k.wav"));
}

static void a_session_of_choices_replays(void **state)
{
    (void)state;
    struct forge forge = begin("roam");
    finish(&forge, 0, "Cues:  2, 0:07 in all"); /* derived: 40000 + 16000 samples at 8000 Hz */
    forge = begin("hunt");
    forge_insert(&forge, 2, "\"t\":\"answer\",\"at\":7990,\"pcs\":[2,3,9],\"as\":\"found\"");
    forge_insert(&forge, 2, "\"t\":\"hint\",\"at\":7000,\"step\":1");
    finish(&forge, 0, "Cues:  2, 0:07 in all");
}

static void a_cut_session_ends_at_the_last_that_is_known(void **state)
{
    (void)state;
    struct forge forge = begin("roam");
    forge_remove(&forge, 6);
    finish(&forge, 0, "Cues:  2, 0:07 in all"); /* 16000 and a fade of 5 s */
    forge = begin("roam");
    forge_remove(&forge, 6);
    forge_remove(&forge, 5);
    finish(&forge, 0, "Cues:  1, 0:06 in all"); /* a choice that did not begin is none */
    dry_run("roam");
    forge = forge_read("j.jsonl");
    finish(&forge, 0, "Cues:  0, 0:05 in all");
}

static void choices_that_cannot_be_are_refused(void **state)
{
    (void)state;
    struct forge forge = begin("roam");
    forge_change(&forge, 3, "8000", "8000,\"shift\":-5");
    finish(&forge, DATA, "record 3");
    forge = begin("roam");
    forge_remove(&forge, 4); /* a next that leads nowhere */
    finish(&forge, DATA, "record 4");
    forge = begin("roam");
    forge_remove(&forge, 3); /* two choices that wait */
    finish(&forge, DATA, "record 3");
    forge = begin("roam");
    forge_change(&forge, 2, "\"at\":null", "\"at\":8000");
    finish(&forge, DATA, "record 2");
    forge = begin("roam");
    forge_insert(&forge, 2, "\"t\":\"again\",\"at\":640"); /* before the first choice */
    finish(&forge, DATA, "record 2");
    forge = begin("roam");
    forge_change(&forge, 0, "\"every\":\"wait\"", "\"every\":\"3s\"");
    finish(&forge, DATA, "does not go with roam");
}

/* Answers and ids from elsewhere: nothing is taken for granted. */
static void strange_answers_do_no_harm(void **state)
{
    (void)state;
    struct forge forge = begin("hunt");
    forge_change(&forge, 2, "\"id\":3", "\"id\":4000");
    forge_insert(&forge, 2, "\"t\":\"answer\",\"at\":640,\"pcs\":[0,1,2,3,4,5,6],\"as\":\"found\"");
    forge_insert(&forge, 2, "\"t\":\"answer\",\"at\":640,\"cue\":999,\"id\":7,\"right\":true");
    forge_insert(&forge, 2, "\"t\":\"hint\",\"at\":640,\"step\":9");
    finish(&forge, 0, "Cues:  2, 0:07 in all");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_dry_run_of_roam_lists_the_six_and_records_no_cue,
                                        scratch_make, scratch_remove),
        cmocka_unit_test_setup_teardown(a_dry_run_of_hunt_tells_none_of_them, scratch_make,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(a_session_of_choices_replays, scratch_make, scratch_remove),
        cmocka_unit_test_setup_teardown(a_cut_session_ends_at_the_last_that_is_known, scratch_make,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(choices_that_cannot_be_are_refused, scratch_make,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(strange_answers_do_no_harm, scratch_make, scratch_remove),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
