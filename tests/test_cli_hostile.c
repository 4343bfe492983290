/* SPDX-License-Identifier: MIT */
/* Journals made up to do harm, with check sums that are right: each is refused in one sentence with
 * status 65 (published: the interface contract), never a crash, a hang, or a disk or memory that
 * fills. Limits stand around each run: of time (tests/run.h), memory and the size of files. */
#define _XOPEN_SOURCE 700

#include <stdio.h>

#include "run.h"

#include "forge.h"

enum { DATA = 65, MIB = 1 << 20 };

/* session, hold, six cues of 4000 samples from 4000 on, end at 28000. A pause fades for 2432
 * samples (derived: 300 ms of 8000 Hz, up to a multiple of 64). */
enum { SESSION, HOLD, CUE_1, CUE_2, CUE_3, END = 8 };

static struct forge forge;

static int begin(void **state)
{
    if (scratch_make(state) != 0)
        return -1;
    run("render", "--held", "C E G#", "--every", "0.5s", "--lead-in", "0.5s", "--rounds", "1",
        "--seed", "1", "--rate", "8000", "--dry-run", "--journal", scratch("good.jsonl"), NULL);
    assert_ran();
    forge = forge_read("good.jsonl");
    return 0;
}

static int end(void **state)
{
    forge_free(&forge);
    return scratch_remove(state);
}

static void limit(void)
{
    run_with.memory_bytes = (rlim_t)2048 * MIB;
    run_with.file_bytes = 64 * MIB;
}

static int dry(void)
{
    limit();
    return run("replay", scratch("bad.jsonl"), "--dry-run", NULL);
}

static int to_file(const char *rate)
{
    limit();
    return run("replay", scratch("bad.jsonl"), "-o", scratch("out.wav"), "--rate", rate, NULL);
}

/* Refused, however it is replayed. */
static void assert_hostile(const char *says)
{
    dry();
    assert_refused(DATA, says);
    to_file("8000");
    assert_refused(DATA, says);
    to_file("192000");
    assert_refused(DATA, says);
    assert_int_equal(scratch_count("out.wav"), 0);
    assert_int_equal(scratch_count(".holdfast"), 0);
}

struct change {
    int record;
    const char *what, *by; /* what NULL: `by` is put in as a record */
    const char *says;
};

static void try_changes(const struct change *rows, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        forge_free(&forge);
        forge = forge_read("good.jsonl");
        if (rows[i].what)
            forge_change(&forge, rows[i].record, rows[i].what, rows[i].by);
        else
            forge_insert(&forge, rows[i].record, rows[i].by);
        forge_write(&forge, "bad.jsonl");
        assert_hostile(rows[i].says);
    }
}

#define TRY(rows) try_changes(rows, sizeof rows / sizeof rows[0])

