/* SPDX-License-Identifier: MIT */
/* Every command with memory or the disk failing at every point, once and from there on. Expected
 * values are derived from the promises: a status of its own and a word on stderr, or the whole
 * right answer; files old, new or absent, never in between; no crash.
 *
 * A run is a fork of this program, which has the commands in it; play sounds on the virtual clock
 * of live/hasty.c. The calls that fail are the program's own and jansson's (the Makefile's list).
 */
#define _XOPEN_SOURCE 700
#define _DEFAULT_SOURCE /* flock, MAP_ANONYMOUS */

#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <sys/file.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>

#include <holdfast/cli.h>
#include <holdfast/journal.h>
#include <holdfast/jsonmemory.h>
#include <holdfast/replay.h>

#include "cli_faults_jobs.h"
#include "tree.h"

/* hasty takes what is not a key from here. */
#define __real_read faulty_read
static ssize_t faulty_read(int descriptor, void *out, size_t size);
#include "live/hasty.c"
#undef __real_read

/* ---- calls that fail ------------------------------------------------------------------------- */

enum kind { MEMORY, DISK, KINDS };
/* The points past the first many of a command are mostly jansson's, for values much like each
 * other: a check tries some of them, make soak all. */
enum { DENSE = 150, DENSE_LIVE = 200, SPARSE = 17 };
enum { WORDS_MOST = 40, TOLD_MOST = 3, SEED_TIME = 1700000000 };

/* Shared with the run. */
static struct shared {
    enum kind kind;
    long until;  /* calls up to the one that fails; 0: none */
    bool stay;   /* those after it too */
    int error;   /* of the disk */
    long calls;  /* of that kind */
    long struck; /* that failed */
    bool on;
} * shared;

static bool strike(enum kind kind)
{
    if (!shared || !shared->on || shared->kind != kind)
        return false;
    shared->calls++;
    bool fails = shared->until && (shared->calls == shared->until ||
                                   (shared->stay && shared->calls > shared->until));
    if (!fails)
        return false;
    shared->struck++;
    errno = kind == MEMORY ? ENOMEM : shared->error;
    return true;
}

#define CALL(kind, failure, type, name, parameters, arguments)                                     \
    type __real_##name parameters;                                                                 \
    type __wrap_##name parameters;                                                                 \
    type __wrap_##name parameters                                                                  \
    {                                                                                              \
        return strike(kind) ? (failure) : __real_##name arguments;                                 \
    }

CALL(MEMORY, NULL, void *, malloc, (size_t size), (size))
CALL(MEMORY, NULL, void *, calloc, (size_t count, size_t size), (count, size))
CALL(MEMORY, NULL, void *, realloc, (void *memory, size_t size), (memory, size))
CALL(MEMORY, NULL, void *, aligned_alloc, (size_t unit, size_t size), (unit, size))
CALL(MEMORY, NULL, char *, strdup, (const char *text), (text))
CALL(MEMORY, NULL, char *, strndup, (const char *text, size_t length), (text, length))
CALL(MEMORY, NULL, char *, realpath, (const char *path, char *resolved), (path, resolved))
CALL(MEMORY, NULL, FILE *, open_memstream, (char **text, size_t *length), (text, length))
CALL(MEMORY, NULL, FILE *, fdopen, (int descriptor, const char *mode), (descriptor, mode))
CALL(MEMORY, NULL, DIR *, fdopendir, (int descriptor), (descriptor))
CALL(DISK, NULL, DIR *, opendir, (const char *path), (path))
CALL(DISK, NULL, struct dirent *, readdir64, (DIR * directory), (directory))
CALL(DISK, -1, int, rename, (const char *from, const char *to), (from, to))
CALL(DISK, -1, int, ftruncate64, (int fd, off_t length), (fd, length))
CALL(DISK, -1, off_t, lseek64, (int fd, off_t offset, int whence), (fd, offset, whence))
CALL(DISK, -1, int, fchmod, (int fd, mode_t mode), (fd, mode))
CALL(DISK, -1, int, stat64, (const char *path, struct stat *there), (path, there))
CALL(DISK, -1, int, lstat64, (const char *path, struct stat *there), (path, there))
CALL(DISK, -1, int, fstat64, (int fd, struct stat *there), (fd, there))
CALL(DISK, -1, int, fstatat64, (int fd, const char *path, struct stat *there, int flags),
     (fd, path, there, flags))
