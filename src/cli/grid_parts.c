/* SPDX-License-Identifier: MIT */
/* The parts that a layout puts in its places. Invariant: each keeps to the area it was given. */
#include "grid.h"

#include <stdio.h>
#include <string.h>

#include "letters.h"

void grid_clear(struct grid *grid, int rows, int cols)
{
    grid->rows = rows < 1 ? 1 : rows < GRID_ROWS_MOST ? rows : GRID_ROWS_MOST;
    grid->cols = cols < 1 ? 1 : cols < GRID_COLS_MOST ? cols : GRID_COLS_MOST;
    for (int i = 0; i < grid->rows * grid->cols; i++)
        grid->cells[i] = (struct grid_cell){' ', GRID_TEXT};
}

void grid_put(struct grid *grid, int row, int col, uint32_t code, enum grid_style style)
{
    if (row >= 0 && row < grid->rows && col >= 0 && col < grid->cols)
        grid->cells[row * grid->cols + col] = (struct grid_cell){code, (uint8_t)style};
}

/* The next character of a text that is known to be UTF-8; anything else stands for itself. */
static uint32_t next_code(const char **text)
{
    const unsigned char *c = (const unsigned char *)*text;
    int more = *c >= 0xf0 ? 3 : *c >= 0xe0 ? 2 : *c >= 0xc0 ? 1 : 0;
    uint32_t code = more == 3 ? *c & 7U : more == 2 ? *c & 15U : more == 1 ? *c & 31U : *c;
    for (int i = 1; i <= more; i++) {
        if ((c[i] & 0xc0U) != 0x80) {
            *text += i;
            return '?';
        }
        code = code << 6 | (c[i] & 63U);
    }
    *text += more + 1;
    return code < 0x20 || (code >= 0x7f && code < 0xa0) ? '?' : code;
}

int grid_text(struct grid *grid, int row, int col, int end, const char *text, enum grid_style style)
{
    while (*text && col < end)
        grid_put(grid, row, col++, next_code(&text), style);
    return col;
}

int grid_text_width(const char *text)
{
    int width = 0;
    for (; *text; width++)
        next_code(&text);
    return width;
}

void grid_bar(struct grid *grid, int row, int col, int cols, double share, enum grid_style style)
{
    int eighths = (int)(share * cols * 8 + 0.5);
    for (int i = 0; i < cols; i++) {
        int here = eighths - 8 * i;
        if (here >= 8)
            grid_put(grid, row, col + i, 0x2588, style);
        else if (here > 0) /* left one eighth is U+258F, left seven are U+2589 */
            grid_put(grid, row, col + i, (uint32_t)(0x2590 - here), style);
        else
            grid_put(grid, row, col + i, 0x2500, GRID_QUIET);
    }
}

void grid_bar_low(struct grid *grid, int row, int col, int cols, double share,
                  enum grid_style style)
{
    int halves = (int)(share * cols * 2 + 0.5);
    for (int i = 0; i < cols; i++) {
        int here = halves - 2 * i;
        grid_put(grid, row, col + i,
                 here >= 2  ? 0x2584
                 : here > 0 ? 0x2596
                            : 0x2500,
                 here > 0 ? style : GRID_QUIET);
    }
}

/* ---- the list -------------------------------------------------------------------------------- */

static enum grid_style item_style(const struct scene_item *item)
{
    switch (item->mark) {
    case SCENE_PLAIN:
        return GRID_TEXT;
    case SCENE_HIDDEN:
        return GRID_QUIET;
    case SCENE_NOW:
        return GRID_NOTES;
    case SCENE_RIGHT:
        return GRID_RIGHT;
    case SCENE_WRONG:
        return GRID_WRONG;
    }
    return GRID_TEXT;
}

static const char *item_names(const struct scene_item *item)
{
    return item->mark == SCENE_HIDDEN ? "? ? ?" : item->names;
}

/* Each mark has a sign of its own, so that none needs its colour. */
static uint32_t item_sign(const struct scene_item *item)
{
    return item->mark == SCENE_NOW     ? 0x25b6
           : item->mark == SCENE_RIGHT ? 0x2713
           : item->mark == SCENE_WRONG ? 0x2717
                                       : ' ';
}