static void members_of_a_wrong_type_or_size_are_refused(void **state)
{
    (void)state;
    static const char says[] = "record 3 of the journal is damaged";
    static const struct change rows[] = {
        {CUE_2, "\"at\":8000", "\"at\":-1", says},
        {CUE_2, "\"at\":8000", "\"at\":8000.5", says},
        {CUE_2, "\"at\":8000", "\"at\":\"8000\"", says},
        {CUE_2, "\"at\":8000", "\"at\":null,\"x\":8000", "contradicts"},
        {CUE_2, "\"at\":8000", "\"at\":true", says},
        {CUE_2, "\"at\":8000", "\"at\":[8000]", says},
        {CUE_2, "\"at\":8000", "\"at\":9223372036854775807", says},
        {CUE_2, "\"at\":8000", "\"at\":99999999999999999999999999", says},
        {CUE_2, "\"at\":8000", "\"at\":1e400", says},
        {CUE_2, "\"at\":8000", "\"at\":8000,\"at\":8000", says},
        {CUE_2, "\"hear\":", "\"hear\":false,\"x\":", says},
        {CUE_2, "\"id\":", "\"id\":-1,\"x\":", says},
        {CUE_2, "\"notes\":[", "\"notes\":[128,", says},
        {CUE_2, "\"notes\":[", "\"notes\":[-1,", says},
        {CUE_2, "\"notes\":[", "\"notes\":[[],", says},
        {CUE_2, "\"notes\":[", "\"notes\":[1,1,1,1,1,1,1,1,1,1,1,1,1,1,", says},
        {CUE_2, "\"pcs\":[", "\"pcs\":[12,", says},
        {CUE_2, "\"pcs\":[", "\"pcs\":[0,", says},
        {CUE_2, "\"pcs\":[", "\"pcs\":{},\"x\":[", says},
        {CUE_2, "\"names\":[", "\"names\":[\"C\",", says},
        {CUE_2, "\"names\":[", "\"names\":[5],\"x\":[", says},
        {HOLD, "\"notes\":[", "\"notes\":[],\"x\":[", "record 1 of the journal is damaged"},
        {CUE_2, NULL, "\"t\":\"mark\",\"at\":4032,\"cue\":2,\"as\":\"lost\"", says},
        {CUE_2, NULL, "\"t\":\"mark\",\"at\":4032,\"cue\":-2,\"as\":\"got\"", says},
        {CUE_2, NULL, "\"t\":\"stay\"", says},
        {CUE_2, NULL, "\"t\":\"volume\"", says},
        {CUE_2, NULL, "\"t\":\"session\",\"at\":0", says},
        {END, "\"why\":\"finished\"", "\"why\":\"bored\"", "record 8 of the journal is damaged"},
        {END, "\"fade\":40000", "\"fade\":-1", "record 8 of the journal is damaged"},
    };
    TRY(rows);
}

static void control_bytes_never_reach_the_terminal(void **state)
{
    (void)state;
    static const struct change rows[] = {
        {CUE_2, "\"names\":[\"", "\"names\":[\"\\u001b[31m", "record 3 of the journal is damaged"},
        {CUE_2, "\"names\":[\"", "\"names\":[\"\\u009b31m", "record 3 of the journal is damaged"},
        {CUE_2, "\"names\":[\"", "\"names\":[\"\\u0000", "record 3 of the journal is damaged"},
        {SESSION, "\"label\":\"", "\"label\":\"\\u001b[31m", "control character"},
        {SESSION, "\"label\":\"", "\"label\":\"\\u009b31m", "control character"},
        {SESSION, "\"started\":\"", "\"started\":\"\\u001b[31m", "its started is no line"},
        {SESSION, "\"program\":\"", "\"program\":\"\\u001b[31m", "its program is no line"},
        {SESSION, "\"practice\":\"improvise\"", "\"practice\":\"\\u001b[31m\"", "?[31m"},
        {SESSION, "\"added\":\"3-5\"", "\"added\":\"\\u001b[31m\"", "?[31m"},
    };
    TRY(rows);
    /* A patch is looked at when it is to sound. */
    static const char *const patches[] = {"\\u001b[31m", "\\u009b31m\\n",
                                          "[\\u001b]\\nx\\u001b=1\\n"};
    for (size_t i = 0; i < sizeof patches / sizeof patches[0]; i++) {
        char by[100];
        forge_free(&forge);
        forge = forge_read("good.jsonl");
        snprintf(by, sizeof by, "\"held\":\"%s\",\"x\":\"", patches[i]);
        forge_change(&forge, SESSION, "\"patches\":{\"held\":\"", "\"patches\":{@");
        forge_change(&forge, SESSION, "@", by);
        forge_write(&forge, "bad.jsonl");
        to_file("8000");
        assert_refused(DATA, "the held patch in the journal is wrong");
    }
}

