/* SPDX-License-Identifier: MIT */
/* Where the program writes: targets that can't be are left as they are, a full disk leaves the old
 * file, a signal leaves nothing. published: the interface contract's exit statuses, and "files are
 * whole or absent". */
#define _XOPEN_SOURCE 700

#include "run.h"

#include <errno.h>
#include <sched.h>
#include <stdio.h>
#include <sys/mount.h>
#include <sys/stat.h>

enum { USAGE = 64, CREATE = 73, IO = 74 };

/* A small session to `target`; its status. */
static int render_to(const char *target)
{
    return run("render", "--every", "0.2s", "--lead-in", "0", "--rounds", "1", "--seed", "1",
               "--rate", "8000", "-o", target, NULL);
}

static int record_to(const char *target)
{
    return run("render", "--dry-run", "--seed", "1", "--journal", target, NULL);
}

/* No temporary file is left, whatever happened. */
static void assert_tidy(void)
{
    assert_int_equal(scratch_count(".holdfast"), 0);
}

static void an_unknown_extension_is_told(void **state)
{
    (void)state;
    static const char *const names[] = {"a", "a.", "a.aif", "a.wavs", "wav", ".wav.txt", ""};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        render_to(names[i][0] ? scratch(names[i]) : "");
        assert_refused(USAGE, "unknown extension (known: .wav");
    }
    assert_tidy();
    render_to(scratch("A.WAV"));
    assert_ran();
}

static void a_format_that_cannot_hold_the_bits_is_told(void **state)
{
    (void)state;
    run("render", "-o", scratch("a.flac"), "--bits", "float", NULL);
    assert_refused(USAGE, "not float");
    assert_tidy();
}

static void a_target_in_no_directory_is_told(void **state)
{
    (void)state;
    scratch_write("file", "x", 1);
    const char *const targets[] = {scratch("none/a.wav"), scratch("file/a.wav"), "/proc/a.wav",
                                   "/dev/null/a.wav"};
    for (size_t i = 0; i < sizeof targets / sizeof targets[0]; i++) {
        char target[512];
        snprintf(target, sizeof target, "%s", targets[i]);
        render_to(target);
        assert_refused(CREATE, target);
        record_to(target);
        assert_refused(CREATE, target);
    }
    assert_true(scratch_is("file", "x"));
}

/* Longer than a system allows: the reason is still there when the name is cut. */
static void a_name_that_is_too_long_is_told(void **state)
{
    (void)state;
    static char name[9000], path[9000];
    memset(name, 'n', sizeof name - 1);
    for (size_t length = 300; length < 9000; length += 4000) {
        snprintf(path, sizeof path, "%s/%.*s.wav", scratch_directory, (int)length, name);
        render_to(path);
        assert_refused(CREATE, "too long");
        record_to(path);
        assert_refused(CREATE, "too long");
        run("replay", path, NULL);
        assert_refused(66, "too long");
    }
}

/* What is there stays what it is, and a symbolic link to it too. */
static void a_target_that_is_no_regular_file_is_left_as_it_is(void **state)
{
    (void)state;
    assert_int_equal(mkdir(scratch("d.wav"), 0700), 0);
    assert_int_equal(mkfifo(scratch("p.wav"), 0600), 0);
    assert_int_equal(symlink("d.wav", scratch("ld.wav")), 0);
    assert_int_equal(symlink("p.wav", scratch("lp.wav")), 0);
    assert_int_equal(symlink("/dev/null", scratch("ln.wav")), 0);
    assert_int_equal(symlink("/dev/full", scratch("lf.wav")), 0);
    assert_int_equal(symlink("loop.wav", scratch("loop.wav")), 0);
    assert_int_equal(symlink("nowhere/x", scratch("lx.wav")), 0);
    static const char *const names[] = {"d.wav",  "p.wav",  "ld.wav",   "lp.wav",
                                        "ln.wav", "lf.wav", "loop.wav", "lx.wav"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        char target[512];
        struct stat before, after;
        snprintf(target, sizeof target, "%s", scratch(names[i]));
        assert_int_equal(lstat(target, &before), 0);
        render_to(target);
        assert_refused(CREATE, "cannot create");
        record_to(target);
        assert_refused(CREATE, "cannot create");
        assert_int_equal(lstat(target, &after), 0);
        assert_int_equal(before.st_ino, after.st_ino);
        assert_int_equal(before.st_mode, after.st_mode);
    }
    record_to("/dev/null");
    assert_refused(CREATE, "a device");
    record_to(scratch_directory);
    assert_refused(CREATE, "a directory");
    assert_tidy();
}

