/* SPDX-License-Identifier: MIT */
/*
 * The journals of a directory: what is counted, left out, read again; twenty scripted days of two
 * players (derived: what the script says).
 */
#define _XOPEN_SOURCE 700
#include "scratch.h"

#include "check.h"

#include <math.h>
#include <utime.h>

#include <holdfast/review_files.h>

#include "scripted.h"

static const struct hf_review_filter everything;

static const struct scripted plain[] = {{1, 1, 20}, {2, 0, 50}, {3, -1, 0}};

/* ---- reading --------------------------------------------------------------------------------- */

/* A clock far ahead: what lies there is old enough to be trusted. */
static struct hf_review_files read_all(const struct hf_review_filter *filter)
{
    struct hf_review_files files;
    struct hf_diag diag;
    if (hf_review_directory(scratch_directory, INT64_MAX, filter, &files, &diag) != HF_OK)
        fail_msg("%s", diag.message);
    return files;
}

static void expect_read(size_t read, size_t kept)
{
    struct hf_review_files files = read_all(&everything);
    assert_int_equal(files.read, read);
    assert_int_equal(files.kept, kept);
    hf_review_files_deinit(&files);
}

static const struct hf_review_cell *cell_of(const struct hf_review *review, int root, int id)
{
    struct hf_completion six[HF_COMPLETIONS_MOST];
    hf_pairing_complete(hf_review_triad(root), hf_setclass_find(3, 5), six);
    return hf_review_find(review, hf_review_triad(root), six[id - 1].pcs);
}

static int32_t day_of(const char *date)
{
    int32_t day = 0;
    assert_true(hf_review_parse_date(date, 10, &day));
    return day;
}

/* ---- twenty days ----------------------------------------------------------------------------- */

/* Two players: one practises every day on two triads in turn and misses the second of the six every
 * other time; the other, from the third day on, every fourth day twice, on a third triad, and marks
 * nothing. */
static void twenty_days_are_what_was_scripted(void **state)
{
    (void)state;
    struct scripted cues[12];
    int cued[2] = {0};
    for (int day = 0; day < 20; day++) {
        char started[40], name[40];
        for (int i = 0; i < 12; i++) {
            int id = i % 6 + 1;
            bool got = id != 2 || i < 6;
            cues[i] = (struct scripted){id, got, 10 * id + (i < 6 ? 0 : 5)};
        }
        snprintf(started, sizeof started, "2026-11-%02dT18:00:00+01:00", day + 1);
        snprintf(name, sizeof name, "daily-%02d.jsonl", day);
        write_journal(name, started, "A", day % 2, cues, 12);
        cued[day % 2]++;
        for (int session = 0; day >= 2 && day % 4 == 2 && session < 2; session++) {
            for (int i = 0; i < 12; i++)
                cues[i].got = -1;
            snprintf(started, sizeof started, "2026-11-%02dT%02d:30:00+01:00", day + 1,
                     session ? 23 : 7);
            snprintf(name, sizeof name, "seldom-%02d-%d.jsonl", day, session);
            write_journal(name, started, "B", 2, cues, session ? 5 : 12);
        }
    }
    struct hf_review_files files = read_all(&everything);
    const struct hf_review *review = &files.review;
    assert_int_equal(files.left_count, 0);
    assert_int_equal(review->sessions, 20 + 10);
    assert_int_equal(review->day_count, 20);
    for (int day = 0; day < 20; day++) {
        bool both = day >= 2 && day % 4 == 2;
        assert_int_equal(review->days[day].day, day_of("2026-11-01") + day);
        assert_int_equal(review->days[day].sessions, both ? 3 : 1);
        /* 2 s before the first cue, 10 s a cue */
        assert_int_equal(review->days[day].ms, 122000 + (both ? 122000 + 52000 : 0));
    }
    for (int root = 0; root < 2; root++)
        for (int id = 1; id <= 6; id++) {
            const struct hf_review_cell *cell = cell_of(review, root, id);
            assert_int_equal(cell->cued, 2 * cued[root]);
            assert_int_equal(cell->missed, id == 2 ? cued[root] : 0);
            assert_int_equal(cell->got, 2 * cued[root] - (id == 2 ? cued[root] : 0));
            assert_int_equal(cell->last_day, day_of("2026-11-19") + root);
            assert_int_equal(cell->ways[HF_REVIEW_CONFIRM], cell->cued);
            assert_int_equal(cell->registers[HF_REVIEW_ABOVE], cell->cued);
            assert_int_equal(hf_review_answers(cell), cell->cued);
            assert_true(fabs(hf_review_quantile(cell, 0.5) - id) < 1e-12);
            assert_true(fabs(hf_review_quantile(cell, 1) - (id + 0.5)) < 1e-12);
            /* the last twenty marks: got and missed by turns for the second, the older is got */
            assert_int_equal(cell->recent_count, 20);
            assert_int_equal(cell->recent, id == 2 ? 0xaaaaa : 0xfffff);
        }
    for (int id = 1; id <= 6; id++) {
        const struct hf_review_cell *cell = cell_of(review, 2, id);
        assert_int_equal(cell->cued, 5 * (2 + (id <= 5)));
        assert_int_equal(cell->got + cell->missed, 0);
        assert_int_equal(cell->last_day, day_of("2026-11-19"));
        assert_null(cell_of(review, 3, id));
    }
    /* the fourth never came, and so asks for practice first; without it the third would */
    assert_int_equal(hf_review_triads(review, hf_setclass_find(3, 5), false, day_of("2026-11-20")),
                     8);
    /* both second ones came in 10 of their last 20; that of the first triad is a day older */
    struct hf_plan plan, again;
    struct hf_review_files indexed = read_all(&everything);
    assert_int_equal(indexed.read, 0);
    hf_review_plan(review, day_of("2026-11-20"), 20, &plan);
    hf_review_plan(&indexed.review, day_of("2026-11-20"), 20, &again);
    assert_memory_equal(&plan, &again, sizeof plan);
    assert_string_equal(plan.weakest, "C# F# G over C E G#, got 10 of the last 20");
    assert_int_equal(plan.steps, 4);
    assert_string_equal(plan.step[1].word[1], "ear");
    assert_string_equal(plan.step[1].word[3], "C E G#");
    assert_string_equal(plan.step[2].word[3], "Eb G B");  /* it never came */
    assert_string_equal(plan.step[3].word[2], "D F# Bb"); /* 60 and fewer cues, not 240 */
    hf_review_files_deinit(&indexed);
    hf_review_files_deinit(&files);
}

