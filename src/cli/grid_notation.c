/* SPDX-License-Identifier: MIT */
/* A shape as a frame and notes on a staff. Invariant: the size of either depends on the session
 * (its instrument), not on the notes of the moment. */
#include "grid.h"

#include <stdio.h>
#include <string.h>

/* ---- the frame ------------------------------------------------------------------------------- */

enum { FRETS_SHOWN = 6, FRET_COLS = 4, STRING_COLS = 2 };

static int strings_of(const struct scene *scene)
{
    int held = scene->holding ? scene->holding->strings : 0;
    return scene->adding && scene->adding->strings ? scene->adding->strings : held;
}

struct grid_area grid_frame_size(const struct scene *scene)
{
    int strings = strings_of(scene);
    return strings ? (struct grid_area){0, 0, FRETS_SHOWN + 2, FRET_COLS + STRING_COLS * strings}
                   : (struct grid_area){0, 0, 0, 0};
}

/* The lowest and highest stopped fret of both. */
static void fret_range(const struct scene *scene, int *low, int *high)
{
    const struct hf_record *records[] = {scene->holding, scene->adding};
    *low = HF_FRETS_MOST;
    *high = 0;
    for (int r = 0; r < 2; r++)
        for (int i = 0; records[r] && i < records[r]->strings; i++) {
            int fret = records[r]->frets[i];
            if (fret > 0) {
                *low = fret < *low ? fret : *low;
                *high = fret > *high ? fret : *high;
            }
        }
}

static void draw_fingers(struct grid *grid, const struct grid_area *area,
                         const struct hf_record *record, int first, uint32_t sign,
                         enum grid_style style)
{
    for (int i = 0; record && i < record->strings; i++) {
        int col = area->col + FRET_COLS + STRING_COLS * i, fret = record->frets[i];
        if (fret == 0)
            grid_put(grid, area->row, col, '0', style);
        else if (fret >= first && fret < first + FRETS_SHOWN)
            grid_put(grid, area->row + 2 + fret - first, col, sign, style);
    }
}

/* Strings that neither sounds. */
static bool is_silent(const struct scene *scene, int string)
{
    bool held = scene->holding && string < scene->holding->strings &&
                scene->holding->frets[string] != HF_SILENT;
    bool added = scene->adding && string < scene->adding->strings &&
                 scene->adding->frets[string] != HF_SILENT;
    return !held && !added;
}

void grid_frame(struct grid *grid, struct grid_area area, const struct scene *scene)
{
    int strings = strings_of(scene), low, high;
    char number[12];
    fret_range(scene, &low, &high);
    int first = high <= FRETS_SHOWN ? 1 : low > HF_FRETS_MOST - FRETS_SHOWN ? 1 : low;
    for (int i = 0; i < strings; i++) {
        int col = area.col + FRET_COLS + STRING_COLS * i;
        grid_put(grid, area.row, col, is_silent(scene, i) ? 'x' : ' ', GRID_QUIET);
        for (int c = col; c < col + (i + 1 < strings ? STRING_COLS : 1); c++)
            grid_put(grid, area.row + 1, c, first == 1 ? 0x2550 : 0x2500, GRID_QUIET);
        for (int f = 0; f < FRETS_SHOWN; f++)
            grid_put(grid, area.row + 2 + f, col, 0x2502, GRID_QUIET);
    }
    snprintf(number, sizeof number, "%3d", first);
    grid_text(grid, area.row + 2, area.col, area.col + 3, number, GRID_TEXT);
    draw_fingers(grid, &area, scene->adding, first, 0x25cf, GRID_NOTES);
    /* what is held in the same hand is in both */
    draw_fingers(grid, &area, scene->holding, first, 0x25cb, GRID_HELD);
}

/* ---- the staff ------------------------------------------------------------------------------- */

/* Steps of the scale, a row each; C0 is 0. The staff goes from E2 to C6; notes beyond it are not
 * shown. */
enum { STEPS = 7, LOWEST = 2 * STEPS + 2, HIGHEST = 6 * STEPS, STAFF_COLS = 24 };

struct grid_area grid_staff_size(const struct scene *scene)
{
    return scene->holding || scene->adding
               ? (struct grid_area){0, 0, HIGHEST - LOWEST + 1, STAFF_COLS}
               : (struct grid_area){0, 0, 0, 0};
}

/* The step of a note as it is spelled. Its sign follows from the pitch, so that German names are
 * read as they are meant ("H", "B" for B flat, "As"); a number has the letter of the simple names.
 */
static int step_of(int midi, const char *name)
{
    static const int steps[] = {5, 6, 0, 1, 2, 3, 4}; /* A to G */
    static const int pcs[] = {9, 11, 0, 2, 4, 5, 7};
    char named = name[0] == 'H' ? 'B' : name[0];
    if (named < 'A' || named > 'G')
        named = hf_spelling_pc(hf_pc(midi), HF_NAMES_SIMPLE).letter;
    int letter = named - 'A', sign = hf_pc(midi - pcs[letter] + 6) - 6;
    return (midi - sign - pcs[letter]) / HF_PCS * STEPS - STEPS + steps[letter];
}

static void draw_notes(struct grid *grid, const struct grid_area *area,
                       const struct hf_record *record, int col, enum grid_style style)
{
    int last = -2;
    for (int i = 0; record && i < record->count; i++) {
        int step = step_of(record->notes[i], record->names[i]);
        if (step < LOWEST || step > HIGHEST)
            continue;
        int aside = step - last < 2 ? 2 : 0; /* a second stands beside its neighbour */
        int row = area->row + HIGHEST - step;
        grid_put(grid, row, col + aside, 0x2588, style);
        grid_put(grid, row, col + aside + 1, 0x2588, style);
        grid_text(grid, row, col + 5, col + 8, record->names[i], style);
        last = aside ? -2 : step;
    }
}

void grid_staff(struct grid *grid, struct grid_area area, const struct scene *scene)
{
    /* G2 B2 D3 F3 A3 and E4 G4 B4 D5 F5 */
    static const int lines[] = {18, 20, 22, 24, 26, 30, 32, 34, 36, 38};
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++)
        for (int c = 2; c < area.cols; c++)
            grid_put(grid, area.row + HIGHEST - lines[i], area.col + c, 0x2500, GRID_QUIET);
    grid_text(grid, area.row + HIGHEST - 32, area.col, area.col + 2, "G", GRID_QUIET);
    grid_text(grid, area.row + HIGHEST - 24, area.col, area.col + 2, "F", GRID_QUIET);
    draw_notes(grid, &area, scene->holding, area.col + 4, GRID_HELD);
    draw_notes(grid, &area, scene->adding, area.col + 14, GRID_NOTES);
}
