/* SPDX-License-Identifier: MIT */
/*
 * record: where the records of a running session go: nowhere, to a file that is written whole, or
 * to the journal on the disk, written ahead. Main thread only.
 */
#ifndef HOLDFAST_CLI_RECORD_H
#define HOLDFAST_CLI_RECORD_H

#include "session.h"

struct recorder {
    struct hf_wholefile *whole; /* render: committed at the end */
    struct hf_store *store;     /* play: every line is on the disk when the call returns */
    char *first;                /* lines before the store is there */
    size_t first_length;
    bool gathering;
};

struct hf_sink recorder_sink(struct recorder *recorder);

/* Writes the head. */
enum hf_status recorder_head(struct recorder *recorder, const struct hf_head *head,
                             struct hf_diag *diag) HF_CHECKED;

/* Starts the journal on the disk at `path` with the lines gathered so far. */
enum hf_status recorder_open_store(struct recorder *recorder, const char *path,
                                   struct hf_diag *diag) HF_CHECKED;

void recorder_deinit(struct recorder *recorder);

#endif
