/* SPDX-License-Identifier: MIT */
/*
 * replaying: random sessions on a virtual clock, and their replays: the journal must give the same
 * actions at the same samples again, and at another rate the same actions in the same order.
 *
 * For one test program.
 */
#ifndef TESTS_REPLAYING_H
#define TESTS_REPLAYING_H

#include "talker.h"
#include "virtual.h"

#include <stdio.h>

#include <holdfast/random.h>

static inline struct hf_request request_of(const struct setting *settings)
{
    struct hf_request request;
    hf_request_init(&request);
    set_options(&request, settings);
    assert_ok(hf_request_resolve(&request, NULL));
    return request;
}

static struct hf_schedule schedule; /* large */

struct played {
    struct virtual_session session;
    struct hf_timeline timeline; /* the conductor's */
    struct hf_conductor conductor;
    struct hf_narrator narrator;
    bool silent; /* does not speak, whatever the request says */
    bool deaf;   /* what is spoken is not in the trace */
};

/* Any three notes in hunt, half of them a completion; now and then a hint. */
static inline enum hf_status hunt_any(struct played *p, struct hf_random *random, int64_t now)
{
    struct hf_verdict verdict;
    struct hf_hint hint;
    struct hf_diag diag;
    hf_pcset pcs = 0;
    if (hf_random_below(random, 5) == 0)
        return hf_conductor_hint(&p->conductor, now, &hint, &diag);
    while (hf_pcset_size(pcs) < 3)
        pcs = (hf_pcset)(pcs | 1u << hf_random_below(random, HF_PCS));
    if (hf_random_below(random, 2) == 0)
        pcs = schedule.completions[hf_random_below(random, (uint32_t)schedule.count)].pcs;
    return hf_conductor_answer(&p->conductor, pcs, now, &verdict, &diag);
}

/* The output goes away, or comes back. */
static inline void turn_away(struct hf_conductor *conductor)
{
    if (conductor->away)
        hf_conductor_back(conductor);
    else
        hf_conductor_away(conductor);
}

static inline enum hf_status press_any(struct played *p, struct hf_random *random, long chunk)
{
    if (hf_random_below(random, 12) == 0)
        turn_away(&p->conductor);
    bool speaks = p->conductor.request->speak == HF_SPEAK_ALL && !p->silent && !p->deaf;
    if (speaks && hf_random_below(random, 12) == 0) {
        hf_narrator_help(&p->narrator, p->session.transport.now, "the keys");
        return HF_OK;
    }
    /* Quitting is rare, and the longer it takes the likelier. */
    uint32_t draw = hf_random_below(random, 100);
    int64_t now = p->session.transport.now;
    enum hf_key key = draw < 20   ? HF_KEY_STAY
                      : draw < 38 ? HF_KEY_PAUSE
                      : draw < 41 ? HF_KEY_LOUDER
                      : draw < 46 ? HF_KEY_SOFTER
                      : draw < 65 ? HF_KEY_NEXT
                      : draw < 75 ? HF_KEY_AGAIN
                      : draw < 85 ? HF_KEY_REVEAL
                      : draw < 90 ? HF_KEY_GOT
                      : draw < 95 ? HF_KEY_MISSED
                      : draw < 98 ? HF_KEY_QUIT
                                  : HF_KEY_SIGNAL;
    if ((key == HF_KEY_QUIT || key == HF_KEY_SIGNAL) && chunk < 400)
        key = HF_KEY_NEXT;
    enum hf_practice practice = p->conductor.request->practice;
    if (key == HF_KEY_STAY && practice == HF_PRACTICE_ROAM)
        key = (enum hf_key)(HF_KEY_CHOICE_1 + (int)hf_random_below(random, 9));
    if ((key == HF_KEY_STAY || key == HF_KEY_NEXT) && practice == HF_PRACTICE_HUNT)
        return hunt_any(p, random, now);
    if ((practice == HF_PRACTICE_EAR || practice == HF_PRACTICE_SIGHT) &&
        hf_random_below(random, 2) == 0)
        key = hf_random_below(random, 3) ? HF_KEY_CHOICE_1 + hf_random_below(random, 6)
                                         : HF_KEY_CHOICE_NONE;
    struct hf_diag diag;
    return hf_conductor_key(&p->conductor, key, now, &diag);
}

