/* SPDX-License-Identifier: MIT */
/* A review when memory runs out or the disk fails, at every call, once and from then on: it says so
 * or lists the file, and what it says the next time is right. */
#define _XOPEN_SOURCE 700
#include "scratch.h"

#include "check.h"

#include <holdfast/review_files.h>

#include "faults.h"
#include "scripted.h"

enum { CALLS_MOST = 4000 };

static const struct scripted cues[] = {{1, 1, 20}, {2, 0, 50}, {3, -1, 0}};
static const struct hf_review_filter everything;

static enum hf_status read_all(struct hf_review_files *files)
{
    struct hf_diag diag;
    return hf_review_directory(scratch_directory, INT64_MAX, &everything, files, &diag);
}

static void expect_right(void)
{
    struct hf_review_files files;
    assert_ok(read_all(&files));
    assert_int_equal(files.review.sessions, 2);
    assert_int_equal(files.left_count, 2);
    hf_review_files_deinit(&files);
}

static void write_files(void)
{
    write_journal("1.jsonl", "2026-11-01T10:00:00Z", "", 0, cues, 3);
    write_journal("2.jsonl", "2026-11-02T10:00:00Z", "", 1, cues, 3);
    write_journal("3.jsonl", "2026-11-02T10:00:00Z", "", 1, cues, 3);
    scratch_write("4.jsonl", "junk\n", 5);
}

/* `with_index`: there is one, and a journal that it does not know. */
static void fail_everywhere(bool memory, bool stay, bool with_index)
{
    bool struck = true;
    for (long nth = 1; struck; nth++) {
        struct hf_review_files files;
        assert_true(nth < CALLS_MOST);
        remove(scratch(HF_REVIEW_INDEX));
        if (with_index) {
            remove(scratch("1.jsonl"));
            assert_ok(read_all(&files));
            hf_review_files_deinit(&files);
            write_journal("1.jsonl", "2026-11-01T10:00:00Z", "", 0, cues, 3);
        }
        faults_arm(memory, nth, stay, memory ? ENOMEM : EIO);
        enum hf_status status = read_all(&files);
        struck = faults_end() > 0;
        if (status == HF_OK) { /* each file is counted or listed */
            assert_int_equal(files.review.sessions + files.left_count, 4);
            hf_review_files_deinit(&files);
        } else {
            assert_int_equal(status, memory ? HF_E_MEMORY : HF_E_INPUT);
        }
        assert_int_equal(scratch_count(".holdfast"), 0);
        expect_right();
        expect_right();
    }
}

static void memory_may_run_out_anywhere(void **state)
{
    (void)state;
    write_files();
    for (int i = 0; i < 4; i++)
        fail_everywhere(true, i & 1, i & 2);
}

static void the_disk_may_fail_anywhere(void **state)
{
    (void)state;
    write_files();
    for (int i = 0; i < 2; i++)
        fail_everywhere(false, false, i);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(memory_may_run_out_anywhere, scratch_make, scratch_remove),
        cmocka_unit_test_setup_teardown(the_disk_may_fail_anywhere, scratch_make, scratch_remove),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
