/* SPDX-License-Identifier: MIT */
/* Journals that are torn, damaged, incomplete, of another version, or none at all, through the
 * program. published: the interface contract's section on the journal and its exit statuses. */
#define _XOPEN_SOURCE 700
#define _DEFAULT_SOURCE /* flock */

#include <stdio.h>
#include <sys/file.h>
#include <sys/stat.h>

#include "run.h"

#include "forge.h"

enum { DATA = 65, INPUT = 66 };

/* session, hold, six cues, end */
enum { SESSION, HOLD, CUE_1, CUE_6 = 7, END, LINES };

static void make_journal(void)
{
    run("render", "--held", "C E G#", "--every", "0.5s", "--lead-in", "0.5s", "--rounds", "1",
        "--seed", "1", "--rate", "8000", "--dry-run", "--journal", scratch("j.jsonl"), NULL);
    assert_ran();
}

static int dry(const char *name)
{
    return run("replay", scratch(name), "--dry-run", NULL);
}

static int to_file(const char *name)
{
    return run("replay", scratch(name), "-o", scratch("out.wav"), NULL);
}

/* Refused alike, printed or sounded, and no file comes of it. */
static void assert_bad(const char *name, int status, const char *says)
{
    dry(name);
    assert_refused(status, says);
    to_file(name);
    assert_refused(status, says);
    assert_int_equal(scratch_count("out.wav"), 0);
}

static void a_whole_journal_replays_and_says_nothing_on_stderr(void **state)
{
    (void)state;
    make_journal();
    dry("j.jsonl");
    assert_ran();
    to_file("j.jsonl");
    assert_ran();
}

static void an_empty_journal_is_told(void **state)
{
    (void)state;
    scratch_write("j.jsonl", "", 0);
    assert_bad("j.jsonl", DATA, "the journal is empty");
}

static void what_is_no_journal_is_told(void **state)
{
    (void)state;
    static const char *const texts[] = {"\n", "\n\n\n", "x", "{}\n", "RIFF....WAVE", "\xff\xfe\n"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        scratch_write("j.jsonl", texts[i], strlen(texts[i]));
        assert_bad("j.jsonl", DATA, "this is no journal");
    }
    scratch_write("j.jsonl", "\0\0\0\n", 4);
    assert_bad("j.jsonl", DATA, "this is no journal");
}

