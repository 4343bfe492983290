/* SPDX-License-Identifier: MIT */
/* A player on the virtual clock, killed with -9: what the listener heard is in the journal.
 * derived: from the promise of the write-ahead; the witness is this process, which has each sample
 * from a pipe as a sound card would, and compares with what a replay of the journal sounds like.
 *
 * KILLS=N is how many random instants are tried, twice (make soak: 100,000 in all), SEED=N where
 * they begin. */
#define _XOPEN_SOURCE 700
#define _GNU_SOURCE /* F_SETPIPE_SZ */

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdbool.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <time.h>

#include <holdfast/cli.h>
#include <holdfast/journal.h>
#include <holdfast/random.h>

#include "scratch.h"

#define __real_read kill_read
static ssize_t kill_read(int descriptor, void *out, size_t size);
#include "live/hasty.c"
#undef __real_read

enum {
    RATE = 8000,
    SINK = 9, /* the descriptor that the sound goes to */
    SOUND_MOST = 16 * RATE,
    TICK = RATE / 100,
    WORDS = 40
};

#if defined(__SANITIZE_ADDRESS__)
enum { KILLS = 100 }; /* a fork takes long there */
#else
enum { KILLS = 1500 };
#endif

/* ---- the end of the world -------------------------------------------------------------------- */

/* Shared with the player: it dies at a call that reaches the disk. */
static struct {
    long until; /* 0: not by itself */
    bool after; /* when the call has been made, else before it */
    bool torn;  /* a write gets half way */
    long calls;
} * doom;

static bool due(void)
{
    return doom && doom->until && ++doom->calls == doom->until;
}

static void die(void)
{
    kill(getpid(), SIGKILL);
}

int __real_rename(const char *from, const char *to);
int __wrap_rename(const char *from, const char *to);
int __wrap_rename(const char *from, const char *to)
{
    bool last = due();
    if (last && !doom->after)
        die();
    int result = __real_rename(from, to);
    if (last)
        die();
    return result;
}

ssize_t __real_write(int fd, const void *bytes, size_t length);
ssize_t __wrap_write(int fd, const void *bytes, size_t length);
ssize_t __wrap_write(int fd, const void *bytes, size_t length)
{
    bool last = due();
    if (last && !doom->after && !doom->torn)
        die();
    ssize_t result = __real_write(fd, bytes, last && doom->torn ? length / 2 : length);
    if (last)
        die();
    return result;
}

/* The disk itself is not waited for: a killed program loses nothing that was written. */
int __wrap_fsync(int fd);
int __wrap_fsync(int fd)
{
    (void)fd;
    if (due())
        die();
    return 0;
}

int __wrap_fdatasync(int fd);
int __wrap_fdatasync(int fd)
{
    return __wrap_fsync(fd);
}

static ssize_t kill_read(int descriptor, void *out, size_t size)
{
    ssize_t __real_read(int, void *, size_t);
    return __real_read(descriptor, out, size);
}

/* ---- the player ------------------------------------------------------------------------------ */

struct heard {
    float frames[SOUND_MOST][2];
    long count;
    int status; /* of the process: its exit, or 128 and a signal */
};

static struct heard player, replayer;

static void be_the_program(const char *words, const char *keys)
{
    static char line[1024];
    char *argv[WORDS + 1] = {NULL}, path[32];
    int argc = 0;
    static const int crashes[] = {SIGFPE, SIGILL, SIGSEGV, SIGBUS, SIGSYS};
    for (size_t i = 0; i < sizeof crashes / sizeof crashes[0]; i++)
        signal(crashes[i], SIG_DFL); /* cmocka's handlers would go on as the test */
    snprintf(line, sizeof line, "%s", words);
    for (char *at = line; at && argc < WORDS; argc++) {
        argv[argc] = at;
        at = strchr(at, '|');
        if (at)
            *at++ = 0;
    }
    snprintf(path, sizeof path, "/dev/fd/%d", SINK);
    setenv("HASTY_SOUND", path, 1);
    setenv("HASTY_KEYS", keys, 1);
    int nowhere = open("/dev/null", O_RDWR), errors = open("err", O_WRONLY | O_CREAT, 0600);
    if (dup2(nowhere, 0) < 0 || dup2(nowhere, 1) < 0 || dup2(errors, 2) < 0)
        _exit(99);
    doom->calls = 0;
    for (const struct hf_cli_command *each = hf_cli_commands; each->name; each++)
        if (strcmp(each->name, argv[0]) == 0)
            exit(each->run(each, argc, argv));
    exit(98);
}

