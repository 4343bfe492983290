/* SPDX-License-Identifier: MIT */
/* Invariant: whoever comes last, the thread or the one that waits for it, frees what they share. */
#include "live_aside.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <time.h>

#include <holdfast/signals.h>

#include "deadline.h"

static const double LOOK_S = 0.01;

struct call {
    void *subject;
    void (*work)(void *);
    void (*late)(void *);
    pthread_mutex_t mutex; /* of the two below */
    pthread_cond_t over;
    bool done, left;
};

static atomic_int late_calls;

static struct call *new_call(void *subject, void (*work)(void *), void (*late)(void *))
{
    pthread_condattr_t attributes;
    struct call *call = calloc(1, sizeof *call);
    if (!call || pthread_condattr_init(&attributes) != 0) {
        free(call);
        return NULL;
    }
    call->subject = subject;
    call->work = work;
    call->late = late;
    pthread_condattr_setclock(&attributes, CLOCK_MONOTONIC);
    pthread_mutex_init(&call->mutex, NULL);
    pthread_cond_init(&call->over, &attributes);
    pthread_condattr_destroy(&attributes);
    return call;
}

static void free_call(struct call *call)
{
    pthread_cond_destroy(&call->over);
    pthread_mutex_destroy(&call->mutex);
    free(call);
}

static void *run(void *argument)
{
    struct call *call = argument;
    call->work(call->subject);
    pthread_mutex_lock(&call->mutex);
    call->done = true;
    bool left = call->left;
    pthread_cond_signal(&call->over);
    pthread_mutex_unlock(&call->mutex);
    if (left) {
        call->late(call->subject);
        free_call(call);
        atomic_fetch_sub(&late_calls, 1);
    }
    return NULL;
}

static bool start(struct call *call)
{
    sigset_t mask;
    pthread_t thread;
    hf_signals_hold(&mask);
    bool started = pthread_create(&thread, NULL, run, call) == 0;
    hf_signals_let(&mask);
    if (started)
        pthread_detach(thread);
    return started;
}

/* True when it was done in time. */
static bool await(struct call *call, void (*look)(void *), struct hf_aside_patience patience)
{
    struct timespec first = hf_deadline_in_s(patience.look_s),
                    last = hf_deadline_in_s(patience.most_s);
    pthread_mutex_lock(&call->mutex);
    while (!call->done && (patience.most_s <= 0 || hf_deadline_left_s(last) > 0)) {
        struct timespec next = hf_deadline_in_s(LOOK_S);
        pthread_cond_timedwait(&call->over, &call->mutex, &next);
        if (!call->done && look && hf_deadline_left_s(first) <= 0) {
            pthread_mutex_unlock(&call->mutex);
            look(call->subject);
            pthread_mutex_lock(&call->mutex);
        }
    }
    bool done = call->done;
    if (!done)
        atomic_fetch_add(&late_calls, 1);
    call->left = !done;
    pthread_mutex_unlock(&call->mutex);
    return done;
}

enum hf_aside_end hf_aside_do(void *subject, void (*work)(void *), void (*look)(void *),
                              void (*late)(void *), struct hf_aside_patience patience)
{
    struct call *call = new_call(subject, work, late);
    if (!call)
        return HF_ASIDE_NOT_BEGUN;
    if (!start(call)) {
        free_call(call);
        return HF_ASIDE_NOT_BEGUN;
    }
    if (!await(call, look, patience))
        return HF_ASIDE_LATE;
    free_call(call);
    return HF_ASIDE_DONE;
}

bool hf_aside_is_busy(void)
{
    return atomic_load(&late_calls) > 0;
}
