/* SPDX-License-Identifier: MIT */
#include "progress.h"

#include <stdio.h>
#include <unistd.h>

#include <holdfast/cli.h>

#include "terminal.h"

static bool done(void *self, int64_t frames)
{
    struct progress *p = self;
    if (terminal_signal())
        return false;
    double now = p->terminal ? hf_cli_seconds() : 0;
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
    double now = hf_cli_seconds();
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
