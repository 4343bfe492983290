/* SPDX-License-Identifier: MIT */
/* Expected values are derived from the promise in wholefile.h: after a failure the target is as it
 * was (or, if only the directory's sync failed, wholly new) and no temporary file is left. */
#define _XOPEN_SOURCE 700
#include "scratch.h"

#include <signal.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <sys/wait.h>

#include <holdfast/wholefile.h>

#include "faults.h"

#define PART ".holdfast-" /* how temporary files are named */

static const int disk_errors[] = {ENOSPC, EIO, EDQUOT, EINTR};

static enum hf_status put(const char *name, const char *text, struct hf_diag *diag)
{
    struct hf_wholefile *file = NULL;
    enum hf_status status = hf_wholefile_open(&file, scratch(name), diag);
    if (status != HF_OK) {
        assert_null(file);
        return status;
    }
    status = hf_wholefile_write(file, text, strlen(text), diag);
    if (status == HF_OK)
        return hf_wholefile_commit(file, diag);
    hf_wholefile_discard(file);
    return status;
}

static mode_t mode_of(const char *name)
{
    struct stat there;
    assert_int_equal(lstat(scratch(name), &there), 0);
    return there.st_mode;
}

static void a_new_file_appears_whole_and_only_on_commit(void **state)
{
    (void)state;
    struct hf_wholefile *file = NULL;
    assert_int_equal(hf_wholefile_open(&file, scratch("new"), NULL), HF_OK);
    assert_int_equal(hf_wholefile_write(file, "abc", 3, NULL), HF_OK);
    assert_true(scratch_is("new", NULL));
    assert_int_equal(scratch_count(PART), 1);
    assert_int_equal(hf_wholefile_commit(file, NULL), HF_OK);
    assert_true(scratch_is("new", "abc"));
    assert_int_equal(scratch_count(NULL), 1);
}

/* derived: what is not on the disk must not have the name yet (write, fsync, rename), and the name
 * itself is on the disk only with its directory (open, fsync). */
static void a_file_is_on_the_disk_before_it_has_its_name(void **state)
{
    (void)state;
    faults_log();
    assert_int_equal(put("new", "abc", NULL), HF_OK);
    assert_string_equal(faults.log, "open write fsync rename open fsync ");
}

static void an_old_file_is_replaced_and_a_discarded_one_never_was(void **state)
{
    (void)state;
    scratch_write("old", "old", 3);
    struct hf_wholefile *file = NULL;
    assert_int_equal(hf_wholefile_open(&file, scratch("old"), NULL), HF_OK);
    assert_int_equal(hf_wholefile_write(file, "never", 5, NULL), HF_OK);
    hf_wholefile_discard(file);
    hf_wholefile_discard(NULL);
    assert_true(scratch_is("old", "old"));
    assert_int_equal(put("old", "new", NULL), HF_OK);
    assert_true(scratch_is("old", "new"));
    assert_int_equal(scratch_count(NULL), 1);
}

static void permissions_come_from_umask_or_from_the_old_file(void **state)
{
    (void)state;
    mode_t before = umask(027);
    assert_int_equal(put("fresh", "x", NULL), HF_OK);
    assert_int_equal(mode_of("fresh") & 0777, 0640); /* derived: 0666 without 027 */
    assert_int_equal(chmod(scratch("fresh"), 0604), 0);
    assert_int_equal(put("fresh", "y", NULL), HF_OK);
    assert_int_equal(mode_of("fresh") & 0777, 0604);
    umask(before);
}

static void a_symbolic_link_is_written_through(void **state)
{
    (void)state;
    assert_int_equal(mkdir(scratch("far"), 0700), 0);
    scratch_write("far/file", "old", 3);
    assert_int_equal(symlink("far/file", scratch("one")), 0);
    assert_int_equal(symlink("one", scratch("two")), 0);
    assert_int_equal(put("two", "new", NULL), HF_OK);
    assert_true(S_ISLNK(mode_of("two")) && S_ISLNK(mode_of("one")));
    assert_true(scratch_is("far/file", "new"));
    assert_int_equal(remove(scratch("far/file")), 0);
    assert_int_equal(scratch_count(PART), 0);
}

