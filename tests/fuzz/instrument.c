/* SPDX-License-Identifier: MIT */
/* Instruments: what is taken has strings, frets and a hand within the ranges that the file has. */
#include "fuzz.h"

#include <holdfast/instrumentfile.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct hf_fretboard board;
    struct hf_diag diag = {0};
    enum hf_status status =
        hf_instrumentfile_parse((const char *)data, size, "fuzz.ini", "fuzz", &board, &diag);
    if (status != HF_OK) {
        must_fail_well(status, HF_E_DATA, &diag);
        return 0;
    }
    MUST(board.strings > 0 && board.strings <= HF_STRINGS_MOST);
    for (int i = 0; i < board.strings; i++)
        MUST(board.midi[i] >= 0 && board.midi[i] <= 127);
    return 0;
}