static void a_file_through_a_symbolic_link_is_replaced_where_it_lies(void **state)
{
    (void)state;
    struct stat there;
    scratch_write("old.wav", "old", 3);
    assert_int_equal(chmod(scratch("old.wav"), 0640), 0);
    assert_int_equal(symlink("old.wav", scratch("link.wav")), 0);
    render_to(scratch("link.wav"));
    assert_ran();
    assert_int_equal(lstat(scratch("link.wav"), &there), 0);
    assert_true(S_ISLNK(there.st_mode));
    assert_int_equal(stat(scratch("old.wav"), &there), 0);
    assert_int_equal(there.st_mode & 0777, 0640);
    assert_false(scratch_is("old.wav", "old"));
}

/* ---- a full disk ----------------------------------------------------------------------------- */

/* By a limit: the sound (derived: (1.2 + 5) s x 8000 Hz x 6 bytes = 297600) and what the file says
 * of it don't fit, at whatever byte they stop. */
static void a_full_disk_leaves_the_old_file(void **state)
{
    (void)state;
    struct stat whole;
    render_to(scratch("a.wav"));
    assert_int_equal(stat(scratch("a.wav"), &whole), 0);
    assert_true(whole.st_size > 297600);
    const rlim_t limits[] = {1, 40, 44, 45, 1000, 4096, 65536, 297000, (rlim_t)whole.st_size - 1};
    for (size_t i = 0; i < sizeof limits / sizeof limits[0]; i++) {
        scratch_write("a.wav", "old", 3);
        run_with.file_bytes = limits[i];
        render_to(scratch("a.wav"));
        assert_refused(IO, "File too large");
        assert_true(scratch_is("a.wav", "old"));
        scratch_write("j.jsonl", "old", 3);
        run_with.file_bytes = limits[i] < 1000 ? limits[i] : 1000;
        record_to(scratch("j.jsonl"));
        assert_refused(IO, "File too large");
        assert_true(scratch_is("j.jsonl", "old"));
        assert_tidy();
    }
    run_with.file_bytes = (rlim_t)whole.st_size;
    render_to(scratch("a.wav"));
    assert_ran();
    assert_false(scratch_is("a.wav", "old"));
}

/* A small file system of its own, where the system allows one. */
static bool small_disk(void)
{
    return mkdir(scratch("disk"), 0700) == 0 &&
           mount("none", scratch("disk"), "tmpfs", 0, "size=64k") == 0;
}

static void a_disk_that_is_full_in_truth_leaves_the_old_file(void **state)
{
    (void)state;
    if (!small_disk())
        skip();
    scratch_write("disk/a.wav", "old", 3);
    render_to(scratch("disk/a.wav"));
    const char *fault = run_fault(IO, "No space left");
    bool whole = scratch_is("disk/a.wav", "old");
    DIR *directory = opendir(scratch("disk"));
    int files = 0;
    for (struct dirent *entry; directory && (entry = readdir(directory));)
        files++;
    closedir(directory);
    umount(scratch("disk"));
    if (fault)
        fail_msg("%s: %d, %s", fault, ran.status, ran.err);
    assert_true(whole);
    assert_int_equal(files, 3); /* ".", "..", a.wav */
}

static void a_directory_that_cannot_be_written_is_told(void **state)
{
    (void)state;
    char target[512];
    if (!small_disk())
        skip();
    snprintf(target, sizeof target, "%s", scratch("disk/a.wav"));
    scratch_write("disk/a.wav", "old", 3);
    if (mount("none", scratch("disk"), NULL, MS_REMOUNT | MS_RDONLY, NULL) != 0) {
        umount(scratch("disk"));
        skip();
    }
    render_to(target);
    const char *fault = run_fault(CREATE, target);
    bool whole = scratch_is("disk/a.wav", "old");
    umount(scratch("disk"));
    if (fault)
        fail_msg("%s: %d, %s", fault, ran.status, ran.err);
    assert_true(whole);
}

/* ---- signals --------------------------------------------------------------------------------- */

