/* SPDX-License-Identifier: MIT */
/* The command line against the project's interface contract: wrong use is told in one sentence with
 * its exit status, and what should work works. Each row's status is published: the contract's
 * table. */
#define _XOPEN_SOURCE 700

#include "run.h"

#include <stdio.h>

enum { USAGE = 64, DATA = 65, INPUT = 66, DEVICE = 69, IO = 74 };

struct wrong {
    const char *args[8];
    int status;
    const char *says;
};

static void try_rows(const struct wrong *rows, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        run_end(run_start(rows[i].args));
        const char *fault = run_fault(rows[i].status, rows[i].says);
        if (fault)
            fail_msg("row %zu (%s %s %s): %s: expected %d and \"%s\", got %d and\n%s", i,
                     rows[i].args[0], rows[i].args[1] ? rows[i].args[1] : "",
                     rows[i].args[1] && rows[i].args[2] ? rows[i].args[2] : "", fault,
                     rows[i].status, rows[i].says, ran.status, ran.err);
        if (ran.out[0])
            fail_msg("row %zu prints on stdout:\n%s", i, ran.out);
    }
}

#define TRY(rows) try_rows(rows, sizeof rows / sizeof rows[0])

static void notes_that_cannot_be_are_told(void **state)
{
    (void)state;
    static const struct wrong rows[] = {
        {{"render", "--dry-run", "--held", "H"}, USAGE, "\"H\" is no note"},
        {{"render", "--dry-run", "--held", "C E X#"},
         USAGE,
         "\"X#\" (word 3, column 5) is no note"},
        {{"render", "--dry-run", "--held", "C10"}, USAGE, "octave from -1 to 9"},
        {{"render", "--dry-run", "--held", "C-2"}, USAGE, "octave from -1 to 9"},
        {{"render", "--dry-run", "--held", "G#9"}, USAGE, "\"G#9\""},
        {{"render", "--dry-run", "--held", "12"}, USAGE, "\"12\" is no pitch class"},
        {{"render", "--dry-run", "--held", "C3 E"}, USAGE, "octave"},
        {{"render", "--dry-run", "--held", ""}, USAGE, "no notes"},
        {{"render", "--dry-run", "--held", "{}"}, USAGE, "empty set"},
        {{"render", "--dry-run", "--held", "C\033[31m"}, USAGE, "\"C?[31m\""},
        {{"inspect", "H"}, USAGE, "\"H\" is no note"},
        {{"complete", "C E G#", "--added", "017"}, USAGE, "\"017\" is not a prime form"},
    };
    TRY(rows);
}

static void a_held_set_without_a_completion_says_why(void **state)
{
    (void)state;
    static const struct wrong rows[] = {
        {{"render", "--dry-run", "--held", "0 1 2 3 4 5 6 7 8 9"}, USAGE, "no room for 3-5"},
        {{"play", "--held", "0 1 2 3 4 5 6 7 8 9"}, USAGE, "no room for 3-5"},
        {{"render", "--dry-run", "--held", "0 1 2 3 4 5"}, USAGE, "3-5"},
        {{"render", "--dry-run", "--added", "6-1", "--held", "0 2 4 6 8 10"}, USAGE, "6-1"},
        {{"render", "--dry-run", "--held", "C9"}, USAGE, "register"},
        {{"render", "--dry-run", "--register", "C4:D4"}, USAGE, "register"},
    };
    TRY(rows);
}

