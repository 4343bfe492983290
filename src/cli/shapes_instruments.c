/* SPDX-License-Identifier: MIT */
/* The list of instruments: those that ship and the player's own. */
#include "shapes.h"

#include <stdio.h>
#include <string.h>

#include <holdfast/instrumentfile.h>
#include <holdfast/text.h>
#include <holdfast/version.h>

#include "library.h"

static void tuning_of(const struct hf_fretboard *board, char text[HF_QUERY_TEXT])
{
    size_t used = 0;
    text[0] = '\0';
    for (int s = 0; s < board->strings; s++) {
        char name[HF_SPELLED_TEXT];
        int midi = board->midi[s];
        hf_spelled_format_pitch(hf_spelling_pc(hf_pc(midi), HF_NAMES_SIMPLE), midi, HF_NAMES_SIMPLE,
                                name);
        snprintf(text + used, HF_QUERY_TEXT - used, "%s%s", s ? " " : "", name);
        used += strlen(text + used);
    }
}

static json_t *object_of(const char *name, const struct hf_fretboard *board)
{
    return json_pack("{s:s,s:s,s:o,s:i,s:i,s:f,s:f,s:f,s:f,s:i,s:i,s:b}", "name", name, "about",
                     board->about, "strings", hf_query_integers(board->midi, board->strings),
                     "frets", board->frets, "capo", board->capo, "scale_mm", board->scale_mm,
                     "nut_spacing_mm", board->nut_mm, "bridge_spacing_mm", board->bridge_mm,
                     "reach_mm", board->reach_mm, "fingers", board->fingers, "plucking_fingers",
                     board->plucking, "left_handed", board->left_handed);
}

static void print_row(const char *name, const struct hf_fretboard *board)
{
    char tuning[HF_QUERY_TEXT];
    tuning_of(board, tuning);
    printf("%-15s %s\n    %s; %d frets, scale %.10g mm, spacing %.10g to %.10g mm\n", name,
           board->about, tuning, board->frets, board->scale_mm, board->nut_mm, board->bridge_mm);
}

enum hf_status shapes_instruments(bool json, struct hf_diag *diag)
{
    static struct library_names names; /* large: not on the stack */
    json_t *list = json ? json_array() : NULL;
    library_list(&library_instruments, &names);
    for (int i = 0; i < names.count; i++) {
        struct hf_fretboard board;
        enum hf_status status = hf_cli_load_instrument(names.name[i], &board, diag);
        if (status == HF_E_MEMORY) {
            json_decref(list);
            return status;
        }
        if (status != HF_OK)
            hf_cli_warn("left out: %s", diag->message);
        else if (json)
            list = hf_query_append(list, object_of(board.name, &board));
        else
            print_row(board.name, &board);
    }
    if (json)
        return hf_query_print(json_pack("{s:i,s:o}", "holdfast", HF_FORMAT, "instruments", list),
                              diag);
    printf("\nThe measures are common ones; measure your own, and put a file beside them:\n"
           "~/.config/holdfast/instruments/NAME.ini (shapes --help shows what is in it).\n");
    return HF_OK;
}
