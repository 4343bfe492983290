/* SPDX-License-Identifier: MIT */
/* Expected values are derived from the promises in store.h. */
#define _XOPEN_SOURCE 700
#include "scratch.h"

#include <signal.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <sys/wait.h>

#include <holdfast/store.h>

#include "faults.h"

#define FIRST "first\nsecond\n"

static struct hf_store *start(const char *name)
{
    struct hf_store *store = NULL;
    assert_int_equal(hf_store_create(&store, scratch(name), FIRST, strlen(FIRST), NULL), HF_OK);
    assert_non_null(store);
    return store;
}

static enum hf_status append(struct hf_store *store, const char *line, struct hf_diag *diag)
{
    return hf_store_append(store, line, strlen(line), diag);
}

static void a_journal_has_its_first_lines_from_the_start_and_grows(void **state)
{
    (void)state;
    scratch_write("j", "an older, longer journal\n", 25);
    struct hf_store *store = start("j");
    assert_true(scratch_is("j", FIRST));
    assert_int_equal(append(store, "third\n", NULL), HF_OK);
    assert_true(scratch_is("j", FIRST "third\n"));
    assert_int_equal(append(store, "fourth\n", NULL), HF_OK);
    hf_store_close(store);
    hf_store_close(NULL);
    assert_true(scratch_is("j", FIRST "third\nfourth\n"));
    assert_int_equal(scratch_count(NULL), 1);
}

/* derived: a record is written and on the disk when it is said to be; a directory that was made is
 * in its parent for good only when that has been synced. */
static void what_is_said_to_be_there_is_on_the_disk(void **state)
{
    (void)state;
    struct hf_store *store = start("j");
    faults_log();
    assert_int_equal(append(store, "third\n", NULL), HF_OK);
    assert_string_equal(faults.log, "write fdatasync ");
    hf_store_close(store);
    faults_log();
    assert_int_equal(hf_store_make_directories(scratch("new"), NULL), HF_OK);
    const char *last = strstr(faults.log, "mkdir open fsync ");
    assert_non_null(last);
    assert_string_equal(last, "mkdir open fsync ");
}

/* Tries to begin a journal once `begin` ends, says whether it has it, and holds it until `hold`
 * ends.
 */
static void be_one_of_many(const int begin[2], const int told[2], const int hold[2])
{
    struct hf_store *store = NULL;
    char byte = 0;
    close(begin[1]);
    close(hold[1]);
    while (read(begin[0], &byte, 1) > 0)
        continue;
    byte = hf_store_create(&store, scratch("j"), "x\n", 2, NULL) == HF_OK;
    if (write(told[1], &byte, 1) == 1)
        while (read(hold[0], &byte, 1) > 0)
            continue;
    _exit(0);
}

/* Eight programs at the same moment, on the same name: one has it, the others are told. */
static void of_many_that_begin_at_once_one_has_the_journal(void **state)
{
    (void)state;
    enum { PROGRAMS = 8, ROUNDS = 20 };
    for (int round = 0; round < ROUNDS; round++) {
        int begin[2], told[2], hold[2], have = 0;
        char byte = 0;
        assert_true(pipe(begin) == 0 && pipe(told) == 0 && pipe(hold) == 0);
        for (int i = 0; i < PROGRAMS; i++)
            if (fork() == 0)
                be_one_of_many(begin, told, hold);
        close(begin[0]);
        close(begin[1]);
        for (int i = 0; i < PROGRAMS; i++) {
            assert_int_equal(read(told[0], &byte, 1), 1);
            have += byte;
        }
        close(hold[0]);
        close(hold[1]);
        while (wait(NULL) > 0)
            continue;
        close(told[0]);
        close(told[1]);
        assert_int_equal(have, 1);
    }
}

