/* SPDX-License-Identifier: MIT */
/*
 * deadline: how long something may take, on a clock that nobody sets. For what waits for a sound
 * system that may never answer. Values only; any thread may call.
 */
#ifndef HOLDFAST_OUTLET_DEADLINE_H
#define HOLDFAST_OUTLET_DEADLINE_H

#include <stdbool.h>
#include <time.h>

/* The time of the monotonic clock so many seconds from now; `seconds` may be 0 (now). */
struct timespec hf_deadline_in_s(double seconds);

/* Seconds until then; under 0 once it is past. */
double hf_deadline_left_s(struct timespec deadline);

#endif