static void listen_to(int descriptor, struct heard *heard, long most)
{
    char *at = (char *)heard->frames;
    size_t size = (size_t)(most < SOUND_MOST ? most : SOUND_MOST) * sizeof heard->frames[0],
           have = 0;
    ssize_t got = 1;
    while (have < size && got > 0) {
        ssize_t __real_read(int, void *, size_t);
        got = __real_read(descriptor, at + have, size - have);
        have += got > 0 ? (size_t)got : 0;
        if (got < 0 && errno == EINTR)
            got = 1;
    }
    heard->count = (long)(have / sizeof heard->frames[0]);
}

/* Runs it, hears `frames` of it, waits `pause_us`, kills it and hears what is left in the pipe. */
static void run(const char *words, const char *keys, struct heard *heard, long frames,
                long pause_us)
{
    int ends[2], status = 0;
    fflush(NULL);
    assert_int_equal(pipe(ends), 0);
    fcntl(ends[0], F_SETPIPE_SZ, 4096); /* so that it is not far ahead */
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        if (dup2(ends[1], SINK) < 0 || chdir(scratch_directory) != 0)
            _exit(99);
        close(ends[0]);
        close(ends[1]);
        be_the_program(words, keys);
    }
    close(ends[1]);
    listen_to(ends[0], heard, frames);
    struct timespec start, now;
    clock_gettime(CLOCK_MONOTONIC, &start);
    for (now = start;
         (now.tv_sec - start.tv_sec) * 1000000 + (now.tv_nsec - start.tv_nsec) / 1000 < pause_us;)
        clock_gettime(CLOCK_MONOTONIC, &now);
    kill(child, SIGKILL);
    static struct heard rest;
    listen_to(ends[0], &rest, SOUND_MOST - heard->count);
    memcpy(heard->frames[heard->count], rest.frames, (size_t)rest.count * sizeof rest.frames[0]);
    heard->count += rest.count;
    close(ends[0]);
    while (waitpid(child, &status, 0) < 0)
        continue;
    heard->status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

/* ---- the witness ----------------------------------------------------------------------------- */

static long torn, empty;

/* Samples from the start on in which both are the same. */
static long same_frames(void)
{
    long i = 0;
    while (i < player.count && i < replayer.count &&
           memcmp(player.frames[i], replayer.frames[i], sizeof player.frames[0]) == 0)
        i++;
    return i;
}

static bool is_silent(long from, long to)
{
    for (long i = from; i < to; i++)
        if (player.frames[i][0] != 0 || player.frames[i][1] != 0)
            return false;
    return true;
}

/* How many frames of the sound a journal tells of: a stay that nobody ended lasts as long as it
 * did, in which nothing is asked for. */
static long told(const struct hf_journal *journal)
{
    int64_t silence = 0, stay = -1;
    for (size_t i = 0; i < journal->count; i++) {
        const struct hf_record *record = &journal->records[i];
        silence += record->type == HF_RECORD_RESUME ? record->after : 0;
        if (record->type == HF_RECORD_STAY)
            stay = record->at + silence;
        else if (record->type == HF_RECORD_GO)
            stay = -1;
    }
    return stay >= 0 && stay < player.count ? (long)stay : player.count;
}

/* What is on the disk, against what was heard. `late`: frames at the end of it that came of a key
 * whose record, which tells when it took effect, is written after that. */
static void testify(uint64_t seed, long late)
{
    struct hf_journal journal;
    struct hf_diag diag = {0};
    size_t length = 0;
    char *text = (char *)scratch_read("j.jsonl", &length);
    if (!text || length == 0) {
        empty++;
        if (!is_silent(0, player.count))
            fail_msg("seed %llu: heard, and no journal", (unsigned long long)seed);
        free(text);
        return;
    }
    if (hf_journal_parse(text, length, &journal, &diag) != HF_OK)
        fail_msg("seed %llu: %s\n%s", (unsigned long long)seed, diag.message, text);
    torn += journal.torn;
    player.count = told(&journal);
    hf_journal_deinit(&journal);
    doom->until = 0;
    run("replay|j.jsonl|--plain|--rate|8000", "none", &replayer, player.count, 0);
    long same = same_frames();
    /* A pause that nobody ended lasts as long as it did, in silence; its end may have come late. */
    if (!is_silent(same, player.count - late))
        fail_msg("seed %llu: %ld frames heard, %ld of them in the journal of\n%s",
                 (unsigned long long)seed, player.count, same, text);
    free(text);
}

