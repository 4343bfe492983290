/* SPDX-License-Identifier: MIT */
/* The widths that are compiled in; vector.c chooses among them. */
#ifndef HOLDFAST_SOUND_VECTOR_WIDTHS_H
#define HOLDFAST_SOUND_VECTOR_WIDTHS_H

#include <holdfast/vector.h>

extern const struct hf_vector hf_vector_plain;

#if defined(__x86_64__) || defined(__i386__)
#define HF_VECTOR_X86 1
extern const struct hf_vector hf_vector_avx2;
extern const struct hf_vector hf_vector_avx512;
#endif

#endif