/* Waits until the temporary file is there. The program gives up the processor to us; no time is
 * measured. */
static void await_temporary(void)
{
    while (scratch_count(".holdfast") == 0)
        sched_yield();
}

static void a_signal_leaves_the_old_file_and_is_passed_on(void **state)
{
    (void)state;
    static const int numbers[] = {SIGINT, SIGTERM, SIGHUP};
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
        scratch_write("a.wav", "old", 3);
        scratch_write("j.jsonl", "old", 3);
        const char *args[] = {"render",    "--rounds",         "1000", "-o", scratch("a.wav"),
                              "--journal", scratch("j.jsonl"), NULL};
        pid_t child = run_start(args);
        await_temporary();
        kill(child, numbers[i]);
        run_end(child);
        assert_int_equal(ran.status, 128 + numbers[i]);
        assert_string_equal(ran.err, "");
        assert_true(scratch_is("a.wav", "old"));
        assert_true(scratch_is("j.jsonl", "old"));
        assert_tidy();
    }
}

static void a_signal_ends_a_rehearsal_and_a_replay_too(void **state)
{
    (void)state;
    const char *rehearsal[] = {"render", "--dry-run", "--rounds",         "20", "--every",
                               "1h",     "--journal", scratch("j.jsonl"), NULL};
    pid_t child = run_start(rehearsal);
    await_temporary();
    kill(child, SIGTERM);
    assert_int_equal(run_end(child), 128 + SIGTERM);
    assert_tidy();
    run("render", "--dry-run", "--rounds", "1000", "--journal", scratch("j.jsonl"), NULL);
    assert_ran();
    const char *replay[] = {"replay", scratch("j.jsonl"), "-o", scratch("a.wav"), NULL};
    child = run_start(replay);
    await_temporary();
    kill(child, SIGINT);
    assert_int_equal(run_end(child), 128 + SIGINT);
    assert_tidy();
    assert_int_equal(scratch_count("a.wav"), 0);
}

/* One that was done before the signal came shows nothing: then once more. */
static void a_signal_leaves_nothing_of_an_audition(void **state)
{
    (void)state;
    const char *args[] = {"patches", "--compare", "flute,reed", "-o", scratch("a.wav"), NULL};
    for (int i = 0, done = 0; i < 3 || done == i; i++) {
        assert_true(i < 20);
        pid_t child = run_start(args);
        while (scratch_count(".holdfast") == 0 && scratch_count("a.wav") == 0)
            sched_yield();
        kill(child, SIGTERM);
        run_end(child);
        assert_string_equal(ran.err, "");
        if (ran.status == 0) {
            remove(scratch("a.wav"));
            done++;
            continue;
        }
        assert_int_equal(ran.status, 128 + SIGTERM);
        assert_int_equal(scratch_count("a.wav"), 0);
        assert_tidy();
    }
}

/* The words that go with a file can be copied into a shell. */
static void names_are_shown_as_a_shell_takes_them(void **state)
{
    (void)state;
    render_to(scratch("it's a \033[31mname.wav"));
    assert_ran();
    assert_null(strchr(ran.out, '\033'));
    assert_non_null(strstr(ran.out, "it'\\''s a ?[31mname.wav'"));
    render_to(scratch("plain.wav"));
    assert_ran();
    assert_non_null(strstr(ran.out, "plain.wav: 0:06 at 8000 Hz\n"));
    assert_null(strchr(ran.out, '\''));
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, scratch_make, scratch_remove)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(an_unknown_extension_is_told),
        TEST(a_format_that_cannot_hold_the_bits_is_told),
        TEST(a_target_in_no_directory_is_told),
        TEST(a_name_that_is_too_long_is_told),
        TEST(a_target_that_is_no_regular_file_is_left_as_it_is),
        TEST(a_file_through_a_symbolic_link_is_replaced_where_it_lies),
        TEST(a_full_disk_leaves_the_old_file),
        TEST(a_disk_that_is_full_in_truth_leaves_the_old_file),
        TEST(a_directory_that_cannot_be_written_is_told),
        TEST(a_signal_leaves_the_old_file_and_is_passed_on),
        TEST(a_signal_ends_a_rehearsal_and_a_replay_too),
        TEST(a_signal_leaves_nothing_of_an_audition),
        TEST(names_are_shown_as_a_shell_takes_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
