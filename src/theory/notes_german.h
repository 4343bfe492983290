/* SPDX-License-Identifier: MIT */
/* notes_german: names as German writes them, read. For src/theory/notes_parse.c and nobody else. */
#ifndef HOLDFAST_NOTES_GERMAN_H
#define HOLDFAST_NOTES_GERMAN_H

#include <stdbool.h>
#include <stddef.h>

#include <holdfast/spelling.h>

/* Reads the name that a word begins with: Cis, Es, As, H, and B, which is B flat; one with a sign
 * (F#, Eb) where it is the same in both. `*used`: its bytes. False where there is none. */
bool notes_read_german(const char *word, size_t length, struct hf_spelled *out, size_t *used);

#endif