/* Not a number, no end, too large for the type, too many digits, wrong words, out of range. */
static void numbers_that_cannot_be_are_told(void **state)
{
    (void)state;
    static const char *const options[] = {
        "--every", "--for",  "--lead-in", "--tempo", "--rounds",   "--a4",   "--volume",
        "--rate",  "--seed", "--latency", "--room",  "--restrike", "--meter"};
    static const char *const values[] = {"",
                                         "nan",
                                         "inf",
                                         "-inf",
                                         "1e999",
                                         "-1e999s",
                                         "0x10s",
                                         "1,5s",
                                         "--",
                                         "1 s",
                                         "999999999999999999999999",
                                         "infs",
                                         "nans",
                                         "1e999s",
                                         "-5s",
                                         "1..5s",
                                         "s"};
    for (size_t i = 0; i < sizeof options / sizeof options[0]; i++)
        for (size_t j = 0; j < sizeof values / sizeof values[0]; j++) {
            run("play", "--dry-run", options[i], values[j], NULL);
            const char *fault = run_fault(USAGE, options[i] + 2);
            if (fault)
                fail_msg("%s \"%s\": %s, status %d: %s", options[i], values[j], fault, ran.status,
                         ran.err);
        }
}

static void spans_and_numbers_have_their_range(void **state)
{
    (void)state;
    static const struct wrong rows[] = {
        {{"render", "--dry-run", "--every", "0"}, USAGE, "every \"0\" is outside 0.1s to 1h"},
        {{"render", "--dry-run", "--every", "0s"}, USAGE, "outside 0.1s to 1h"},
        {{"render", "--dry-run", "--every", "0.09s"}, USAGE, "outside 0.1s to 1h"},
        {{"render", "--dry-run", "--every", "61m"}, USAGE, "outside 0.1s to 1h"},
        {{"render", "--dry-run", "--every", "0beats", "--tempo", "60"}, USAGE, "every"},
        {{"render", "--dry-run", "--every", "1beats", "--tempo", "1000"}, USAGE, "every"},
        {{"render", "--dry-run", "--every", "8beats"}, USAGE, "tempo"},
        {{"render", "--dry-run", "--every", "25"}, USAGE, "not a length of time"},
        {{"render", "--dry-run", "--a4", "379.9"}, USAGE, "380 to 480"},
        {{"render", "--dry-run", "--volume", "0.1"}, USAGE, "-40 to 0"},
        {{"render", "--dry-run", "--rate", "7999"}, USAGE, "8000 to 192000"},
        {{"render", "--dry-run", "--rate", "192001"}, USAGE, "8000 to 192000"},
        {{"render", "--dry-run", "--rounds", "0"}, USAGE, "1 to 10000"},
        {{"render", "--dry-run", "--bits", "8"}, USAGE, "bits \"8\" is not known"},
        {{"render", "--dry-run", "--seed", "18446744073709551616"}, USAGE, "18446744073709551615"},
        {{"render", "--dry-run", "--seed", "-1"}, USAGE, "0 to"},
        {{"render", "--dry-run", "--for", "10s"}, USAGE, "not one whole cue"},
        {{"render", "--dry-run", "--cue", "reverse", "--every", "0.2s"}, USAGE, "too short"},
        {{"replay", "x", "--rate", "1"}, USAGE, "8000 to 192000"},
    };
    TRY(rows);
}

/* derived: 6 completions x 10000 rounds x 1 h = 60000 h, 28 rounds x 6 x 1 h + 10 s > 168 h */
static void a_session_of_months_is_refused(void **state)
{
    (void)state;
    static const struct wrong rows[] = {
        {{"render", "--dry-run", "--every", "1h", "--rounds", "10000"},
         USAGE,
         "7 days (60000 hours)"},
        {{"render", "--dry-run", "--every", "1h", "--rounds", "28"}, USAGE, "7 days (168 hours)"},
        {{"play", "--every", "1h", "--rounds", "28"}, USAGE, "7 days (168 hours)"},
    };
    TRY(rows);
}

