/* SPDX-License-Identifier: MIT */
/* crc32: the check sum of a journal line, CRC-32 of IEEE 802.3 (reflected polynomial 0xedb88320,
 * start and final complement). Check value: "123456789" gives cbf43926. Pure; any thread. */
#ifndef HOLDFAST_CRC32_H
#define HOLDFAST_CRC32_H

#include <stddef.h>
#include <stdint.h>

uint32_t hf_crc32(const void *bytes, size_t length);

/* The same by tables of the caller's, for whoever has many megabytes to check: sixteen bytes at a
 * time (slicing, M. E. Kounavis and F. L. Berry, "Novel Table Lookup-Based Algorithms for
 * High-Performance CRC Generation", IEEE Transactions on Computers 57/11, 2008). */
enum { HF_CRC32_SLICES = 16 };
struct hf_crc32_tables {
    uint32_t row[HF_CRC32_SLICES][256];
};
void hf_crc32_tables_init(struct hf_crc32_tables *tables);
uint32_t hf_crc32_sliced(const struct hf_crc32_tables *tables, const void *bytes, size_t length);

#endif
