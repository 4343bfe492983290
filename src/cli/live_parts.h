/* SPDX-License-Identifier: MIT */
/*
 * live_parts: what the files of the live loop share; each function stands in the file named above
 * it. For src/cli/live_*.c and nobody else. Main thread only.
 */
#ifndef HOLDFAST_CLI_LIVE_PARTS_H
#define HOLDFAST_CLI_LIVE_PARTS_H

#include <stdatomic.h>

#include <holdfast/pedal.h>

#include "breaks.h"
#include "chooser.h"
#include "quiz.h"
#include "session.h"
#include "show.h"

struct loop_state {
    struct live_loop *loop;
    int64_t heard;   /* never goes back */
    double level_db; /* falls slowly */
    int tick_ms;     /* the longest wait for a key */
    struct show show;
    struct hf_timeline replayed; /* of a replay, as far as it has come */
    size_t applied;              /* records of it */
    struct key_reader keys;
    struct chooser chooser;
    struct breaks breaks;
    struct hf_pedal pedal;
    int help_line; /* lines of the keys said on a screen so far */
    bool has_keys, asked_to_end, replay_paused, lost;
    enum hf_status failed; /* of the record: the session is let out without it */
    struct hf_diag why;
};

/* live_loop.c: passes on all that there is, to the journal first. */
void live_tend(struct loop_state *s);

/* live_loop.c: starts the output that is open. HF_E_DEVICE. */
enum hf_status live_start(struct loop_state *s, struct hf_diag *diag) HF_CHECKED;

/* live_lost.c: leaves an output that went away, holds the cue, and tries the same one again for 20
 * s. True when the session goes on, or its player has left it; else it is lost. */
bool live_wait(struct loop_state *s);

/* live_hands.c: says the keys where there are some; then, at every turn of the loop, waits for keys
 * for `tick_ms` and does what they mean. `now` is the session sample that is heard.
 */
void live_hands_begin(struct loop_state *s);
void live_hands(struct loop_state *s, int64_t now);

/* live_loop.c: a record could not be made: the session is let out. The first reason counts. */
void live_fail(struct loop_state *s, enum hf_status status, const char *why);

/* live_hands.c: what the player of sight picked of the running chord. */
unsigned live_picked(const struct loop_state *s);

/* live_hands.c: does what a key means; ends the sound by its closing fade. */
void live_key(struct loop_state *s, enum hf_key key, int64_t now);
void live_end_sound(struct loop_state *s, enum hf_why why);

#endif
