/* SPDX-License-Identifier: MIT */
/*
 * run: the program as a player runs it: with arguments, an environment of its own and limits; what
 * it printed and how it ended. The program is the one built beside the test, or $HOLDFAST.
 *
 * For one test program; define _XOPEN_SOURCE 700 before the first include. Uses tests/scratch.h:
 * the files out and alsa.conf in the scratch directory are this module's.
 */
#ifndef TESTS_RUN_H
#define TESTS_RUN_H

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <stdbool.h>
#include <sys/resource.h>
#include <sys/wait.h>

#include <sndfile.h>

#include "scratch.h"

enum { RUN_ARGS = 40, RUN_SECONDS = 400, RUN_TEXT = 1 << 16 };

/* Under the address sanitizer a limit of memory can't be set. */
#if defined(__SANITIZE_ADDRESS__)
#define RUN_SANITIZED true
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define RUN_SANITIZED true
#endif
#endif
#ifndef RUN_SANITIZED
#define RUN_SANITIZED false
#endif

/* How the next program is run; run() forgets it again. */
static struct {
    const char *in, *out;            /* files; NULL: /dev/null, the scratch directory's */
    bool no_in, no_out, no_err;      /* without that stream */
    bool homeless;                   /* no HOME, no XDG directories */
    const char *locale;              /* LC_ALL */
    rlim_t file_bytes, memory_bytes; /* 0: no limit */
} run_with;

static struct {
    int status;                        /* the program's, or 128 and the signal's number */
    char out[RUN_TEXT], err[RUN_TEXT]; /* what it printed, as far as there is room */
} ran;

static volatile pid_t run_child;
static int run_err; /* where its stderr can be read: a pipe, which no limit of files touches */

static void run_too_long(int number)
{
    (void)number;
    kill(run_child, SIGKILL);
}

static inline const char *run_program(void)
{
    static char path[1024];
    const char *other = getenv("HOLDFAST");
    if (other)
        return other;
    ssize_t length = readlink("/proc/self/exe", path, sizeof path - 16);
    assert_true(length > 0);
    path[length] = 0;
    for (int up = 0; up < 2; up++) /* build/tests/test_x -> build */
        *strrchr(path, '/') = 0;
    strcat(path, "/holdfast");
    return path;
}

/* Nothing of this machine's or this player's: no settings, no sound output. */
static inline void run_environment(void)
{
    static const char no_card[] = "pcm.nosuch { type hw card 9 }\n";
    scratch_write("alsa.conf", no_card, sizeof no_card - 1);
    setenv("ALSA_CONFIG_PATH", scratch("alsa.conf"), 1);
    setenv("JACK_DEFAULT_SERVER", "holdfast-test-none", 1);
    setenv("JACK_NO_START_SERVER", "1", 1);
    setenv("PULSE_SERVER", "/nonexistent", 1);
    setenv("HOME", scratch_directory, 1);
    setenv("XDG_STATE_HOME", scratch("state"), 1);
    setenv("XDG_CONFIG_HOME", scratch("config"), 1);
    static const char *const homes[] = {"HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME"};
    for (int i = 0; run_with.homeless && i < 3; i++)
        unsetenv(homes[i]);
    if (run_with.locale)
        setenv("LC_ALL", run_with.locale, 1);
    else
        unsetenv("LC_ALL");
    /* A build for coverage keeps its counts in files: a limit would leave them cut. */
    if (run_with.file_bytes) {
        setenv("GCOV_PREFIX", "/dev/null", 1);
        setenv("GCOV_ERROR_FILE", "/dev/null", 1);
    } else {
        unsetenv("GCOV_PREFIX");
        unsetenv("GCOV_ERROR_FILE");
    }
}

static inline void run_streams(posix_spawn_file_actions_t *files, int err)
{
    int write_new = O_WRONLY | O_CREAT | O_TRUNC;
    posix_spawn_file_actions_init(files);
    posix_spawn_file_actions_addopen(files, 0, run_with.in ? run_with.in : "/dev/null", O_RDONLY,
                                     0);
    posix_spawn_file_actions_addopen(files, 1, run_with.out ? run_with.out : scratch("out"),
                                     run_with.out ? O_WRONLY : write_new, 0600);
    posix_spawn_file_actions_adddup2(files, err, 2);
    if (run_with.no_in)
        posix_spawn_file_actions_addclose(files, 0);
    if (run_with.no_out)
        posix_spawn_file_actions_addclose(files, 1);
    if (run_with.no_err)
        posix_spawn_file_actions_addclose(files, 2);
}

static inline void run_limit(int resource, rlim_t value, struct rlimit *before)
{
    assert_int_equal(getrlimit(resource, before), 0);
    struct rlimit limit = *before;
    limit.rlim_cur = value ? value : before->rlim_cur;
    assert_int_equal(setrlimit(resource, &limit), 0);
}

