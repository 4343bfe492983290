/* SPDX-License-Identifier: MIT */
/* A session that was cut off and gone on with, in a review: derived: its rounds are those of the
 * whole session, so each completion counts as often as it would have without the cut. */
#define _XOPEN_SOURCE 700
#include "run.h"

#include "check.h"

#include <holdfast/journal.h>
#include <holdfast/review_files.h>

enum { ROUNDS = 2, SIX = 6, CUES = ROUNDS * SIX };

static const struct hf_review_filter everything;

static char *whole;
static size_t line_at[64]; /* where each line begins; the last: the end */
static int lines;

static void render_whole(void)
{
    size_t length = 0;
    unlink(scratch("whole.jsonl"));
    run("render", "--held", "C E G#", "--rounds", "2", "--seed", "7", "--dry-run", "--journal",
        scratch("whole.jsonl"), NULL);
    assert_ran();
    whole = (char *)scratch_read("whole.jsonl", &length);
    assert_non_null(whole);
    lines = 0;
    for (size_t at = 0; at <= length; at++)
        if (at == 0 || whole[at - 1] == '\n')
            line_at[lines++] = at;
    lines--;
    unlink(scratch("whole.jsonl"));
}

static void go_on(const char *from, const char *to)
{
    unlink(scratch(to));
    run("play", "--resume", scratch(from), "--dry-run", "--journal", scratch(to), NULL);
    assert_ran();
}

static struct hf_review_files review(void)
{
    struct hf_review_files files;
    unlink(scratch(HF_REVIEW_INDEX));
    assert_ok(hf_review_directory(scratch_directory, INT64_MAX, &everything, &files, NULL));
    return files;
}

static uint32_t cued(const struct hf_review_files *files)
{
    uint32_t sum = 0;
    for (size_t i = 0; i < files->review.cell_count; i++)
        sum += files->review.cells[i].cued;
    return sum;
}

static void expect_each_twice(void)
{
    struct hf_review_files files = review();
    assert_int_equal(files.review.cell_count, SIX);
    for (size_t i = 0; i < SIX; i++)
        assert_int_equal(files.review.cells[i].cued, ROUNDS);
    hf_review_files_deinit(&files);
}

static void append_record(const char *name, const struct hf_record *record)
{
    char *line = NULL;
    size_t length = 0;
    FILE *file = fopen(scratch(name), "ab");
    assert_non_null(file);
    assert_ok(hf_journal_format(record, &line, &length, NULL));
    assert_int_equal(fwrite(line, 1, length, file), length);
    fclose(file);
    free(line);
}

static void a_cue_that_was_cut_off_and_came_again_counts_once(void **state)
{
    (void)state;
    render_whole();
    for (int count = 3; count < lines; count++) {
        scratch_write("cut.jsonl", whole, line_at[count]);
        go_on("cut.jsonl", "next.jsonl");
        expect_each_twice();
    }
    free(whole);
}

/* the same cue was cut off twice: the second time before it began */
static void a_session_cut_off_in_its_lead_in_is_looked_through(void **state)
{
    (void)state;
    size_t length = 0;
    render_whole();
    scratch_write("cut.jsonl", whole, line_at[6]);
    go_on("cut.jsonl", "next.jsonl");
    char *next = (char *)scratch_read("next.jsonl", &length);
    char *end = strchr(strchr(strchr(next, '\n') + 1, '\n') + 1, '\n') + 1; /* head, hold, cue */
    scratch_write("next.jsonl", next, (size_t)(end - next));
    go_on("next.jsonl", "last.jsonl");
    expect_each_twice();
    free(next);
    free(whole);
}

/* derived: a cue is written ahead when the one before it begins */
static void of_a_journal_without_an_end_only_what_began_counts(void **state)
{
    (void)state;
    render_whole();
    for (int count = 3; count < lines; count++) {
        scratch_write("cut.jsonl", whole, line_at[count]);
        struct hf_review_files files = review();
        assert_int_equal(cued(&files), count - 3);
        /* 10 s, and 25 s for each: to where the last one that began would end */
        assert_int_equal(files.review.days[0].ms, 10000 + 25000 * (count - 3));
        hf_review_files_deinit(&files);
    }
    free(whole);
}

/* a mark says that it was practised, however it ended */
static void a_cue_that_was_marked_before_it_was_cut_off_counts(void **state)
{
    (void)state;
    render_whole();
    scratch_write("cut.jsonl", whole, line_at[5]); /* two of them began */
    struct hf_record mark = {
        .type = HF_RECORD_MARK, .n = 5, .at = 48000 * 36, .cue = 3, .as = HF_MARK_GOT};
    append_record("cut.jsonl", &mark);
    go_on("cut.jsonl", "next.jsonl");
    struct hf_review_files files = review();
    uint32_t got = 0;
    for (size_t i = 0; i < files.review.cell_count; i++)
        got += files.review.cells[i].got;
    assert_int_equal(got, 1);
    assert_int_equal(cued(&files), CUES + 1);
    hf_review_files_deinit(&files);
    free(whole);
}

static void a_session_that_was_left_counts_its_last_cue_once(void **state)
{
    (void)state;
    render_whole();
    scratch_write("cut.jsonl", whole, line_at[5]);
    struct hf_record end = {
        .type = HF_RECORD_END, .n = 5, .at = 48000 * 40, .why = HF_WHY_QUIT, .fade = 96000};
    append_record("cut.jsonl", &end);
    struct hf_review_files files = review();
    assert_int_equal(cued(&files), 2); /* alone, it counts */
    hf_review_files_deinit(&files);
    go_on("cut.jsonl", "next.jsonl");
    expect_each_twice();
    /* whatever the second one is called, and with a copy of the first */
    assert_int_equal(rename(scratch("next.jsonl"), scratch("from-a-student.jsonl")), 0);
    size_t length = 0;
    char *cut = (char *)scratch_read("cut.jsonl", &length);
    scratch_write("a-copy.jsonl", cut, length);
    expect_each_twice();
    free(cut);
    free(whole);
}

static void what_did_not_come_again_counts_where_it_was(void **state)
{
    (void)state;
    render_whole();
    scratch_write("cut.jsonl", whole, line_at[6]);
    go_on("cut.jsonl", "next.jsonl");
    assert_int_equal(rename(scratch("cut.jsonl"), scratch("renamed.jsonl")), 0);
    struct hf_review_files files = review(); /* nothing tells that they belong together */
    assert_int_equal(cued(&files), CUES + 1);
    hf_review_files_deinit(&files);
    free(whole);
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, scratch_make, scratch_remove)
    const struct CMUnitTest tests[] = {
        TEST(a_cue_that_was_cut_off_and_came_again_counts_once),
        TEST(a_session_cut_off_in_its_lead_in_is_looked_through),
        TEST(of_a_journal_without_an_end_only_what_began_counts),
        TEST(a_cue_that_was_marked_before_it_was_cut_off_counts),
        TEST(a_session_that_was_left_counts_its_last_cue_once),
        TEST(what_did_not_come_again_counts_where_it_was),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
