/* SPDX-License-Identifier: MIT */
/*
 * breaks: a break when a session has sounded long enough, counted by the clock on the wall; and how
 * long sound was played today. Main thread only; the caller owns the struct, which starts zeroed.
 */
#ifndef HOLDFAST_CLI_BREAKS_H
#define HOLDFAST_CLI_BREAKS_H

#include "session.h"

struct breaks {
    bool on;
    double since_s;
};

/* Says when a break will be suggested, where the session is long enough for one. */
void breaks_say_plan(const struct session *session);

/* For a session with keys: begins a break at session sample `now` if it is time for one, and notes
 * when one is over. */
void breaks_tend(struct breaks *breaks, struct hf_conductor *conductor, int64_t now);

/* True for a key so early in a break that it was meant for what went before. */
bool breaks_swallow(const struct breaks *breaks, enum hf_key key);

/* Seconds that the break has lasted by now; 0 when there is none. */
double breaks_seconds(const struct breaks *breaks);

/* Says how many breaks there were, and how much sound the journals of today in the default
 * directory tell of; `own` is the journal of this session, with its timeline. */
void breaks_say_day(const char *own, const struct hf_timeline *timeline, int rate_hz);

#endif
