/* SPDX-License-Identifier: MIT */
/* Usage: session PROGRAM - what a session costs to make: processor time against its length, at
 * every vector width, over lengths; and the memory of the program beside that of its libraries.
 * Figures to read, no test. */
#define _GNU_SOURCE /* wait4, RUSAGE_THREAD */
#include <fcntl.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <holdfast/conductor.h>
#include <holdfast/patchfile.h>
#include <holdfast/performance.h>

extern char **environ;

static double cpu_seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

static enum hf_status no_record(void *self, const struct hf_record *record, struct hf_diag *diag)
{
    (void)self, (void)record, (void)diag;
    return HF_OK;
}

static struct hf_schedule schedule;

static struct hf_patch patch_of(const char *name)
{
    struct hf_patch patch;
    const char *text = hf_patchfile_find_builtin(name);
    if (!text || hf_patchfile_parse(text, strlen(text), name, &patch, NULL) != HF_OK)
        exit(1);
    return patch;
}

static struct hf_engine *engine_for(const struct hf_request *request)
{
    struct hf_engine *engine = NULL;
    struct hf_held_setting held = {.patch = patch_of(request->text[HF_OPT_PATCH]),
                                   .rate_hz = request->rate_hz,
                                   .a4_mhz = 440000,
                                   .seed = request->seed};
    struct hf_engine_setting setting = {.rate_hz = request->rate_hz,
                                        .a4_mhz = 440000,
                                        .held = held,
                                        .added_patch = patch_of("plucked-nylon")};
    if (hf_engine_new(&engine, &setting, NULL) != HF_OK)
        exit(1);
    return engine;
}

/* Processor seconds of the default session (but its rounds and patch), and its length in seconds.
 */
static double make_session(const char *rounds, const char *patch, double *length_s)
{
    static float stereo[2 * 64];
    struct hf_request request;
    struct hf_conductor conductor;
    int64_t frames = 0;
    hf_request_init(&request);
    if (hf_request_set(&request, HF_OPT_ROUNDS, rounds, NULL) != HF_OK ||
        hf_request_set(&request, HF_OPT_PATCH, patch, NULL) != HF_OK ||
        hf_request_resolve(&request, NULL) != HF_OK ||
        hf_schedule_init(&schedule, &request, NULL) != HF_OK ||
        hf_conductor_init(&conductor, &request, &schedule, NULL) != HF_OK)
        exit(1);
    struct hf_performance performance = {.source = hf_conductor_source(&conductor),
                                         .sink = {no_record, NULL},
                                         .engine = engine_for(&request)};
    double began = cpu_seconds();
    while (!hf_engine_over(performance.engine)) {
        if (hf_performance_tend(&performance, NULL) != HF_OK)
            exit(1);
        frames += hf_engine_render(performance.engine, 64, stereo);
    }
    double cost = cpu_seconds() - began;
    hf_engine_free(performance.engine);
    hf_conductor_deinit(&conductor);
    *length_s = (double)frames / request.rate_hz;
    return cost;
}

static void print_speed(const char *patch)
{
    for (const struct hf_vector *const *width = hf_vector_all(); *width; width++) {
        double length = 0;
        if (!hf_vector_runs(*width))
            continue;
        hf_vector_use(*width);
        double cost = make_session("2", patch, &length);
        printf("%-14s %-8s %6.0f times real time, %5.2f ms a second of sound\n", patch,
               (*width)->name, length / cost, cost / length * 1e3);
    }
    hf_vector_use(NULL);
}

static void print_growth(void)
{
    double first = 0;
    static const char *const rounds[] = {"1", "2", "4", "8"};
    for (size_t i = 0; i < 4; i++) {
        double length = 0;
        double rate = make_session(rounds[i], "stopped-pipe", &length) / length;
        first = i ? first : rate;
        printf("%2s rounds, %5.0f s: cost a second %.2f times that of 1 round (linear: 1)\n",
               rounds[i], length, rate / first);
    }
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return x < y ? -1 : x > y;
}

static double thread_seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