static void what_is_no_regular_file_is_refused_and_left(void **state)
{
    (void)state;
    assert_int_equal(mkdir(scratch("directory"), 0700), 0);
    assert_int_equal(mkfifo(scratch("pipe"), 0600), 0);
    assert_int_equal(symlink("pipe", scratch("to-pipe")), 0);
    assert_int_equal(symlink("nowhere", scratch("dangling")), 0);
    assert_int_equal(symlink("loop", scratch("loop")), 0);
    assert_int_equal(symlink("/dev/full", scratch("device")), 0);
    struct sockaddr_un address = {.sun_family = AF_UNIX};
    snprintf(address.sun_path, sizeof address.sun_path, "%s", scratch("socket"));
    int listener = socket(AF_UNIX, SOCK_STREAM, 0);
    assert_int_equal(bind(listener, (struct sockaddr *)&address, sizeof address), 0);
    static const struct {
        const char *name;
        const char *word;
        mode_t type;
    } rows[] = {
        {"directory", "a directory", S_IFDIR}, {"pipe", "a pipe", S_IFIFO},
        {"to-pipe", "a pipe", S_IFLNK},        {"dangling", "leads nowhere", S_IFLNK},
        {"loop", "symbolic links", S_IFLNK},   {"device", "a device", S_IFLNK},
        {"socket", "a socket", S_IFSOCK},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct hf_diag diag = {0};
        assert_int_equal(put(rows[i].name, "x", &diag), HF_E_CREATE);
        assert_non_null(strstr(diag.message, rows[i].word));
        assert_non_null(strstr(diag.message, rows[i].name));
        assert_int_equal(mode_of(rows[i].name) & S_IFMT, rows[i].type);
    }
    assert_int_equal(scratch_count(PART), 0);
    assert_true(scratch_is("nowhere", NULL));
    close(listener);
}

static void a_missing_directory_and_an_empty_name_are_refused(void **state)
{
    (void)state;
    struct hf_diag diag = {0};
    scratch_write("file", "old", 3);
    assert_int_equal(put("missing/a.wav", "x", &diag), HF_E_CREATE);
    assert_non_null(strstr(diag.message, "No such file or directory"));
    assert_int_equal(put("file/a.wav", "x", &diag), HF_E_CREATE);
    assert_int_equal(put("missing/", "x", &diag), HF_E_CREATE);
    struct hf_wholefile *file = NULL;
    assert_int_equal(hf_wholefile_open(&file, "", &diag), HF_E_CREATE);
    assert_non_null(strstr(diag.message, "names no file"));
    assert_null(file);
    assert_int_equal(scratch_count(NULL), 1);
}

/* Root may write anywhere, so another user tries; `work` tells by its result. */
static int as_nobody(int (*work)(void))
{
    int result = -1;
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0)
        _exit(geteuid() == 0 && setuid(65534) != 0 ? 77 : work());
    assert_int_equal(waitpid(child, &result, 0), child);
    assert_true(WIFEXITED(result));
    return WEXITSTATUS(result);
}

static int write_where_it_is_forbidden(void)
{
    struct hf_diag diag = {0};
    if (put("new", "x", &diag) != HF_E_CREATE || !strstr(diag.message, "Permission denied"))
        return 1;
    return put("kept/read-only", "x", &diag) == HF_E_CREATE ? 0 : 2;
}

static void where_writing_is_forbidden_nothing_is_written(void **state)
{
    (void)state;
    assert_int_equal(mkdir(scratch("kept"), 0777), 0);
    assert_int_equal(chmod(scratch("kept"), 0777), 0);
    scratch_write("kept/read-only", "old", 3);
    assert_int_equal(chmod(scratch("kept/read-only"), 0444), 0);
    assert_int_equal(chmod(scratch_directory, 0555), 0);
    int result = as_nobody(write_where_it_is_forbidden);
    assert_int_equal(chmod(scratch_directory, 0755), 0);
    assert_true(scratch_is("kept/read-only", "old"));
    assert_int_equal(remove(scratch("kept/read-only")), 0);
    assert_int_equal(result, 0);
    assert_int_equal(scratch_count(NULL), 1);
}

static void leftovers_of_a_killed_program_are_in_nobodys_way(void **state)
{
    (void)state;
    char name[64];
    for (int i = 0; i < 3; i++) {
        snprintf(name, sizeof name, PART "%u-%d.part", (unsigned)getpid(), i);
        scratch_write(name, "left", 4);
    }
    assert_int_equal(put("new", "abc", NULL), HF_OK);
    assert_true(scratch_is("new", "abc"));
    assert_true(scratch_is(name, "left"));
    assert_int_equal(scratch_count(NULL), 4);
}

static void short_and_interrupted_writes_lose_nothing(void **state)
{
    (void)state;
    faults.most = 3;
    faults.interrupted = true;
    enum hf_status status = put("slow", "a line that takes many turns", NULL);
    faults_end();
    assert_int_equal(status, HF_OK);
    assert_true(scratch_is("slow", "a line that takes many turns"));
}

