/* SPDX-License-Identifier: MIT */
/*
 * review_files: the review of the journals on a disk: a directory of them, or some by name. Beside
 * a directory's journals an index keeps what each came to, so that only new or changed ones are
 * read; it is made anew whenever it is missing, damaged or of another version, and never the only
 * copy of anything.
 *
 * The caller owns what comes out (hf_review_files_deinit). One thread at a time.
 */
#ifndef HOLDFAST_REVIEW_FILES_H
#define HOLDFAST_REVIEW_FILES_H

#include <holdfast/review.h>

/* The index's name in its directory. */
#define HF_REVIEW_INDEX "review.index"

/* A file that does not count, and why: damaged, foreign, a copy of another, or not to be read. */
struct hf_review_left {
    char *file;
    char *why;
};

/* Which journals are asked for. */
struct hf_review_filter {
    bool has_since;
    int32_t since;     /* the first day */
    const char *label; /* exactly that, or NULL */
};

struct hf_review_files {
    struct hf_review review; /* finished */
    struct hf_review_left *left;
    size_t left_count;
    size_t read, kept; /* files that were read now, and those that the index knew */
};

/* All `*.jsonl` of a directory; one that is missing has none. `now_ns`: the wall clock, in
 * nanoseconds since 1970; what changed within the last second is read anew next time. The index is
 * written where that is possible, else not. HF_E_INPUT when the directory can't be read;
 * HF_E_MEMORY. */
enum hf_status hf_review_directory(const char *directory, int64_t now_ns,
                                   const struct hf_review_filter *filter,
                                   struct hf_review_files *out, struct hf_diag *diag) HF_CHECKED;

/* Journals by name, without an index. HF_E_MEMORY. */
enum hf_status hf_review_named(char *const *files, size_t count,
                               const struct hf_review_filter *filter, struct hf_review_files *out,
                               struct hf_diag *diag) HF_CHECKED;

void hf_review_files_deinit(struct hf_review_files *files);

#endif