/* Plays with random keys until the end. `late_chunks`: how long reports may lie before the
 * conductor is tended. */
static inline void play(struct played *p, const struct hf_request *request, uint64_t seed,
                        int late_chunks, int key_every)
{
    struct hf_random random;
    struct hf_report *late = calloc(100000, sizeof *late);
    int late_count = 0, wait = 0;
    hf_random_init(&random, seed, 77);
    hf_schedule_deinit(&schedule); /* of the session before */
    assert_ok(hf_schedule_init(&schedule, request, NULL));
    if (request->speak != HF_SPEAK_OFF && !p->silent) {
        hf_narrator_init(&p->narrator, &p->conductor, request, schedule.total, talker_begin());
        assert_ok(hf_conductor_init_naming(&p->conductor, request, &schedule,
                                           hf_narrator_naming(&p->narrator), NULL));
        virtual_begin(&p->session, hf_narrator_source(&p->narrator), request->rate_hz);
    } else {
        assert_ok(hf_conductor_init(&p->conductor, request, &schedule, NULL));
        virtual_begin(&p->session, hf_conductor_source(&p->conductor), request->rate_hz);
    }
    p->session.length = write_head(p->session.lines, request, STARTED, "[patch]\n", "[patch]\n");
    p->session.deaf = p->deaf;
    virtual_tend(&p->session);
    for (long chunk = 0; !hf_transport_done(&p->session.transport); chunk++) {
        assert_true(chunk < 1000000);
        virtual_chunk(&p->session, late, &late_count);
        if (request->speak != HF_SPEAK_OFF && !p->silent)
            hf_narrator_tend(&p->narrator, p->session.transport.now);
        hf_conductor_break(&p->conductor, p->session.transport.now);
        if (hf_random_below(&random, (uint32_t)key_every) == 0) {
            enum hf_status status = press_any(p, &random, chunk);
            assert_true(status == HF_OK || status == HF_E_USAGE);
        }
        if (wait-- <= 0) {
            virtual_tend(&p->session);
            virtual_reports(&p->session, late, &late_count);
            wait = late_chunks ? (int)hf_random_below(&random, (uint32_t)late_chunks) : 0;
        }
    }
    virtual_reports(&p->session, late, &late_count);
    virtual_tend(&p->session);
    free(late);
}

static bool deaf; /* to what is spoken: it moves nothing, and its place is the nearest */

static inline void replay(struct virtual_session *v, const char *lines, size_t length, int rate_hz,
                          int64_t *whole)
{
    struct hf_journal journal;
    struct hf_replay replay;
    struct hf_report late[HF_TRANSPORT_REPORTS];
    struct hf_diag diag;
    if (hf_journal_parse(lines, length, &journal, &diag) != HF_OK)
        fail_msg("%s", diag.message);
    assert_false(journal.torn);
    if (rate_hz == 0)
        rate_hz = journal.head.request.rate_hz;
    if (hf_replay_init(&replay, &journal, rate_hz, &diag) != HF_OK)
        fail_msg("%s", diag.message);
    *whole = replay.length;
    assert_true(*whole < (int64_t)rate_hz * 3600); /* all sessions here are far shorter */
    virtual_begin(v, hf_replay_source(&replay), rate_hz);
    v->deaf = deaf;
    while (!hf_transport_done(&v->transport)) {
        int count = 0;
        virtual_tend(v);
        virtual_chunk(v, late, &count);
        virtual_reports(v, late, &count);
        assert_true(v->output < *whole + 2 * HF_GRID);
    }
    hf_replay_deinit(&replay);
    hf_journal_deinit(&journal);
}

static inline void compare(const struct virtual_session *a, const struct virtual_session *b,
                           uint64_t seed)
{
    for (int i = 0; i < a->rows && i < b->rows; i++)
        if (memcmp(&a->trace[i], &b->trace[i], sizeof a->trace[i]) != 0)
            fail_msg(
                "seed %llu: action %d differs: kind %d at %lld/%lld, kind %d at %lld/%lld\n%.*s",
                (unsigned long long)seed, i, (int)a->trace[i].kind, (long long)a->trace[i].session,
                (long long)a->trace[i].output, (int)b->trace[i].kind,
                (long long)b->trace[i].session, (long long)b->trace[i].output, (int)a->length,
                a->lines);
    if (a->rows != b->rows)
        fail_msg("seed %llu: %d actions, replayed %d\n%.*s", (unsigned long long)seed, a->rows,
                 b->rows, (int)a->length, a->lines);
    assert_int_equal(a->transport.end_at, b->transport.end_at);
    assert_int_equal(a->transport.end_fade, b->transport.end_fade);
}

