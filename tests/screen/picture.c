/* SPDX-License-Identifier: MIT */
/*
 * picture: what a player would see, as a PNG: the screen of a journal at a moment, or a text in
 * large letters alone. Cells are drawn by cairo, 10 by 20 points; block characters as rectangles,
 * so that no font has a say in them.
 *   picture JOURNAL.jsonl SECONDS ROWS COLS THEME OUT.png
 *   picture --letters TEXT ROWS OUT.png        black on white, with a margin; for reading by
 * machine
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cairo.h>

#include <holdfast/number.h>
#include <holdfast/replay.h>
#include <holdfast/store.h>

#include "../src/cli/letters.h"
#include "../src/cli/session.h"
#include "../src/cli/theme.h"

enum { CELL_WIDE = 10, CELL_HIGH = 20 };

static struct grid grid; /* large: not on the stack */

/* Values that xterm gives the numbers of its palette (published: 256colres.pl of xterm). */
static void rgb(int number, double out[3])
{
    static const int first[8][3] = {{0, 0, 0},   {205, 0, 0},   {0, 205, 0},   {205, 205, 0},
                                    {0, 0, 238}, {205, 0, 205}, {0, 205, 205}, {229, 229, 229}};
    static const int levels[] = {0, 95, 135, 175, 215, 255};
    for (int i = 0; i < 3; i++) {
        static const int parts[] = {36, 6, 1};
        int value = number < 8      ? first[number][i]
                    : number >= 232 ? 8 + 10 * (number - 232)
                                    : levels[(number - 16) / parts[i] % 6];
        out[i] = value / 255.0;
    }
}

static void colour(cairo_t *c, int number)
{
    double of[3];
    rgb(number, of);
    cairo_set_source_rgb(c, of[0], of[1], of[2]);
}

/* Block characters as the parts of the cell that they fill; false for another character. */
static bool draw_block(cairo_t *c, uint32_t code, double x, double y)
{
    double left = 0, top = 0, wide = 1, high = 1;
    if (code == 0x2580)
        high = 0.5;
    else if (code == 0x2584)
        top = 0.5, high = 0.5;
    else if (code == 0x2596)
        top = 0.5, high = 0.5, wide = 0.5;
    else if (code == 0x2500)
        top = 0.47, high = 0.06;
    else if (code == 0x2502)
        left = 0.44, wide = 0.12;
    else if (code >= 0x2589 && code <= 0x258f)
        wide = (0x2590 - (double)code) / 8;
    else if (code != 0x2588)
        return false;
    cairo_rectangle(c, x + left * CELL_WIDE, y + top * CELL_HIGH, wide * CELL_WIDE,
                    high * CELL_HIGH);
    cairo_fill(c);
    return true;
}

static void draw_character(cairo_t *c, uint32_t code, double x, double y)
{
    char text[5] = {0};
    if (code < 0x80) {
        text[0] = (char)code;
    } else {
        text[0] = (char)(0xe0 | code >> 12);
        text[1] = (char)(0x80 | (code >> 6 & 0x3f));
        text[2] = (char)(0x80 | (code & 0x3f));
    }
    cairo_move_to(c, x, y + 0.75 * CELL_HIGH);
    cairo_show_text(c, text);
}

static int paint(const struct theme_colours *theme, int margin, double scale, const char *path)
{
    int wide = (int)(scale * (grid.cols * CELL_WIDE + 2 * margin));
    int high = (int)(scale * (grid.rows * CELL_HIGH + 2 * margin));
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, wide, high);
    cairo_t *c = cairo_create(surface);
    cairo_scale(c, scale, scale);
    if (scale == 1)
        cairo_set_antialias(c, CAIRO_ANTIALIAS_NONE);
    colour(c, theme->own ? 0 : theme->ground);
    cairo_paint(c);
    for (int i = 0; i < grid.rows * grid.cols; i++) {
        const struct grid_cell *cell = &grid.cells[i];
        double x = margin + i % grid.cols * CELL_WIDE, y = margin + i / grid.cols * CELL_HIGH;
        colour(c, theme->own ? 7 : theme->of[cell->style]);
        cairo_select_font_face(c, "DejaVu Sans Mono", CAIRO_FONT_SLANT_NORMAL,
                               theme->bold[cell->style] ? CAIRO_FONT_WEIGHT_BOLD
                                                        : CAIRO_FONT_WEIGHT_NORMAL);
        cairo_set_font_size(c, 16);
        if (cell->code != ' ' && !draw_block(c, cell->code, x, y))
            draw_character(c, cell->code, x, y);
    }
    cairo_status_t status = cairo_surface_write_to_png(surface, path);
    cairo_destroy(c);
    cairo_surface_destroy(surface);
    if (status != CAIRO_STATUS_SUCCESS)
        fprintf(stderr, "picture: %s: %s\n", path, cairo_status_to_string(status));
    return status != CAIRO_STATUS_SUCCESS;
}