static void check_failure(enum hf_status status, const struct hf_diag *diag, bool memory)
{
    if (memory)
        assert_int_equal(status, HF_E_MEMORY);
    else
        assert_true(status == HF_E_IO || status == HF_E_CREATE);
    assert_true(diag->message[0] != '\0');
}

/* Fails the nth call for every n; returns how many there were. */
static long fail_every_call(bool memory, bool stay, int error)
{
    for (long nth = 1;; nth++) {
        struct hf_diag diag = {0};
        scratch_write("target", "old", 3);
        faults_arm(memory, nth, stay, error);
        enum hf_status status = put("target", "new", &diag);
        long struck = faults_end();
        assert_int_equal(scratch_count(PART), 0);
        if (!struck) {
            assert_int_equal(status, HF_OK);
            assert_true(scratch_is("target", "new"));
            return nth - 1;
        }
        if (status != HF_OK)
            check_failure(status, &diag, memory);
        assert_true(scratch_is("target", status == HF_OK ? "new" : "old") ||
                    (status == HF_E_IO && scratch_is("target", "new")));
    }
}

static void a_failure_of_any_call_leaves_the_old_file_or_the_whole_new_one(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof disk_errors / sizeof disk_errors[0]; i++)
        /* derived: open, fchmod, write, fsync, rename, open and fsync of the directory; a call that
         * is interrupted for ever is tried for ever, so that one is interrupted once */
        for (int stay = 0; stay <= (disk_errors[i] != EINTR); stay++)
            assert_int_equal(fail_every_call(false, stay, disk_errors[i]), 7);
    for (int stay = 0; stay <= 1; stay++)
        assert_true(fail_every_call(true, stay, 0) >= 3);
}

static void a_file_that_outgrows_its_limit_is_never_there(void **state)
{
    (void)state;
    struct rlimit before;
    struct rlimit small;
    char bytes[4096] = {0};
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    small = before;
    small.rlim_cur = sizeof bytes + 100;
    signal(SIGXFSZ, SIG_IGN);
    struct hf_wholefile *file = NULL;
    struct hf_diag diag = {0};
    assert_int_equal(hf_wholefile_open(&file, scratch("large"), NULL), HF_OK);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    enum hf_status first = hf_wholefile_write(file, bytes, sizeof bytes, &diag);
    enum hf_status second = hf_wholefile_write(file, bytes, sizeof bytes, &diag);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    assert_int_equal(first, HF_OK);
    assert_int_equal(second, HF_E_IO);
    assert_non_null(strstr(diag.message, "File too large"));
    hf_wholefile_discard(file);
    assert_int_equal(scratch_count(NULL), 0);
}

static void a_committed_file_can_stay_open(void **state)
{
    (void)state;
    struct hf_wholefile *file = NULL;
    int descriptor = -1;
    size_t written = 0;
    assert_int_equal(hf_wholefile_open(&file, scratch("log"), NULL), HF_OK);
    assert_string_equal(strrchr(hf_wholefile_target(file), '/'), "/log");
    assert_int_equal(hf_wholefile_write(file, "one\n", 4, NULL), HF_OK);
    assert_int_equal(hf_wholefile_commit_open(file, &descriptor, NULL), HF_OK);
    assert_int_equal(hf_wholefile_write_all(descriptor, "two\n", 4, &written), 0);
    assert_int_equal(written, 4);
    close(descriptor);
    assert_true(scratch_is("log", "one\ntwo\n"));
    assert_int_equal(hf_wholefile_write_all(descriptor, "x", 1, NULL), EBADF);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, scratch_make, scratch_remove)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_new_file_appears_whole_and_only_on_commit),
        TEST(a_file_is_on_the_disk_before_it_has_its_name),
        TEST(an_old_file_is_replaced_and_a_discarded_one_never_was),
        TEST(permissions_come_from_umask_or_from_the_old_file),
        TEST(a_symbolic_link_is_written_through),
        TEST(what_is_no_regular_file_is_refused_and_left),
        TEST(a_missing_directory_and_an_empty_name_are_refused),
        TEST(where_writing_is_forbidden_nothing_is_written),
        TEST(leftovers_of_a_killed_program_are_in_nobodys_way),
        TEST(short_and_interrupted_writes_lose_nothing),
        TEST(a_failure_of_any_call_leaves_the_old_file_or_the_whole_new_one),
        TEST(a_file_that_outgrows_its_limit_is_never_there),
        TEST(a_committed_file_can_stay_open),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
