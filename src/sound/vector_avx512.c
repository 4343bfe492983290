/* SPDX-License-Identifier: MIT */
/* Invariant: what is here runs only where hf_vector_runs says so. */
#include "vector_widths.h"

#ifdef HF_VECTOR_X86
#define LANES 16
#define TARGET __attribute__((target("avx512f")))

#include "vector_body.h"

const struct hf_vector hf_vector_avx512 = {"avx512", LANES, LOOPS};
#endif
