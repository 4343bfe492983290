/* SPDX-License-Identifier: MIT */
/* text: what must be true of text from outside before it is kept or shown. Pure; any thread. */
#ifndef HOLDFAST_TEXT_H
#define HOLDFAST_TEXT_H

#include <stdbool.h>
#include <stddef.h>

/* True for well-formed UTF-8 (Unicode 15, table 3-7: no overlong forms, no surrogates, nothing over
 * U+10FFFF). */
bool hf_text_is_utf8(const char *text, size_t length);

/* True where no control byte (under 0x20, 0x7f) but those of `allowed` stands in it, nor a C1
 * control (U+0080 to U+009F), which some terminals obey. */
bool hf_text_is_plain(const char *text, size_t length, const char *allowed);

/* Puts ? for everything in a string that could upset a terminal: control bytes, C1 controls, and
 * bytes that are no UTF-8. */
void hf_text_disarm(char *text);

#endif
