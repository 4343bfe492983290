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
    return scene->strings                            ? scene->strings
           : scene->adding && scene->adding->strings ? scene->adding->strings
                                                     : held;
}

struct grid_area grid_frame_size(const struct scene *scene, int scale)
{
    int strings = strings_of(scene);
    return strings ? (struct grid_area){0, 0, scale * FRETS_SHOWN + 2,
                                        FRET_COLS + scale * STRING_COLS * strings}
                   : (struct grid_area){0, 0, 0, 0};
}

/* The fret of a string for what is added (or not told apart) or for what is held. */
static int fret_of(const struct scene *scene, bool held, int string)
{
    const struct hf_record *record = held ? scene->holding : scene->adding;
    if (scene->strings)
        return held || string >= scene->strings ? HF_SILENT : scene->frets[string];
    return record && string < record->strings ? record->frets[string] : HF_SILENT;
}

/* The lowest and highest stopped fret of both. */
static void fret_range(const struct scene *scene, int *low, int *high)
{
    *low = HF_FRETS_MOST;
    *high = 0;
    for (int i = 0; i < 2 * HF_STRINGS_MOST; i++) {
        int fret = fret_of(scene, i % 2, i / 2);
        if (fret > 0) {
            *low = fret < *low ? fret : *low;
            *high = fret > *high ? fret : *high;
        }
    }
}

/* A frame on the grid: where its parts are. */
struct frame_place {
    struct grid *grid;
    struct grid_area area;
    int scale, first; /* fret in its first row */
};

static int string_col(const struct frame_place *place, int string)
{
    return place->area.col + FRET_COLS + place->scale * STRING_COLS * string;
}

/* Of added notes filled, of held ones hollow. */
static void draw_finger(const struct frame_place *place, int row, int col, bool held)
{
    enum grid_style style = held ? GRID_HELD : GRID_NOTES;
    if (place->scale == 1) {
        grid_put(place->grid, row, col, held ? 0x25cb : 0x25cf, style);
        return;
    }
    grid_put(place->grid, row, col - 1, held ? '(' : 0x2588, style);
    grid_put(place->grid, row, col, held ? ' ' : 0x2588, style);
    grid_put(place->grid, row, col + 1, held ? ')' : 0x2588, style);
}

static void draw_fingers(const struct frame_place *place, const struct scene *scene, bool held)
{
    for (int i = 0; i < HF_STRINGS_MOST; i++) {
        int col = string_col(place, i), fret = fret_of(scene, held, i);
        int row = place->area.row + 2 + place->scale * (fret - place->first);
        if (fret == 0)
            grid_put(place->grid, place->area.row, col, '0', held ? GRID_HELD : GRID_NOTES);
        else if (fret >= place->first && fret < place->first + FRETS_SHOWN)
            draw_finger(place, row, col, held);
    }
}

/* Strings that neither sounds. */
static bool is_silent(const struct scene *scene, int string)
{
    return fret_of(scene, false, string) == HF_SILENT && fret_of(scene, true, string) == HF_SILENT;
}

static void draw_strings(const struct frame_place *place, const struct scene *scene, int strings)
{
    int row = place->area.row, step = place->scale * STRING_COLS;
    for (int i = 0; i < strings; i++) {
        int col = string_col(place, i);
        grid_put(place->grid, row, col, is_silent(scene, i) ? 'x' : ' ', GRID_QUIET);
        for (int c = col; c < col + (i + 1 < strings ? step : 1); c++)
            grid_put(place->grid, row + 1, c, place->first == 1 ? 0x2550 : 0x2500, GRID_QUIET);
        for (int f = 0; f < place->scale * FRETS_SHOWN; f++)
            grid_put(place->grid, row + 2 + f, col, 0x2502, GRID_QUIET);
    }
}

void grid_frame(struct grid *grid, struct grid_area area, const struct scene *scene)
{
    int low, high;
    char number[12];
    fret_range(scene, &low, &high);
    struct frame_place place = {grid, area, area.rows >= 2 * FRETS_SHOWN + 2 ? 2 : 1,
                                high <= FRETS_SHOWN ? 1 : low};
    draw_strings(&place, scene, strings_of(scene));
    snprintf(number, sizeof number, "%2d", place.first);
    grid_text(grid, area.row + 2, area.col, area.col + 2, number, GRID_TEXT);
    draw_fingers(&place, scene, false);
    draw_fingers(&place, scene, true); /* what the hand holds is in both */
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
        int name = col + (step == last ? 8 : 5); /* of B flat and B beside each other */
        grid_text(grid, row, name, name + 3, record->names[i], style);
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