static void a_session_record_that_cannot_be_is_refused(void **state)
{
    (void)state;
    static const struct change rows[] = {
        {SESSION, "\"holdfast\":1", "\"holdfast\":0", "no session record first"},
        {SESSION, "\"holdfast\":1", "\"holdfast\":\"1\"", "no session record first"},
        {SESSION, "\"t\":\"session\"", "\"t\":\"hold\"", "no session record first"},
        {SESSION, "\"rate\":8000", "\"rate\":0", "its rate"},
        {SESSION, "\"rate\":8000", "\"rate\":192001", "its rate"},
        {SESSION, "\"rate\":8000", "\"rate\":\"8000\"", "its rate"},
        {SESSION, "\"seed\":\"1\"", "\"seed\":1", "its request or seed is missing"},
        {SESSION, "\"seed\":\"1\"", "\"seed\":\"-1\"", "seed \"-1\""},
        {SESSION, "\"request\":{", "\"request\":5,\"x\":{", "its request or seed is missing"},
        {SESSION, "\"practice\":\"improvise\"", "\"practice\":5", "its practice is no text"},
        {SESSION, "\"practice\":\"improvise\"", "\"practice\":\"roam\"", "does not go with roam"},
        {SESSION, "\"a4\":\"440\"", "\"a4\":\"nan\"", "a4 \"nan\""},
        {SESSION, "\"volume\":\"0\"", "\"volume\":\"1e99\"", "volume \"1e99\""},
        {SESSION, "\"patches\":{", "\"patches\":5,\"x\":{", "lacks its patches"},
        {SESSION, "\"patches\":{\"held\":", "\"patches\":{\"held\":5,\"x\":", "lacks its patches"},
    };
    TRY(rows);
}

static void patches_of_the_wrong_kind_are_refused(void **state)
{
    (void)state;
    forge_change(&forge, SESSION, "\"patches\":{\"held\":", "\"patches\":{\"@\":");
    forge_change(&forge, SESSION, ",\"added\":\"#", ",\"held\":\"#");
    forge_change(&forge, SESSION, "\"@\":", "\"added\":");
    forge_write(&forge, "bad.jsonl");
    to_file("8000");
    assert_refused(DATA, "of the wrong kind");
}

static void records_that_contradict_each_other_are_refused(void **state)
{
    (void)state;
    static const char cue[] =
        "\"t\":\"cue\",\"at\":8000,\"id\":1,\"pcs\":[1,2,7],\"notes\":[61,62,67],"
        "\"names\":[\"C#\",\"D\",\"G\"],\"tell\":8000,\"hear\":8100,\"end\":9000";
    static const struct change rows[] = {
        {CUE_2, NULL, "\"t\":\"resume\",\"at\":4032,\"after\":64", "a pause that is not there"},
        {CUE_2, NULL, "\"t\":\"go\",\"at\":4032,\"shift\":64", "a stay that is not there"},
        {CUE_2, NULL, "\"t\":\"again\",\"at\":64", "no cue runs"},
        {CUE_2, NULL, "\"t\":\"reveal\",\"at\":64", "no cue runs"},
        {CUE_3, NULL, "\"t\":\"stay\",\"at\":4033", "between the steps"},
        {CUE_3 + 1, NULL, "\"t\":\"stay\",\"at\":4032", "it comes too early"},
        {CUE_3, NULL, "\"t\":\"next\",\"at\":4032,\"shift\":-1", "a shift that can't be"},
        {CUE_3, NULL, "\"t\":\"next\",\"at\":4032", "a shift that can't be"},
        {CUE_3, NULL, "\"t\":\"next\",\"at\":4032,\"shift\":4398046511104",
         "a shift that can't be"},
        {CUE_3, NULL, cue, "a cue out of its time"},
        {CUE_1, NULL, "\"t\":\"hold\",\"at\":64,\"pcs\":[0],\"notes\":[60],\"names\":[\"C\"]",
         "a cue out of its time"},
        {CUE_2, "\"tell\":8000", "\"tell\":7999", "a cue out of its time"},
        {CUE_2, "\"hear\":", "\"hear\":7999,\"x\":", "a cue out of its time"},
        {CUE_2, "\"hear\":", "\"hear\":12001,\"x\":", "a cue out of its time"},
        {CUE_2, "\"end\":12000", "\"end\":8000", "a cue out of its time"},
        {CUE_2, "\"end\":12000", "\"end\":12001", "a cue out of its time"},
        {CUE_2, "\"end\":12000", "\"end\":null", "a cue out of its time"},
        {END, NULL, "\"t\":\"end\",\"at\":28000,\"why\":\"quit\",\"fade\":0", "after the end"},
    };
    TRY(rows);
}

