/* SPDX-License-Identifier: MIT */
/*
 * grid: a scene as rows and columns of characters, each in one of eight styles. It decides the
 * whole layout, from 40 columns by 12 rows up; below that only the names are left. It knows no
 * terminal and no colour: theme gives the styles colours, screen puts the cells on a terminal.
 *
 * The caller owns the grid, which needs no clearing. Pure. Main thread only.
 */
#ifndef HOLDFAST_CLI_GRID_H
#define HOLDFAST_CLI_GRID_H

#include <stdbool.h>
#include <stdint.h>

#include "scene.h"

/* A terminal that is larger keeps its right and lower parts empty. And the smallest layout. */
enum { GRID_ROWS_MOST = 150, GRID_COLS_MOST = 500, GRID_ROWS_LEAST = 12, GRID_COLS_LEAST = 40 };

/* What a cell is for. What a style says is said by place, sign or word as well. */
enum grid_style {
    GRID_TEXT,
    GRID_NOTES, /* the notes to add */
    GRID_WORD,  /* what to do now */
    GRID_HELD,
    GRID_QUIET, /* what may be overlooked */
    GRID_TIME,  /* the bar, the level */
    GRID_RIGHT,
    GRID_WRONG,
    GRID_STYLES
};

struct grid_cell {
    uint32_t code; /* Unicode; of one column */
    uint8_t style;
};

struct grid {
    int rows, cols;
    struct grid_cell cells[GRID_ROWS_MOST * GRID_COLS_MOST]; /* row by row, `cols` each */
};

/* Lays a scene out on `rows` by `cols` cells (from 1 by 1; more than the most is cut). `ascii`:
 * the terminal knows no other characters. */
void grid_draw(const struct scene *scene, int rows, int cols, bool ascii, struct grid *out);

/* ---- what its parts are made of -------------------------------------------------------------- */

/* A rectangle of cells. */
struct grid_area {
    int row, col, rows, cols;
};

/* All of it blank. */
void grid_clear(struct grid *grid, int rows, int cols);

/* One cell; outside the grid nothing happens. */
void grid_put(struct grid *grid, int row, int col, uint32_t code, enum grid_style style);

/* A text of characters of one column (UTF-8), cut at column `end`; returns the column after it. */
int grid_text(struct grid *grid, int row, int col, int end, const char *text,
              enum grid_style style);

/* Columns that a text takes. */
int grid_text_width(const char *text);

/* A bar of a row: `share` of it (0 to 1) is filled, to an eighth of a cell. */
void grid_bar(struct grid *grid, int row, int col, int cols, double share, enum grid_style style);

/* The same in the lower half of its cells, to half a cell, so that letters over it keep their feet.
 */
void grid_bar_low(struct grid *grid, int row, int col, int cols, double share,
                  enum grid_style style);

/* The list, in letters as large as the area allows, else in words; and the rows that it needs
 * there. */
void grid_list(struct grid *grid, struct grid_area area, const struct scene *scene);
int grid_list_rows(const struct grid_area *area, const struct scene *scene);

/* How high its letters are there; 0: words. */
int grid_list_letters(const struct grid_area *area, const struct scene *scene);

/* What the scene's shape takes as a frame, of single or double size, zeros where it has none; and
 * the frame, at the area's upper left. */
struct grid_area grid_frame_size(const struct scene *scene, int scale);
void grid_frame(struct grid *grid, struct grid_area area, const struct scene *scene);

/* The same for the notes on a grand staff, as they sound. */
struct grid_area grid_staff_size(const struct scene *scene);
void grid_staff(struct grid *grid, struct grid_area area, const struct scene *scene);

#endif