static void a_second_program_on_the_same_journal_is_refused(void **state)
{
    (void)state;
    struct hf_store *store = start("j");
    struct hf_store *second = NULL;
    struct hf_diag diag = {0};
    assert_int_equal(symlink("j", scratch("link")), 0);
    const char *names[] = {"j", "link"};
    for (int i = 0; i < 2; i++) {
        assert_int_equal(hf_store_create(&second, scratch(names[i]), "x\n", 2, &diag), HF_E_CREATE);
        assert_non_null(strstr(diag.message, "a running session has it open"));
        assert_null(second);
    }
    assert_int_equal(append(store, "third\n", NULL), HF_OK);
    hf_store_close(store);
    assert_true(scratch_is("j", FIRST "third\n"));
    hf_store_close(start("j")); /* closed: free again */
    assert_int_equal(scratch_count(NULL), 2);
}

static void a_killed_program_leaves_no_lock(void **state)
{
    (void)state;
    int ready[2];
    char byte = 0;
    assert_int_equal(pipe(ready), 0);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        struct hf_store *held = NULL;
        byte = hf_store_create(&held, scratch("j"), "x\n", 2, NULL) == HF_OK ? 'y' : 'n';
        if (write(ready[1], &byte, 1) == 1)
            pause();
        _exit(0);
    }
    assert_int_equal(read(ready[0], &byte, 1), 1);
    struct hf_store *store = NULL;
    enum hf_status while_held = hf_store_create(&store, scratch("j"), "x\n", 2, NULL);
    kill(child, SIGKILL);
    waitpid(child, NULL, 0);
    close(ready[0]);
    close(ready[1]);
    assert_int_equal(byte, 'y');
    assert_int_equal(while_held, HF_E_CREATE);
    hf_store_close(start("j"));
}

static void targets_that_cannot_be_are_refused(void **state)
{
    (void)state;
    struct hf_store *store = NULL;
    assert_int_equal(mkfifo(scratch("pipe"), 0600), 0);
    assert_int_equal(hf_store_create(&store, scratch("pipe"), "x\n", 2, NULL), HF_E_CREATE);
    assert_int_equal(hf_store_create(&store, scratch("no/j"), "x\n", 2, NULL), HF_E_CREATE);
    assert_int_equal(hf_store_create(&store, scratch_directory, "x\n", 2, NULL), HF_E_CREATE);
    assert_null(store);
}

static void a_failed_append_is_final_and_leaves_whole_lines(void **state)
{
    (void)state;
    static const int errors[] = {ENOSPC, EIO, EDQUOT};
    for (size_t i = 0; i < sizeof errors / sizeof errors[0]; i++) {
        for (long nth = 1; nth <= 2; nth++) { /* derived: write, fdatasync */
            struct hf_diag diag = {0};
            struct hf_store *store = start("j");
            assert_int_equal(append(store, "before\n", NULL), HF_OK);
            faults_arm(false, nth, false, errors[i]);
            assert_int_equal(append(store, "third\n", &diag), HF_E_IO);
            assert_int_equal(faults_end(), 1);
            assert_non_null(strstr(diag.message, strerror(errors[i])));
            assert_int_equal(append(store, "fourth\n", &diag), HF_E_IO);
            assert_non_null(strstr(diag.message, "earlier"));
            hf_store_close(store);
            assert_true(scratch_is("j", FIRST "before\n"));
        }
    }
}

static void a_line_that_cannot_be_cut_off_again_is_said(void **state)
{
    (void)state;
    struct hf_diag diag = {0};
    struct hf_store *store = start("j");
    faults_arm(false, 2, true, EIO); /* fdatasync, then ftruncate */
    assert_int_equal(append(store, "third\n", &diag), HF_E_IO);
    assert_int_equal(faults_end(), 2);
    assert_non_null(strstr(diag.advice, "torn"));
    hf_store_close(store);
}

static void a_disk_that_fills_in_the_middle_of_a_line_leaves_whole_lines(void **state)
{
    (void)state;
    struct rlimit before;
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    struct rlimit small = before;
    small.rlim_cur = strlen(FIRST) + 3;
    signal(SIGXFSZ, SIG_IGN);
    struct hf_diag diag = {0};
    struct hf_store *store = start("j");
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    enum hf_status status = append(store, "a longer line\n", &diag);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    hf_store_close(store);
    assert_int_equal(status, HF_E_IO);
    assert_true(scratch_is("j", FIRST));
}