/* What the audio thread spends on a block of 256 frames, while a whole session goes by. */
static void print_blocks(const char *patch, const struct hf_vector *width)
{
    enum { FRAMES = 256, BLOCKS_MOST = 40000 };
    static float stereo[2 * FRAMES];
    static double cost[BLOCKS_MOST];
    struct hf_request request;
    struct hf_conductor conductor;
    struct rusage before, after;
    int blocks = 0;
    hf_vector_use(width);
    hf_request_init(&request);
    if (hf_request_set(&request, HF_OPT_ROUNDS, "1", NULL) != HF_OK ||
        hf_request_set(&request, HF_OPT_PATCH, patch, NULL) != HF_OK ||
        hf_request_resolve(&request, NULL) != HF_OK ||
        hf_schedule_init(&schedule, &request, NULL) != HF_OK ||
        hf_conductor_init(&conductor, &request, &schedule, NULL) != HF_OK)
        exit(1);
    struct hf_performance performance = {.source = hf_conductor_source(&conductor),
                                         .sink = {no_record, NULL},
                                         .engine = engine_for(&request)};
    memset(cost, 0, sizeof cost);
    if (hf_performance_tend(&performance, NULL) != HF_OK)
        exit(1);
    hf_engine_render(performance.engine, FRAMES, stereo);
    long faults = 0;
    while (!hf_engine_over(performance.engine) && blocks < BLOCKS_MOST) {
        if (hf_performance_tend(&performance, NULL) != HF_OK)
            exit(1);
        getrusage(RUSAGE_THREAD, &before);
        double began = thread_seconds();
        hf_engine_render(performance.engine, FRAMES, stereo);
        cost[blocks++] = thread_seconds() - began;
        getrusage(RUSAGE_THREAD, &after);
        faults += after.ru_minflt - before.ru_minflt;
    }
    qsort(cost, (size_t)blocks, sizeof cost[0], by_size);
    double period = (double)FRAMES / request.rate_hz;
    printf(
        "%-14s %-8s a block of 256 frames takes %.2f %% of its period (median), %.2f %% at most; "
        "%ld page faults after the first\n",
        patch, width->name, cost[blocks / 2] / period * 100, cost[blocks - 1] / period * 100,
        faults);
    hf_engine_free(performance.engine);
    hf_conductor_deinit(&conductor);
    hf_vector_use(NULL);
}

static void print_all_blocks(void)
{
    printf("the audio thread (targets: a median of 1.5 %% with the widest vectors, 3 %% plain with "
           "three copies; no page fault)\n");
    print_blocks("stopped-pipe", hf_vector_best());
    print_blocks("bowed-string", hf_vector_all()[0]);
}

/* Largest resident memory of a child, in KiB. */
static long memory_of(char **argv)
{
    pid_t child;
    int status = 0;
    struct rusage usage;
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, 1, "/dev/null", O_WRONLY, 0);
    if (posix_spawn(&child, argv[0], &actions, NULL, argv, environ) != 0 ||
        wait4(child, &status, 0, &usage) != child || status != 0)
        exit(1);
    return usage.ru_maxrss;
}

static void print_memory(char *program)
{
    char file[64];
    snprintf(file, sizeof file, "/tmp/holdfast-bench-%ld.wav", (long)getpid());
    char *version[] = {program, (char[]){"--version"}, NULL};
    char *brief[] = {program,       (char[]){"render"}, (char[]){"--rounds"},
                     (char[]){"1"}, (char[]){"-o"},     file,
                     NULL};
    char *longer[] = {
        program, (char[]){"render"}, (char[]){"--rounds"}, (char[]){"12"}, (char[]){"-o"}, file,
        NULL};
    long none = memory_of(version), small = memory_of(brief), large = memory_of(longer);
    unlink(file);
    printf("memory: %.1f MiB beside the libraries for a session of 2:45, %.1f MiB for one of 30:15 "
           "(target: at most 16, flat)\n",
           (double)(small - none) / 1024, (double)(large - none) / 1024);
}

int main(int argc, char **argv)
{
    if (argc > 1) /* first: a child's figure counts this process as it is when the child starts */
        print_memory(argv[1]);
    printf("the default session, without a file (target: at least 80 times real time, plain)\n");
    print_speed("stopped-pipe");
    print_speed("bowed-string");
    print_growth();
    print_all_blocks();
    return 0;
}
