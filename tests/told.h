/* SPDX-License-Identifier: MIT */
/* told: one session that speaks, on a virtual clock, and what was said in it. For one test program.
 */
#ifndef TESTS_TOLD_H
#define TESTS_TOLD_H

#include "talker.h"
#include "virtual.h"

#include <holdfast/narrator.h>

enum { RATE = 8000, GAP = RATE / 4 /* derived: HF_SPEECH_GAP_S */ };

static struct hf_schedule schedule; /* large */

static struct told {
    struct virtual_session v;
    struct hf_request request;
    struct hf_conductor conductor;
    struct hf_narrator narrator;
    struct hf_report late[HF_TRANSPORT_REPORTS];
} told;

static inline void ask(struct hf_request *request, const char *const *settings)
{
    hf_request_init(request);
    assert_ok(hf_request_set(request, HF_OPT_RATE, "8000", NULL));
    assert_ok(hf_request_set(request, HF_OPT_ROUNDS, "1", NULL));
    assert_ok(hf_request_set(request, HF_OPT_SPEAK, "names", NULL));
    for (; *settings; settings += 2)
        set_option(request, settings[0], settings[1]);
    assert_ok(hf_request_resolve(request, NULL));
}

static inline void begin(const char *const *settings)
{
    ask(&told.request, settings);
    assert_ok(hf_schedule_init(&schedule, &told.request, NULL));
    hf_narrator_init(&told.narrator, &told.conductor, &told.request, schedule.total,
                     talker_begin());
    assert_ok(hf_conductor_init_naming(&told.conductor, &told.request, &schedule,
                                       hf_narrator_naming(&told.narrator), NULL));
    virtual_begin(&told.v, hf_narrator_source(&told.narrator), RATE);
    virtual_tend(&told.v);
}

static inline void run_to(int64_t at)
{
    while (told.v.transport.now < at && !hf_transport_done(&told.v.transport)) {
        int count = 0;
        virtual_chunk(&told.v, told.late, &count);
        virtual_reports(&told.v, told.late, &count);
        virtual_tend(&told.v);
    }
}

static inline void press(enum hf_key key)
{
    assert_ok(hf_conductor_key(&told.conductor, key, told.v.transport.now, NULL));
    virtual_tend(&told.v);
}

static inline void finish(void)
{
    run_to(HF_NEVER);
    virtual_end(&told.v);
    hf_conductor_deinit(&told.conductor);
}

static inline const struct hf_timeline_cue *cue_of(uint32_t number)
{
    return &told.conductor.timeline.cues[number - 1];
}

/* The rows in which something is said of a cue, by number from 0; NULL for no more. */
static inline const struct trace_row *said(uint32_t about, int number)
{
    for (int i = 0; i < told.v.rows; i++)
        if (told.v.trace[i].kind == HF_ACTION_SPEAK && told.v.trace[i].about == about &&
            number-- == 0)
            return &told.v.trace[i];
    return NULL;
}

static inline int64_t first_of(enum hf_action_kind kind, int64_t from)
{
    for (int i = 0; i < told.v.rows; i++)
        if (told.v.trace[i].kind == kind && told.v.trace[i].session >= from)
            return told.v.trace[i].session;
    return HF_NEVER;
}

#endif
