/* SPDX-License-Identifier: MIT */
/*
 * status: the one list of what can go wrong, and the words that go with it. Every function of the
 * project that can fail returns one of these and leaves its out-parameters untouched on failure.
 *
 * Pure; any thread may call it.
 */
#ifndef HOLDFAST_STATUS_H
#define HOLDFAST_STATUS_H

#include <stdarg.h>

/* name, exit status after sysexits.h (the contract of the command line), what it means */
#define HF_STATUS_LIST(X)                                                                          \
    X(HF_OK, 0, "done")                                                                            \
    X(HF_E_USAGE, 64, "wrong use")                                                                 \
    X(HF_E_DATA, 65, "bad content in a file")                                                      \
    X(HF_E_INPUT, 66, "cannot read")                                                               \
    X(HF_E_DEVICE, 69, "no sound output, or not at that rate")                                     \
    X(HF_E_BUG, 70, "a fault of the program")                                                      \
    X(HF_E_MEMORY, 70, "out of memory")                                                            \
    X(HF_E_CREATE, 73, "cannot create")                                                            \
    X(HF_E_IO, 74, "input or output error")                                                        \
    X(HF_E_LOST, 75, "the sound output went away")

enum hf_status {
#define HF_STATUS_NAME(name, code, text) name,
    HF_STATUS_LIST(HF_STATUS_NAME)
#undef HF_STATUS_NAME
};

#if defined(__GNUC__)
#define HF_CHECKED __attribute__((warn_unused_result))
#define HF_PRINTF(f, a) __attribute__((format(printf, f, a)))
#else
#define HF_CHECKED
#define HF_PRINTF(f, a)
#endif

/* Why something failed, in words for the player. `message` says what is wrong, `advice` what to do
 * (may be empty). `line` and `column` count from 1; 0 where they mean nothing. */
struct hf_diag {
    long line;
    long column;
    char message[320];
    char advice[320];
};

/* The exit status of the program for a status. */
int hf_status_exit(enum hf_status status);

/* The meaning of a status in a few words; never NULL. */
const char *hf_status_text(enum hf_status status);

/* Writes the message (printf rules; cut to fit) and clears the rest; `diag` may be NULL.
 * Returns `status`, so that a failing function can end with: return hf_fail(diag, HF_E_..., ...).
 */
enum hf_status hf_fail(struct hf_diag *diag, enum hf_status status, const char *format, ...)
    HF_PRINTF(3, 4);

#ifdef HF_ANALYSIS
/* What hf_fail returns, where static analysis can see it: `make analyze` looks at one file at a
 * time and would follow a failure that has become a success. */
static inline enum hf_status hf_failed(enum hf_status status, enum hf_status told)
{
    (void)told;
    return status;
}
#define hf_fail(diag, status, ...) hf_failed(status, (hf_fail)(diag, status, __VA_ARGS__))
#endif

/* Sets the advice of a diagnostic that has its message already; `diag` may be NULL. */
void hf_advise(struct hf_diag *diag, const char *format, ...) HF_PRINTF(2, 3);

#endif