static void a_label_and_a_day_choose(void **state)
{
    (void)state;
    write_journal("1.jsonl", "2026-11-01T10:00:00Z", "A", 0, plain, 3);
    write_journal("2.jsonl", "2026-11-02T10:00:00Z", "B", 0, plain, 3);
    write_journal("3.jsonl", "2026-11-03T10:00:00Z", "A", 0, plain, 3);
    struct hf_review_filter by_label = {.label = "A"};
    struct hf_review_filter by_day = {.has_since = true, .since = day_of("2026-11-02")};
    struct hf_review_filter by_both = {
        .has_since = true, .since = day_of("2026-11-02"), .label = "A"};
    const struct {
        const struct hf_review_filter *filter;
        uint32_t sessions;
    } rows[] = {{&everything, 3}, {&by_label, 2}, {&by_day, 2}, {&by_both, 1}};
    for (int round = 0; round < 2; round++)
        for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
            struct hf_review_files files = read_all(rows[i].filter);
            assert_int_equal(files.review.sessions, rows[i].sessions);
            hf_review_files_deinit(&files);
        }
}

/* ---- what is left out ------------------------------------------------------------------------ */

static const char *why_of(const struct hf_review_files *files, const char *name)
{
    for (size_t i = 0; i < files->left_count; i++)
        if (strcmp(strrchr(files->left[i].file, '/') + 1, name) == 0)
            return files->left[i].why;
    return NULL;
}

