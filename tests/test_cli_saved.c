/* SPDX-License-Identifier: MIT */
/* Sessions kept by name: what is kept, what stands beside it, what is refused. Expectations are
 * derived: a session that is kept is the same command line again. */
#define _XOPEN_SOURCE 700

#include "run.h"

#include <holdfast/cli.h>

#define USAGE 64
#define DATA 65

static char said[RUN_TEXT];

/* What a command line prints, kept for comparison. */
static void keep_said(void)
{
    assert_ran();
    memcpy(said, ran.out, sizeof said);
}

static const char *session_file(const char *name)
{
    char below[128];
    snprintf(below, sizeof below, "config/holdfast/sessions/%s.ini", name);
    return scratch(below);
}

static void write_session(const char *name, const char *text)
{
    run("play", "--save", name, NULL); /* makes the folder */
    FILE *file = fopen(session_file(name), "wb");
    assert_non_null(file);
    fputs(text, file);
    assert_int_equal(fclose(file), 0);
}

static void a_kept_session_is_the_same_command_again(void **state)
{
    (void)state;
    run("play", "warmup", "--held", "C E G#", "--for", "3m", "--cue", "lead", "--seed", "5",
        "--kind", "2", "--dry-run", NULL);
    keep_said();
    run("play", "warmup", "--held", "C E G#", "--for", "3m", "--cue", "lead", "--seed", "5",
        "--kind", "2", "--save", "evening", NULL);
    assert_ran();
    assert_true(scratch_is("config/holdfast/sessions/evening.ini",
                           "[session]\npractice = warmup\nheld = C E G#\nfor = 3m\ncue = lead\n"
                           "seed = 5\nkind = 2\n"));
    run("play", "evening", "--dry-run", NULL);
    assert_ran();
    assert_string_equal(ran.out, said);
    run("render", "evening", "--dry-run", NULL);
    assert_ran();
    assert_string_equal(ran.out, said);
}

static void what_stands_beside_the_name_wins(void **state)
{
    (void)state;
    run("play", "--held", "C E G#", "--every", "30s", "--rounds", "1", "--seed", "5", "--dry-run",
        NULL);
    keep_said();
    run("play", "--held", "Db F A", "--every", "25s", "--rounds", "1", "--seed", "5", "--save",
        "beside", NULL);
    run("play", "beside", "--held", "C E G#", "--every", "30s", "--dry-run", NULL);
    assert_ran();
    assert_string_equal(ran.out, said);
    /* A chord in place of the held notes, and the other way round. */
    run("play", "beside", "--from", "D3 G3 C4 E4 G#4 C#5", "--dry-run", NULL);
    assert_ran();
    assert_non_null(strstr(ran.out, "Held:  C4 E4 G#4"));
    run("play", "--from", "D3 G3 C4 E4 G#4 C#5", "--split", "1", "--save", "chord", NULL);
    run("play", "chord", "--held", "C E G#", "--dry-run", NULL);
    assert_ran();
    assert_non_null(strstr(ran.out, "Held:  C3 E3 G#3"));
    /* And it can be kept anew: under another name, with more. */
    run("play", "beside", "--every", "9s", "--save", "beside-2", NULL);
    assert_true(scratch_is("config/holdfast/sessions/beside-2.ini",
                           "[session]\nheld = Db F A\nevery = 9s\nrounds = 1\nseed = 5\n"));
    run("play", "--rounds", "3", "--save", "beside", NULL);
    assert_non_null(strstr(ran.out, "in place of the one before"));
    assert_true(scratch_is("config/holdfast/sessions/beside.ini", "[session]\nrounds = 3\n"));
}

static void a_name_alone_puts_nothing_in_place_of_a_session(void **state)
{
    (void)state;
    run("play", "--save", "plain", NULL); /* new: it is the plain session */
    assert_ran();
    run("play", "--held", "Db F A", "--save", "aa", NULL);
    assert_ran();
    for (int i = 0; i < 2; i++) {
        run("play", "--save", i ? "plain" : "aa", NULL);
        assert_refused(USAGE, "there is nothing to put in its place");
    }
    run("play", "aa", "--dry-run", "--seed", "1", NULL);
    assert_non_null(strstr(ran.out, "Db3 F3 A3"));
    run("play", "warmup", "--save", "aa", NULL); /* a practice is something */
    assert_ran();
    assert_non_null(strstr(ran.out, "in place of the one before"));
    run("play", "plain", "--save", "aa", NULL);
    assert_ran();
    unlink(session_file("aa"));
    unlink(session_file("plain"));
}

static void octaves_as_written_hold_for_the_notes_before_it(void **state)
{
    (void)state;
    run("play", "--held", "C4 E4 G#4", "--as-written", "--save", "written", NULL);
    assert_true(scratch_is("config/holdfast/sessions/written.ini",
                           "[session]\nheld = C4 E4 G#4\nas-written = yes\n"));
    run("play", "written", "--dry-run", NULL);
    assert_non_null(strstr(ran.out, "Held:  C3 E3 G#3"));
}

static void several_are_played_in_turn(void **state)
{
    (void)state;
    run("play", "--held", "C E G#", "--save", "one", NULL);
    run("play", "--held", "Db F A", "--save", "two", NULL);
    run("play", "one", "warmup", "two", "--dry-run", NULL);
    assert_ran();
    const char *first = strstr(ran.out, "Session 1 of 3: one\nHeld:  C3 E3 G#3");
    const char *last = strstr(ran.out, "Session 3 of 3: two\nHeld:  Db3 F3 A3");
    const char *middle = strstr(ran.out, "Session 2 of 3: warmup\n");
    assert_true(first && middle && last && first < middle && middle < last);
    run("play", "one", "two", "--journal", scratch("j.jsonl"), "--dry-run", NULL);
    assert_refused(USAGE, "--journal names one record, and these are 2 sessions");
    run("play", "one", "nosuch", "--dry-run", NULL);
    assert_refused(USAGE, "\"nosuch\" is neither a practice nor a session");
    run("play", "one", "two", "--save", "three", NULL);
    assert_refused(USAGE, "--save keeps one session");
    /* A mistake in the last is told before the first is played. */
    write_session("bad", "[session]\nevery = 5\n");
    run("play", "one", "bad", "--dry-run", NULL);
    assert_refused(DATA, "bad.ini:2: every \"5\" is not a length of time");
    assert_string_equal(ran.out, "");
}

