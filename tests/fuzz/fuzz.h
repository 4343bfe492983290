/* SPDX-License-Identifier: MIT */
/*
 * fuzz: what the fuzzers share. Each is a reader of text from outside, called with bytes that
 * libFuzzer thinks of; a text that is taken must keep what its reader promises, or it is a fault.
 * `make fuzz` builds them with the sanitizers and without the journal's check sum, at which they
 * would stop.
 */
#ifndef TESTS_FUZZ_H
#define TESTS_FUZZ_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/status.h>
#include <holdfast/text.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define MUST(condition)                                                                            \
    do {                                                                                           \
        if (!(condition)) {                                                                        \
            fprintf(stderr, "%s:%d: not true: %s\n", __FILE__, __LINE__, #condition);              \
            abort();                                                                               \
        }                                                                                          \
    } while (0)

/* A reader fails with one of these, and a message that can be shown: one line, no control bytes
 * but what the command line disarms. */
static inline void must_fail_well(enum hf_status status, enum hf_status expected,
                                  const struct hf_diag *diag)
{
    MUST(status == expected || status == HF_E_MEMORY);
    MUST(diag->message[0] != 0);
    MUST(strlen(diag->message) < sizeof diag->message);
}

/* The bytes as a string. The caller frees it. */
static inline char *string_of(const uint8_t *data, size_t size)
{
    char *text = malloc(size + 1);
    MUST(text);
    memcpy(text, data, size);
    text[size] = 0;
    return text;
}

#endif
