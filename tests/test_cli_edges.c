/* SPDX-License-Identifier: MIT */
/*
 * Where commands meet what is there already or not there: no home, a record of that name, a journal
 * that is being played, a file of chords with a mistake, more cues than two digits number. Statuses
 * are derived from the interface contract, times from the keys.
 */
#define _XOPEN_SOURCE 700
#define _DEFAULT_SOURCE /* flock */

#include <sys/file.h>
#include <time.h>

#include "haste.h"

#include "forge.h"

enum { USAGE = 64, DATA = 65, INPUT = 66, CREATE = 73 };

#define HERE TRIAD, SHORT, "--plain"

/* ---- places ---------------------------------------------------------------------------------- */

static void without_a_home_there_is_a_word(void **state)
{
    (void)state;
    press("");
    run_with.homeless = true;
    run("play", HERE, NULL);
    assert_refused(CREATE, "no place for the journal: neither HOME nor XDG_STATE_HOME is set");
    run_with.homeless = true;
    assert_int_equal(play("", HERE), 0); /* a journal that is named needs none */
    LINES("Today:  0:24 of sound in 1 session;");
    run_with.homeless = true;
    run("play", HERE, "--save", "mine", NULL);
    assert_refused(CREATE, "neither HOME nor XDG_CONFIG_HOME is set");
    run_with.homeless = true;
    run("review", NULL);
    assert_refused(INPUT, "no place for journals: neither HOME nor XDG_STATE_HOME is set");
    run_with.homeless = true;
    run("play", "--resume", NULL);
    assert_refused(USAGE, "no session has ended early that could be continued");
    run_with.homeless = true;
    run("patches", "flute", NULL); /* those that ship are there all the same */
    assert_ran();
}

static void a_record_is_never_written_over(void **state)
{
    (void)state;
    assert_int_equal(play("2 q\n", HERE), 0);
    size_t size = 0, now = 0;
    free(scratch_read("j.jsonl", &size));
    run("play", HERE, JOURNAL, NULL);
    assert_refused(CREATE, "is there already, and a record is not written over");
    free(scratch_read("j.jsonl", &now));
    assert_int_equal(now, size);
    run("play", HERE, "--journal", scratch("none/j.jsonl"), NULL);
    assert_refused(CREATE, "cannot create");
    scratch_write("file", "", 0);
    run("play", HERE, "--journal", scratch("file/j.jsonl"), NULL);
    assert_refused(CREATE, "cannot create");
}

/* Sessions that begin in one second: names that another has taken are passed over. */
static void each_session_has_a_record_of_its_own(void **state)
{
    (void)state;
    char directory[128], name[128], taken[160];
    snprintf(directory, sizeof directory, "%s", scratch("state"));
    mkdir(directory, 0700);
    snprintf(directory, sizeof directory, "%s", scratch("state/holdfast"));
    mkdir(directory, 0700);
    time_t now = time(NULL);
    for (int i = 0; i < 20; i++) { /* whenever it is that the program looks at the clock */
        time_t then = now + i;
        struct tm local;
        localtime_r(&then, &local);
        strftime(name, sizeof name, "state/holdfast/%Y-%m-%d-%H%M%S", &local);
        for (int number = 1; number <= 2; number++) {
            snprintf(taken, sizeof taken, number > 1 ? "%s-2.jsonl" : "%s.jsonl", name);
            scratch_write(taken, "", 0);
        }
    }
    press("2 q\n");
    run("play", HERE, NULL);
    assert_ran();
    LINES("Record: */state/holdfast/2*-3.jsonl", "Today:  0:0* in 1 session;");
    DIR *listed = opendir(directory);
    for (struct dirent *entry; (entry = readdir(listed));) {
        snprintf(taken, sizeof taken, "state/holdfast/%.99s", entry->d_name);
        remove(scratch(taken));
    }
    closedir(listed);
    rmdir(directory);
}

/* ---- going on -------------------------------------------------------------------------------- */

static void a_session_that_plays_can_not_be_gone_on_with(void **state)
{
    (void)state;
    assert_int_equal(play("5 q\n", HERE), 0);
    int held = open(scratch("j.jsonl"), O_RDONLY);
    assert_int_equal(flock(held, LOCK_EX), 0); /* as the player's own program has it */
    run("play", "--resume", scratch("j.jsonl"), NULL);
    assert_refused(USAGE, "is still playing");
    close(held);
}

static void ear_training_goes_on_at_the_level_that_was_reached(void **state)
{
    (void)state;
    assert_int_equal(
        play("2 1\n5 2\n8 2\n11 1\n14 1\n17 2\n20 1\n23 2\n26 2\n29 1\n32 1\n35 2\n39 q\n", "ear",
             TRIAD, "--order", "listed", SHORT, "--plain", "--rounds", "3"),
        0);
    press("5 q\n");
    rename(scratch("j.jsonl"), scratch("old.jsonl"));
    run("play", "--resume", scratch("old.jsonl"), "--plain", JOURNAL, NULL);
    assert_ran();
    LINES("Goes on: *old.jsonl, after 12 whole cues; the rest is drawn anew", "        Level 2: *",
          "  0:01  1 of 6  listen ");
    assert_replays();
}