static void options_that_cannot_be_are_told(void **state)
{
    (void)state;
    static const struct wrong rows[] = {
        {{"render", "--bogus"}, USAGE, "there is no option --bogus"},
        {{"render", "one", "--bogus=3", "two"}, USAGE, "there is no option --bogus=3"},
        {{"render", "-z"}, USAGE, "there is no option -z"},
        {{"render", "-\303\251"}, USAGE, "there is no option -\303\251"},
        {{"render", "-\233"}, USAGE, "there is no option -?"},
        {{"render", "--held"}, USAGE, "--held needs NOTES"},
        {{"render", "-o"}, USAGE, "--output-file needs FILE"},
        {{"render", "--dry-run=1"}, USAGE, "--dry-run takes no value"},
        {{"render", "--re", "1"}, USAGE, "--re can be"},
        {{"render", "--r=3"}, USAGE, "--r can be"},
        {{"bogus"}, USAGE, "there is no command \"bogus\""},
        {{"--bogus"}, USAGE, "there is no command \"--bogus\""},
        {{"bog\033[31mus"}, USAGE, "\"bog?[31mus\""},
        {{"render", "--dry-run", "one", "two"}, USAGE, "\"two\" is too many"},
        {{"render", "--", "--dry-run"}, USAGE, "practice \"--dry-run\" is not known"},
        {{"render", "roam"}, USAGE, "roam is for a player"},
        {{"render", "hunt", "-o", "x.wav"}, USAGE, "hunt is for a player"},
        {{"play", "--tell"}, USAGE, "--tell goes with the practice hunt"},
        {{"play", "roam"}, USAGE, "roam needs a terminal for its keys"},
        {{"play", "roam", "--every", "25s"}, USAGE, "--every does not go with roam"},
        {{"play", "roam", "--rounds", "2"}, USAGE, "--rounds does not go with roam"},
        {{"play", "roam", "--lead-in", "3s"}, USAGE, "--lead-in does not go with roam"},
        {{"play", "hunt", "--order", "ring"}, USAGE, "--order does not go with hunt"},
        {{"play", "roam", "--cue", "ear"}, USAGE, "--cue ear does not go with roam"},
        {{"play", "hunt", "--cue", "confirm"}, USAGE, "--cue confirm does not go with hunt"},
        {{"render", "--dry-run", "--order", "weak"}, USAGE, "order weak"},
        {{"render"}, USAGE, "needs a file"},
        {{"render", "--every", "wait", "-o", "x.wav"}, USAGE, "needs a player"},
        {{"render", "--break-every", "5m", "-o", "x.wav"}, USAGE, "a file has no breaks"},
        {{"render", "warmup", "--cue", "gap", "-o", "x.wav"}, USAGE, "says what to play"},
        {{"render", "warmup", "--every", "5s", "-o", "x.wav"}, USAGE, "never hurries"},
        {{"render", "--day", "2026-11-25", "-o", "x.wav"}, USAGE, "goes with the practice warmup"},
        {{"render", "-o", "x", "--journal", "x"}, USAGE, "same file"},
        {{"play", "--every", "wait"}, USAGE, "needs a terminal"},
        {{"replay"}, USAGE, "one journal"},
        {{"replay", "a", "b"}, USAGE, "one journal"},
        {{"render", "--dry-run", "--label", "a\nb"}, USAGE, "control character"},
        {{"render", "--dry-run", "--label", "\377"}, USAGE, "UTF-8"},
    };
    TRY(rows);
}

static void a_missing_patch_is_told(void **state)
{
    (void)state;
    static const struct wrong rows[] = {
        {{"render", "--dry-run", "--patch", "nosuch"}, INPUT, "\"nosuch\""},
        {{"render", "--dry-run", "--patch", "/nonexistent/x.ini"}, INPUT, "/nonexistent/x.ini"},
        {{"render", "--dry-run", "--patch", "/"}, DATA, "no regular file"},
        {{"render", "--dry-run", "--patch", "/dev/zero"}, DATA, "no regular file"},
        {{"render", "--dry-run", "--patch", "plucked-nylon"}, USAGE, "struck"},
        {{"patches", "nosuch"}, INPUT, "\"nosuch\""},
    };
    TRY(rows);
}

