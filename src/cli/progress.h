/* SPDX-License-Identifier: MIT */
/* progress: how far a long rendering has come, on stderr, only on a terminal and only when it takes
 * more than a second; and the end of it when a signal came. Main thread only. */
#ifndef HOLDFAST_CLI_PROGRESS_H
#define HOLDFAST_CLI_PROGRESS_H

#include <holdfast/performance.h>

struct progress {
    int64_t total;
    double began_s, said_s;
    bool terminal, line_open;
};

struct hf_progress progress_begin(struct progress *progress, int64_t total);
void progress_end(struct progress *progress);

#endif
