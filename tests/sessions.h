/* SPDX-License-Identifier: MIT */
/*
 * sessions: whole journals of random sessions, played by random keys on a virtual clock, of every
 * way to cue and every practice. For one test program; include it after tests/virtual.h.
 */
#ifndef TESTS_SESSIONS_H
#define TESTS_SESSIONS_H

#include <stdio.h>

#include <holdfast/instrumentfile.h>
#include <holdfast/random.h>

static struct hf_schedule session_schedule; /* large */

/* Kinds of sessions, each in many seeds. */
static const struct setting session_kinds[][4] = {
    {{"cue", "lead"}, {"every", "0.5s"}},
    {{"cue", "confirm"}, {"every", "0.5s"}, {"register", "through"}},
    {{"cue", "silent"}, {"every", "0.5s"}, {"register", "below"}},
    {{"cue", "ear"}, {"every", "0.5s"}, {"register", "all"}},
    {{"cue", "gap"}, {"every", "0.5s"}},
    {{"cue", "reverse"}, {"every", "4s"}},
    {{"cue", "confirm"}, {"every", "wait"}},
    {{"cue", "ear"}, {"every", "wait"}},
    {{"cue", "confirm"}, {"every", "0.5s"}, {"hand", "guitar"}},
    {{"cue", "confirm"}, {"every", "0.5s"}, {"held", "C E G"}, {"added", "3-1"}},
    {{"practice", "roam"}, {"cue", "lead"}},
    {{"unfold", "3-5,3-12"}, {"step", "1s"}, {"every", "1s"}},
    {{"practice", "ear"}, {"every", "1s"}, {"near-miss", "yes"}},
    {{"practice", "ear"}, {"every", "wait"}},
    {{"practice", "warmup"}, {"day", "2026-11-25"}},
};
enum { SESSION_KINDS = sizeof session_kinds / sizeof *session_kinds };

static inline void session_request(struct hf_request *request, uint64_t seed)
{
    char number[24];
    const struct setting *setting = session_kinds[seed % SESSION_KINDS];
    snprintf(number, sizeof number, "%d", (int)seed);
    hf_request_init(request);
    set_option(request, "seed", number);
    set_option(request, "rate", "8000");
    for (int i = 0; i < 4 && setting[i].key; i++)
        set_option(request, setting[i].key, setting[i].value);
    if (request->practice != HF_PRACTICE_ROAM && request->practice != HF_PRACTICE_WARMUP)
        set_option(request, "lead-in", "0.3s");
    if (request->given[HF_OPT_HAND]) {
        const char *text = hf_instrumentfile_find_builtin("guitar");
        struct hf_fretboard guitar;
        assert_ok(hf_instrumentfile_parse(text, strlen(text), "guitar", "guitar", &guitar, NULL));
        hf_request_take_board(request, &guitar);
    }
    struct hf_diag diag;
    if (hf_request_resolve(request, &diag) != HF_OK)
        fail_msg("%s", diag.message);
}

/* Mostly marks and answers: what a review counts. */
static inline enum hf_key session_key(struct hf_random *random, bool early)
{
    static const enum hf_key often[] = {
        HF_KEY_GOT,          HF_KEY_GOT,          HF_KEY_MISSED,       HF_KEY_CHOICE_1,
        HF_KEY_CHOICE_1 + 1, HF_KEY_CHOICE_1 + 2, HF_KEY_CHOICE_1 + 3, HF_KEY_NEXT};
    static const enum hf_key seldom[] = {HF_KEY_STAY,  HF_KEY_STAY,   HF_KEY_PAUSE, HF_KEY_PAUSE,
                                         HF_KEY_AGAIN, HF_KEY_REVEAL, HF_KEY_NEXT};
    uint32_t draw = hf_random_below(random, 100);
    if (draw < 2 && !early)
        return draw ? HF_KEY_QUIT : HF_KEY_SIGNAL;
    if (draw < 60)
        return often[hf_random_below(random, sizeof often / sizeof *often)];
    return seldom[hf_random_below(random, sizeof seldom / sizeof *seldom)];
}

/* Plays one; `v->lines` is then the whole journal, the head first. `seconds` is the longest. */
static inline void session_play(struct virtual_session *v, const struct hf_request *request,
                                const char *started, uint64_t seed, int seconds)
{
    static struct hf_conductor conductor;
    static struct hf_report late[100000];
    struct hf_random random;
    struct hf_diag diag;
    int count = 0;
    hf_random_init(&random, seed, 5);
    if (hf_schedule_init(&session_schedule, request, &diag) != HF_OK)
        fail_msg("%s", diag.message);
    assert_ok(hf_conductor_init(&conductor, request, &session_schedule, NULL));
    virtual_begin(v, hf_conductor_source(&conductor), request->rate_hz);
    v->length = write_head(v->lines, request, started, "[patch]\n", "[patch]\n");
    virtual_tend(v);
    while (!hf_transport_done(&v->transport)) {
        int64_t now = v->transport.now;
        v->rows = 0; /* the trace is of no interest here */
        virtual_chunk(v, late, &count);
        bool enough = now > (int64_t)seconds * request->rate_hz;
        if (enough || hf_random_below(&random, 30) == 0) {
            enum hf_key key =
                enough ? HF_KEY_QUIT : session_key(&random, now < request->rate_hz * 2);
            enum hf_status status = hf_conductor_key(&conductor, key, v->transport.now, &diag);
            assert_true(status == HF_OK || status == HF_E_USAGE);
        }
        virtual_tend(v);
        virtual_reports(v, late, &count);
    }
    virtual_tend(v);
    hf_conductor_deinit(&conductor);
    hf_schedule_deinit(&session_schedule);
}

#endif