static void without_a_sound_output_it_says_so_and_what_to_do(void **state)
{
    (void)state;
    assert_int_equal(run("play", NULL), DEVICE);
    assert_refused(DEVICE, "no sound output was found");
    assert_non_null(strstr(ran.err, "render"));
    assert_int_equal(run("play", "--output", "nosuch", NULL), DEVICE);
    assert_refused(DEVICE, "no sound output was found");
    assert_int_equal(scratch_count("state"), 0); /* no journal of a session that never was */
    run("render", "--dry-run", "--journal", scratch("j.jsonl"), NULL);
    assert_int_equal(run("replay", scratch("j.jsonl"), NULL), DEVICE);
    assert_refused(DEVICE, "no sound output was found");
}

/* ---- what works ------------------------------------------------------------------------------ */

static void seeds_at_both_ends_work(void **state)
{
    (void)state;
    run("render", "--dry-run", "--seed", "0", NULL);
    assert_ran();
    assert_non_null(strstr(ran.out, "Seed:  0\n"));
    run("render", "--dry-run", "--seed", "18446744073709551615", "--journal", scratch("j"), NULL);
    assert_ran();
    assert_non_null(strstr(ran.out, "Seed:  18446744073709551615\n"));
    run("replay", scratch("j"), "--dry-run", NULL);
    assert_ran();
}

/* Columns, not bytes: continuation bytes of UTF-8 take none. */
static long widest(const char *text)
{
    long most = 0, width = 0;
    for (; *text; text++) {
        width = *text == '\n' ? 0 : width + (((unsigned char)*text & 0xc0) != 0x80);
        most = width > most ? width : most;
    }
    return most;
}

static void help_and_version_fit_and_end_well(void **state)
{
    (void)state;
    static const char *const names[] = {"play",    "render",  "replay", "complete",
                                        "inspect", "patches", "outputs"};
    char commands[RUN_TEXT];
    run(NULL);
    assert_ran();
    run("--version", NULL);
    assert_ran();
    run("--help", NULL);
    assert_ran();
    assert_true(widest(ran.out) <= 80);
    memcpy(commands, ran.out, sizeof commands);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        assert_non_null(strstr(commands, names[i]));
        run(names[i], "--version", NULL);
        assert_ran();
        assert_int_equal(strncmp(ran.out, "holdfast ", 9), 0);
    }
    /* Every command that the help lists, each on a line that begins with two spaces. */
    int count = 0;
    for (char *line = strchr(commands, '\n'); line; line = strchr(line + 1, '\n')) {
        char name[32] = "";
        if (strncmp(line, "\n  ", 3) != 0 || sscanf(line + 3, "%31[a-z] ", name) != 1 ||
            strcmp(name, "holdfast") == 0)
            continue;
        run(name, "--help", NULL);
        assert_ran();
        if (widest(ran.out) > 80)
            fail_msg("%s --help is %ld columns wide", name, widest(ran.out));
        count++;
    }
    assert_true(count >= 7);
}

static void options_stand_anywhere_and_may_be_short(void **state)
{
    (void)state;
    char first[RUN_TEXT];
    run("render", "improvise", "--dry-run", "--seed", "7", "--held", "C5", "--as-written", NULL);
    assert_ran();
    assert_non_null(strstr(ran.out, "Held:  C4 "));
    memcpy(first, ran.out, sizeof first);
    run("render", "--as-w", "--held=C5", "--se", "7", "--dry", "improvise", NULL);
    assert_ran();
    assert_string_equal(ran.out, first);
    run("render", "--dry-run", "--seed=7", "--held", "C4", "--", "improvise", NULL);
    assert_ran();
    assert_string_equal(ran.out, first);
    /* What looks like an option may be the value of one. */
    run("render", "--label", "--as-written", "--dry-run", "--seed", "7", "--held", "C4", NULL);
    assert_ran();
    assert_string_equal(ran.out, first);
}