static void what_is_no_regular_file_is_told_and_not_waited_for(void **state)
{
    (void)state;
    assert_int_equal(mkfifo(scratch("fifo"), 0600), 0);
    assert_int_equal(mkdir(scratch("directory"), 0700), 0);
    assert_int_equal(symlink("fifo", scratch("link")), 0);
    assert_int_equal(symlink("/dev/zero", scratch("zero")), 0);
    static const char *const names[] = {"fifo", "directory", "link", "zero"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        assert_bad(names[i], DATA, "no regular file");
    assert_int_equal(symlink("loop", scratch("loop")), 0);
    assert_bad("loop", INPUT, "cannot read");
    assert_bad("missing", INPUT, "No such file");
    assert_bad("fifo/x", INPUT, "Not a directory");
}

/* One wrong byte in each record in turn, in its middle. */
static void damage_names_the_record(void **state)
{
    (void)state;
    make_journal();
    size_t length = 0;
    char *text = (char *)scratch_read("j.jsonl", &length);
    int record = 0;
    for (char *at = text, *end; (end = strchr(at, '\n')); at = end + 1, record++) {
        char *middle = at + (end - at) / 2, was = *middle, says[80];
        *middle = was == 'x' ? 'y' : 'x';
        scratch_write("bad.jsonl", text, length);
        *middle = was;
        if (record == END) { /* as good as torn */
            assert_int_equal(dry("bad.jsonl"), 0);
            continue;
        }
        snprintf(says, sizeof says, "record %d of the journal is damaged", record);
        assert_bad("bad.jsonl", DATA,
                   record == SESSION ? "this is no journal: its first record is not whole" : says);
    }
    assert_int_equal(record, LINES);
    free(text);
}

static void a_missing_record_is_told(void **state)
{
    (void)state;
    make_journal();
    size_t length = 0;
    char *text = (char *)scratch_read("j.jsonl", &length);
    for (int missing = HOLD; missing < END; missing++) {
        char says[80], *at = text;
        for (int i = 0; i < missing; i++)
            at = strchr(at, '\n') + 1;
        char *after = strchr(at, '\n') + 1;
        FILE *file = fopen(scratch("bad.jsonl"), "wb");
        assert_non_null(file);
        fwrite(text, 1, (size_t)(at - text), file);
        fputs(after, file);
        assert_int_equal(fclose(file), 0);
        snprintf(says, sizeof says, "record %d of the journal is missing", missing);
        assert_bad("bad.jsonl", DATA, says);
    }
    free(text);
}

static void a_journal_of_a_newer_version_is_told(void **state)
{
    (void)state;
    make_journal();
    struct forge forge = forge_read("j.jsonl");
    forge_change(&forge, SESSION, "\"holdfast\":1", "\"holdfast\":2");
    forge_write(&forge, "new.jsonl");
    forge_free(&forge);
    assert_bad("new.jsonl", DATA, "newer version (2; this program reads 1)");
}

/* At every byte of the last two lines: up to a whole line nothing is said; after a torn one, that
 * it is left out. Either way the rest replays. */
static void a_last_line_torn_at_any_byte_is_told_and_the_rest_replays(void **state)
{
    (void)state;
    make_journal();
    size_t length = 0;
    char *text = (char *)scratch_read("j.jsonl", &length);
    char *last = text;
    for (int i = 0; i < CUE_6; i++)
        last = strchr(last, '\n') + 1;
    for (size_t cut = (size_t)(last - text); cut <= length; cut++) {
        bool whole = text[cut - 1] == '\n';
        scratch_write("torn.jsonl", text, cut);
        dry("torn.jsonl");
        if (ran.status != 0 || (whole && ran.err[0]) ||
            (!whole && run_fault(0, "the last record of the journal is not whole")))
            fail_msg("cut at %zu of %zu: status %d, %s", cut, length, ran.status, ran.err);
        assert_non_null(strstr(ran.out, "then a fade of 5 s"));
        size_t now = 0;
        free(scratch_read("torn.jsonl", &now));
        assert_int_equal(now, cut); /* reading changes nothing */
    }
    scratch_write("torn.jsonl", text, length - 1);
    assert_int_equal(to_file("torn.jsonl"), 0);
    assert_null(run_fault(0, "not whole"));
    free(text);
}

/* The contract puts the session, the hold and the first cue on the disk before any sound: a journal
 * torn before that is none. */
static void a_journal_torn_in_its_first_lines_is_told(void **state)
{
    (void)state;
    make_journal();
    size_t length = 0;
    char *text = (char *)scratch_read("j.jsonl", &length);
    size_t first = (size_t)(strchr(text, '\n') - text), second = first + 1;
    second += strcspn(text + second, "\n");
    for (size_t cut = 1; cut <= second; cut += cut < first - 2 || cut > first + 2 ? 7 : 1) {
        scratch_write("torn.jsonl", text, cut);
        assert_bad("torn.jsonl", DATA,
                   cut <= first ? "the journal was cut off in its first record" : "no hold record");
    }
    free(text);
}

/* derived: held alone, then the fade of 5 s: 40000 samples; and up to the end of each whole cue. */
static void without_an_end_it_replays_what_was_written(void **state)
{
    (void)state;
    make_journal();
    struct forge forge = forge_read("j.jsonl");
    for (int count = END; count > HOLD; count--) {
        while (forge.count > count)
            forge_remove(&forge, forge.count - 1);
        forge_write(&forge, "cut.jsonl");
        to_file("cut.jsonl");
        assert_ran();
        int cues = count - CUE_1;
        long frames = (cues > 0 ? 4000 + 4000 * cues : 0) + 40000;
        assert_int_equal(frames_of(scratch("out.wav")), frames);
    }
    forge_free(&forge);
}

static void types_that_are_not_known_are_skipped(void **state)
{
    (void)state;
    make_journal();
    to_file("j.jsonl");
    size_t length = 0, other = 0;
    unsigned char *sound = scratch_read("out.wav", &length);
    struct forge forge = forge_read("j.jsonl");
    forge_insert(&forge, CUE_1 + 2, "\"t\":\"never\",\"at\":640,\"db\":-3");
    forge_insert(&forge, CUE_1 + 1, "\"t\":\"once\",\"at\":5");
    forge_insert(&forge, CUE_1, "\"t\":\"of-the-future\",\"at\":99999999,\"x\":{\"y\":[null,1.5]}");
    forge_change(&forge, CUE_1 + 1, "\"id\":", "\"new\":[],\"id\":");
    forge_write(&forge, "new.jsonl");
    forge_free(&forge);
    to_file("new.jsonl");
    assert_ran();
    unsigned char *again = scratch_read("out.wav", &other);
    assert_int_equal(length, other);
    assert_memory_equal(sound, again, length);
    free(sound);
    free(again);
}

/* A journal tells what was heard: the patches of today, the player's own, have no part in it. */
static void it_needs_no_patch_file(void **state)
{
    (void)state;
    const char patch[] = "[patch]\nkind = drone\nabout = mine\n[partials]\ncount = 1\n";
    scratch_write("mine.ini", patch, sizeof patch - 1);
    run("render", "--seed", "1", "--every", "0.5s", "--lead-in", "0", "--rounds", "1", "--rate",
        "8000", "--patch", scratch("mine.ini"), "-o", scratch("a.wav"), "--journal",
        scratch("j.jsonl"), NULL);
    assert_ran();
    assert_int_equal(remove(scratch("mine.ini")), 0);
    to_file("j.jsonl");
    assert_ran();
    size_t length = 0, other = 0;
    unsigned char *a = scratch_read("a.wav", &length), *b = scratch_read("out.wav", &other);
    assert_int_equal(length, other);
    assert_memory_equal(a, b, length);
    free(a);
    free(b);
}

/* One wrong byte in each record in turn: what is said without --salvage, and with it. What comes
 * after the record that is left out may need it; here only a cue's mark would. */
static void a_damaged_record_is_passed_over_on_request(void **state)
{
    (void)state;
    make_journal();
    size_t length = 0;
    char *text = (char *)scratch_read("j.jsonl", &length), *at = text;
    for (int record = 0; record < END; record++, at = strchr(at, '\n') + 1) {
        at[9] ^= 1;
        scratch_write("bad.jsonl", text, length);
        at[9] ^= 1;
        dry("bad.jsonl");
        assert_int_equal(ran.status, DATA);
        assert_true((strstr(ran.err, "--salvage") != NULL) == (record != SESSION));
        run("replay", scratch("bad.jsonl"), "--dry-run", "--salvage", NULL);
        if (record < CUE_1) { /* nothing to stand on */
            assert_int_equal(ran.status, DATA);
            continue;
        }
        assert_warned("1 record of the journal is left out");
        run("replay", scratch("bad.jsonl"), "--salvage", "-o", scratch("out.wav"), NULL);
        assert_warned("1 record of the journal is left out");
        assert_int_equal(frames_of(scratch("out.wav")), 28000 + 40000); /* as it was */
    }
    free(text);
}

/* Lines that are gone, two that grew together, one twice: counted by their numbers. */
static void records_that_are_missing_are_counted(void **state)
{
    (void)state;
    make_journal();
    struct forge forge = forge_read("j.jsonl");
    forge_write(&forge, "j.jsonl");
    size_t length = 0;
    char *text = (char *)scratch_read("j.jsonl", &length), *line[LINES + 1] = {text};
    for (int i = 1; i <= LINES; i++)
        line[i] = strchr(line[i - 1], '\n') + 1;
    static const struct {
        int from, to; /* lines that are taken away */
        const char *says;
    } rows[] = {{2, 3, "1 record of"}, {2, 4, "2 records of"}, {3, 8, "5 records of"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        FILE *file = fopen(scratch("bad.jsonl"), "wb");
        assert_non_null(file);
        fwrite(text, 1, (size_t)(line[rows[i].from] - text), file);
        fputs(line[rows[i].to], file);
        assert_int_equal(fclose(file), 0);
        run("replay", scratch("bad.jsonl"), "--dry-run", "--salvage", NULL);
        assert_warned(rows[i].says);
    }
    line[4][-1] = ' '; /* no end of a line any more */
    scratch_write("bad.jsonl", text, length);
    run("replay", scratch("bad.jsonl"), "--dry-run", "--salvage", NULL);
    assert_warned("2 records of");
    line[4][-1] = '\n';
    FILE *file = fopen(scratch("bad.jsonl"), "wb");
    assert_non_null(file);
    fwrite(text, 1, (size_t)(line[4] - text), file);
    fputs(line[3], file);
    assert_int_equal(fclose(file), 0);
    run("replay", scratch("bad.jsonl"), "--dry-run", "--salvage", NULL);
    assert_warned("1 record of");
    forge_free(&forge);
    free(text);
}

static void of_a_sound_journal_nothing_is_left_out(void **state)
{
    (void)state;
    make_journal();
    dry("j.jsonl");
    char *plain = strdup(ran.out);
    run("replay", scratch("j.jsonl"), "--dry-run", "--salvage", NULL);
    assert_ran();
    assert_string_equal(ran.out, plain);
    free(plain);
}

static void a_journal_that_a_session_writes_is_not_written_over(void **state)
{
    (void)state;
    make_journal();
    size_t length = 0, after = 0;
    free(scratch_read("j.jsonl", &length));
    int held = open(scratch("j.jsonl"), O_RDWR);
    assert_int_equal(flock(held, LOCK_EX), 0);
    run("render", "--dry-run", "--rounds", "2", "--journal", scratch("j.jsonl"), NULL);
    assert_refused(73, "a running session has it open");
    close(held);
    free(scratch_read("j.jsonl", &after));
    assert_int_equal(length, after);
    run("render", "--dry-run", "--rounds", "2", "--journal", scratch("j.jsonl"), NULL);
    assert_ran();
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, scratch_make, scratch_remove)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_whole_journal_replays_and_says_nothing_on_stderr),
        TEST(an_empty_journal_is_told),
        TEST(what_is_no_journal_is_told),
        TEST(what_is_no_regular_file_is_told_and_not_waited_for),
        TEST(damage_names_the_record),
        TEST(a_missing_record_is_told),
        TEST(a_journal_of_a_newer_version_is_told),
        TEST(a_last_line_torn_at_any_byte_is_told_and_the_rest_replays),
        TEST(a_journal_torn_in_its_first_lines_is_told),
        TEST(without_an_end_it_replays_what_was_written),
        TEST(types_that_are_not_known_are_skipped),
        TEST(it_needs_no_patch_file),
        TEST(a_damaged_record_is_passed_over_on_request),
        TEST(records_that_are_missing_are_counted),
        TEST(of_a_sound_journal_nothing_is_left_out),
        TEST(a_journal_that_a_session_writes_is_not_written_over),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
