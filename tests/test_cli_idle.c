/* SPDX-License-Identifier: MIT */
/* Options that would change nothing beside the others: refused with the reason and the cure; with
 * the cure they go. Kept sessions and journals that have them stay good. */
#define _XOPEN_SOURCE 700
#include "scratch.h"

#include "check.h"
#include "command.h"

enum { USAGE = 64 };

/* derived: from the option table of play, and what each option says that it is for */
static const struct {
    const char *line, *option, *cured; /* cured NULL: without the option it goes */
} rows[] = {
    {"play|--step|12s", "step", "play|--step|12s|--unfold|all"},
    {"play|--step|12s|--unfold|all|--every|wait", "step", "play|--unfold|all|--every|wait"},
    {"play|--tempo|60", "tempo", "play|--tempo|60|--every|8beats"},
    {"play|ear|--tempo|60", "tempo", "play|ear|--tempo|60|--lead-in|4beats"},
    {"play|--tempo|60|--restrike|4beats|--drone|off", "tempo", NULL},
    {"play|--meter|3", "meter", "play|--meter|3|--every|6beats|--tempo|60"},
    {"play|--meter|3|--tempo|60|--lead-in|3beats", "meter",
     "play|--meter|3|--tempo|60|--tick|on|--lead-in|3beats"},
    {"play|roam|--meter|3", "meter", NULL},
    {"play|--restrike|4s", "restrike", "play|--restrike|4s|--drone|struck"},
    {"play|--restrike|4s|--drone|off", "restrike", NULL},
    {"play|--spread|wide|--held|C3 E3 G#3", "spread", "play|--spread|wide|--held|C E G#"},
    {"play|--spread|wide|--from|D3 G3 C4 E4 G#4 C#5", "spread", NULL},
    {"play|--spread|wide|--cue|reverse", "spread", NULL},
    {"play|--patch|stopped-pipe|--drone|off", "patch", "play|--patch|stopped-pipe"},
    {"play|--cue-patch|plucked-nylon|--cue|silent", "cue-patch", "play|--cue-patch|plucked-nylon"},
    {"play|roam|--cue-patch|plucked-nylon|--cue|silent", "cue-patch", NULL},
    {"play|--hand|guitar|--voicing|close", "voicing", "play|--hand|keys|--voicing|close"},
    {"play|--hand|guitar|--order|grip|--held|C E G#|--register|below", "register", NULL},
    {"play|--hand|guitar|--order|grip|--held|C E G#|--leap|40", "leap", NULL},
    {"play|--from|C E G# C# D G|--to|C E G# F F# B|--order|near", "order", NULL},
    {"play|--from|C E G# C# D G|--to|C E G# F F# B|--rounds|3", "rounds", NULL},
    {"play|--from|C E G# C# D G|--to|C E G# F F# B|--hand|guitar", "hand", NULL},
    {"play|--from|C E G# C# D G|--share|4", "share",
     "play|--from|C E G# C# D G|--share|4|--to|C E G# F F# B"},
    {"play|warmup|--day|2026-11-25|--kind|1", "day", "play|warmup|--day|2026-11-25"},
    {"play|--as-written", "as-written", "play|--as-written|--held|C4 E4 G#4"},
    {"play|--why|--held|C E G#", "why", "play|--why|--held|C E G#|--order|weak"},
    {"play|--theme|light|--plain", "theme", "play|--theme|light"},
    {"render|--bits|16|--times|@t.csv", "bits", NULL},
    {"render|--stills-as|png|--times|@t.csv", "stills-as", NULL},
};

static int begin(void **state)
{
    if (scratch_make(state) != 0)
        return -1;
    setenv("HOME", scratch_directory, 1);
    setenv("XDG_STATE_HOME", scratch("state"), 1);
    setenv("XDG_CONFIG_HOME", scratch("config"), 1);
    return 0;
}

static int end(void **state)
{
    unlink(scratch("config/holdfast/sessions/mine.ini"));
    rmdir(scratch("config/holdfast/sessions"));
    rmdir(scratch("config/holdfast"));
    return scratch_remove(state);
}

/* In the scratch directory for '@', and dry where it would sound. */
static int run_line(const char *line, bool with)
{
    char full[512], *at;
    snprintf(full, sizeof full, "%s%s", line,
             with                              ? "|--dry-run|--seed|1"
             : strncmp(line, "replay", 6) == 0 ? ""
                                               : "|--seed|1");
    while ((at = strchr(full, '@'))) {
        char rest[256];
        snprintf(rest, sizeof rest, "%s", at + 1);
        snprintf(at, sizeof full - (size_t)(at - full), "%s/%s", scratch_directory, rest);
    }
    return run_with(full, "", 0);
}

