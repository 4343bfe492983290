/* SPDX-License-Identifier: MIT */
/* Invariant: the constants are computed as FIPS 180-4 defines them, the first 32 bits of the
 * fractional parts of square and cube roots of primes, so that no table is typed by hand. */
#include <holdfast/sha256.h>

#include <math.h>
#include <stdint.h>
#include <string.h>

enum { BLOCK = 64, ROUNDS = 64, WORDS = 8, LENGTH_BYTES = 8 };

struct sha {
    uint32_t hash[WORDS], constant[ROUNDS];
};

static int is_prime(uint64_t n)
{
    for (uint64_t d = 2; d * d <= n; d++)
        if (n % d == 0)
            return 0;
    return 1;
}

/* The fraction's first 32 bits of a root below 2^8, as a double has it to 2^-44 and better. */
static uint32_t fraction(double root)
{
    return (uint32_t)(uint64_t)(root * 0x1p32);
}

/* Newton's method, from above. */
static double cube_root(double n)
{
    double root = n;
    for (double before = root + 1; root < before;) {
        before = root;
        root -= (root - n / (root * root)) / 3;
    }
    return root;
}

static void init(struct sha *s)
{
    uint64_t n = 1;
    for (int i = 0; i < ROUNDS; i++) {
        do
            n++;
        while (!is_prime(n));
        if (i < WORDS)
            s->hash[i] = fraction(sqrt((double)n));
        s->constant[i] = fraction(cube_root((double)n));
    }
}

static uint32_t turn(uint32_t x, int by)
{
    return x >> by | x << (32 - by);
}

static void schedule(const unsigned char block[BLOCK], uint32_t w[ROUNDS])
{
    for (int i = 0; i < 16; i++)
        w[i] = (uint32_t)block[4 * i] << 24 | (uint32_t)block[4 * i + 1] << 16 |
               (uint32_t)block[4 * i + 2] << 8 | block[4 * i + 3];
    for (int i = 16; i < ROUNDS; i++) {
        uint32_t low = turn(w[i - 15], 7) ^ turn(w[i - 15], 18) ^ w[i - 15] >> 3;
        uint32_t high = turn(w[i - 2], 17) ^ turn(w[i - 2], 19) ^ w[i - 2] >> 10;
        w[i] = w[i - 16] + low + w[i - 7] + high;
    }
}

static void take(struct sha *s, const unsigned char block[BLOCK])
{
    uint32_t w[ROUNDS], v[WORDS];
    schedule(block, w);
    memcpy(v, s->hash, sizeof v);
    for (int i = 0; i < ROUNDS; i++) {
        uint32_t choose = (v[4] & v[5]) ^ (~v[4] & v[6]);
        uint32_t most = (v[0] & v[1]) ^ (v[0] & v[2]) ^ (v[1] & v[2]);
        uint32_t first = v[7] + (turn(v[4], 6) ^ turn(v[4], 11) ^ turn(v[4], 25)) + choose +
                         s->constant[i] + w[i];
        uint32_t second = (turn(v[0], 2) ^ turn(v[0], 13) ^ turn(v[0], 22)) + most;
        memmove(v + 1, v, (WORDS - 1) * sizeof v[0]);
        v[4] += first;
        v[0] = first + second;
    }
    for (int i = 0; i < WORDS; i++)
        s->hash[i] += v[i];
}

void hf_sha256(const void *bytes, size_t length, unsigned char digest[HF_SHA256_BYTES])
{
    struct sha s;
    const unsigned char *at = bytes;
    unsigned char last[2 * BLOCK] = {0};
    size_t rest = length % BLOCK, whole = length - rest;
    size_t padded = rest + 1 + LENGTH_BYTES <= BLOCK ? BLOCK : 2 * BLOCK;
    uint64_t bits = (uint64_t)length * 8;
    init(&s);
    for (size_t i = 0; i < whole; i += BLOCK)
        take(&s, at + i);
    if (rest > 0)
        memcpy(last, at + whole, rest);
    last[rest] = 0x80;
    for (int i = 0; i < LENGTH_BYTES; i++)
        last[padded - 1 - (size_t)i] = (unsigned char)(bits >> 8 * i);
    for (size_t i = 0; i < padded; i += BLOCK)
        take(&s, last + i);
    for (int i = 0; i < HF_SHA256_BYTES; i++)
        digest[i] = (unsigned char)(s.hash[i / 4] >> (24 - 8 * (i % 4)));
}