static inline bool near_end(const struct virtual_session *v, int row)
{
    return v->trace[row].session > v->transport.end_at - 2 * HF_GRID;
}

/* At another rate: the same actions in the same order, each where it was, to within two steps of
 * the clock that commands keep to: one to get onto a step, one to keep the order. Nothing adds up.
 * Where a session was left in a pause, whose fade is a step longer or shorter, what was silent may
 * differ. */
static inline void compare_at(const struct virtual_session *a, int a_hz,
                              const struct virtual_session *b, int b_hz, uint64_t seed)
{
    int rows = a->rows < b->rows ? a->rows : b->rows;
    bool same = a->rows == b->rows;
    if (!same && a->transport.out_at != HF_NEVER)
        same = (a->rows == rows || near_end(a, rows)) && (b->rows == rows || near_end(b, rows));
    if (!same)
        fail_msg("seed %llu: %d actions, at another rate %d\n%.*s", (unsigned long long)seed,
                 a->rows, b->rows, (int)a->length, a->lines);
    for (int i = 0; i < rows; i++) {
        const struct trace_row *x = &a->trace[i], *y = &b->trace[i];
        int64_t expected = x->session * b_hz / a_hz;
        if (x->kind != y->kind || x->count != y->count ||
            memcmp(x->notes, y->notes, x->count) != 0 ||
            llabs((long long)(y->session - expected)) > 2 * HF_GRID)
            fail_msg(
                "seed %llu: action %d differs: kind %d at %lld, at another rate %d at %lld\n%.*s",
                (unsigned long long)seed, i, (int)x->kind, (long long)expected, (int)y->kind,
                (long long)y->session, (int)a->length, a->lines);
    }
}

static struct played played;
static struct virtual_session again;

static int breaks_seen;

static inline void try_sessions(const struct setting *settings, int count, int late_chunks,
                                int key_every)
{
    struct hf_request request = request_of(settings);
    int64_t whole = 0;
    if (getenv("SOAK")) /* make soak: what takes too long for a check */
        count *= 30;
    for (uint64_t seed = 1; seed <= (uint64_t)count; seed++) {
        play(&played, &request, seed, late_chunks, key_every);
        replay(&again, played.session.lines, played.session.length, 0, &whole);
        compare(&played.session, &again, seed);
        /* The length told in advance is the length that comes. A live session that is left in a
         * pause has some silence more, which no record needs to know. */
        const struct hf_timeline *timeline = &played.conductor.timeline;
        assert_int_equal(whole, hf_timeline_length(timeline));
        /* The reason in the record is that of the fade that was heard. */
        if (!played.session.transport.cut)
            assert_int_equal(timeline->end_fade, hf_conductor_fade(timeline->why, request.rate_hz));
        breaks_seen += timeline->breaks;
        virtual_end(&again);
        virtual_end(&played.session);
        hf_conductor_deinit(&played.conductor);
    }
}

static inline void try_other_rates(const struct setting *settings, int count, int late_chunks,
                                   int key_every)
{
    static const int rates_hz[] = {44100, 48000, 96000, 192000};
    struct hf_request request = request_of(settings);
    int64_t whole = 0;
    for (uint64_t seed = 1; seed <= (uint64_t)count; seed++) {
        play(&played, &request, seed, late_chunks, key_every);
        int rate_hz = rates_hz[seed % 4];
        replay(&again, played.session.lines, played.session.length, rate_hz, &whole);
        compare_at(&played.session, request.rate_hz, &again, rate_hz, seed);
        assert_true(again.transport.cut || again.output >= whole);
        virtual_end(&again);
        virtual_end(&played.session);
        hf_conductor_deinit(&played.conductor);
    }
}

#endif
