/* SPDX-License-Identifier: MIT */
/*
 * ogg: gives the pages of an Ogg stream a serial number of our choice. Encoders draw one at random,
 * which would make two files of the same sound differ. Page layout and check sum: RFC 3533, 6.
 *
 * Works on bytes that the caller owns. Pure; any thread may call it.
 */
#ifndef HOLDFAST_OGG_H
#define HOLDFAST_OGG_H

#include <stddef.h>
#include <stdint.h>

/* The most bytes that a page can have. */
enum { HF_OGG_PAGE_MOST = 27 + 255 + 255 * 255 };

/* Sets the serial number of the page that starts at `bytes` and its check sum anew. Returns the
 * bytes of the page; 0 where no whole page starts there, which is then left as it was. */
size_t hf_ogg_set_serial(unsigned char *bytes, size_t length, uint32_t serial);

#endif
