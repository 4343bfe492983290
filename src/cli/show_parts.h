/* SPDX-License-Identifier: MIT */
/*
 * show_parts: the displays beside the plain lines, for src/cli/show*.c; each function stands in the
 * file that it is named after. Main thread only.
 */
#ifndef HOLDFAST_CLI_SHOW_PARTS_H
#define HOLDFAST_CLI_SHOW_PARTS_H

#include "show.h"

/* Takes the terminal over; false, with a word in plain lines where it was to be expected, when that
 * can't be. */
bool show_screen_begin(struct show *show);
void show_screen_update(struct show *show, int64_t now);

/* Says something in passing. */
void show_remark(struct show *show, const char *line);

/* What of a scene lasts: two are equal where a display need not be drawn anew. `countdown`: down to
 * the second of what is still to come, and the minute of the session. */
void show_lasting(const struct scene *scene, bool countdown, struct scene *out);

void show_json_begin(struct show *show);
void show_json_update(struct show *show, int64_t now);
void show_json_line(struct show *show, const char *line);

#endif
