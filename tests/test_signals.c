/* SPDX-License-Identifier: MIT */
/* Signals and the threads that are made meanwhile. */
#include <pthread.h>
#include <signal.h>
#include <stddef.h>
#include <string.h>

#include <holdfast/signals.h>

#include "check.h"

static void *note_mask(void *mask)
{
    pthread_sigmask(SIG_SETMASK, NULL, mask);
    return NULL;
}

static void a_thread_made_meanwhile_gets_no_signal_from_outside(void **state)
{
    (void)state;
    /* derived: POSIX lists these as sent by a terminal, a shell or another process */
    static const int outside[] = {SIGHUP,  SIGINT,  SIGQUIT, SIGTERM, SIGTSTP, SIGCONT,
                                  SIGPIPE, SIGALRM, SIGUSR1, SIGUSR2, SIGCHLD};
    sigset_t before, its;
    pthread_t thread;
    hf_signals_hold(&before);
    assert_int_equal(pthread_create(&thread, NULL, note_mask, &its), 0);
    hf_signals_let(&before);
    pthread_join(thread, NULL);
    for (size_t i = 0; i < sizeof outside / sizeof outside[0]; i++)
        assert_int_equal(sigismember(&its, outside[i]), 1);
}

static void its_own_faults_reach_their_handler(void **state)
{
    (void)state;
    /* derived: POSIX, 2.4.1: generated for the thread, and undefined where blocked; abort's
     * likewise */
    static const int faults[] = {SIGABRT, SIGBUS, SIGFPE, SIGILL, SIGSEGV};
    sigset_t before, held;
    hf_signals_hold(&before);
    note_mask(&held);
    hf_signals_let(&before);
    for (size_t i = 0; i < sizeof faults / sizeof faults[0]; i++)
        assert_int_equal(sigismember(&held, faults[i]), 0);
}

static void afterwards_the_mask_is_as_it_was(void **state)
{
    (void)state;
    sigset_t mine, before, after;
    sigemptyset(&mine);
    sigaddset(&mine, SIGUSR1);
    pthread_sigmask(SIG_SETMASK, &mine, NULL);
    hf_signals_hold(&before);
    hf_signals_let(&before);
    note_mask(&after);
    for (int number = 1; number < 32; number++)
        assert_int_equal(sigismember(&after, number), number == SIGUSR1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_thread_made_meanwhile_gets_no_signal_from_outside),
        cmocka_unit_test(its_own_faults_reach_their_handler),
        cmocka_unit_test(afterwards_the_mask_is_as_it_was),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