CALL(DISK, -1, int, access, (const char *path, int way), (path, way))
CALL(DISK, -1, int, mkdir, (const char *path, mode_t mode), (path, mode))
CALL(DISK, -1, ssize_t, write, (int fd, const void *bytes, size_t length), (fd, bytes, length))
CALL(DISK, -1, ssize_t, pread64, (int fd, void *bytes, size_t length, off_t at),
     (fd, bytes, length, at))
CALL(DISK, -1, int, flock, (int fd, int how), (fd, how))

/* The disk is not waited for. */
int __wrap_fsync(int fd);
int __wrap_fsync(int fd)
{
    (void)fd;
    return strike(DISK) ? -1 : 0;
}

int __wrap_fdatasync(int fd);
int __wrap_fdatasync(int fd)
{
    (void)fd;
    return strike(DISK) ? -1 : 0;
}

static ssize_t faulty_read(int descriptor, void *out, size_t size)
{
    ssize_t __real_read(int, void *, size_t);
    return strike(DISK) ? -1 : __real_read(descriptor, out, size);
}

static mode_t mode_of(int flags, va_list rest)
{
    return flags & O_CREAT ? va_arg(rest, mode_t) : 0;
}

int __real_open64(const char *path, int flags, ...);
int __wrap_open64(const char *path, int flags, ...);
int __wrap_open64(const char *path, int flags, ...)
{
    va_list rest;
    va_start(rest, flags);
    mode_t mode = mode_of(flags, rest);
    va_end(rest);
    return strike(DISK) ? -1 : __real_open64(path, flags, mode);
}

int __real_openat64(int directory, const char *path, int flags, ...);
int __wrap_openat64(int directory, const char *path, int flags, ...);
int __wrap_openat64(int directory, const char *path, int flags, ...)
{
    va_list rest;
    va_start(rest, flags);
    mode_t mode = mode_of(flags, rest);
    va_end(rest);
    return strike(DISK) ? -1 : __real_openat64(directory, path, flags, mode);
}

/* A day that stands still, so that the same command writes the same bytes. */
time_t __wrap_time(time_t *out);
time_t __wrap_time(time_t *out)
{
    if (out)
        *out = SEED_TIME;
    return SEED_TIME;
}

int __wrap_clock_gettime(clockid_t clock, struct timespec *now);
int __wrap_clock_gettime(clockid_t clock, struct timespec *now)
{
    (void)clock;
    *now = (struct timespec){.tv_sec = SEED_TIME};
    return 0;
}

/* ---- what is run ----------------------------------------------------------------------------- */

static struct {
    char home[80], outside[80]; /* where it runs; what it prints goes beside it */
    struct tree before;         /* what is there when it starts */
    struct tree after;          /* what there is when nothing fails */
    char *printed;              /* and what it prints */
    size_t printed_length;
    bool changed; /* the last run left another tree than there was before it */
    long runs;
} bench;

static const char *outside(const char *name)
{
    static char paths[4][128];
    static unsigned next;
    char *path = paths[next++ % 4];
    snprintf(path, sizeof paths[0], "%s/%s", bench.outside, name);
    return path;
}

static char *read_file(const char *path, size_t *length)
{
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    fseek(file, 0, SEEK_END);
    *length = (size_t)ftell(file);
    rewind(file);
    char *text = malloc(*length + 1);
    assert_non_null(text);
    assert_int_equal(fread(text, 1, *length, file), *length);
    text[*length] = 0;
    fclose(file);
    return text;
}

static void write_file(const char *path, const char *text)
{
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    fputs(text, file);
    assert_int_equal(fclose(file), 0);
}