/* Two records put in after the second cue's: each alone would do. */
static void pairs_of_records_that_contradict_each_other_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *first, *second, *says;
    } rows[] = {
        {"\"t\":\"stay\",\"at\":4032", "\"t\":\"stay\",\"at\":4096", "a stay within a stay"},
        {"\"t\":\"stay\",\"at\":4032", "\"t\":\"next\",\"at\":4096,\"shift\":0", "within a stay"},
        {"\"t\":\"stay\",\"at\":4032", "\"t\":\"go\",\"at\":4096,\"shift\":65", "a shift"},
        {"\"t\":\"stay\",\"at\":4096", "\"t\":\"go\",\"at\":4032,\"shift\":-64", "too early"},
        {"\"t\":\"pause\",\"at\":4032", "\"t\":\"pause\",\"at\":4096", "a pause within a pause"},
        {"\"t\":\"pause\",\"at\":4032", "\"t\":\"resume\",\"at\":6464,\"after\":63", "a pause of"},
        {"\"t\":\"pause\",\"at\":4032", "\"t\":\"resume\",\"at\":6528,\"after\":64", "a pause of"},
        {"\"t\":\"pause\",\"at\":4032", "\"t\":\"stay\",\"at\":6464", "a command in a pause"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        forge_free(&forge);
        forge = forge_read("good.jsonl");
        forge_insert(&forge, CUE_3, rows[i].first);
        forge_insert(&forge, CUE_3 + 1, rows[i].second);
        forge_write(&forge, "bad.jsonl");
        assert_hostile(rows[i].says);
    }
}

/* derived: 7 days are 604800 s, at 8000 Hz 4838400000 samples */
static void a_session_that_would_sound_for_months_is_refused(void **state)
{
    (void)state;
    static const struct change rows[] = {
        {END, "\"fade\":40000", "\"fade\":4838372000", "longer than 7 days"},
        {END, "\"at\":28000", "\"at\":4838400000", "longer than 7 days"},
        {END, "\"at\":28000", "\"at\":4398046511104", "longer than 7 days"},
        {END, "\"at\":28000", "\"at\":9007199254740992", "out of range"},
    };
    TRY(rows);
    forge_free(&forge);
    forge = forge_read("good.jsonl");
    forge_insert(&forge, CUE_3, "\"t\":\"pause\",\"at\":4032");
    forge_insert(&forge, CUE_3 + 1, "\"t\":\"resume\",\"at\":6464,\"after\":4838400000");
    forge_write(&forge, "bad.jsonl");
    assert_hostile("longer than 7 days");
    forge_free(&forge); /* a sample less than too much is no fault of the journal */
    forge = forge_read("good.jsonl");
    forge_change(&forge, END, "\"fade\":40000", "\"fade\":4838371999");
    forge_write(&forge, "bad.jsonl");
    assert_int_equal(dry(), 0);
}

/* ---- sheer size ------------------------------------------------------------------------------ */

static FILE *open_bad(void)
{
    FILE *file = fopen(scratch("bad.jsonl"), "wb");
    assert_non_null(file);
    return file;
}

static void a_hundred_million_bytes_of_anything_are_refused(void **state)
{
    (void)state;
    static const char *const pieces[] = {"\0", "[", "x\n", "{\"n\":0,", "\n"};
    static const size_t sizes[] = {1, 1, 2, 7, 1};
    for (size_t i = 0; i < sizeof pieces / sizeof pieces[0]; i++) {
        FILE *file = open_bad();
        for (size_t written = 0; written < 100000000; written += sizes[i])
            fwrite(pieces[i], 1, sizes[i], file);
        assert_int_equal(fclose(file), 0);
        dry();
        assert_refused(DATA, "this is no journal");
    }
}

static void a_file_larger_than_any_journal_is_not_read(void **state)
{
    (void)state;
    forge_write(&forge, "bad.jsonl");
    assert_int_equal(truncate(scratch("bad.jsonl"), (off_t)257 * MIB), 0);
    assert_hostile("larger than 256 MiB");
}

