/* SPDX-License-Identifier: MIT */
/* Four bits at a time: sixteen entries, computed from the polynomial, none typed. */
#include <holdfast/crc32.h>

#define POLYNOMIAL UINT32_C(0xedb88320)

/* Four steps of the bitwise division. */
#define STEP(r) (((r) >> 1) ^ (((r)&1) ? POLYNOMIAL : 0))
#define ROW(n) STEP(STEP(STEP(STEP((uint32_t)(n)))))

static const uint32_t table[16] = {ROW(0),  ROW(1),  ROW(2),  ROW(3), ROW(4),  ROW(5),
                                   ROW(6),  ROW(7),  ROW(8),  ROW(9), ROW(10), ROW(11),
                                   ROW(12), ROW(13), ROW(14), ROW(15)};

uint32_t hf_crc32(const void *bytes, size_t length)
{
    const unsigned char *byte = bytes;
    uint32_t crc = UINT32_MAX;
    for (size_t i = 0; i < length; i++) {
        crc ^= byte[i];
        crc = (crc >> 4) ^ table[crc & 15];
        crc = (crc >> 4) ^ table[crc & 15];
    }
    return ~crc;
}
