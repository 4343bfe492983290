/* SPDX-License-Identifier: MIT */
/*
 * review_parts: what the files of the review share with each other and nobody else: the table of
 * cells, and the bytes of a digest.
 */
#ifndef HOLDFAST_REVIEW_PARTS_H
#define HOLDFAST_REVIEW_PARTS_H

#include <holdfast/review.h>

/* Different shapes that are told apart in a cell; the others count as one without strings. */
enum { REVIEW_SHAPES_MOST = 512, REVIEW_CELLS_MOST = HF_SETS * HF_SETS };
enum { REVIEW_NAME_BYTES = 128 /* of a journal's file name */ };

/* The cell of a completion, added where it is not there; NULL when memory ran out. It stays where
 * it is until the next call. */
struct hf_review_cell *review_cell(struct hf_review *review, hf_pcset held, hf_pcset pcs);

/* The day, added where it is not there; NULL when memory ran out. */
struct hf_review_day *review_day(struct hf_review *review, int32_t day);

/* Counts answers and shapes; false when memory ran out. */
bool review_count_tenths(struct hf_review_cell *cell, int tenths, uint32_t count);
bool review_count_shape(struct hf_review_cell *cell, const struct hf_review_shape *shape);

/* Takes a mark after those before it. */
void review_note_mark(struct hf_review_cell *cell, bool got);

/* Did it ever come? */
static inline bool review_came(const struct hf_review_cell *cell)
{
    return cell->cued > 0 || cell->found > 0;
}

/* Forgets all, and keeps the memory of the tables. */
void review_clear(struct hf_review *review);

/* ---- bytes ----------------------------------------------------------------------------------- */

enum { REVIEW_FORMAT = 2 /* of a digest */ };

struct review_writer {
    unsigned char *bytes;
    size_t length, room;
    bool failed; /* memory ran out */
};
void review_put(struct review_writer *w, uint64_t value);
void review_put_signed(struct review_writer *w, int64_t value);
void review_put_fixed(struct review_writer *w, uint64_t value);
void review_put_bytes(struct review_writer *w, const void *bytes, size_t length);

/* A journal as a whole, as its digest tells it. */
struct review_journal {
    uint64_t head, whole, length;
    int64_t started, ms;
    int32_t day;
    int level_last, level_top;
    char label[HF_REQUEST_TEXT];
    char continues[REVIEW_NAME_BYTES];
    struct hf_review_given first, cut;
};
/* `cut`: what the journal's end cut off, which may not count. */
void review_put_digest(struct review_writer *w, const struct review_journal *journal,
                       const struct hf_review *sum, const struct hf_review *cut);

struct review_source {
    const unsigned char *at, *end;
    bool failed; /* it ended too early, or a number is out of its range */
};
uint64_t review_get(struct review_source *s, uint64_t most);
int64_t review_get_signed(struct review_source *s);
uint64_t review_get_fixed(struct review_source *s);
const void *review_get_bytes(struct review_source *s, size_t length);

#endif
