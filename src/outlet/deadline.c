/* SPDX-License-Identifier: MIT */
/* Invariant: the nanoseconds of a time are under a second. */
#include "deadline.h"

struct timespec hf_deadline_in_s(double seconds)
{
    struct timespec at;
    clock_gettime(CLOCK_MONOTONIC, &at);
    long nanoseconds = at.tv_nsec + (long)((seconds - (double)(time_t)seconds) * 1e9);
    at.tv_sec += (time_t)seconds + nanoseconds / 1000000000;
    at.tv_nsec = nanoseconds % 1000000000;
    return at;
}

double hf_deadline_left_s(struct timespec deadline)
{
    struct timespec now = hf_deadline_in_s(0);
    return (double)(deadline.tv_sec - now.tv_sec) + (double)(deadline.tv_nsec - now.tv_nsec) / 1e9;
}
