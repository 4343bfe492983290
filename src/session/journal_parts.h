/* SPDX-License-Identifier: MIT */
/* journal_parts: what the readers of the journal share; for src/session/journal*.c alone. */
#ifndef HOLDFAST_JOURNAL_PARTS_H
#define HOLDFAST_JOURNAL_PARTS_H

#include <jansson.h>

#include <holdfast/journal.h>

/* A whole number of an object, from low to high; false where there is none. */
bool journal_get_whole(const json_t *o, const char *key, int64_t low, int64_t high, int64_t *out);

/* The type of a record by its word. */
enum hf_record_type journal_get_type(const json_t *o);

/* Fills in the members of a record whose type is set; false where one is wrong. */
bool journal_get_record(const json_t *o, struct hf_record *r);

#endif
