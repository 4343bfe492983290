/* SPDX-License-Identifier: MIT */
/* The same samples again: render twice, render and replay, whatever was asked for, in any locale
 * (derived: the promise of the replay). And the dry run, which makes no sound. */
#define _XOPEN_SOURCE 700

#include <locale.h>
#include <stdio.h>
#include <sys/stat.h>

#include "run.h"

static void assert_same(const char *a, const char *b, const char *what)
{
    size_t length = 0, other = 0;
    unsigned char *first = scratch_read(a, &length), *second = scratch_read(b, &other);
    if (!first || !second || length != other || memcmp(first, second, length) != 0)
        fail_msg("%s: %s (%zu bytes) and %s (%zu bytes) differ", what, a, length, b, other);
    assert_true(length > 1000);
    free(first);
    free(second);
}

/* Renders a short session with these options twice and replays it: three files that are the same.
 */
/* FLAC alone has no room for cue points, and that is said. */
static void assert_rendered(const char *file)
{
    if (strstr(file, ".flac"))
        assert_warned("no cue points");
    else
        assert_ran();
}

static void try_session(const char *const *options, const char *file)
{
    char said[RUN_TEXT], again[64];
    const char *args[RUN_ARGS] = {"render",    "--every",          "0.6s", "--lead-in",  "0.3s",
                                  "--journal", scratch("j.jsonl"), "-o",   scratch(file)};
    int count = 9;
    const char *what = options[0] ? options[1] : "nothing";
    for (; *options; options++)
        args[count++] = *options;
    args[count] = NULL;
    run_end(run_start(args));
    if (ran.status != 0)
        fail_msg("%s: %s", what, ran.err);
    assert_rendered(file);
    memcpy(said, ran.out, sizeof said);
    snprintf(again, sizeof again, "again-%s", file);
    run("replay", scratch("j.jsonl"), "-o", scratch(again), NULL);
    assert_rendered(file);
    assert_same(file, again, what);
    args[8] = scratch(again);
    run_end(run_start(args));
    assert_rendered(file);
    assert_same(file, again, what);
    /* What was printed is the same but for the names. */
    assert_int_equal(strncmp(ran.out, said, (size_t)(strstr(said, "Wrote") - said)), 0);
}

/* A seed, so that the second rendering is of the same session. */
#define SEED "--seed", "42"