/* Reads to the end and closes; what there is no room for is dropped. */
static inline void run_keep(int descriptor, char text[RUN_TEXT])
{
    char rest[4096];
    size_t length = 0;
    for (ssize_t got = 1; descriptor >= 0 && got != 0;) {
        size_t left = RUN_TEXT - 1 - length;
        got = read(descriptor, left ? text + length : rest, left ? left : sizeof rest);
        if (got > 0 && left)
            length += (size_t)got;
        if (got < 0 && errno != EINTR)
            break;
    }
    text[length] = 0;
    close(descriptor);
}

/* Starts the program with arguments that end with NULL; its process. */
static inline pid_t run_start(const char *const *args)
{
    extern char **environ;
    char *argv[RUN_ARGS + 2] = {(char *)(uintptr_t)run_program()};
    struct rlimit file_limit, memory_limit;
    posix_spawn_file_actions_t files;
    pid_t child = 0;
    for (int i = 0; args[i]; i++) {
        assert_true(i < RUN_ARGS);
        argv[i + 1] = (char *)(uintptr_t)args[i];
    }
    run_environment();
    int ends[2];
    assert_int_equal(pipe(ends), 0);
    fcntl(ends[0], F_SETFD, FD_CLOEXEC);
    fcntl(ends[1], F_SETFD, FD_CLOEXEC);
    run_err = ends[0];
    run_streams(&files, ends[1]);
    run_limit(RLIMIT_FSIZE, run_with.file_bytes, &file_limit);
    run_limit(RLIMIT_AS, RUN_SANITIZED ? 0 : run_with.memory_bytes, &memory_limit);
    int error = posix_spawn(&child, argv[0], &files, NULL, argv, environ);
    setrlimit(RLIMIT_FSIZE, &file_limit);
    setrlimit(RLIMIT_AS, &memory_limit);
    posix_spawn_file_actions_destroy(&files);
    close(ends[1]);
    if (error)
        fail_msg("%s: %s", argv[0], strerror(error));
    return child;
}

/* Waits for its end, RUN_SECONDS at most, and fills `ran`. */
static inline int run_end(pid_t child)
{
    int status = 0;
    struct sigaction late = {.sa_handler = run_too_long};
    sigaction(SIGALRM, &late, NULL);
    run_child = child;
    alarm(RUN_SECONDS);
    run_keep(run_err, ran.err);
    while (waitpid(child, &status, 0) < 0)
        continue; /* interrupted by the alarm */
    alarm(0);
    memset(&run_with, 0, sizeof run_with);
    run_keep(open(scratch("out"), O_RDONLY), ran.out);
    ran.status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
    return ran.status;
}

/* Runs the program: run("render", "-o", path, NULL). Returns `ran.status`. */
static inline int run(const char *first, ...)
{
    const char *args[RUN_ARGS + 1] = {first};
    va_list rest;
    va_start(rest, first);
    for (int i = 1; args[i - 1]; i++) {
        assert_true(i < RUN_ARGS);
        args[i] = va_arg(rest, const char *);
    }
    va_end(rest);
    return run_end(run_start(args));
}

/* The contract of errors: one sentence on stderr that says `says`, and at most one line of advice,
 * both after the program's name; nothing else. NULL if so, else what is wrong. */
static inline const char *run_fault(int status, const char *says)
{
    const char *second = strchr(ran.err, '\n');
    if (ran.status != status)
        return "its status";
    if (strncmp(ran.err, "holdfast: ", 10) != 0 || !second)
        return "its first line";
    if (second[1] && (strncmp(second + 1, "holdfast: ", 10) != 0 || !strchr(second + 1, '\n') ||
                      strchr(second + 1, '\n')[1]))
        return "its second line";
    for (const char *c = ran.err; *c; c++)
        if ((unsigned char)*c < 0x20 && *c != '\n')
            return "a control byte";
    const char *found = strstr(ran.err, says);
    return found && found < second ? NULL : "its sentence";
}

#define assert_refused(wanted, says)                                                               \
    do {                                                                                           \
        const char *assert_fault = run_fault(wanted, says);                                        \
        if (assert_fault)                                                                          \
            fail_msg("%s: expected status %d and \"%s\", got %d and\n%s", assert_fault, wanted,    \
                     says, ran.status, ran.err);                                                   \
    } while (0)

#define assert_ran()                                                                               \
    do {                                                                                           \
        if (ran.status != 0 || ran.err[0])                                                         \
            fail_msg("status %d, stderr: %s", ran.status, ran.err);                                \
    } while (0)

/* Frames of a sound file, by libsndfile. */
static inline long frames_of(const char *path)
{
    SF_INFO info = {0};
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    assert_non_null(file);
    sf_close(file);
    return (long)info.frames;
}

/* The same, but for one line on stderr that has `word` in it. */
#define assert_warned(word)                                                                        \
    do {                                                                                           \
        const char *line_end = strchr(ran.err, '\n');                                              \
        if (ran.status != 0 || !strstr(ran.err, word) || !line_end || line_end[1])                 \
            fail_msg("status %d, stderr: %s", ran.status, ran.err);                                \
    } while (0)

#endif
