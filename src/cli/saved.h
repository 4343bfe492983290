/* SPDX-License-Identifier: MIT */
/*
 * saved: sessions that are kept by name: the options of a session as an INI file in the player's
 * sessions folder, ~/.config/holdfast/sessions/NAME.ini. A saved session is a list of options and
 * texts, as if they stood on the command line.
 *
 * The caller owns the struct, which is large and starts zeroed. Main thread only.
 */
#ifndef HOLDFAST_CLI_SAVED_H
#define HOLDFAST_CLI_SAVED_H

#include <holdfast/cli.h>
#include <holdfast/inifile.h>

enum { SAVED_MOST = 96, SAVED_NAME_MOST = 64, SAVED_PATH = 1024 };

struct saved_option {
    const struct hf_cli_option *option;
    long line; /* of the file, 0 from the command line */
    char text[HF_INIFILE_LINE_MOST + 1];
};

struct saved {
    char path[SAVED_PATH]; /* of the file, where it came from one */
    int count;
    struct saved_option options[SAVED_MOST];
};

/* May a session be saved by that name? HF_E_USAGE for a practice's, and for one that makes no safe
 * name of a file: empty, too long, a slash, a control byte, not UTF-8, a dot or dash first. */
enum hf_status saved_check_name(const char *name, struct hf_diag *diag) HF_CHECKED;

/* Is there one by that name? A practice's name is none. */
bool saved_exists(const char *name);

/* Reads one. Its keys are options of play, by their long names, and `practice`; their texts have
 * not been looked at. HF_E_DATA with file, line and what is allowed; the errors of hf_store_read.
 */
enum hf_status saved_read(const char *name, struct saved *out, struct hf_diag *diag) HF_CHECKED;

/* Adds an option by its code, in place of one that is there. HF_E_USAGE for one that a session
 * can't keep, or a text that a line of the file can't hold. */
enum hf_status saved_put(struct saved *saved, int code, const char *text,
                         struct hf_diag *diag) HF_CHECKED;

/* The text of an option by its code, or NULL. */
const char *saved_text(const struct saved *saved, int code);

/* A text of the file, or its option, was wrong: puts file and line before the message of `diag`.
 * Returns HF_E_DATA. */
enum hf_status saved_blame(const struct saved *saved, int index, struct hf_diag *diag) HF_CHECKED;

/* Writes it under a name, whole or not at all; `*replaced` tells whether there was one.
 * HF_E_CREATE, HF_E_IO, HF_E_MEMORY. */
enum hf_status saved_write(const struct saved *saved, const char *name, bool *replaced,
                           struct hf_diag *diag) HF_CHECKED;

#endif
