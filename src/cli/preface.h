/* SPDX-License-Identifier: MIT */
/*
 * preface: what comes before a session at a terminal: the held notes fade in, so that the player
 * can set the level and tune, until a key begins the session. It lies before the session's first
 * sample and is in no journal; only the volume that it was set to goes on.
 *
 * The caller owns the stage. Main thread only, but for the stage's render function.
 */
#ifndef HOLDFAST_CLI_PREFACE_H
#define HOLDFAST_CLI_PREFACE_H

#include <stdatomic.h>

#include "session.h"

/* Whose turn it is at the sound output: one engine after another, by the same stream. */
struct live_stage {
    _Atomic(struct hf_engine *) engine; /* NULL: silence */
    atomic_uint peak; /* the bits of the greatest sample since they were taken last */
    bool started;
};

/* For hf_live_start, with the stage as its context. Audio thread. */
void live_stage_render(void *stage, long frames, float *stereo);

enum preface_end { PREFACE_BEGIN, PREFACE_LEAVE };

/* Should there be one: at a terminal, unless --start now. */
bool preface_wanted(const struct session *session);

/* Plays it with the prepared session's sound, up to its end: then the output runs, silent, and the
 * session's volume is the one that was chosen. `*signal_number` is that of a signal that ended it.
 * HF_E_DEVICE, HF_E_LOST, HF_E_MEMORY. */
enum hf_status preface_run(struct session *session, struct hf_live *live, struct live_stage *stage,
                           enum preface_end *end, int *signal_number,
                           struct hf_diag *diag) HF_CHECKED;

#endif
