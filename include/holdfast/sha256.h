/* SPDX-License-Identifier: MIT */
/*
 * sha256: the digest SHA-256 (FIPS 180-4) of some bytes, in one call. A page names the digests of
 * its own script and style, so that a browser runs nothing else.
 *
 * Pure; any thread may call it.
 */
#ifndef HOLDFAST_SHA256_H
#define HOLDFAST_SHA256_H

#include <stddef.h>

enum { HF_SHA256_BYTES = 32 };

/* Writes the digest of `length` bytes. */
void hf_sha256(const void *bytes, size_t length, unsigned char digest[HF_SHA256_BYTES]);

#endif
