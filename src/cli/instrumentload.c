/* SPDX-License-Identifier: MIT */
/* Finding and reading instruments: the player's own before those that ship. */
#include <holdfast/cli.h>

#include <stdlib.h>

#include <holdfast/instrumentfile.h>

#include "library.h"

static const char *shipped(int index)
{
    return hf_instruments[index].name;
}

static const struct library instruments = {"instrument", "instruments", shipped,
                                           hf_instrumentfile_find_builtin};

enum hf_status hf_cli_load_instrument(const char *name, struct hf_fretboard *board,
                                      struct hf_diag *diag)
{
    char path[1024];
    char *text = NULL;
    size_t length = 0;
    enum hf_status status =
        library_find(&instruments, name, path, sizeof path, &text, &length, diag);
    if (status == HF_OK)
        status = hf_instrumentfile_parse(text, length, path, name, board, diag);
    free(text);
    return status;
}