static void every_depth_and_rate_replays_to_the_same_file(void **state)
{
    (void)state;
    static const char *const rows[][8] = {
        {"--bits", "16", "--rate", "8000", SEED},    {"--bits", "24", "--rate", "8000", SEED},
        {"--bits", "float", "--rate", "8000", SEED}, {"--bits", "16", "--rate", "44100", SEED},
        {"--bits", "24", "--rate", "96000", SEED},   {"--bits", "float", "--rate", "192000", SEED},
        {"--bits", "24", "--rate", "11025", SEED},   {"--bits", "16", "--rate", "31999", SEED},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        try_session(rows[i], "a.wav");
    try_session(rows[0], "a.flac");
    try_session(rows[1], "a.flac");
}

static void every_way_to_cue_order_and_register_replays_to_the_same_file(void **state)
{
    (void)state;
    static const char *const rows[][8] = {
        {"--cue", "lead", SEED},         {"--cue", "confirm", SEED},
        {"--cue", "silent", SEED},       {"--cue", "ear", SEED},
        {"--cue", "gap", SEED},          {"--cue", "reverse", SEED},
        {"--order", "ring", SEED},       {"--order", "near", SEED},
        {"--order", "far", SEED},        {"--order", "listed", SEED},
        {"--register", "through", SEED}, {"--register", "below", SEED},
        {"--register", "all", SEED},     {"--register", "C4:C7", SEED},
        {"--drone", "struck", SEED},     {"--drone", "off", SEED},
        {"--tuning", "pure", SEED},      {"--room", "-60", SEED},
        {"--spread", "wide", SEED},      {"--tempo", "200", "--every", "2beats", SEED},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const char *options[12] = {"--rate", "8000"};
        int count = 2;
        for (int j = 0; rows[i][j]; j++)
            options[count++] = rows[i][j];
        try_session(options, "a.wav");
    }
}

static void every_set_level_and_pitch_replays_to_the_same_file(void **state)
{
    (void)state;
    static const char *const rows[][10] = {
        {"--held", "C E", "--rounds", "1", SEED},
        {"--held", "0 4 8", "--added", "3-10", SEED},
        {"--held", "x-3-2-1-x-x", SEED},
        {"--held", "D3 F#3 A#4", "--volume", "-40", SEED},
        {"--held", "C E G#", "--volume", "-0.5", "--a4", "380", SEED},
        {"--held", "C E G#", "--a4", "479.9", "--label", "\305\202\303\263d\305\272 'x' \"y\"",
         SEED},
        {"--held", "C-1", "--register", "C-1:G9", "--rounds", "1", SEED},
        {"--held", "G9", "--register", "C8:G9", "--rounds", "1", SEED},
        {"--held", "C", "--added", "11-1", "--register", "C3:C9", SEED},
        {"--held", "0 1 2 3 4 5 6 7 8 9 10", "--added", "1-1", SEED},
        {"--seed", "18446744073709551615"},
        {"--seed", "0"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const char *options[14] = {"--rate", "8000"};
        int count = 2;
        for (int j = 0; j < 10 && rows[i][j]; j++)
            options[count++] = rows[i][j];
        try_session(options, "a.wav");
    }
}

static void without_a_seed_the_record_has_the_one_that_was_drawn(void **state)
{
    (void)state;
    char first[64] = "", second[64] = "";
    for (int i = 0; i < 2; i++) {
        run("render", "--dry-run", "--journal", scratch("j.jsonl"), NULL);
        assert_ran();
        const char *seed = strstr(ran.out, "Seed:  ");
        assert_non_null(seed);
        assert_int_equal(sscanf(seed, "Seed:  %63[0-9]", i ? second : first), 1);
        char member[100];
        size_t length = 0;
        snprintf(member, sizeof member, "\"seed\":\"%s\"", i ? second : first);
        unsigned char *journal = scratch_read("j.jsonl", &length);
        assert_non_null(strstr((char *)journal, member));
        free(journal);
    }
    /* The chance that two draws of 64 bits are the same is nil. */
    assert_string_not_equal(first, second);
}

/* ---- dry run --------------------------------------------------------------------------------- */

static void a_dry_run_prints_the_timeline_and_needs_no_file(void **state)
{
    (void)state;
    run("render", "--dry-run", "--held", "C E G#", SEED, "--rounds", "1", NULL);
    assert_ran();
    for (int cue = 1; cue <= 6; cue++) {
        char row[16];
        snprintf(row, sizeof row, "\n%4d  ", cue);
        assert_non_null(strstr(ran.out, row));
    }
    /* derived: 10 s and six times 25 s */
    assert_non_null(strstr(ran.out, " end     2:40  then a fade of 5 s\n"));
    assert_int_equal(scratch_count(NULL), 2); /* tests/run.h: out, alsa.conf */
    char dry[RUN_TEXT];
    memcpy(dry, ran.out, sizeof dry);
    run("play", "--dry-run", "--held", "C E G#", SEED, "--rounds", "1", NULL);
    assert_ran();
    assert_string_equal(ran.out, dry);
    run("play", "--dry-run", "--every", "wait", "--held", "C E G#", SEED, "--rounds", "1", NULL);
    assert_ran();
    assert_non_null(strstr(ran.out, "\n   6 "));
}

static void a_dry_run_writes_the_journal_of_the_same_session(void **state)
{
    (void)state;
    run("render", SEED, "--rate", "8000", "--every", "0.5s", "--journal", scratch("a.jsonl"), "-o",
        scratch("a.wav"), NULL);
    assert_ran();
    run("render", SEED, "--rate", "8000", "--every", "0.5s", "--journal", scratch("b.jsonl"),
        "--dry-run", NULL);
    assert_ran();
    run("replay", scratch("b.jsonl"), "-o", scratch("b.wav"), NULL);
    assert_ran();
    assert_same("a.wav", "b.wav", "a dry run");
    char dry[RUN_TEXT];
    run("replay", scratch("a.jsonl"), "--dry-run", NULL);
    memcpy(dry, ran.out, sizeof dry);
    run("replay", "--dry-run", scratch("b.jsonl"), NULL);
    assert_string_equal(ran.out, dry);
}

/* derived: at another rate the file has as many seconds, to a sample */
static void a_replay_takes_another_rate_and_depth(void **state)
{
    (void)state;
    static const char *const rates[] = {"8000", "44100", "48000", "96000", "192000"};
    static const long hz[] = {8000, 44100, 48000, 96000, 192000};
    run("render", SEED, "--rate", "22050", "--every", "0.5s", "--lead-in", "0.5s", "--rounds", "1",
        "--dry-run", "--journal", scratch("j.jsonl"), NULL);
    for (size_t i = 0; i < sizeof rates / sizeof rates[0]; i++) {
        run("replay", scratch("j.jsonl"), "-o", scratch("a.wav"), "--rate", rates[i], "--bits",
            "16", NULL);
        assert_ran();
        long frames = frames_of(scratch("a.wav")),
             expected = hz[i] * 17 / 2; /* 3.5 s and the fade */
        assert_true(frames >= expected - 1 && frames <= expected + 1);
    }
}

/* ---- locales --------------------------------------------------------------------------------- */

/* Generates a locale beside the program, once, since a system may have none but C; false where that
 * can't be done (no localedef, no sources). */
static bool make_locale(const char *directory, const char *source, const char *name)
{
    extern char **environ;
    char target[1200];
    struct stat there;
    pid_t child;
    int status = -1;
    snprintf(target, sizeof target, "%s/%s/LC_NUMERIC", directory, name);
    if (stat(target, &there) == 0)
        return true;
    mkdir(directory, 0755);
    *strrchr(target, '/') = 0;
    char *argv[] = {
        (char[]){"localedef"}, (char[]){"--no-archive"}, (char[]){"-i"}, (char *)(uintptr_t)source,
        (char[]){"-f"},        (char[]){"UTF-8"},        target,         NULL};
    if (posix_spawnp(&child, argv[0], NULL, NULL, argv, environ) != 0)
        return false;
    waitpid(child, &status, 0);
    return status == 0;
}

/* Does the locale write numbers with a comma here? Else the check would show nothing. */
static bool has_comma(const char *locale)
{
    char text[16] = "";
    if (setlocale(LC_ALL, locale))
        snprintf(text, sizeof text, "%.1f", 0.5);
    setlocale(LC_ALL, "C");
    return strcmp(text, "0,5") == 0;
}

/* Commas for points and dotless i: what is read, printed and written stays the same. */
static void no_locale_changes_anything(void **state)
{
    (void)state;
    static const char *const locales[] = {"C", "de_DE.UTF-8", "tr_TR.UTF-8"};
    char directory[1100];
    snprintf(directory, sizeof directory, "%s", run_program());
    snprintf(strrchr(directory, '/'), 32, "/locales");
    if (!make_locale(directory, "de_DE", locales[1]) ||
        !make_locale(directory, "tr_TR", locales[2]))
        skip();
    setenv("LOCPATH", directory, 1);
    assert_true(has_comma(locales[1]) && has_comma(locales[2]));
    static char said[3][RUN_TEXT], inspected[3][RUN_TEXT], wrong[3][RUN_TEXT];
    for (int i = 0; i < 3; i++) {
        char name[16];
        snprintf(name, sizeof name, "%d.wav", i);
        run_with.locale = locales[i];
        run("render", "improvise", SEED, "--every", "0.55s", "--lead-in", "0.25s", "--a4", "441.5",
            "--volume", "-1.5", "--rate", "8000", "--patch", "stopped-pipe", "--cue-patch",
            "plucked-nylon", "-o", scratch(name), "--journal", scratch("j.jsonl"), NULL);
        assert_ran();
        run_with.locale = locales[i];
        run("replay", scratch("j.jsonl"), "--dry-run", NULL);
        assert_ran();
        memcpy(said[i], ran.out, RUN_TEXT);
        run_with.locale = locales[i];
        run("inspect", "C E G# C# D G", "--json", NULL);
        memcpy(inspected[i], ran.out, RUN_TEXT);
        run_with.locale = locales[i];
        run("render", "--dry-run", "--every", "0,55s", NULL);
        assert_refused(64, "\"0,55s\" is not a length of time");
        run_with.locale = locales[i];
        run("render", "--dry-run", "--every", "0.05s", NULL);
        assert_refused(64, "outside 0.1s to 1h");
        memcpy(wrong[i], ran.err, RUN_TEXT);
        assert_same("0.wav", name, locales[i]);
        assert_string_equal(said[i], said[0]);
        assert_string_equal(inspected[i], inspected[0]);
        assert_string_equal(wrong[i], wrong[0]);
    }
}

/* The same for what every command prints, and the pages that it writes. */
static void no_locale_changes_what_a_command_says(void **state)
{
    (void)state;
    static const char *const locales[] = {"C", "de_DE.UTF-8", "tr_TR.UTF-8"};
    static const char *const commands[][8] = {
        {"complete", "C E G#", NULL},
        {"complete", "C E G#", "--json", NULL},
        {"pairings", "--result", "6-Z17", NULL},
        {"pairings", "--held", "3-12", "--json", NULL},
        {"inspect", "C E G# C# D G", NULL},
        {"shapes", "C E G#", "--top", "3", NULL},
        {"shapes", "--instruments", NULL},
        {"patches", "flute", "--json", NULL},
        {"patches", "--help", NULL},
        {"sheet", "--held", "I", NULL}, /* a Turkish i is another letter */
        {"render", "--patch", "STOPPED-PIPE", "--dry-run", NULL},
        {"play", "improvise", "--dry-run", "--seed", "1", "--tempo", "62.5", NULL},
        {"review", NULL},
    };
    char directory[1100];
    snprintf(directory, sizeof directory, "%s", run_program());
    snprintf(strrchr(directory, '/'), 32, "/locales");
    if (!make_locale(directory, "de_DE", locales[1]) ||
        !make_locale(directory, "tr_TR", locales[2]))
        skip();
    setenv("LOCPATH", directory, 1);
    assert_true(has_comma(locales[1]) && has_comma(locales[2]));
    static char said[RUN_TEXT], wrong[RUN_TEXT];
    for (size_t i = 0; i < sizeof commands / sizeof commands[0]; i++)
        for (int l = 0; l < 3; l++) {
            run_with.locale = locales[l];
            int status = run_end(run_start(commands[i]));
            if (l == 0) {
                memcpy(said, ran.out, RUN_TEXT);
                memcpy(wrong, ran.err, RUN_TEXT);
            }
            if (strcmp(said, ran.out) != 0 || strcmp(wrong, ran.err) != 0)
                fail_msg("%s in %s: %d\n%s%s", commands[i][0], locales[l], status, ran.out,
                         ran.err);
        }
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, scratch_make, scratch_remove)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(every_depth_and_rate_replays_to_the_same_file),
        TEST(every_way_to_cue_order_and_register_replays_to_the_same_file),
        TEST(every_set_level_and_pitch_replays_to_the_same_file),
        TEST(without_a_seed_the_record_has_the_one_that_was_drawn),
        TEST(a_dry_run_prints_the_timeline_and_needs_no_file),
        TEST(a_dry_run_writes_the_journal_of_the_same_session),
        TEST(a_replay_takes_another_rate_and_depth),
        TEST(no_locale_changes_anything),
        TEST(no_locale_changes_what_a_command_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
