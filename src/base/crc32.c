/* SPDX-License-Identifier: MIT */
/* Four bits at a time: sixteen entries, computed from the polynomial, none typed. The sliced way
 * has a table for each place of a byte among sixteen: row[k][b] is what b leaves when k bytes
 * follow it. */
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

void hf_crc32_tables_init(struct hf_crc32_tables *tables)
{
    for (uint32_t byte = 0; byte < 256; byte++) {
        uint32_t crc = byte;
        for (int bit = 0; bit < 8; bit++)
            crc = STEP(crc);
        tables->row[0][byte] = crc;
    }
    for (int slice = 1; slice < HF_CRC32_SLICES; slice++)
        for (int byte = 0; byte < 256; byte++) {
            uint32_t before = tables->row[slice - 1][byte];
            tables->row[slice][byte] = (before >> 8) ^ tables->row[0][before & 255];
        }
}

/* Four bytes as they are reflected: the first is the lowest, on any machine. */
static inline uint32_t word_at(const unsigned char *byte)
{
    return (uint32_t)byte[0] | (uint32_t)byte[1] << 8 | (uint32_t)byte[2] << 16 |
           (uint32_t)byte[3] << 24;
}

/* What the four bytes of a word leave when `after` bytes follow them. */
static inline uint32_t leave(const struct hf_crc32_tables *tables, uint32_t word, int after)
{
    return tables->row[after + 3][word & 255] ^ tables->row[after + 2][word >> 8 & 255] ^
           tables->row[after + 1][word >> 16 & 255] ^ tables->row[after][word >> 24];
}

uint32_t hf_crc32_sliced(const struct hf_crc32_tables *tables, const void *bytes, size_t length)
{
    const unsigned char *byte = bytes;
    uint32_t crc = UINT32_MAX;
    for (; length >= HF_CRC32_SLICES; length -= HF_CRC32_SLICES, byte += HF_CRC32_SLICES)
        crc = leave(tables, word_at(byte) ^ crc, 12) ^ leave(tables, word_at(byte + 4), 8) ^
              leave(tables, word_at(byte + 8), 4) ^ leave(tables, word_at(byte + 12), 0);
    for (; length > 0; length--, byte++)
        crc = (crc >> 8) ^ tables->row[0][(crc ^ *byte) & 255];
    return ~crc;
}