static void short_and_interrupted_calls_lose_nothing(void **state)
{
    (void)state;
    char *text = NULL;
    size_t length = 0;
    faults.most = 2;
    faults.interrupted = true;
    struct hf_store *store = start("j");
    enum hf_status appended = append(store, "third\n", NULL);
    enum hf_status status = hf_store_read(scratch("j"), &text, &length, NULL);
    faults_end();
    hf_store_close(store);
    assert_int_equal(appended, HF_OK);
    assert_int_equal(status, HF_OK);
    assert_string_equal(text, FIRST "third\n");
    assert_int_equal(length, strlen(FIRST "third\n"));
    free(text);
}

static void a_failure_of_any_call_at_the_start_leaves_the_old_journal(void **state)
{
    (void)state;
    for (int memory = 0; memory <= 1; memory++) {
        for (long nth = 1;; nth++) {
            struct hf_diag diag = {0};
            struct hf_store *store = NULL;
            scratch_write("j", "old\n", 4);
            faults_arm(memory, nth, true, EIO);
            enum hf_status status = hf_store_create(&store, scratch("j"), FIRST, 13, &diag);
            long struck = faults_end();
            hf_store_close(store);
            assert_int_equal(scratch_count(NULL), 1);
            assert_true(scratch_is("j", status == HF_OK ? FIRST : "old\n") ||
                        (status == HF_E_IO && scratch_is("j", FIRST)));
            assert_true((status == HF_OK) == (store != NULL));
            assert_true(status == HF_OK || diag.message[0]);
            if (!struck)
                break;
        }
    }
}

static void a_file_is_read_whole(void **state)
{
    (void)state;
    char *text = NULL;
    size_t length = 1;
    scratch_write("empty", "", 0);
    assert_int_equal(hf_store_read(scratch("empty"), &text, &length, NULL), HF_OK);
    assert_int_equal(length, 0);
    assert_string_equal(text, "");
    free(text);
    scratch_write("nul", "a\0b", 3);
    assert_int_equal(symlink("nul", scratch("link")), 0);
    assert_int_equal(hf_store_read(scratch("link"), &text, &length, NULL), HF_OK);
    assert_int_equal(length, 3);
    assert_memory_equal(text, "a\0b", 4);
    free(text);
}