static void nesting_without_end_is_refused(void **state)
{
    (void)state;
    for (int bracket = 0; bracket < 2; bracket++) {
        size_t depth = 10000000;
        char *line = malloc(depth + 32);
        assert_non_null(line);
        size_t used = (size_t)sprintf(line, "\"t\":\"cue\",\"at\":");
        memset(line + used, bracket ? '[' : '{', depth);
        line[used + depth] = 0;
        FILE *file = open_bad();
        forge_line(file, 0, forge.line[SESSION]);
        forge_line(file, 1, forge.line[HOLD]);
        forge_line(file, 2, line);
        forge_line(file, 3, forge.line[END]);
        assert_int_equal(fclose(file), 0);
        free(line);
        assert_hostile("record 2 of the journal is damaged");
    }
}

static void thousands_of_cues_at_one_time_are_refused(void **state)
{
    (void)state;
    FILE *file = open_bad();
    for (int i = 0; i < 20000; i++)
        forge_line(file, i, forge.line[i < CUE_1 ? i : CUE_1]);
    assert_int_equal(fclose(file), 0);
    assert_hostile("record 3 of the journal contradicts");
}

static void more_records_than_any_session_has_are_refused(void **state)
{
    (void)state;
    if (RUN_SANITIZED)
        skip(); /* a million lines take minutes then */
    FILE *file = open_bad();
    for (int i = 0; i <= 1 << 20; i++)
        forge_line(file, i,
                   i < CUE_2 ? forge.line[i] : "\"t\":\"mark\",\"at\":0,\"cue\":2,\"as\":\"got\"");
    assert_int_equal(fclose(file), 0);
    dry();
    assert_refused(DATA, "more than 1048576 records");
}

static void write_cue(FILE *file, int n, long at)
{
    char line[300];
    snprintf(line, sizeof line,
             "\"t\":\"cue\",\"at\":%ld,\"id\":1,\"pcs\":[1,2,7],\"notes\":[61,62,67],"
             "\"names\":[\"C#\",\"D\",\"G\"],\"tell\":%ld,\"hear\":%ld,\"end\":%ld",
             at, at, at + 32, at + 256);
    forge_line(file, n, line);
}

/* Whole and true, and long: a stay in each of 200000 cues. The cost must not grow with the square.
 */
static void a_long_journal_is_read_in_time(void **state)
{
    (void)state;
    FILE *file = open_bad();
    char line[100];
    int n = HOLD;
    forge_line(file, SESSION, forge.line[SESSION]);
    forge_line(file, n++, forge.line[HOLD]);
    write_cue(file, n++, 4032);
    for (long at = 4032, cue = 0; cue < (RUN_SANITIZED ? 20000 : 200000); at += 320, cue++) {
        write_cue(file, n++, at + 256); /* written ahead: the stay moves it by 64 */
        snprintf(line, sizeof line, "\"t\":\"stay\",\"at\":%ld", at + 64);
        forge_line(file, n++, line);
        snprintf(line, sizeof line, "\"t\":\"go\",\"at\":%ld,\"shift\":64", at + 128);
        forge_line(file, n++, line);
    }
    assert_int_equal(fclose(file), 0);
    run_with.out = "/dev/null";
    assert_int_equal(dry(), 0);
    assert_string_equal(ran.err, "");
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(members_of_a_wrong_type_or_size_are_refused),
        TEST(control_bytes_never_reach_the_terminal),
        TEST(a_session_record_that_cannot_be_is_refused),
        TEST(patches_of_the_wrong_kind_are_refused),
        TEST(records_that_contradict_each_other_are_refused),
        TEST(pairs_of_records_that_contradict_each_other_are_refused),
        TEST(a_session_that_would_sound_for_months_is_refused),
        TEST(a_hundred_million_bytes_of_anything_are_refused),
        TEST(a_file_larger_than_any_journal_is_not_read),
        TEST(nesting_without_end_is_refused),
        TEST(thousands_of_cues_at_one_time_are_refused),
        TEST(more_records_than_any_session_has_are_refused),
        TEST(a_long_journal_is_read_in_time),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