/* Columns before an entry: in words of the key, a space, the sign and a space; letters have the
 * sign under the key. */
enum { SIGN_COLS = 4, SIGN_COLS_LETTERS = 2 };

/* Columns that the widest entry takes, its letters so high; 0: in words. */
static int item_width(const struct scene *scene, int rows)
{
    int widest = 0;
    for (int i = 0; i < scene->count; i++) {
        const char *names = item_names(&scene->items[i]);
        int width = rows ? letters_width(LETTERS_WORDS, names, rows) : grid_text_width(names);
        widest = width > widest ? width : widest;
    }
    return widest + (rows ? SIGN_COLS_LETTERS : SIGN_COLS);
}

static bool in_letters(const struct scene *scene)
{
    for (int i = 0; i < scene->count; i++)
        if (!letters_know(LETTERS_WORDS, item_names(&scene->items[i])))
            return false;
    return true;
}

static void draw_item(struct grid *grid, int row, int col, int end, int rows,
                      const struct scene_item *item)
{
    enum grid_style style = item_style(item);
    int middle = row + rows / 2;
    if (item->key)
        grid_put(grid, middle, col, (uint32_t)(unsigned char)item->key, GRID_TEXT);
    if (rows) {
        grid_put(grid, middle + 1, col, item_sign(item), style);
        letters_draw(grid, LETTERS_WORDS, item_names(item), rows, row, col + SIGN_COLS_LETTERS,
                     style);
        return;
    }
    grid_put(grid, middle, col + 2, item_sign(item), style);
    grid_text(grid, row, col + SIGN_COLS, end, item_names(item), style);
}

/* The greatest letters that let the list fit in so many columns of entries; 0: words. */
static int list_rows(const struct scene *scene, const struct grid_area *area, int columns)
{
    int lines = (scene->count + columns - 1) / columns;
    int rows = in_letters(scene) ? (area->rows + 1) / lines - 1 : 0;
    rows -= rows % LETTERS_WORDS_ROWS; /* whole multiples keep the strokes even */
    while (rows > 0 && (item_width(scene, rows) + 1) * columns > area->cols)
        rows -= LETTERS_WORDS_ROWS;
    return rows > 0 ? rows : 0;
}

/* How a list lies in its area. */
struct list_form {
    int columns, lines, rows; /* `rows` of its letters; 0: words */
};

static struct list_form form_list(const struct scene *scene, const struct grid_area *area)
{
    struct list_form form = {1, 0, 0};
    for (int i = 1; i <= 3; i++) {
        int rows = list_rows(scene, area, i);
        if (rows > form.rows)
            form = (struct list_form){i, 0, rows};
    }
    while (!form.rows && form.columns < 4 && form.columns * 3 < scene->count &&
           (form.columns + 1) * (item_width(scene, 0) + 1) <= area->cols)
        form.columns++;
    form.lines = (scene->count + form.columns - 1) / form.columns;
    return form;
}

int grid_list_rows(const struct grid_area *area, const struct scene *scene)
{
    struct list_form form = form_list(scene, area);
    return form.rows ? form.lines * (form.rows + 1) - 1 : form.lines;
}

int grid_list_letters(const struct grid_area *area, const struct scene *scene)
{
    return area->rows > 0 ? form_list(scene, area).rows : 0;
}

void grid_list(struct grid *grid, struct grid_area area, const struct scene *scene)
{
    struct list_form form = form_list(scene, &area);
    int step = form.rows ? form.rows + 1 : 1, width = area.cols / form.columns;
    int space = area.rows - grid_list_rows(&area, scene);
    int inset = (width - item_width(scene, form.rows)) / 2;
    bool across = form.columns > form.lines; /* read as lines are, else down the columns */
    for (int i = 0; i < scene->count; i++) {
        int column = across ? i % form.columns : i / form.lines;
        int line = across ? i / form.columns : i % form.lines;
        int col = area.col + column * width;
        int row = area.row + (space > 0 ? (space + 1) / 2 : 0) + line * step;
        if (row < area.row + area.rows)
            draw_item(grid, row, col + (inset > 0 ? inset : 0), col + width, form.rows,
                      &scene->items[i]);
    }
}
