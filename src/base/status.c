/* SPDX-License-Identifier: MIT */
/* Invariant: every status of the list has a row in both switches (no default, so that the compiler
 * finds a missing one); a name from outside may stand in a message, so none goes out unless
 * disarmed. */
#include <holdfast/status.h>

#include <stdio.h>
#include <string.h>

#include <holdfast/text.h>

#undef hf_fail /* under analysis it is a macro too */

int hf_status_exit(enum hf_status status)
{
    switch (status) {
#define HF_STATUS_EXIT(name, code, text)                                                           \
    case name:                                                                                     \
        return code;
        HF_STATUS_LIST(HF_STATUS_EXIT)
#undef HF_STATUS_EXIT
    }
    return 70;
}

const char *hf_status_text(enum hf_status status)
{
    switch (status) {
#define HF_STATUS_TEXT(name, code, text)                                                           \
    case name:                                                                                     \
        return text;
        HF_STATUS_LIST(HF_STATUS_TEXT)
#undef HF_STATUS_TEXT
    }
    return "unknown status";
}

enum hf_status hf_fail(struct hf_diag *diag, enum hf_status status, const char *format, ...)
{
    if (diag) {
        va_list args;
        memset(diag, 0, sizeof *diag);
        va_start(args, format);
        vsnprintf(diag->message, sizeof diag->message, format, args);
        va_end(args);
        hf_text_disarm(diag->message);
    }
    return status;
}

void hf_advise(struct hf_diag *diag, const char *format, ...)
{
    if (diag) {
        va_list args;
        va_start(args, format);
        vsnprintf(diag->advice, sizeof diag->advice, format, args);
        va_end(args);
        hf_text_disarm(diag->advice);
    }
}
