/* SPDX-License-Identifier: MIT */
/*
 * The audio thread as it runs: a thread that may ask nothing of the system renders a busy session,
 * while another sends and presses. Each call of the system would be trapped (seccomp, on that
 * thread alone) and counted; so is each page that is touched for the first time (getrusage).
 * published: the promise of engine.h, "real-time safe", and of DEVELOPERS.md. tests/test_rt.sh
 * looks at symbols. With the arguments `blocks LOAD` it only renders, for tests/test_blocks.sh to
 * count instructions.
 */
#define _GNU_SOURCE
#include "check.h"

#include <errno.h>
#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <pthread.h>
#include <sched.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/syscall.h>
#include <ucontext.h>
#include <unistd.h>

#include <holdfast/conductor.h>
#include <holdfast/patchfile.h>
#include <holdfast/performance.h>
#include <holdfast/random.h>

enum { RATE = 48000, BLOCK = 64, SECONDS = 6, BLOCKS = SECONDS * RATE / BLOCK };

static struct hf_schedule schedule;
static struct hf_conductor conductor;
static struct hf_request request;
static struct hf_engine *engine;
static struct hf_performance performance;

/* ---- the session ----------------------------------------------------------------------------- */

static enum hf_status forget(void *self, const struct hf_record *record, struct hf_diag *diag)
{
    (void)self, (void)record, (void)diag;
    return HF_OK;
}

static struct hf_patch patch_of(const char *name)
{
    struct hf_patch patch;
    const char *text = hf_patchfile_find_builtin(name);
    assert_non_null(text);
    assert_ok(hf_patchfile_parse(text, strlen(text), name, &patch, NULL));
    return patch;
}

static const struct hf_utterance *say_tone(void *self, uint32_t words)
{
    static int16_t samples[RATE];
    static const struct hf_utterance tone = {
        .text = "tone", .length = RATE, .samples = samples, .gain = 0.1f / 32768};
    (void)self, (void)words;
    for (int i = 0; !samples[RATE - 1] && i < RATE;
         i++) /* the thread that prepares is the first here */
        samples[i] = (int16_t)(i % 200 < 100 ? 9000 : -9000);
    return &tone;
}

/* What there is to sound. */
static const struct load {
    const char *name, *held_patch, *added_patch;
    enum hf_held_way way;
    const char *settings[11][2];
} loads[] = {
    {"usual",
     "stopped-pipe",
     "plucked-nylon",
     HF_HELD_SUSTAINED,
     {{"cue", "reverse"}, {"every", "0.7s"}, {"lead-in", "0.3s"}}},
    /* Low notes have the most partials, bowed ones in three copies each. */
    {"heaviest",
     "bowed-string",
     "plucked-steel",
     HF_HELD_SUSTAINED,
     {{"held", "E1 G#1 C2 E2 G#2 C3 E3 G#3 C4 E4 G#4 C5"},
      {"cue", "lead"},
      {"every", "2beats"},
      {"lead-in", "1beat"},
      {"tempo", "240"},
      {"tick", "on"}}},
    /* Each strike while the one before it dies away. */
    {"struck",
     "plucked-steel",
     "plucked-steel",
     HF_HELD_STRUCK,
     {{"held", "E2 G#2 C3"},
      {"hand", "guitar"},
      {"drone", "struck"},
      {"restrike", "1s"},
      {"cue", "lead"},
      {"every", "1s"},
      {"lead-in", "0.3s"}}},
};
enum { LOADS = sizeof loads / sizeof loads[0] };

static void set(const char *name, const char *value)
{
    struct hf_diag diag;
    for (int key = 0; key < HF_OPTIONS; key++)
        if (strcmp(hf_option_name((enum hf_option)key), name) == 0 &&
            hf_request_set(&request, (enum hf_option)key, value, &diag) != HF_OK)
            fail_msg("%s %s: %s", name, value, diag.message);
}

static void begin_session(const struct load *load)
{
    struct hf_diag diag;
    hf_request_init(&request);
    set("rate", "48000");
    set("rounds", "20");
    for (int i = 0; load->settings[i][0]; i++)
        set(load->settings[i][0], load->settings[i][1]);
    if (hf_request_resolve(&request, &diag) != HF_OK)
        fail_msg("%s: %s", load->name, diag.message);
    assert_ok(hf_schedule_init(&schedule, &request, NULL));
    assert_ok(hf_conductor_init(&conductor, &request, &schedule, NULL));
    struct hf_engine_setting setting = {.rate_hz = RATE,
                                        .a4_mhz = 440000,
                                        .held = {.way = load->way,
                                                 .rate_hz = RATE,
                                                 .a4_mhz = 440000,
                                                 .seed = 7,
                                                 .restrike = RATE,
                                                 .patch = patch_of(load->held_patch)},
                                        .added_patch = patch_of(load->added_patch),
                                        .speaker = {.get = say_tone}};
    (void)say_tone(NULL, 1);
    assert_ok(hf_engine_new(&engine, &setting, NULL));
    performance = (struct hf_performance){
        .source = hf_conductor_source(&conductor), .sink = {forget, NULL}, .engine = engine};
    assert_ok(hf_performance_tend(&performance, NULL));
}

static void end_session(void)
{
    hf_engine_free(engine);
    hf_conductor_deinit(&conductor);
    hf_schedule_deinit(&schedule);
}

