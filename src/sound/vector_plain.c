/* SPDX-License-Identifier: MIT */
/* Invariant: nothing but the instruction set that the whole program is built for. */
#define LANES 4
#define TARGET

#include "vector_body.h"
#include "vector_widths.h"

const struct hf_vector hf_vector_plain = {"plain", LANES, LOOPS};
