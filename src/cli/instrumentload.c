/* SPDX-License-Identifier: MIT */
/* Finding and reading instruments: the player's own before those that ship. */
#include <holdfast/cli.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/instrumentfile.h>
#include <holdfast/text.h>

#include "library.h"

static const char *shipped(int index)
{
    return hf_instruments[index].name;
}

const struct library library_instruments = {"instrument", "instruments", shipped,
                                            hf_instrumentfile_find_builtin};

/* "mine" of ./folder/mine.ini, fit to be shown. */
static void name_of(const char *given, char name[HF_FRETBOARD_NAME])
{
    const char *slash = strrchr(given, '/');
    snprintf(name, HF_FRETBOARD_NAME, "%s", slash ? slash + 1 : given);
    size_t length = strlen(name);
    if (length > 4 && strcmp(name + length - 4, ".ini") == 0)
        name[length - 4] = '\0';
    hf_text_disarm(name);
}

enum hf_status hf_cli_load_instrument(const char *name, struct hf_fretboard *board,
                                      struct hf_diag *diag)
{
    char path[1024];
    char short_name[HF_FRETBOARD_NAME];
    char *text = NULL;
    size_t length = 0;
    name_of(name, short_name);
    enum hf_status status =
        library_find(&library_instruments, name, path, sizeof path, &text, &length, diag);
    if (status == HF_OK)
        status = hf_instrumentfile_parse(text, length, path, short_name, board, diag);
    free(text);
    return status;
}
