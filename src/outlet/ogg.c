/* SPDX-License-Identifier: MIT */
/* Invariant: nothing is changed before the whole page is known to be there. */
#include <holdfast/ogg.h>

#include <string.h>

enum { HEADER = 27, VERSION_AT = 4, SERIAL_AT = 14, SUM_AT = 22, SEGMENTS_AT = 26 };

/* Bytes of the page at `bytes`, or 0. */
static size_t page_length(const unsigned char *bytes, size_t length)
{
    if (length < HEADER || memcmp(bytes, "OggS", 4) != 0 || bytes[VERSION_AT] != 0)
        return 0;
    size_t segments = bytes[SEGMENTS_AT], whole = HEADER + segments;
    if (length < whole)
        return 0;
    for (size_t i = 0; i < segments; i++)
        whole += bytes[HEADER + i];
    return whole <= length ? whole : 0;
}

static void put_32(unsigned char *at, uint32_t value)
{
    for (int i = 0; i < 4; i++)
        at[i] = (unsigned char)(value >> (8 * i));
}

/* Polynomial 0x04c11db7, highest bit first, nothing inverted; with the sum itself as zero. */
static uint32_t sum(const unsigned char *bytes, size_t length)
{
    uint32_t crc = 0;
    for (size_t i = 0; i < length; i++) {
        crc ^= (uint32_t)bytes[i] << 24;
        for (int bit = 0; bit < 8; bit++)
            crc = crc << 1 ^ (crc >> 31 ? UINT32_C(0x04c11db7) : 0);
    }
    return crc;
}

size_t hf_ogg_set_serial(unsigned char *bytes, size_t length, uint32_t serial)
{
    size_t whole = page_length(bytes, length);
    if (!whole)
        return 0;
    put_32(bytes + SERIAL_AT, serial);
    put_32(bytes + SUM_AT, 0);
    put_32(bytes + SUM_AT, sum(bytes, whole));
    return whole;
}
