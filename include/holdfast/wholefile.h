/* SPDX-License-Identifier: MIT */
/*
 * wholefile: a file that is written whole or not at all. What is written goes to a temporary file
 * beside the target; only when every byte is on the disk does it take the target's name, so that a
 * full disk, an error or a kill leaves the old file, or none.
 *
 * The module owns what hf_wholefile_open makes until commit or discard. One thread at a time for
 * each file. Not for the audio thread. A process that is killed leaves its temporary file, named
 * `.holdfast-PID-N.part`, behind.
 */
#ifndef HOLDFAST_WHOLEFILE_H
#define HOLDFAST_WHOLEFILE_H

#include <stddef.h>

#include <holdfast/status.h>

struct hf_wholefile;

/* Starts a file that is to become `path`. A symbolic link is followed first: the file that it leads
 * to is replaced, not the link. An existing file gives its permissions to the new one; else umask
 * decides. Errors: HF_E_CREATE for a directory that is missing or can't be written, and for a
 * target that exists and is no regular file (it is left as it is); HF_E_IO, HF_E_MEMORY. */
enum hf_status hf_wholefile_open(struct hf_wholefile **out, const char *path,
                                 struct hf_diag *diag) HF_CHECKED;

/* The descriptor of the temporary file, open for reading and writing; it stays the module's. */
int hf_wholefile_descriptor(const struct hf_wholefile *file);

/* What it is to become, symbolic links followed; valid as long as `file`. */
const char *hf_wholefile_target(const struct hf_wholefile *file);

/* Writes `length` bytes at the descriptor's position: all of them, through short writes and
 * interruptions, or HF_E_IO. */
enum hf_status hf_wholefile_write(struct hf_wholefile *file, const void *bytes, size_t length,
                                  struct hf_diag *diag) HF_CHECKED;

/* Syncs, renames into place and syncs the directory; frees `file` in every case. On failure
 * (HF_E_IO) the temporary file is gone and the target as it was; only when the directory's own sync
 * fails has the target its new content already. */
enum hf_status hf_wholefile_commit(struct hf_wholefile *file, struct hf_diag *diag) HF_CHECKED;

/* The same, but the file stays open and its descriptor, now the caller's, goes to `descriptor`. */
enum hf_status hf_wholefile_commit_open(struct hf_wholefile *file, int *descriptor,
                                        struct hf_diag *diag) HF_CHECKED;

/* Removes the temporary file and frees; the target stays as it was. `file` may be NULL. */
void hf_wholefile_discard(struct hf_wholefile *file);

/* Writes all bytes to any descriptor, through short writes and interruptions. Returns 0, or the
 * errno of the write that failed; `written` (may be NULL) tells how far it came. */
int hf_wholefile_write_all(int descriptor, const void *bytes, size_t length, size_t *written);

/* Syncs the directory that `path` is in, so that a new name there lasts. Returns 0 or errno. */
int hf_wholefile_sync_parent(const char *path);

#endif