static void what_is_no_regular_file_is_not_read(void **state)
{
    (void)state;
    assert_int_equal(mkdir(scratch("directory"), 0700), 0);
    assert_int_equal(mkfifo(scratch("pipe"), 0600), 0);
    assert_int_equal(symlink("loop", scratch("loop")), 0);
    struct sockaddr_un address = {.sun_family = AF_UNIX};
    snprintf(address.sun_path, sizeof address.sun_path, "%s", scratch("socket"));
    int listener = socket(AF_UNIX, SOCK_STREAM, 0);
    assert_int_equal(bind(listener, (struct sockaddr *)&address, sizeof address), 0);
    close(listener);
    scratch_write("huge", "", 0);
    assert_int_equal(truncate(scratch("huge"), (off_t)HF_STORE_LARGEST + 1), 0);
    const struct {
        const char *path;
        enum hf_status status;
        const char *word;
    } rows[] = {
        {scratch("directory"), HF_E_DATA, "no regular file"},
        {scratch("pipe"), HF_E_DATA, "no regular file"},
        {scratch("socket"), HF_E_DATA, "no regular file"},
        {"/dev/zero", HF_E_DATA, "no regular file"},
        {scratch("huge"), HF_E_DATA, "256 MiB"},
        {scratch("missing"), HF_E_INPUT, "No such file"},
        {scratch("loop"), HF_E_INPUT, "symbolic links"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct hf_diag diag = {0};
        char *text = NULL;
        size_t length = 7;
        assert_int_equal(hf_store_read(rows[i].path, &text, &length, &diag), rows[i].status);
        assert_non_null(strstr(diag.message, rows[i].word));
        assert_null(text);
        assert_int_equal(length, 7);
    }
}

static void a_failure_of_any_call_in_reading_gives_nothing(void **state)
{
    (void)state;
    scratch_write("j", "text\n", 5);
    for (int memory = 0; memory <= 1; memory++) {
        for (long nth = 1;; nth++) {
            char *text = NULL;
            size_t length = 7;
            faults_arm(memory, nth, false, EIO);
            enum hf_status status = hf_store_read(scratch("j"), &text, &length, NULL);
            if (!faults_end()) {
                assert_int_equal(status, HF_OK);
                assert_string_equal(text, "text\n");
                free(text);
                break;
            }
            assert_true(status == (memory ? HF_E_MEMORY : HF_E_IO) || status == HF_E_INPUT);
            assert_null(text);
            assert_int_equal(length, 7);
        }
    }
}

static mode_t mode_of(const char *name)
{
    struct stat there;
    assert_int_equal(stat(scratch(name), &there), 0);
    return there.st_mode;
}

static void directories_are_made_for_their_owner_only(void **state)
{
    (void)state;
    assert_int_equal(hf_store_make_directories(scratch("a//b/c/"), NULL), HF_OK);
    assert_int_equal(hf_store_make_directories(scratch("a/b/c"), NULL), HF_OK);
    const char *made[] = {"a/b/c", "a/b", "a"};
    for (int i = 0; i < 3; i++) {
        assert_int_equal(mode_of(made[i]), S_IFDIR | 0700);
        assert_int_equal(rmdir(scratch(made[i])), 0);
    }
    assert_int_equal(hf_store_make_directories("/", NULL), HF_OK);
    assert_int_equal(hf_store_make_directories(".", NULL), HF_OK);
    assert_int_equal(hf_store_make_directories("", NULL), HF_E_CREATE);
}

static void a_directory_that_cannot_be_is_refused(void **state)
{
    (void)state;
    struct hf_diag diag = {0};
    scratch_write("file", "x", 1);
    assert_int_equal(hf_store_make_directories(scratch("file"), &diag), HF_E_CREATE);
    assert_int_equal(hf_store_make_directories(scratch("file/a"), &diag), HF_E_CREATE);
    assert_non_null(strstr(diag.message, "Not a directory"));
    faults_arm(false, 1, true, ENOSPC);
    assert_int_equal(hf_store_make_directories(scratch("new"), &diag), HF_E_CREATE);
    faults_arm(true, 1, false, 0);
    assert_int_equal(hf_store_make_directories(scratch("new"), &diag), HF_E_MEMORY);
    faults_end();
    assert_int_equal(scratch_count(NULL), 1);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, scratch_make, scratch_remove)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_journal_has_its_first_lines_from_the_start_and_grows),
        TEST(what_is_said_to_be_there_is_on_the_disk),
        TEST(of_many_that_begin_at_once_one_has_the_journal),
        TEST(a_second_program_on_the_same_journal_is_refused),
        TEST(a_killed_program_leaves_no_lock),
        TEST(targets_that_cannot_be_are_refused),
        TEST(a_failed_append_is_final_and_leaves_whole_lines),
        TEST(a_line_that_cannot_be_cut_off_again_is_said),
        TEST(a_disk_that_fills_in_the_middle_of_a_line_leaves_whole_lines),
        TEST(short_and_interrupted_calls_lose_nothing),
        TEST(a_failure_of_any_call_at_the_start_leaves_the_old_journal),
        TEST(a_file_is_read_whole),
        TEST(what_is_no_regular_file_is_not_read),
        TEST(a_failure_of_any_call_in_reading_gives_nothing),
        TEST(directories_are_made_for_their_owner_only),
        TEST(a_directory_that_cannot_be_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
