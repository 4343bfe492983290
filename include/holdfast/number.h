/* SPDX-License-Identifier: MIT */
/*
 * number: the one reader of numbers from text. Independent of the locale; the whole string is
 * consumed; range and finiteness are checked by the caller's limits.
 *
 * Pure; any thread may call it.
 */
#ifndef HOLDFAST_NUMBER_H
#define HOLDFAST_NUMBER_H

#include <stdbool.h>
#include <stdint.h>
#include <stddef.h>

#include <holdfast/status.h>

/* Why a number could not be read. */
enum hf_number_fault { HF_NUMBER_FINE, HF_NUMBER_MALFORMED, HF_NUMBER_RANGE, HF_NUMBER_DIGITS };

/* Reads decimal text of `length` bytes: digits with at most one point, an optional sign and an
 * optional exponent (`1.5e-6`); no spaces, no inf or nan. At most 15 significant digits and a
 * decimal exponent within 22 of zero, so that one division or multiplication by an exact power of
 * ten gives the nearest double (W. D. Clinger, "How to Read Floating Point Numbers Accurately",
 * PLDI 1990). Returns HF_NUMBER_RANGE outside low..high. */
enum hf_number_fault hf_number_real(const char *text, size_t length, double low, double high,
                                    double *out) HF_CHECKED;

/* The same for whole numbers from low to high, digits with an optional sign. */
enum hf_number_fault hf_number_whole(const char *text, size_t length, long low, long high,
                                     long *out) HF_CHECKED;

/* The same for 0 to 2^64 - 1, digits only. */
enum hf_number_fault hf_number_u64(const char *text, size_t length, uint64_t *out) HF_CHECKED;

/* Reads eight hexadecimal digits in lower case, as check sums are written; `text` may be NULL.
 * False for anything else. */
bool hf_number_hex32(const char *text, uint32_t *out);

#endif