static void do_something(struct hf_random *random)
{
    static const enum hf_key keys[] = {HF_KEY_STAY, HF_KEY_PAUSE,  HF_KEY_AGAIN,
                                       HF_KEY_NEXT, HF_KEY_SOFTER, HF_KEY_AGAIN};
    struct hf_diag diag;
    enum hf_key key = conductor.paused    ? HF_KEY_PAUSE
                      : conductor.staying ? HF_KEY_STAY
                                          : keys[hf_random_below(random, 6)];
    (void)!hf_conductor_key(&conductor, key, hf_engine_now(engine), &diag);
    if (hf_random_below(random, 4) == 0)
        hf_engine_send(engine,
                       &(struct hf_event){.kind = HF_EVENT_SAY,
                                          .words = 1,
                                          .at = (hf_engine_now(engine) / HF_GRID + 4) * HF_GRID,
                                          .length = RATE / 2});
}

/* ---- the guard ------------------------------------------------------------------------------- */

static atomic_long trapped, last_call, wanted, done, faults, begun;
static _Atomic(bool) asks;

static void on_trap(int number, siginfo_t *what, void *context)
{
    (void)number;
    atomic_fetch_add(&trapped, 1);
    atomic_store(&last_call, what->si_syscall);
#if defined(__x86_64__) /* what the call gives back; elsewhere whoever asked may come to harm */
    ((ucontext_t *)context)->uc_mcontext.gregs[REG_RAX] = -ENOSYS;
#endif
    (void)context;
}

/* From here on this thread may count its faults and come back from the trap; nothing else. */
static bool guard(void)
{
    struct sock_filter rules[] = {
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, nr)),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_getrusage, 1, 0),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_rt_sigreturn, 0, 1),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_TRAP),
    };
    struct sock_fprog program = {sizeof rules / sizeof *rules, rules};
    return prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0 &&
           prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &program) == 0;
}

static long faults_so_far(void)
{
    struct rusage used;
    getrusage(RUSAGE_THREAD, &used);
    return used.ru_minflt + used.ru_majflt;
}

/* The thread is a sound system's, which has used its stack before. */
static __attribute__((noinline)) void touch_stack(void)
{
    volatile char below[65536];
    for (size_t i = 0; i < sizeof below; i += 1024)
        below[i] = 0;
}

/* Never ends: to end is to ask the system. The process takes it along. */
static void *audio(void *self)
{
    static float block[2 * BLOCK];
    (void)self;
    memset(block, 1, sizeof block);
    touch_stack();
    long before = faults_so_far();
    atomic_store(&begun, guard() ? 1 : -1);
    if (atomic_load(&begun) < 0)
        for (;;)
            pause();
    before = faults_so_far();
    for (;;) {
        if (atomic_load(&done) == atomic_load(&wanted))
            continue;
        hf_engine_render(engine, BLOCK, block);
        if (atomic_load(&asks)) {
            syscall(SYS_getppid); /* what the guard is there to see */
            atomic_store(&asks, false);
        }
        atomic_store(&faults, faults_so_far() - before);
        atomic_fetch_add(&done, 1);
    }
    return NULL;
}

static void one_block(void)
{
    long number = atomic_fetch_add(&wanted, 1) + 1;
    while (atomic_load(&done) < number)
        sched_yield();
}

static void render_guarded(const struct load *load)
{
    struct hf_random random;
    hf_random_init(&random, 3, 1);
    begin_session(load);
    for (long i = 0; i < BLOCKS; i++) {
        one_block();
        if (hf_random_below(&random, 200) == 0)
            do_something(&random);
        assert_ok(hf_performance_tend(&performance, NULL));
    }
    if (atomic_load(&trapped))
        fail_msg("%s: %ld calls of the system, the last one number %ld", load->name,
                 atomic_load(&trapped), atomic_load(&last_call));
    if (atomic_load(&faults))
        fail_msg("%s: %ld page faults", load->name, atomic_load(&faults));
    end_session();
}

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
enum { SANITIZED = 1 }; /* what a sanitizer asks of the system is its own */
#else
enum { SANITIZED = 0 };
#endif

static void the_audio_thread_asks_nothing_of_the_system(void **state)
{
    (void)state;
    if (SANITIZED)
        skip();
    struct sigaction trap = {.sa_sigaction = on_trap, .sa_flags = SA_SIGINFO};
    pthread_t thread;
    sigaction(SIGSYS, &trap, NULL);
    assert_int_equal(pthread_create(&thread, NULL, audio, NULL), 0);
    while (atomic_load(&begun) == 0)
        sched_yield();
    if (atomic_load(&begun) < 0)
        skip(); /* no seccomp here */
    for (int i = 0; i < LOADS; i++)
        render_guarded(&loads[i]);
    /* The guard sees a call where there is one. */
    begin_session(&loads[0]);
    atomic_store(&asks, true);
    one_block();
    assert_true(atomic_load(&trapped) > 0);
    end_session();
}

static int render_blocks(const struct load *load)
{
    static float block[2 * BLOCK];
    struct hf_random random;
    hf_random_init(&random, 3, 1);
    begin_session(load);
    for (long i = 0; i < BLOCKS / 3; i++) {
        hf_engine_render(engine, BLOCK, block);
        if (hf_random_below(&random, 200) == 0)
            do_something(&random);
        assert_ok(hf_performance_tend(&performance, NULL));
    }
    end_session();
    return 0;
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_audio_thread_asks_nothing_of_the_system),
    };
    for (int i = 0; argc == 3 && i < LOADS; i++)
        if (strcmp(argv[1], "blocks") == 0 && strcmp(argv[2], loads[i].name) == 0)
            return render_blocks(&loads[i]);
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    fflush(NULL);
    _exit(failed);
}