/* In the child: the program, from its streams to its exit. */
static void be_the_program(const struct job *job, const char *out)
{
    static char line[1024];
    char *argv[WORDS_MOST + 1] = {NULL};
    int argc = 0;
    snprintf(line, sizeof line, "%s", job->words);
    for (char *at = line; at && argc < WORDS_MOST; argc++) {
        argv[argc] = at;
        at = strchr(at, '|');
        if (at)
            *at++ = 0;
    }
    write_file(outside("in"), job->input ? job->input : "");
    if (job->keys)
        write_file(outside("keys"), job->keys);
    setenv("HASTY_KEYS", outside(job->keys ? "keys" : "none"), 1);
    int in = __real_open64(outside("in"), O_RDONLY);
    int to =
        __real_open64(out ? out : outside("out"), O_WRONLY | O_CREAT | (out ? 0 : O_TRUNC), 0600);
    int err = __real_open64(outside("err"), O_WRONLY | O_CREAT | O_TRUNC, 0600);
    if (chdir(bench.home) != 0 || dup2(in, 0) < 0 || dup2(to, 1) < 0 || dup2(err, 2) < 0)
        _exit(99);
    static const int crashes[] = {SIGFPE, SIGILL, SIGSEGV, SIGBUS, SIGSYS};
    for (size_t i = 0; i < sizeof crashes / sizeof crashes[0]; i++)
        signal(crashes[i], SIG_DFL); /* cmocka's handlers would go on as the test */
    signal(SIGPIPE, SIG_IGN);
    signal(SIGXFSZ, SIG_IGN);
    alarm(60);
    int status = 98;
    hf_jsonmemory_watch();
    shared->on = true;
    for (const struct hf_cli_command *each = hf_cli_commands; each->name; each++)
        if (strcmp(each->name, argv[0]) == 0)
            status = each->run(each, argc, argv);
    shared->on = false;
    exit(status);
}

/* Runs it once; its status, or 128 and the number of the signal that ended it. */
static int run_job(const struct job *job, const char *out)
{
    int status = 0;
    bench.runs++;
    shared->calls = shared->struck = 0;
    fflush(NULL);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0)
        be_the_program(job, out);
    while (waitpid(child, &status, 0) < 0)
        continue;
    shared->on = false;
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

/* ---- what is looked at ----------------------------------------------------------------------- */

/* A journal that was being played: whole lines of the right one, then one that may be torn. */
static bool is_begun(const struct tree_file *file, const struct tree_file *whole)
{
    struct hf_journal journal;
    if (!whole || file->length > whole->length || !strstr(file->path, ".jsonl") ||
        memcmp(file->bytes, whole->bytes, file->length) != 0 ||
        hf_journal_parse(file->bytes, file->length, &journal, NULL) != HF_OK)
        return false;
    hf_journal_deinit(&journal);
    return true;
}

/* The review may do without its index, or leave it for the next time: tests/test_review_memory.c
 * and tests/test_review_files.c see that it is right then. */
#define INDEX "review.index"

static const char *fault_of_files(bool done, bool plays, bool may_differ)
{
    static char fault[256];
    struct tree now = tree_take(bench.home);
    const char *what = NULL;
    bench.changed = !tree_equal(&now, &bench.before);
    for (int i = 0; i < now.count && !what; i++) {
        const struct tree_file *file = &now.files[i];
        const struct tree_file *old = tree_find(&bench.before, file->path);
        const struct tree_file *new = tree_find(&bench.after, file->path);
        if (!(!done && old && tree_same(file, old)) && !(new &&tree_same(file, new)) &&
            !(!done && plays && is_begun(file, new)) && !(may_differ && old && new) &&
            !(new &&strstr(file->path, INDEX))) {
            snprintf(fault, sizeof fault, "%.200s is %s", file->path,
                     old || new ? "neither old nor new" : "left over");
            what = fault;
        }
    }
    for (int i = 0; i < bench.before.count && !what; i++) {
        const char *path = bench.before.files[i].path;
        if (!tree_find(&now, path) && tree_find(&bench.after, path)) {
            snprintf(fault, sizeof fault, "%.200s is gone", path);
            what = fault;
        }
    }
    for (int i = 0; done && i < bench.after.count && !what; i++) {
        const char *path = bench.after.files[i].path;
        if (!tree_find(&now, path) && !strstr(path, INDEX)) {
            snprintf(fault, sizeof fault, "%.200s was not made", path);
            what = fault;
        }
    }
    tree_free(&now);
    return what;
}

static const char *fault_of_words(const char *errors)
{
    if (!errors[0])
        return "nothing on stderr";
    for (const char *at = errors; at && *at; at = strchr(at, '\n'), at = at ? at + 1 : NULL)
        if (strncmp(at, "holdfast: ", 10) != 0)
            return "stderr";
    return NULL;
}

/* A review goes on without the journals that it could not read, and says which; so does what
 * chooses by them, which tells what it chose. */
