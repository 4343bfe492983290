/* SPDX-License-Identifier: MIT */
/* Invariant: `chosen` changes only by hf_vector_use, before anything sounds; everything else here
 * is constant. */
#include <holdfast/vector.h>

#include "vector_widths.h"

static const struct hf_vector *const all[] = {&hf_vector_plain,
#ifdef HF_VECTOR_X86
                                              &hf_vector_avx2, &hf_vector_avx512,
#endif
                                              NULL};

static const struct hf_vector *chosen;

int hf_vector_runs(const struct hf_vector *vector)
{
#ifdef HF_VECTOR_X86
    if (vector == &hf_vector_avx512)
        return __builtin_cpu_supports("avx512f") != 0;
    if (vector == &hf_vector_avx2)
        return __builtin_cpu_supports("avx2") != 0;
#endif
    return vector == &hf_vector_plain;
}

const struct hf_vector *const *hf_vector_all(void)
{
    return all;
}

const struct hf_vector *hf_vector_best(void)
{
    if (chosen)
        return chosen;
    const struct hf_vector *best = &hf_vector_plain;
    for (int i = 0; all[i]; i++)
        if (hf_vector_runs(all[i]))
            best = all[i];
    return best;
}

void hf_vector_use(const struct hf_vector *vector)
{
    chosen = vector;
}