static void whole_cues_are_counted_when_it_goes_on(void **state)
{
    (void)state;
    static const struct {
        const char *practice, *keys, *says;
    } rows[] = {{"ear", "2 q\n", "Goes on: *old.jsonl, after 0 whole cues"},
                {"improvise", "5 q\n", "Goes on: *old.jsonl, after 1 whole cue"},
                {"improvise", "8 q\n", "Goes on: *old.jsonl, after 2 whole cues"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_int_equal(play(rows[i].keys, rows[i].practice, HERE), 0);
        rename(scratch("j.jsonl"), scratch("old.jsonl"));
        press("2 q\n");
        run("play", "--resume", scratch("old.jsonl"), "--plain", JOURNAL, NULL);
        assert_ran();
        LINES(rows[i].says);
        assert_replays();
    }
}

static void what_a_player_chose_goes_on_without_a_count(void **state)
{
    (void)state;
    static const char *const practices[] = {"roam", "hunt"};
    for (int i = 0; i < 2; i++) {
        assert_int_equal(play(i ? "2 C# D G\\r\n5 q\n" : "2 1\n5 q\n", practices[i], TRIAD,
                              "--seed", "1", "--rate", "8000", "--plain"),
                         0);
        rename(scratch("j.jsonl"), scratch("old.jsonl"));
        press("2 q\n");
        run("play", "--resume", scratch("old.jsonl"), "--plain", JOURNAL, NULL);
        assert_ran();
        LINES("Goes on: *old.jsonl");
        assert_replays();
    }
}

/* ---- chords of one's own --------------------------------------------------------------------- */

static void chords(const char *text)
{
    scratch_write("chords", text, strlen(text));
    press("2 n\n12 q\n");
    remove(scratch("j.jsonl"));
    run("play", "sight", "--chords", scratch("chords"), "--every", "10s", "--lead-in", "1s",
        "--seed", "3", "--rate", "8000", "--plain", JOURNAL, NULL);
}

static void sight_asks_for_chords_of_a_file(void **state)
{
    (void)state;
    chords("C E G# C# D G\n0 1 2 3 4 5\n");
    assert_ran();
    LINES("Chord: six notes; is it 6-Z17, and which three are the 016?  (chords of your own)",
          "  0:01  1 of *  look   1 *");
    assert_replays();
    chords("C E G# C# D G\nC E G#\n");
    assert_refused(DATA, ", line 2: ");
    chords("");
    assert_refused(DATA, "chords");
    run("play", "sight", "--chords", scratch("none"), NULL);
    assert_refused(INPUT, "cannot read");
}

/* ---- options of a chord from a score --------------------------------------------------------- */

static void what_goes_with_a_chord_alone_is_refused_without_one(void **state)
{
    (void)state;
    static const struct {
        const char *name, *text, *says;
    } rows[] = {{"--split", "0", "split \"0\" is not a whole number from 1 to"},
                {"--share", "6", "share \"6\" is not 3, 4 or 5"},
                {"--result", "6-99", "6-99"},
                {"--latency", "0", "latency"},
                {"--split", "1", "--from"},
                {"--share", "4", "--from"},
                {"--result", "6-Z17", "--from"}};
    press("");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        run("play", HERE, rows[i].name, rows[i].text, NULL);
        assert_refused(USAGE, rows[i].says);
    }
    run("play", TRIAD, "--from", "C3 E3 G#3 C#4 D4 G4", NULL);
    assert_refused(USAGE, "--from says what is held: leave out --held");
    run("play", "--from", "C3 H3", NULL);
    assert_refused(USAGE, "H3");
}

static void practices_that_are_none_may_be_notes(void **state)
{
    (void)state;
    press("");
    run("play", "C", "E", "G#", NULL);
    assert_refused(USAGE, "\"C\" is neither a practice nor a session kept with --save");
    assert_non_null(strstr(ran.err, "to hold these notes: --held \"C E G#\""));
    run("play", "CEG", NULL);
    assert_true(ran.status == USAGE);
    run("render", "C", "E", "G#", "-o", scratch("a.wav"), NULL);
    assert_true(ran.status == USAGE);
    assert_non_null(strstr(ran.err, "--held \"C E G#\""));
}

/* ---- files to take away ---------------------------------------------------------------------- */

static void marks_are_in_the_table_of_a_replay(void **state)
{
    (void)state;
    assert_int_equal(play("3 g\n6 m\n9 q\n", HERE), 0);
    run("replay", scratch("j.jsonl"), "--times", scratch("times.csv"), NULL);
    assert_ran();
    size_t size = 0;
    char *table = (char *)scratch_read("times.csv", &size);
    assert_non_null(strstr(table, ",got"));
    assert_non_null(strstr(table, ",missed"));
    free(table);
}