static void names_that_are_no_names_are_refused(void **state)
{
    (void)state;
    static const char *const names[] = {"improvise", "roam", "hunt",    "ear", "sight", "warmup",
                                        "",          "a/b",  ".hidden", "..",  "../x",  "-x",
                                        "a\033b",    "a\nb", "a\xff",   " a",  "a "};
    int before = scratch_count(NULL);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        run("play", "--save", names[i], NULL);
        assert_refused(USAGE, i < 6 ? "is a practice" : "can't be saved as");
    }
    char longer[80];
    memset(longer, 'x', sizeof longer);
    longer[65] = 0;
    run("play", "--save", longer, NULL);
    assert_refused(USAGE, "it is too long");
    longer[64] = 0;
    run("play", "--save", longer, NULL);
    assert_ran();
    assert_int_equal(unlink(session_file(longer)), 0);
    assert_int_equal(scratch_count(NULL), before);
    run("play", "../../x", "--dry-run", NULL); /* nor is such a file looked for */
    assert_refused(USAGE, "is not known");
}

static void what_could_not_be_played_is_not_kept(void **state)
{
    (void)state;
    static const struct {
        const char *option, *text, *says;
    } rows[] = {{"--every", "5", "not a length of time"},
                {"--register", "C4:D4", "has no room"},
                {"--journal", "x.jsonl", "--journal is of one run"},
                {"--label", "a;b", "can't be kept in a line"},
                {"--label", " a", "can't be kept in a line"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        run("play", rows[i].option, rows[i].text, "--save", "no", NULL);
        assert_refused(USAGE, rows[i].says);
        assert_int_not_equal(access(session_file("no"), F_OK), 0);
    }
}

static void a_fault_in_the_file_is_told_with_its_line(void **state)
{
    (void)state;
    static const struct {
        const char *text, *says;
    } rows[] = {
        {"every = 5s\n", "bad.ini:1: a key stands before [session]"},
        {"[patch]\n", "bad.ini:1: unknown section (allowed: [session])"},
        {"[session]\n[session]\n", "bad.ini:2: a second [session]"},
        {"[session]\n\nevry = 5s\n", "bad.ini:3: [session] evry = 5s: no such key (allowed:"},
        {"[session]\njournal = x\n", "no such key (allowed:"},
        {"[session]\nsave = x\n", "no such key (allowed:"},
        {"[session]\nhelp = yes\n", "no such key (allowed:"},
        {"[session]\nevery = 5s\nevery = 6s\n", "bad.ini:3: [session] every = 6s: repeated key"},
        {"[session]\nas-written = no\n", "(allowed: yes, or no such line)"},
        {"[session]\nnonsense\n", "bad.ini:2: neither [session] nor key = value"},
        {"[session]\n rounds = 1\n", "bad.ini:2: "},
        {"[session]\nrounds = 0\n", "bad.ini:2: rounds \"0\" is not a whole number from 1"},
        {"[session]\npractice = nap\n", "bad.ini:2: practice \"nap\" is not known"},
        {"[session]\nlabel = \033[31m\n", "bad.ini:2: "},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        write_session("bad", rows[i].text);
        run("play", "bad", "--dry-run", NULL);
        assert_refused(DATA, rows[i].says);
        assert_string_equal(ran.out, "");
    }
    write_session("empty", "");
    run("play", "empty", "--dry-run", "--seed", "1", NULL);
    assert_ran(); /* nothing in it: the defaults */
}

static void a_place_that_is_relative_is_not_looked_at(void **state)
{
    (void)state;
    char path[256];
    setenv("HOME", "/home/ann", 1);
    setenv("XDG_CONFIG_HOME", "here", 1); /* published: XDG Base Directory Specification */
    assert_true(hf_cli_config_path("sessions", path, sizeof path));
    assert_string_equal(path, "/home/ann/.config/holdfast/sessions");
    setenv("XDG_CONFIG_HOME", "/there", 1);
    assert_true(hf_cli_config_path("sessions", path, sizeof path));
    assert_string_equal(path, "/there/holdfast/sessions");
}

static int clean(void **state)
{
    static const char *const names[] = {"evening", "beside", "beside-2", "chord", "written",
                                        "one",     "two",    "bad",      "empty"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        unlink(session_file(names[i]));
    rmdir(scratch("config/holdfast/sessions"));
    rmdir(scratch("config/holdfast"));
    return scratch_remove(state);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_kept_session_is_the_same_command_again),
        cmocka_unit_test(what_stands_beside_the_name_wins),
        cmocka_unit_test(a_name_alone_puts_nothing_in_place_of_a_session),
        cmocka_unit_test(octaves_as_written_hold_for_the_notes_before_it),
        cmocka_unit_test(several_are_played_in_turn),
        cmocka_unit_test(names_that_are_no_names_are_refused),
        cmocka_unit_test(what_could_not_be_played_is_not_kept),
        cmocka_unit_test(a_fault_in_the_file_is_told_with_its_line),
        cmocka_unit_test(a_place_that_is_relative_is_not_looked_at),
    };
    return cmocka_run_group_tests(tests, scratch_make, clean);
}
