/* SPDX-License-Identifier: MIT */
/* play_list: the sessions that a command line of play names, and how one is kept by name. Main
 * thread only; it points into the command line. */
#ifndef HOLDFAST_CLI_PLAY_LIST_H
#define HOLDFAST_CLI_PLAY_LIST_H

#include "session.h"

struct play_list {
    const struct hf_cli_command *command;
    int argc; /* the whole command line */
    char **argv;
    char **names; /* its operands */
    int count;
    int *signal_number; /* the signal that ended one */
};

/* Several must all be practices or saved sessions. HF_E_USAGE. */
enum hf_status play_list_check(const struct session *session, const struct play_list *list,
                               struct hf_diag *diag) HF_CHECKED;

/* Keeps the options of the command line, and of the saved session that it may name, as `s->save`
 * says; once they have been found to make sense. Plays nothing. */
enum hf_status play_list_save(struct session *s, const struct play_list *list,
                              struct hf_diag *diag) HF_CHECKED;

#endif
