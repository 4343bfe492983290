/* SPDX-License-Identifier: MIT */
/*
 * store: the journal on the disk, written ahead. A line that hf_store_append has returned from is
 * on the disk, whatever happens next; what a line says is the business of session/journal.
 *
 * The module owns the store between create and close. One thread at a time for each store; the
 * calls wait for the disk, so never the audio thread.
 */
#ifndef HOLDFAST_STORE_H
#define HOLDFAST_STORE_H

#include <stdbool.h>
#include <stddef.h>

#include <holdfast/journal.h>
#include <holdfast/status.h>

/* The largest file that hf_store_read takes: 256 MiB, which is room for as many cues as a journal
 * may have (HF_JOURNAL_RECORDS_MOST, some 200 bytes each). */
#define HF_STORE_LARGEST ((size_t)1 << 28)

struct hf_store;

/* Starts a journal at `path` with its first lines: written to a temporary file beside it, synced,
 * renamed over `path`, so that there is never a journal without them. It stays open for appending,
 * and locked (flock): a second program on the same journal is refused.
 * Errors: HF_E_CREATE (as hf_wholefile_open; also for a journal that another program has open),
 * HF_E_IO, HF_E_MEMORY. */
enum hf_status hf_store_create(struct hf_store **out, const char *path, const char *first_lines,
                               size_t length, struct hf_diag *diag) HF_CHECKED;

/* Is a session writing to the journal at `path`, in this program or another? */
bool hf_store_in_use(const char *path);

/* HF_E_CREATE, with the reason, for a journal in use; for those who write over one otherwise. */
enum hf_status hf_store_refuse_in_use(const char *path, struct hf_diag *diag) HF_CHECKED;

/* Writes one line (with its newline) wholly and syncs its data. HF_E_IO is final: what had been
 * written of the line is cut off again as far as the disk allows, and every later append fails
 * too. */
enum hf_status hf_store_append(struct hf_store *store, const char *line, size_t length,
                               struct hf_diag *diag) HF_CHECKED;

/* Gives the lock back, closes, frees. `store` may be NULL. */
void hf_store_close(struct hf_store *store);

/* Reads a whole regular file; `*text` is the caller's to free, with a NUL after its `*length`
 * bytes. A file that grows meanwhile is read as far as it reached at the start. Errors: HF_E_DATA
 * for a FIFO, directory, socket or device, and for more than HF_STORE_LARGEST; HF_E_INPUT when it
 * is missing or can't be opened; HF_E_IO, HF_E_MEMORY. */
enum hf_status hf_store_read(const char *path, char **text, size_t *length,
                             struct hf_diag *diag) HF_CHECKED;

/* Reads the journal in a file: the errors of hf_store_read and hf_journal_parse. `*journal` is the
 * caller's, for hf_journal_deinit. */
enum hf_status hf_store_read_journal(const char *path, struct hf_journal *journal,
                                     struct hf_diag *diag) HF_CHECKED;

/* Makes the directory `path` and those above it that are missing, for their owner only (0700).
 * HF_E_CREATE when one can't be made, or something else has its name; HF_E_MEMORY. */
enum hf_status hf_store_make_directories(const char *path, struct hf_diag *diag) HF_CHECKED;

#endif
