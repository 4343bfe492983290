/* SPDX-License-Identifier: MIT */
/*
 * player: one session on the virtual clock, whose keys the test presses. A test sets what it needs
 * in `request`, begins, runs to a sample, presses, and finishes.
 *
 * For one test program.
 */
#ifndef TESTS_PLAYER_H
#define TESTS_PLAYER_H

#include "virtual.h"

static struct hf_schedule schedule; /* large */
static struct virtual_session v;
static struct hf_conductor conductor;
static struct hf_request request;
static struct hf_diag refusal; /* why a key was refused */

/* For a request that is resolved: all but what virtual_tend lays in advance. */
static inline void lay_session(void)
{
    assert_ok(hf_schedule_init(&schedule, &request, NULL));
    assert_ok(hf_conductor_init(&conductor, &request, &schedule, NULL));
    virtual_begin(&v, hf_conductor_source(&conductor), request.rate_hz);
}

static inline void begin_session(void)
{
    assert_ok(hf_request_resolve(&request, NULL));
    lay_session();
    virtual_tend(&v);
}

/* Chunks until the session's clock is there, stands, or the session is over. */
static inline void run_to(int64_t session)
{
    struct hf_report late[HF_TRANSPORT_REPORTS];
    while (v.transport.now < session && !hf_transport_done(&v.transport)) {
        int count = 0;
        int64_t before = v.transport.now;
        virtual_chunk(&v, late, &count);
        virtual_reports(&v, late, &count);
        if (v.transport.now == before && v.transport.stopped)
            return; /* in a pause the session's clock stands */
    }
}

static inline void chunks(long count)
{
    struct hf_report late[HF_TRANSPORT_REPORTS];
    for (long i = 0; i < count; i++) {
        int got = 0;
        virtual_chunk(&v, late, &got);
        virtual_reports(&v, late, &got);
    }
}

static inline enum hf_status press(enum hf_key key)
{
    enum hf_status status = hf_conductor_key(&conductor, key, v.transport.now, &refusal);
    virtual_tend(&v);
    return status;
}

static inline void finish(void)
{
    hf_conductor_deinit(&conductor);
    virtual_end(&v);
    hf_schedule_deinit(&schedule);
}

#endif
