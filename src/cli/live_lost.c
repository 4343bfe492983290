/* SPDX-License-Identifier: MIT */
/* A sound output that went away. Invariants: the audio thread has left the engine for good before
 * anything is rendered here; what is rendered here is heard by nobody, and is at most the fade of
 * the pause and its silence; the session goes on by the same output and at the same rate only. */
#include <string.h>

#include <holdfast/live.h>

#include "live_parts.h"
#include "terminal.h"

enum { PATIENCE_S = 20, PIECE = 1024 };

static const double RETRY_S = 0.5;

struct absence {
    char name[HF_LIVE_ADDRESS];
    double since_s, tried_s;
    int64_t passed; /* frames */
};

/* A session that is ending has nothing to wait for. */
static bool may_wait(const struct loop_state *s)
{
    const struct hf_conductor *c = s->loop->conductor;
    return c && s->failed == HF_OK && !s->asked_to_end && !c->began_end && !terminal_signal();
}

/* The time that goes by is silence in the session: its frames are made, and thrown away. After a
 * long sleep of the whole system not all of them. */
static void pass_time(struct loop_state *s, struct absence *a, double now_s)
{
    float nowhere[2 * PIECE];
    int rate_hz = s->loop->rate_hz;
    int64_t due = (int64_t)((now_s - a->since_s) * rate_hz);
    if (due - a->passed > rate_hz)
        a->passed = due - rate_hz;
    while (a->passed < due && !hf_engine_over(s->loop->performance->engine)) {
        int64_t piece = due - a->passed < PIECE ? due - a->passed : PIECE;
        hf_engine_render(s->loop->performance->engine, (long)piece, nowhere);
        a->passed += piece;
        live_tend(s);
    }
}

/* Tries the same output; true when the session goes on. */
static bool come_back(struct loop_state *s, const struct absence *a)
{
    struct live_loop *loop = s->loop;
    if (hf_live_open(&loop->live, a->name, loop->rate_hz, loop->latency_ms, NULL) != HF_OK)
        return false;
    hf_conductor_back(loop->conductor);
    live_tend(s);
    if (s->failed == HF_OK && live_start(s, NULL) == HF_OK)
        return true;
    hf_live_abandon(loop->live);
    loop->live = NULL;
    hf_conductor_away(loop->conductor);
    return false;
}

/* One look: hands, sound, screen. */
static void turn(struct loop_state *s, struct absence *a, double now_s)
{
    int64_t now = hf_engine_now(s->loop->performance->engine);
    int signal_number = terminal_signal();
    if (signal_number && !s->loop->signal_number) {
        s->loop->signal_number = signal_number;
        live_key(s, HF_KEY_SIGNAL, now);
    }
    live_hands(s, now);
    live_tend(s);
    pass_time(s, a, now_s);
    show_update(&s->show, now);
}

bool live_wait(struct loop_state *s)
{
    struct live_loop *loop = s->loop;
    struct absence a = {.since_s = hf_cli_seconds()};
    if (!may_wait(s))
        return false;
    memcpy(a.name, hf_live_address(loop->live), sizeof a.name);
    if (loop->conductor->paused) /* else the record of it says so */
        show_line(&s->show, "        the sound output went away: waiting for it, 20 s at most");
    hf_live_abandon(loop->live);
    loop->live = NULL;
    hf_conductor_away(loop->conductor);
    live_tend(s);
    for (;;) {
        double now_s = hf_cli_seconds();
        turn(s, &a, now_s);
        if (hf_engine_over(loop->performance->engine))
            return true; /* the player left */
        if (s->failed != HF_OK || now_s - a.since_s > PATIENCE_S)
            return false;
        if (now_s - a.since_s < 1 || now_s - a.tried_s < RETRY_S)
            continue;
        a.tried_s = now_s;
        if (come_back(s, &a))
            return true;
    }
}
