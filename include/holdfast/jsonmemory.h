/* SPDX-License-Identifier: MIT */
/*
 * jsonmemory: jansson in want of memory. What is built of hundreds of values, each of which could
 * be missing, is asked about once, before it is used; and a text that is read can't do harm.
 *
 * Kept for the whole process, since jansson's own allocator is. One thread: the one that uses
 * jansson.
 */
#ifndef HOLDFAST_JSONMEMORY_H
#define HOLDFAST_JSONMEMORY_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

/* Called before jansson is used; without it nothing is noticed. */
void hf_jsonmemory_watch(void);

/* Has an allocation of jansson's failed since then? */
bool hf_jsonmemory_failed(void);

/* Reads a text as json_loadb does; NULL too once memory has failed. jansson (2.14) writes past the
 * end of a string when it finds no memory in its middle, so enough is set aside first, and used
 * where there is no other. */
json_t *hf_jsonmemory_load(const char *text, size_t length, size_t flags);

#endif