static void what_is_damaged_or_foreign_is_listed(void **state)
{
    (void)state;
    static struct text text;
    write_journal("fine.jsonl", "2026-11-01T10:00:00Z", "", 0, plain, 3);
    write_script(&text, "2026-11-02T10:00:00Z", "", 0, plain, 3, true);
    *((char *)memchr(text.bytes, '\n', text.length) + 20) ^= 1; /* in the hold */
    scratch_write("damaged.jsonl", text.bytes, text.length);
    scratch_write("begun.jsonl", text.bytes, 100);
    write_script(&text, "some day", "", 0, plain, 3, true);
    scratch_write("when.jsonl", text.bytes, text.length);
    scratch_write("empty.jsonl", "", 0);
    scratch_write("foreign.jsonl", "{\"hello\":\"world\"}\n", 18);
    scratch_write("binary.jsonl", "\0\1\2\3", 4);
    scratch_write("notes.txt", "not looked at", 13);
    assert_int_equal(mkdir(scratch("folder.jsonl"), 0700), 0);
    assert_int_equal(mkfifo(scratch("pipe.jsonl"), 0600), 0);
    for (int round = 0; round < 2; round++) {
        struct hf_review_files files = read_all(&everything);
        assert_int_equal(files.review.sessions, 1);
        assert_int_equal(files.left_count, 8);
        assert_string_equal(why_of(&files, "empty.jsonl"), "the journal is empty");
        assert_string_equal(why_of(&files, "begun.jsonl"),
                            "the journal was cut off in its first record: it has no session yet");
        assert_string_equal(why_of(&files, "when.jsonl"),
                            "the journal does not say when it started");
        assert_non_null(strstr(why_of(&files, "foreign.jsonl"), "this is no journal"));
        assert_non_null(why_of(&files, "binary.jsonl"));
        assert_non_null(why_of(&files, "damaged.jsonl"));
        assert_string_equal(why_of(&files, "folder.jsonl"), "it is no regular file");
        assert_string_equal(why_of(&files, "pipe.jsonl"), "it is no regular file");
        hf_review_files_deinit(&files);
    }
    assert_int_equal(rmdir(scratch("folder.jsonl")), 0);
}

static void what_came_after_a_power_cut_is_left(void **state)
{
    (void)state;
    /* derived: a torn last line was never heard; a damaged line before others is damage */
    static struct text text;
    write_script(&text, "2026-11-02T10:00:00Z", "", 0, plain, 3, false);
    scratch_write("torn.jsonl", text.bytes, text.length - 9);
    struct hf_review_files files = read_all(&everything);
    assert_int_equal(files.left_count, 0);
    assert_int_equal(files.review.sessions, 1);
    assert_int_equal(files.review.days[0].ms, 22000); /* to the end of the second cue */
    assert_int_equal(cell_of(&files.review, 0, 2)->missed, 1);
    assert_null(cell_of(&files.review, 0, 3));
    hf_review_files_deinit(&files);
}

static void a_cue_after_the_end_was_never_given(void **state)
{
    (void)state;
    static struct text text;
    write_script(&text, "2026-11-02T10:00:00Z", "", 0, plain, 3, false);
    struct hf_record end = {
        .type = HF_RECORD_END, .n = 7, .at = LEAD + 2 * EVERY - 64, .why = HF_WHY_QUIT};
    append_record(&text, &end);
    scratch_write("quit.jsonl", text.bytes, text.length);
    struct hf_review_files files = read_all(&everything);
    assert_int_equal(files.left_count, 0);
    assert_int_equal(cell_of(&files.review, 0, 2)->cued, 1);
    assert_null(cell_of(&files.review, 0, 3));
    hf_review_files_deinit(&files);
}

static void the_same_journal_counts_once(void **state)
{
    (void)state;
    /* whole, or as a copy that was made while it was played */
    static struct text text;
    write_script(&text, "2026-11-02T10:00:00Z", "", 0, plain, 3, true);
    scratch_write("b.jsonl", text.bytes, text.length);
    scratch_write("a.jsonl", text.bytes, text.length);
    for (size_t cut = 1; cut < text.length; cut += 97) {
        if (!memchr(text.bytes, '\n', cut) || text.bytes[cut - 1] == '\n')
            continue;
        const char *holds = memchr(text.bytes, '\n', cut);
        if (!memchr(holds + 1, '\n', (size_t)(text.bytes + cut - holds - 1)))
            continue; /* the hold is not whole: it is none yet */
        scratch_write("c.jsonl", text.bytes, cut);
        struct hf_review_files files = read_all(&everything);
        assert_int_equal(files.review.sessions, 1);
        assert_int_equal(cell_of(&files.review, 0, 1)->cued, 1);
        assert_int_equal(files.left_count, 2);
        assert_string_equal(why_of(&files, "c.jsonl"), "the same journal as a.jsonl, which counts");
        hf_review_files_deinit(&files);
    }
    /* two of the same request, at once, that went on otherwise, are two */
    write_script(&text, "2026-11-02T10:00:00Z", "", 0, plain, 2, true);
    scratch_write("c.jsonl", text.bytes, text.length);
    struct hf_review_files files = read_all(&everything);
    assert_int_equal(files.review.sessions, 2);
    assert_int_equal(files.review.days[0].sessions, 2);
    hf_review_files_deinit(&files);
}

