/* SPDX-License-Identifier: MIT */
/*
 * live_aside: a call of the sound system that may hang, made on a thread of its own, and waited for
 * as long as is bearable. For live.c and nobody else.
 *
 * The caller owns the subject, unless the call is late: then it is that thread's, which ends it
 * when it can. The thread receives no signals from outside. Any thread.
 */
#ifndef HOLDFAST_LIVE_ASIDE_H
#define HOLDFAST_LIVE_ASIDE_H

#include <stdbool.h>

enum hf_aside_end {
    HF_ASIDE_DONE,
    HF_ASIDE_LATE,     /* it goes on */
    HF_ASIDE_NOT_BEGUN /* for want of a thread or memory */
};

/* Times in seconds from the call: when `look` is first called, and how long it is waited for; 0:
 * to the end. */
struct hf_aside_patience {
    double look_s, most_s;
};

/* Calls work(subject) on a thread of its own. While it is waited for, look(subject) is called on
 * the caller's, a hundred times a second; `look` may be NULL. When it is late, and comes to its end
 * after all, late(subject) is called on that thread. */
enum hf_aside_end hf_aside_do(void *subject, void (*work)(void *), void (*look)(void *),
                              void (*late)(void *), struct hf_aside_patience patience);

/* Is a call that was late still going on? */
bool hf_aside_is_busy(void);

#endif
