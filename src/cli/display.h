/* SPDX-License-Identifier: MIT */
/*
 * display: how a session is to be shown: on the screen, in plain lines, or as a stream of JSON; and
 * the options that say so. Main thread only.
 */
#ifndef HOLDFAST_CLI_DISPLAY_H
#define HOLDFAST_CLI_DISPLAY_H

#include <stdio.h>

#include <holdfast/cli.h>

#include "theme.h"

struct display {
    bool plain, json, preview;
    enum theme theme;
    double offset_ms; /* what is shown comes so much later than the output says */
    FILE *stream;     /* of JSON, after display_begin; stdout leads nowhere then */
};

/* The options of play and replay, for the table of a command. */
extern const struct hf_cli_option hf_cli_display_options[];

/* Codes of those options, far from all others. */
enum { CODE_PLAIN = 2001, CODE_JSON, CODE_PREVIEW, CODE_THEME, CODE_SCREEN_OFFSET };

/* Takes one of them. HF_E_USAGE. */
enum hf_status display_option(struct display *display, int code, const char *text,
                              struct hf_diag *diag) HF_CHECKED;

/* With --json: from now on the stream alone goes where stdout went, and words go nowhere. `sounds`:
 * the session will be heard. HF_E_USAGE where the options do not go together, HF_E_IO. */
enum hf_status display_begin(struct display *display, bool sounds, struct hf_diag *diag) HF_CHECKED;

/* Ends a stream, where there is one. Returns `status`, or HF_E_IO in place of HF_OK when something
 * of the stream could not be written. */
enum hf_status display_end(enum hf_status status, struct hf_diag *diag) HF_CHECKED;

#endif