static void tracks_are_numbered_by_as_many_digits_as_it_takes(void **state)
{
    (void)state;
    char path[128];
    run("render", TRIAD, "--every", "0.1s", "--lead-in", "0", "--rounds", "17", "--order", "listed",
        "--rate", "8000", "--seed", "1", "--stills", scratch("stills"), NULL);
    assert_ran();
    LINES("Wrote 102 stills in *");
    int count = 0;
    DIR *listed = opendir(scratch("stills"));
    for (struct dirent *entry; (entry = readdir(listed));) {
        count += strlen(entry->d_name) > 7 && entry->d_name[3] == '-';
        snprintf(path, sizeof path, "stills/%.99s", entry->d_name);
        remove(scratch(path));
    }
    closedir(listed);
    assert_int_equal(count, 102); /* 001-Csharp-D-G.svg and so on */
    run("render", TRIAD, SHORT, "--tracks", scratch("stills"), NULL);
    assert_ran(); /* without a sound file they are of the first format */
    LINES("Wrote 6 tracks in *");
    listed = opendir(scratch("stills"));
    for (struct dirent *entry; (entry = readdir(listed));) {
        if (entry->d_name[0] == '.')
            continue;
        assert_non_null(strstr(entry->d_name, ".wav"));
        snprintf(path, sizeof path, "stills/%.99s", entry->d_name);
        remove(scratch(path));
    }
    closedir(listed);
    run("render", TRIAD, SHORT, "--stills", scratch("stills"), "--stills-as", "gif", NULL);
    assert_refused(USAGE, "stills-as \"gif\" is not svg or png");
}

/* ---- pages of what was chosen ---------------------------------------------------------------- */

static void a_page_of_a_recorded_choice_has_all_to_choose_from(void **state)
{
    (void)state;
    static const char *const practices[] = {"roam", "hunt"};
    for (int i = 0; i < 2; i++) {
        size_t size = 0;
        assert_int_equal(play(i ? "2 C# D G\\r\n5 q\n" : "2 1\n5 q\n", practices[i], TRIAD,
                              "--seed", "1", "--rate", "8000", "--plain"),
                         0);
        run("sheet", "--synth", "--journal", scratch("j.jsonl"), "-o", scratch("p.htm"), NULL);
        assert_ran();
        free(scratch_read("p.htm", &size));
        assert_true(size > 10000);
        run("sheet", "--synth", practices[i], TRIAD, "--seed", "1", "--rate", "8000", "-o",
            scratch("q.html"), NULL);
        assert_ran();
        remove(scratch("p.htm"));
        remove(scratch("q.html"));
    }
    /* an instrument of the player's own that is not here any more: what was chosen can't be again
     */
    struct forge forge;
    assert_int_equal(play("2 1\n5 q\n", "roam", TRIAD, "--hand", "guitar", "--seed", "1", "--rate",
                          "8000", "--plain"),
                     0);
    run("sheet", "--synth", "--journal", scratch("j.jsonl"), "-o", scratch("p.html"), NULL);
    assert_ran();
    remove(scratch("p.html"));
    forge = forge_read("j.jsonl");
    forge_change(&forge, 0, "\"hand\":\"guitar\"", "\"hand\":\"lyre\"");
    forge_write(&forge, "lyre.jsonl");
    forge_free(&forge);
    run("sheet", "--synth", "--journal", scratch("lyre.jsonl"), "-o", scratch("p.html"), NULL);
    assert_refused(INPUT, "the journal's instrument lyre is not here");
    run("sheet", "roam", "--journal", scratch("j.jsonl"), "-o", scratch("p.html"), NULL);
    assert_refused(USAGE, "leave out the practice roam");
    run("sheet", "--every", "3s", "--journal", scratch("j.jsonl"), "-o", scratch("p.html"), NULL);
    assert_refused(USAGE, "leave out --every");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_a_home_there_is_a_word),
        cmocka_unit_test(a_record_is_never_written_over),
        cmocka_unit_test(each_session_has_a_record_of_its_own),
        cmocka_unit_test(a_session_that_plays_can_not_be_gone_on_with),
        cmocka_unit_test(ear_training_goes_on_at_the_level_that_was_reached),
        cmocka_unit_test(whole_cues_are_counted_when_it_goes_on),
        cmocka_unit_test(what_a_player_chose_goes_on_without_a_count),
        cmocka_unit_test(sight_asks_for_chords_of_a_file),
        cmocka_unit_test(what_goes_with_a_chord_alone_is_refused_without_one),
        cmocka_unit_test(practices_that_are_none_may_be_notes),
        cmocka_unit_test(marks_are_in_the_table_of_a_replay),
        cmocka_unit_test(tracks_are_numbered_by_as_many_digits_as_it_takes),
        cmocka_unit_test(a_page_of_a_recorded_choice_has_all_to_choose_from),
    };
    return cmocka_run_group_tests(tests, haste_begin, scratch_remove);
}
