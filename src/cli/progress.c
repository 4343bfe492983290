/* SPDX-License-Identifier: MIT */
#include "progress.h"

#include <stdio.h>
#include <time.h>
#include <unistd.h>

#include "terminal.h"

static double seconds_now(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

static bool done(void *self, int64_t frames)
{
    struct progress *p = self;
    if (terminal_signal())
        return false;
    double now = p->terminal ? seconds_now() : 0;
    if (!p->terminal || now - p->said_s < 1 || frames <= 0 || p->total <= 0)
        return true;
    double share = (double)frames / (double)p->total;
    double left = (now - p->began_s) * (1 - share) / share;
    fprintf(stderr, "\rholdfast: %3.0f %%, %d:%02d left \033[K", share * 100, (int)left / 60,
            (int)left % 60);
    p->said_s = now;
    p->line_open = true;
    return true;
}

struct hf_progress progress_begin(struct progress *p, int64_t total)
{
    double now = seconds_now();
    *p = (struct progress){
        .total = total, .began_s = now, .said_s = now, .terminal = isatty(STDERR_FILENO) == 1};
    return (struct hf_progress){done, p};
}

void progress_end(struct progress *p)
{
    if (p->line_open)
        fprintf(stderr, "\r\033[K");
    p->line_open = false;
}