static int paint_letters(const char *text, int rows, int points, const char *path)
{
    /* black on white, by the numbers of the cube */
    static const struct theme_colours paper = {.ground = 231,
                                               .of = {16, 16, 16, 16, 16, 16, 16, 16}};
    enum letters alphabet = letters_know(LETTERS_NAMES, text) ? LETTERS_NAMES : LETTERS_WORDS;
    grid_clear(&grid, rows, letters_width(alphabet, text, rows));
    letters_draw(&grid, alphabet, text, rows, 0, 0, GRID_NOTES);
    return paint(&paper, 20 * rows / 2, (double)points / (rows * CELL_HIGH), path);
}

/* ---- a journal ------------------------------------------------------------------------------- */

static bool load(const char *path, struct hf_journal *journal)
{
    struct hf_diag diag = {0};
    if (hf_store_read_journal(path, journal, &diag) == HF_OK)
        return true;
    fprintf(stderr, "picture: %s: %s\n", path, diag.message);
    return false;
}

/* The timeline as a player at `now` would have it. */
static void follow(const struct hf_journal *journal, int64_t now, struct hf_timeline *timeline)
{
    struct hf_diag diag = {0};
    hf_timeline_init(timeline, &journal->head.request);
    for (size_t i = 0; i < journal->count; i++) {
        const struct hf_record *record = &journal->records[i];
        bool ahead = record->type == HF_RECORD_CUE || record->type == HF_RECORD_HOLD;
        if (!ahead && record->at > now)
            return;
        if (hf_timeline_apply(timeline, record, &diag) != HF_OK)
            fprintf(stderr, "picture: %s\n", diag.message);
    }
}

static int paint_journal(char **argv, double seconds, long rows, long cols, enum theme theme)
{
    struct hf_journal journal;
    struct hf_timeline timeline;
    struct scene scene;
    if (!load(argv[1], &journal))
        return 1;
    const struct hf_request *request = &journal.head.request;
    uint32_t total = 0;
    for (size_t i = 0; i < journal.count; i++)
        total += journal.records[i].type == HF_RECORD_CUE;
    follow(&journal, (int64_t)(seconds * request->rate_hz), &timeline);
    struct scene_source source = {.timeline = &timeline,
                                  .request = request,
                                  .rate_hz = request->rate_hz,
                                  .held = journal.records[0].pcs,
                                  .total = total,
                                  .per_round = 6,
                                  .preview = getenv("PREVIEW") != NULL,
                                  .has_level = true,
                                  .level_db = -21};
    scene_at(&source, (int64_t)(seconds * request->rate_hz), &scene);
    grid_draw(&scene, (int)rows, (int)cols, getenv("ASCII") != NULL, &grid);
    int failed = paint(theme_colours(theme, 256), 0, 1, argv[6]);
    hf_timeline_deinit(&timeline);
    hf_journal_deinit(&journal);
    return failed;
}

int main(int argc, char **argv)
{
    double seconds = 0;
    long rows = 0, cols = 0;
    enum theme theme = THEME_DARK;
    if (argc == 6 && strcmp(argv[1], "--letters") == 0 &&
        hf_number_whole(argv[3], strlen(argv[3]), 3, 100, &rows) == HF_NUMBER_FINE &&
        hf_number_whole(argv[4], strlen(argv[4]), 8, 1000, &cols) == HF_NUMBER_FINE)
        return paint_letters(argv[2], (int)rows, (int)cols, argv[5]);
    if (argc == 7 && hf_number_real(argv[2], strlen(argv[2]), 0, 1e6, &seconds) == HF_NUMBER_FINE &&
        hf_number_whole(argv[3], strlen(argv[3]), 1, GRID_ROWS_MOST, &rows) == HF_NUMBER_FINE &&
        hf_number_whole(argv[4], strlen(argv[4]), 1, GRID_COLS_MOST, &cols) == HF_NUMBER_FINE &&
        theme_parse(argv[5], &theme))
        return paint_journal(argv, seconds, rows, cols, theme);
    fprintf(stderr, "usage: picture JOURNAL SECONDS ROWS COLS THEME OUT.png\n"
                    "       picture --letters TEXT ROWS POINTS OUT.png\n");
    return 64;
}