static void what_changes_nothing_is_refused_with_the_cure(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char option[32], *newline;
        bool plays = strncmp(rows[i].line, "play", 4) == 0;
        snprintf(option, sizeof option, "--%s ", rows[i].option);
        int status = run_line(rows[i].line, plays);
        if (status != USAGE || strncmp(errors, "holdfast: ", 10) != 0 ||
            strncmp(errors + 10, option, strlen(option)) != 0)
            fail_msg("%s: status %d: %s", rows[i].line, status, errors);
        newline = strchr(errors, '\n');
        if (!newline || !strstr(newline, "leave"))
            fail_msg("%s: no cure: %s", rows[i].line, errors);
    }
}

static void with_the_cure_it_goes(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (rows[i].cured && run_line(rows[i].cured, true) != 0)
            fail_msg("%s: %s", rows[i].cured, errors);
}

/* A word that says what is so anyway is no mistake. */
static void the_default_in_words_is_no_mistake(void **state)
{
    (void)state;
    static const char *const lines[] = {
        "play|--spread|close|--held|C3 E3 G#3", "play|--hand|guitar|--voicing|any",
        "play|--support|full|--tick|off",       "play|--drone|sustained|--order|shuffle",
        "play|hunt|--as-written|--drone|off",
    };
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++)
        if (run_line(lines[i], true) != 0)
            fail_msg("%s: %s", lines[i], errors);
}

static void a_kept_session_may_have_more_than_is_used(void **state)
{
    (void)state;
    assert_int_equal(
        run_line("play|--drone|struck|--restrike|4s|--unfold|3-5|--step|9s|--save|mine", false), 0);
    assert_int_equal(run_line("play|mine|--drone|off", true), 0);
    assert_int_equal(run_line("play|mine|--every|wait", true), 0);
    /* and what is said beside its name may need what it has */
    assert_int_equal(run_line("play|mine|--restrike|5s|--step|10s", true), 0);
    assert_int_equal(run_line("play|mine|--meter|3", true), USAGE);
    /* of several each takes what it can use */
    assert_int_equal(run_line("play|mine|improvise|--step|10s", true), 0);
}

/* The head of a journal has everything that holds, used or not. */
static void a_journal_has_it_all_and_replays(void **state)
{
    (void)state;
    char line[256];
    snprintf(line, sizeof line, "render|--dry-run|--rounds|1|--seed|3|--journal|%s",
             scratch("all.jsonl"));
    assert_int_equal(run_with(line, "", 0), 0);
    snprintf(line, sizeof line, "replay|--dry-run|%s", scratch("all.jsonl"));
    assert_int_equal(run_with(line, "", 0), 0);
}

/* render has no --output of its own, so that it means the file, as anybody would think. */
static void an_output_is_no_file_and_a_file_no_output(void **state)
{
    (void)state;
    assert_int_equal(run_line("render|--dry-run|--rounds|1|--every|1s|--journal|@a.jsonl", false),
                     0);
    assert_int_equal(run_line("replay|@a.jsonl|--times|@a.csv|--latency|20", false), USAGE);
    assert_non_null(strstr(errors, "--latency changes nothing"));
    assert_int_equal(run_line("replay|@a.jsonl|--output|@a.wav", false), USAGE);
    assert_non_null(strstr(errors, "-o "));
    assert_int_equal(run_line("replay|@a.jsonl|-o|@a.wav|--output|x", false), USAGE);
    assert_non_null(strstr(errors, "--output changes nothing"));
    assert_int_equal(run_line("render|--rounds|1|--every|0.1s|--lead-in|0|--output|@a.wav", false),
                     0);
    assert_int_equal(access(scratch("a.wav"), F_OK), 0);
    assert_int_equal(run_line("render|--rounds|1|--output|mine", false), USAGE);
}

static void a_list_without_its_quotes_is_written_out_with_them(void **state)
{
    (void)state;
    static const char *const lines[] = {"play|--held|C|E|G#", "play|hunt|--held|C|E|G#",
                                        "play|C|E|G#", "render|--held|C|E|G#",
                                        "sheet|--held|C|E|G#|-o|@a.html"};
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        assert_int_equal(run_line(lines[i], false), USAGE);
        if (!strstr(errors, "--held \"C E G#\""))
            fail_msg("%s: %s", lines[i], errors);
    }
}

static void a_replay_knows_nothing_of_choosing(void **state)
{
    (void)state;
    assert_int_equal(run_with("replay|--why|x.jsonl", "", 0), USAGE);
    assert_int_equal(run_with("replay|--tell|x.jsonl", "", 0), USAGE);
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
    const struct CMUnitTest tests[] = {
        TEST(what_changes_nothing_is_refused_with_the_cure),
        TEST(with_the_cure_it_goes),
        TEST(the_default_in_words_is_no_mistake),
        TEST(a_kept_session_may_have_more_than_is_used),
        TEST(a_journal_has_it_all_and_replays),
        TEST(an_output_is_no_file_and_a_file_no_output),
        TEST(a_list_without_its_quotes_is_written_out_with_them),
        TEST(a_replay_knows_nothing_of_choosing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