static void the_last_of_an_option_counts(void **state)
{
    (void)state;
    run("render", "--dry-run", "--seed", "7", "--held", "H", "--held", "C4", NULL);
    assert_refused(USAGE, "\"H\" is no note"); /* but each is read */
    run("render", "--dry-run", "--seed", "7", "--seed", "8", NULL);
    assert_ran();
    assert_non_null(strstr(ran.out, "Seed:  8\n"));
}

/* ---- streams --------------------------------------------------------------------------------- */

static void an_output_that_takes_nothing_is_an_error(void **state)
{
    (void)state;
    static const char *const args[][8] = {
        {NULL},
        {"--help"},
        {"--version"},
        {"render", "--help"},
        {"inspect", "048"},
        {"inspect", "048", "--json"},
        {"complete", "C E G#"},
        {"patches"},
        {"render", "--dry-run"},
        {"render", "--dry-run", "--every", "0.1s", "--rounds", "2000"},
    };
    for (size_t i = 0; i < 2 * (sizeof args / sizeof args[0]); i++) {
        if (i % 2)
            run_with.no_out = true;
        else
            run_with.out = "/dev/full";
        run_end(run_start(args[i / 2]));
        const char *fault = run_fault(IO, "could not be written");
        if (fault)
            fail_msg("row %zu: %s: status %d, %s", i, fault, ran.status, ran.err);
    }
}

/* A file must never get the number of a stream that the program was started without: what is
 * printed would go into it. */
static void without_its_streams_files_are_the_same(void **state)
{
    (void)state;
    char wav[512], journal[512], again[512];
    snprintf(wav, sizeof wav, "%s", scratch("a.wav"));
    snprintf(journal, sizeof journal, "%s", scratch("a.jsonl"));
    snprintf(again, sizeof again, "%s", scratch("b.wav"));
    for (int missing = 1; missing < 8; missing++) {
        run_with.no_in = missing & 1;
        run_with.no_out = missing & 2;
        run_with.no_err = missing & 4;
        run("render", "--every", "0.1s", "--lead-in", "0", "--rounds", "1", "--rate", "8000", "-o",
            wav, "--journal", journal, NULL);
        if (ran.status != (missing & 2 ? IO : 0))
            fail_msg("streams %d: status %d, %s", missing, ran.status, ran.err);
        run("replay", journal, "-o", again, NULL);
        assert_ran();
        size_t length = 0, other = 0;
        unsigned char *a = scratch_read("a.wav", &length), *b = scratch_read("b.wav", &other);
        assert_int_equal(length, other);
        assert_memory_equal(a, b, length);
        free(a);
        free(b);
    }
}

static void inspect_reads_lines_without_end(void **state)
{
    (void)state;
    scratch_write("lists", "048\nC E G#\n{}", 13);
    run_with.in = scratch("lists");
    run("inspect", "-", NULL);
    assert_ran();
    int lines = 0;
    for (const char *c = ran.out; *c; c++)
        lines += *c == '\n';
    assert_int_equal(lines, 3);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, scratch_make, scratch_remove)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(notes_that_cannot_be_are_told),
        TEST(a_held_set_without_a_completion_says_why),
        TEST(numbers_that_cannot_be_are_told),
        TEST(spans_and_numbers_have_their_range),
        TEST(a_session_of_months_is_refused),
        TEST(options_that_cannot_be_are_told),
        TEST(a_missing_patch_is_told),
        TEST(without_a_sound_output_it_says_so_and_what_to_do),
        TEST(seeds_at_both_ends_work),
        TEST(help_and_version_fit_and_end_well),
        TEST(options_stand_anywhere_and_may_be_short),
        TEST(the_last_of_an_option_counts),
        TEST(an_output_that_takes_nothing_is_an_error),
        TEST(without_its_streams_files_are_the_same),
        TEST(inspect_reads_lines_without_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
