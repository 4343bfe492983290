/* SPDX-License-Identifier: MIT */
/*
 * library: texts that are found by name: the player's own, in a folder of the configuration, before
 * those that ship; or by file, where the name has a slash or ends in .ini. Main thread only.
 */
#ifndef HOLDFAST_CLI_LIBRARY_H
#define HOLDFAST_CLI_LIBRARY_H

#include <holdfast/cli.h>

struct library {
    const char *what;                    /* "patch" */
    const char *folder;                  /* "patches" */
    const char *(*shipped)(int index);   /* name of one that ships, NULL after the last */
    const char *(*find)(const char *name); /* its text, or NULL */
};

/* Finds a text: `*text` is the caller's to free, `path` gets the name for messages. HF_E_INPUT when
 * there is none (the advice lists those that ship); the errors of hf_store_read. */
enum hf_status library_find(const struct library *library, const char *name, char *path, size_t size,
                            char **text, size_t *length, struct hf_diag *diag) HF_CHECKED;

#endif
