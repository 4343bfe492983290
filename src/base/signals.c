/* SPDX-License-Identifier: MIT */
/* Invariant: what the threads made between hold and let can receive is what they raise themselves.
 */
#include <holdfast/signals.h>

#include <stddef.h>

void hf_signals_hold(sigset_t *before)
{
    static const int faults[] = {SIGABRT, SIGBUS, SIGFPE, SIGILL, SIGSEGV, SIGSYS, SIGTRAP};
    sigset_t held;
    sigfillset(&held);
    for (size_t i = 0; i < sizeof faults / sizeof faults[0]; i++)
        sigdelset(&held, faults[i]);
    pthread_sigmask(SIG_SETMASK, &held, before);
}

void hf_signals_let(const sigset_t *before)
{
    pthread_sigmask(SIG_SETMASK, before, NULL);
}