static bool may_lack(const struct job *job, const char *printed, const char *errors)
{
    if (job->keys && strstr(printed, "Today:  at least"))
        return true; /* only what other sessions of the day came to */
    if (job->keys && strstr(printed, "out of memory"))
        return true; /* notes that were typed and could not be taken: the player types them again */
    if (shared->kind == MEMORY)
        return false;
    bool reviews = strncmp(job->words, "review", 6) == 0;
    if (!reviews)
        return strstr(job->words, "weak") != NULL;
    return strstr(printed, "cannot be read") || strstr(errors, "left out");
}

/* NULL when the run kept the promises. */
static const char *fault_of(const struct job *job, int status)
{
    size_t length = 0, said = 0;
    const char *fault = NULL;
    char *errors = read_file(outside("err"), &said);
    char *printed = read_file(outside("out"), &length);
    bool same = length == bench.printed_length && memcmp(printed, bench.printed, length) == 0;
    bool memory = shared->kind == MEMORY;
    if (status >= 128)
        fault = "a crash";
    else if (status == 0)
        fault = same || may_lack(job, printed, errors) ? NULL : "status 0, but another answer";
    else if (memory ? status != 70 : status != 66 && status != 73 && status != 74)
        fault = "a wrong status";
    if (!fault && status != 0)
        fault = fault_of_words(errors);
    if (!fault)
        fault = fault_of_files(status == 0 && same, job->keys != NULL,
                               status == 0 && may_lack(job, printed, errors));
    free(errors);
    free(printed);
    return fault;
}

static void tell_errors(void)
{
    size_t length = 0;
    char *errors = read_file(outside("err"), &length);
    fprintf(stderr, "#   %.*s\n", getenv("TELL") ? 5000 : 300, errors);
    free(errors);
}

static void arm(enum kind kind, long until, bool stay, int error)
{
    shared->kind = kind;
    shared->until = until;
    shared->stay = stay;
    shared->error = error;
}

/* The run in which nothing fails: what it prints and leaves is what is right. */
static bool begin_job(const struct job *job)
{
    arm(MEMORY, 0, false, 0);
    tree_put(&bench.before, bench.home);
    int status = run_job(job, NULL);
    bench.after = tree_take(bench.home);
    bench.printed = read_file(outside("out"), &bench.printed_length);
    bool fine = status == 0 && bench.printed_length > 0;
    bench.changed = true;
    if (!fine)
        fprintf(stderr, "# %s: status %d\n", job->words, status), tell_errors();
    return fine;
}

static void end_job(void)
{
    tree_free(&bench.after);
    free(bench.printed);
}

/* Every point of one job at which a call of that kind can fail; how many went wrong. */
static int fail_everywhere(const struct job *job, enum kind kind, bool stay)
{
    static const int errors[] = {ENOSPC, EIO, EDQUOT};
    int wrong = 0;
    long dense = (job->keys ? DENSE_LIVE : DENSE) / (stay && kind == MEMORY ? 4 : 1);
    for (long nth = 1;; nth += nth < dense || getenv("SOAK") ? 1 : SPARSE) {
        if (bench.changed)
            tree_put(&bench.before, bench.home);
        bench.changed = true;
        arm(kind, nth, stay, errors[nth % 3]);
        int status = run_job(job, NULL);
        if (!shared->struck)
            return wrong;
        const char *fault = fault_of(job, status);
        if (fault && ++wrong <= TOLD_MOST) {
            fprintf(stderr, "# %s: call %ld of %s%s: %s (%d)\n", job->words, nth,
                    kind == MEMORY ? "memory" : "the disk", stay ? " and all after it" : "", fault,
                    status);
            tell_errors();
        }
    }
}

static void try_all(enum kind kind, bool stay)
{
    const char *only = getenv("JOB");
    int wrong = 0;
    for (size_t i = 0; i < sizeof jobs / sizeof jobs[0]; i++) {
        if (only && !strstr(jobs[i].words, only))
            continue;
        long before = bench.runs;
        double start = (double)clock() / CLOCKS_PER_SEC;
        wrong += begin_job(&jobs[i]) ? fail_everywhere(&jobs[i], kind, stay) : 1;
        end_job();
        if (getenv("TELL"))
            fprintf(stderr, "# %ld runs, %.2f s here: %s\n", bench.runs - before,
                    (double)clock() / CLOCKS_PER_SEC - start, jobs[i].words);
    }
    assert_int_equal(wrong, 0);
}