static void days_are_local_dates_at_the_start(void **state)
{
    (void)state;
    /* derived: across midnight, and from east to west: the 2nd there begins before the 1st here */
    write_journal("1.jsonl", "2026-11-01T23:59:50+01:00", "", 0, plain, 3);
    write_journal("2.jsonl", "2026-11-02T00:30:00+13:00", "", 0, plain, 3);
    write_journal("3.jsonl", "2026-11-01T23:30:00-10:00", "", 1, plain, 3);
    /* a clock that was set back: earlier by its date, though written later */
    write_journal("4.jsonl", "2025-03-01T10:00:00Z", "", 1, plain, 3);
    struct hf_review_files files = read_all(&everything);
    const struct hf_review *review = &files.review;
    assert_int_equal(review->day_count, 3);
    assert_int_equal(review->days[0].day, day_of("2025-03-01"));
    assert_int_equal(review->days[1].day, day_of("2026-11-01"));
    assert_int_equal(review->days[1].sessions, 2);
    assert_int_equal(review->days[2].day, day_of("2026-11-02"));
    assert_int_equal(cell_of(review, 0, 1)->last_day, day_of("2026-11-02"));
    assert_int_equal(hf_review_days_since(cell_of(review, 0, 1), day_of("2026-11-01")), 0);
    hf_review_files_deinit(&files);
}

/* ---- the index ------------------------------------------------------------------------------- */

static void only_what_is_new_or_changed_is_read(void **state)
{
    (void)state;
    expect_read(0, 0);
    assert_true(scratch_is(HF_REVIEW_INDEX, NULL)); /* nothing to keep */
    write_journal("1.jsonl", "2026-11-01T10:00:00Z", "", 0, plain, 3);
    write_journal("2.jsonl", "2026-11-02T10:00:00Z", "", 0, plain, 3);
    expect_read(2, 0);
    expect_read(0, 2);
    write_journal("3.jsonl", "2026-11-03T10:00:00Z", "", 0, plain, 3);
    expect_read(1, 2);
    write_journal("2.jsonl", "2026-11-02T11:00:00Z", "", 0, plain, 3); /* of the same size */
    expect_read(1, 2);
    /* its time of change put back, as a copying program may do */
    struct utimbuf old = {0, 0};
    assert_int_equal(utime(scratch("3.jsonl"), &old), 0);
    expect_read(1, 2);
    assert_int_equal(remove(scratch("1.jsonl")), 0);
    expect_read(0, 2);
    struct hf_review_files files = read_all(&everything);
    assert_int_equal(files.review.sessions, 2);
    hf_review_files_deinit(&files);
}

static void what_changed_just_now_is_read_again(void **state)
{
    (void)state;
    /* derived: a file's times may be too coarse to tell the next change apart */
    struct hf_review_files files;
    struct stat status;
    write_journal("1.jsonl", "2026-11-01T10:00:00Z", "", 0, plain, 3);
    assert_int_equal(stat(scratch("1.jsonl"), &status), 0);
    int64_t changed = (int64_t)status.st_ctim.tv_sec * 1000000000 + status.st_ctim.tv_nsec;
    for (int round = 0; round < 2; round++) {
        assert_ok(
            hf_review_directory(scratch_directory, changed + 999999999, &everything, &files, NULL));
        assert_int_equal(files.read, 1);
        hf_review_files_deinit(&files);
    }
    for (int round = 0; round < 2; round++) {
        assert_ok(hf_review_directory(scratch_directory, changed + 1000000001, &everything, &files,
                                      NULL));
        assert_int_equal(files.read, round == 0);
        hf_review_files_deinit(&files);
    }
}

