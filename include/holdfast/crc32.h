/* SPDX-License-Identifier: MIT */
/* crc32: the check sum of a journal line, CRC-32 of IEEE 802.3 (reflected polynomial 0xedb88320,
 * start and final complement). Check value: "123456789" gives cbf43926. Pure; any thread. */
#ifndef HOLDFAST_CRC32_H
#define HOLDFAST_CRC32_H

#include <stddef.h>
#include <stdint.h>

uint32_t hf_crc32(const void *bytes, size_t length);

#endif
