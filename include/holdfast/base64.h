/* SPDX-License-Identifier: MIT */
/*
 * base64: bytes as text (RFC 4648, section 4: with padding, without line breaks), for what a page
 * carries inside.
 *
 * The caller owns both buffers. Pure; any thread may call it.
 */
#ifndef HOLDFAST_BASE64_H
#define HOLDFAST_BASE64_H

#include <stddef.h>

/* Characters of the text of `length` bytes, without a NUL. */
size_t hf_base64_length(size_t length);

/* Writes that many characters; no NUL. Returns how many. */
size_t hf_base64(const void *bytes, size_t length, char *text);

#endif