/* All that counts, whatever is asked for: by the sum and by the digests. */
static void expect_right(void)
{
    struct hf_review_filter by_label = {.label = "A"};
    struct hf_review_files files = read_all(&by_label);
    assert_int_equal(files.read + files.kept, 3);
    assert_int_equal(files.review.sessions, 1);
    assert_int_equal(cell_of(&files.review, 0, 2)->missed, 1);
    hf_review_files_deinit(&files);
    files = read_all(&everything);
    assert_int_equal(files.read + files.kept, 3);
    assert_int_equal(files.review.sessions, 2);
    assert_int_equal(files.left_count, 1);
    assert_string_equal(strrchr(files.left[0].file, '/'), "/3.jsonl");
    assert_int_equal(cell_of(&files.review, 0, 2)->missed, 2);
    hf_review_files_deinit(&files);
}

static void an_index_that_is_not_right_is_made_anew(void **state)
{
    (void)state;
    scratch_write("3.jsonl", "", 0);
    write_journal("1.jsonl", "2026-11-01T10:00:00Z", "", 0, plain, 3);
    write_journal("2.jsonl", "2026-11-02T10:00:00Z", "A", 0, plain, 3);
    expect_read(3, 0);
    size_t length = 0;
    unsigned char *index = scratch_read(HF_REVIEW_INDEX, &length);
    assert_non_null(index);
    for (size_t i = 0; i < length; i += 3) { /* one byte another */
        index[i] ^= 0x11;
        scratch_write(HF_REVIEW_INDEX, index, length);
        index[i] ^= 0x11;
        expect_right();
    }
    for (size_t cut = 0; cut < length; cut += 7) {
        scratch_write(HF_REVIEW_INDEX, index, cut);
        expect_right();
    }
    index[16]++; /* its version: of a newer program */
    scratch_write(HF_REVIEW_INDEX, index, length);
    expect_read(3, 0);
    expect_read(0, 3);
    free(index);
}

static void without_a_place_for_an_index_all_is_read(void **state)
{
    (void)state;
    write_journal("1.jsonl", "2026-11-01T10:00:00Z", "", 0, plain, 3);
    assert_int_equal(mkdir(scratch(HF_REVIEW_INDEX), 0700), 0);
    expect_read(1, 0);
    expect_read(1, 0);
}

static void a_directory_that_is_not_there_has_no_sessions(void **state)
{
    (void)state;
    struct hf_review_files files;
    assert_ok(hf_review_directory(scratch("none"), 0, &everything, &files, NULL));
    assert_int_equal(files.review.sessions, 0);
    hf_review_files_deinit(&files);
    scratch_write("file", "", 0);
    struct hf_diag diag;
    assert_int_equal(hf_review_directory(scratch("file"), 0, &everything, &files, &diag),
                     HF_E_INPUT);
}

static void named_journals_are_read_as_they_are_named(void **state)
{
    (void)state;
    write_journal("1.jsonl", "2026-11-01T10:00:00Z", "", 0, plain, 3);
    write_journal("other", "2026-11-02T10:00:00Z", "", 0, plain, 3);
    char one[512], other[512], none[512];
    snprintf(one, sizeof one, "%s", scratch("1.jsonl"));
    snprintf(other, sizeof other, "%s", scratch("other"));
    snprintf(none, sizeof none, "%s", scratch("none"));
    char *names[] = {one, other, none, one};
    struct hf_review_files files;
    assert_ok(hf_review_named(names, 4, &everything, &files, NULL));
    assert_int_equal(files.review.sessions, 2);
    assert_int_equal(files.left_count, 2); /* the one that is not there, and the one named twice */
    assert_string_equal(files.left[0].file, none);
    assert_true(scratch_is(HF_REVIEW_INDEX, NULL));
    hf_review_files_deinit(&files);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, scratch_make, scratch_remove)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(twenty_days_are_what_was_scripted),
        TEST(a_label_and_a_day_choose),
        TEST(what_is_damaged_or_foreign_is_listed),
        TEST(what_came_after_a_power_cut_is_left),
        TEST(a_cue_after_the_end_was_never_given),
        TEST(the_same_journal_counts_once),
        TEST(days_are_local_dates_at_the_start),
        TEST(only_what_is_new_or_changed_is_read),
        TEST(what_changed_just_now_is_read_again),
        TEST(an_index_that_is_not_right_is_made_anew),
        TEST(without_a_place_for_an_index_all_is_read),
        TEST(a_directory_that_is_not_there_has_no_sessions),
        TEST(named_journals_are_read_as_they_are_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
