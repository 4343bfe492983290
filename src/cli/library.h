/* SPDX-License-Identifier: MIT */
/*
 * library: texts that are found by name: the player's own, in a folder of the configuration, before
 * those that ship; or by file, where the name has a slash or ends in .ini. Main thread only.
 */
#ifndef HOLDFAST_CLI_LIBRARY_H
#define HOLDFAST_CLI_LIBRARY_H

#include <holdfast/cli.h>

struct library {
    const char *what;                      /* "patch" */
    const char *folder;                    /* "patches" */
    const char *(*shipped)(int index);     /* name of one that ships, NULL after the last */
    const char *(*find)(const char *name); /* its text, or NULL */
};

/* Finds a text: `*text` is the caller's to free, `path` gets the name for messages. HF_E_INPUT when
 * there is none (the advice lists those that ship); the errors of hf_store_read. */
enum hf_status library_find(const struct library *library, const char *name, char *path,
                            size_t size, char **text, size_t *length,
                            struct hf_diag *diag) HF_CHECKED;

/* The instruments. */
extern const struct library library_instruments;

/* Names of a library: the player's own and those that ship, each once, in order. */
enum { LIBRARY_NAMES_MOST = 512, LIBRARY_NAME = 64 };
struct library_names {
    char name[LIBRARY_NAMES_MOST][LIBRARY_NAME];
    int count;
};

/* Fills in `names`; what is in the player's folder may still be wrong. */
void library_list(const struct library *library, struct library_names *names);

#endif
