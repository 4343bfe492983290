/* SPDX-License-Identifier: MIT */
/* review_scan: one file into its digest; and the entries that review_files and review_index share.
 */
#ifndef HOLDFAST_OUTLET_REVIEW_SCAN_H
#define HOLDFAST_OUTLET_REVIEW_SCAN_H

#include <stdio.h>

#include <holdfast/review_files.h>

/* What tells that a file is as it was. */
struct review_stamp {
    uint64_t size;
    int64_t changed_ns, status_ns; /* of the content, of anything; both 0: not to be trusted */
};

/* A file and what it came to: a digest, or a reason to leave it out. */
struct review_entry {
    const char *name;
    struct review_stamp stamp;
    const unsigned char *digest; /* NULL where `why` is told */
    size_t digest_length;
    const char *why;
    uint64_t place; /* in an index: where its digest is, and its check sum */
    uint32_t sum;
};

/* Memory that is given back as a whole: what it gives stays where it is. */
struct review_arena {
    struct review_block *blocks;
};
void *review_arena_take(struct review_arena *arena, size_t size); /* NULL when memory ran out */
const char *review_arena_text(struct review_arena *arena, const char *text);
void review_arena_free(struct review_arena *arena);

/* Reads a journal, `name` from the directory that is open as `directory` (or AT_FDCWD). What is
 * wrong with the file is told in the entry; HF_E_MEMORY is the only failure. */
struct review_scan;
enum hf_status review_scan_new(struct review_scan **out, struct hf_diag *diag) HF_CHECKED;
void review_scan_free(struct review_scan *scan);
enum hf_status review_scan_file(struct review_scan *scan, int directory, const char *name,
                                struct review_arena *arena, struct review_entry *out,
                                struct hf_diag *diag) HF_CHECKED;

/* The stamp of what stat tells. */
struct stat;
struct review_stamp review_stamp_of(const struct stat *status);

/* ---- review_count.c -------------------------------------------------------------------------- */

/* What is gathered on the way. */
struct review_work {
    int directory;              /* open, or AT_FDCWD */
    const char *directory_name; /* for what is told; NULL with names that say it all */
    struct review_arena arena;
    struct review_scan *scan;
    struct review_entry *entries; /* ascending by name in a directory */
    size_t count;
    struct hf_review_files files;
};

/* Notes a file that does not count, and why. HF_E_MEMORY. */
enum hf_status review_leave_out(struct review_work *w, const char *file, const char *why,
                                struct hf_diag *diag) HF_CHECKED;

/* Adds up the entries that the filter asks for. HF_E_MEMORY; HF_E_DATA: one is no digest. */
enum hf_status review_count_entries(struct review_work *w, const struct hf_review_filter *filter,
                                    struct hf_diag *diag) HF_CHECKED;

/* ---- review_index.c -------------------------------------------------------------------------- */

/* An index in memory; its entries point into its text, and ascend by name. */
struct review_index {
    int descriptor; /* -1: there is none */
    struct hf_crc32_tables tables;
    char *text;
    struct review_entry *entries; /* without their digests until these are loaded */
    size_t count;
    const unsigned char *packed; /* what all came to together; may be empty */
    size_t packed_length;
    uint64_t digests_at, digests_length;
    char *digests;
};

/* Opens one; false where it is missing, wrong in any way or of another version: it is then closed.
 */
bool review_index_open(struct review_index *out, const char *path);

/* Reads its digests; false where they are not what they should be. */
bool review_index_load(struct review_index *index);
void review_index_close(struct review_index *index);

/* Writes one, whole or not at all. */
enum hf_status review_index_write(const char *path, const struct review_entry *entries,
                                  size_t count, const void *packed, size_t packed_length,
                                  struct hf_diag *diag) HF_CHECKED;

#endif
