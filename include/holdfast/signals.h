/* SPDX-License-Identifier: MIT */
/*
 * signals: keeps them away from threads that are not the caller's own. A library of the sound
 * system takes a call that a signal interrupts for the end of its server: so every thread is
 * made while what comes from outside is blocked, and inherits that.
 *
 * The caller owns the mask. Any thread; it concerns the calling thread and those it makes
 * meanwhile.
 */
#ifndef HOLDFAST_SIGNALS_H
#define HOLDFAST_SIGNALS_H

#include <signal.h>

/* Blocks all that comes from outside; not what a fault of the thread itself raises, of which the
 * kernel makes an end without any handler where it is blocked. `*before`: what was blocked. */
void hf_signals_hold(sigset_t *before);

/* As it was before. */
void hf_signals_let(const sigset_t *before);

#endif