static void no_memory_once_is_told_and_leaves_files_whole(void **state)
{
    (void)state;
    try_all(MEMORY, false);
}

static void no_memory_any_more_is_told_and_leaves_files_whole(void **state)
{
    (void)state;
    try_all(MEMORY, true);
}

static void a_call_of_the_disk_that_fails_is_told_and_leaves_files_whole(void **state)
{
    (void)state;
    try_all(DISK, false);
}

static void a_disk_that_is_gone_is_told_and_leaves_files_whole(void **state)
{
    (void)state;
    try_all(DISK, true);
}

/* ---- the bench ------------------------------------------------------------------------------- */

static void make_file(const char *name, const char *text)
{
    char path[128];
    snprintf(path, sizeof path, "%s/%s", bench.home, name);
    write_file(path, text);
}

static void make_run(const char *words)
{
    struct job job = {words, NULL, NULL};
    arm(MEMORY, 0, false, 0);
    if (run_job(&job, NULL) != 0)
        fail_msg("%s does not run", words);
}

/* One journal with its fourth line torn, one with that line damaged. */
static void make_torn(void)
{
    char path[128];
    size_t length = 0;
    snprintf(path, sizeof path, "%s/one.jsonl", bench.home);
    char *text = read_file(path, &length), *at = text;
    for (int line = 0; line < 3; line++)
        at = strchr(at, '\n') + 1;
    at[9] ^= 1;
    make_file("damaged.jsonl", text);
    at[9] = 0;
    make_file("torn.jsonl", text);
    free(text);
}

static int begin(void **state)
{
    (void)state;
    if (scratch_make_quick(state) != 0)
        return -1;
    snprintf(bench.home, sizeof bench.home, "%s/home", scratch_directory);
    snprintf(bench.outside, sizeof bench.outside, "%s/outside", scratch_directory);
    mkdir(bench.home, 0700);
    mkdir(bench.outside, 0700);
    char path[128];
    setenv("HOME", bench.home, 1);
    setenv("TZ", "UTC", 1);
    snprintf(path, sizeof path, "%s/state", bench.home);
    setenv("XDG_STATE_HOME", path, 1);
    mkdir(path, 0700);
    snprintf(path, sizeof path, "%s/config", bench.home);
    setenv("XDG_CONFIG_HOME", path, 1);
    mkdir(path, 0700);
    shared = mmap(NULL, sizeof *shared, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    assert_true(shared != MAP_FAILED);
    make_run("render|--dry-run|--journal|one.jsonl|" SHORT);
    make_run("play|--save|kept|" SHORT);
    snprintf(path, sizeof path, "%s/state/holdfast", bench.home);
    mkdir(path, 0700);
    make_run("render|--dry-run|--journal|state/holdfast/2023-11-01-120000.jsonl|" SHORT);
    make_run("play|roam|--dry-run|--journal|roam.jsonl|--seed|1|--rate|8000|--held|C E G#");
    make_torn();
    make_file("chords.txt", "C E G# C# D G\n");
    make_file("old.wav", "old");
    make_file("old.csv", "old");
    make_file("old.html", "old");
    make_file("old.svg", "old");
    make_file("old.jsonl", "old");
    make_file("mine.ini", "[instrument]\nstrings = E2 A2 D3 G3 B3 E4\nfrets = 12\nscale_mm = 650\n"
                          "nut_spacing_mm = 8.5\nbridge_spacing_mm = 11.5\n");
    make_file("drone.ini", "[patch]\nkind = drone\nabout = a test\n[partials]\ncount = 3\n"
                           "tilt_db_per_octave = 6\n");
    bench.before = tree_take(bench.home);
    return 0;
}

static int end(void **state)
{
    fprintf(stderr, "# %ld runs\n", bench.runs);
    struct tree nothing = {.count = 0};
    tree_put(&nothing, bench.home);
    tree_put(&nothing, bench.outside);
    tree_free(&bench.before);
    return scratch_remove(state);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_memory_once_is_told_and_leaves_files_whole),
        cmocka_unit_test(no_memory_any_more_is_told_and_leaves_files_whole),
        cmocka_unit_test(a_call_of_the_disk_that_fails_is_told_and_leaves_files_whole),
        cmocka_unit_test(a_disk_that_is_gone_is_told_and_leaves_files_whole),
    };
    return cmocka_run_group_tests(tests, begin, end);
}