static void clear(void)
{
    DIR *directory = opendir(scratch_directory);
    assert_non_null(directory);
    for (struct dirent *entry; (entry = readdir(directory));)
        if (strcmp(entry->d_name, "keys") != 0)
            unlink(scratch(entry->d_name));
    closedir(directory);
}

#define PLAY "play|--journal|j.jsonl|--held|C E G#|--lead-in|0.2s|--rate|8000|--rounds|1|--plain|"

static long kills(void)
{
    const char *asked = getenv("KILLS");
    return asked ? atol(asked) : KILLS; /* of each of two */
}

static void try_kills(bool with_keys, long count)
{
    struct hf_random random;
    const char *seed_text = getenv("SEED");
    uint64_t first = seed_text ? (uint64_t)atoll(seed_text) : 1;
    long heard = 0;
    for (uint64_t seed = first; seed < first + (uint64_t)count; seed++) {
        char words[256], keys[256] = "";
        static const char *const ways[] = {"lead", "confirm", "gap", "ear"};
        hf_random_init(&random, seed, 9);
        snprintf(words, sizeof words, PLAY "--every|0.3s|--cue|%s|--seed|%llu",
                 ways[hf_random_below(&random, 4)], (unsigned long long)seed);
        for (uint32_t at = 0; with_keys && at < 200; at += 10 + hf_random_below(&random, 40))
            snprintf(keys + strlen(keys), sizeof keys - strlen(keys), "%u.%02u %c\n", at / 100,
                     at % 100, " pgmr\rb"[hf_random_below(&random, 6)]);
        for (char *c = keys; *c; c++) /* as hasty wants them */
            if (*c == '\r')
                *c = 'a';
        clear();
        scratch_write("keys", keys, strlen(keys));
        doom->until = 0;
        run(words, with_keys ? "keys" : "none", &player, 1 + hf_random_below(&random, 2 * RATE),
            hf_random_below(&random, 300));
        heard += player.count > 0;
        testify(seed, with_keys ? 2 * TICK : 0);
    }
    assert_true(heard > count * 9 / 10);
}

static void killed_at_any_instant_all_that_was_heard_is_in_the_journal(void **state)
{
    (void)state;
    try_kills(false, kills());
}

static void killed_among_keys_all_that_was_heard_is_in_the_journal(void **state)
{
    (void)state;
    try_kills(true, kills());
}

/* Before, after and in the middle of every call that reaches the disk. */
static void killed_at_any_call_of_the_disk_all_that_was_heard_is_in_the_journal(void **state)
{
    (void)state;
    torn = empty = 0;
    for (int way = 0; way < 3; way++)
        for (long nth = 1;; nth++) {
            clear();
            doom->until = nth;
            doom->after = way == 1;
            doom->torn = way == 2;
            run(PLAY "--every|0.3s|--cue|lead|--seed|7", "none", &player, SOUND_MOST, 0);
            bool done = player.status != 128 + SIGKILL;
            testify((uint64_t)nth, 0);
            if (done)
                break;
        }
    assert_true(torn >= 4 && empty >= 4); /* else nothing was shown */
}

static int begin(void **state)
{
    doom = mmap(NULL, sizeof *doom, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    return doom == MAP_FAILED ? -1 : scratch_make(state);
}

static int end(void **state)
{
    return scratch_remove(state);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(killed_at_any_call_of_the_disk_all_that_was_heard_is_in_the_journal),
        cmocka_unit_test(killed_at_any_instant_all_that_was_heard_is_in_the_journal),
        cmocka_unit_test(killed_among_keys_all_that_was_heard_is_in_the_journal),
    };
    return cmocka_run_group_tests(tests, begin, end);
}
