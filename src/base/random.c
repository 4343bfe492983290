/* SPDX-License-Identifier: MIT */
/* Invariant: integer arithmetic only, so the same numbers on every machine. */
#include <holdfast/random.h>

#define MULTIPLIER UINT64_C(6364136223846793005)

void hf_random_init(struct hf_random *random, uint64_t seed, uint64_t stream)
{
    random->state = 0;
    random->increment = (stream << 1) | 1;
    hf_random_next(random);
    random->state += seed;
    hf_random_next(random);
}

uint32_t hf_random_next(struct hf_random *random)
{
    uint64_t old = random->state;
    uint32_t shifted = (uint32_t)(((old >> 18) ^ old) >> 27);
    uint32_t turn = (uint32_t)(old >> 59);
    random->state = old * MULTIPLIER + random->increment;
    return (shifted >> turn) | (shifted << ((32 - turn) & 31));
}

uint32_t hf_random_below(struct hf_random *random, uint32_t bound)
{
    uint32_t threshold = (0u - bound) % bound;
    for (;;) {
        uint32_t drawn = hf_random_next(random);
        if (drawn >= threshold)
            return drawn % bound;
    }
}

float hf_random_unit(struct hf_random *random)
{
    return (float)(hf_random_next(random) >> 8) * 0x1p-24f;
}
