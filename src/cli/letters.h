/* SPDX-License-Identifier: MIT */
/*
 * letters: text in large letters, made of block and half-block characters: two points a cell, one
 * above the other, so that points are about square. The letters are the project's own.
 *
 * Two alphabets: names of notes (A to G with signs, digits, ?; 14 points high) and words (all
 * letters, digits and a few signs; 6 points high). Either can be drawn at any height from its own
 * up. Pure. Main thread only.
 */
#ifndef HOLDFAST_CLI_LETTERS_H
#define HOLDFAST_CLI_LETTERS_H

#include "grid.h"

/* Rows of the smallest letters of each alphabet. */
enum { LETTERS_NAMES_ROWS = 7, LETTERS_WORDS_ROWS = 3 };

enum letters { LETTERS_NAMES, LETTERS_WORDS };

/* True where the alphabet has every character of the text. */
bool letters_know(enum letters alphabet, const char *text);

/* Columns that a text takes at a height in rows. A # or b that follows a letter A to G is its sign.
 */
int letters_width(enum letters alphabet, const char *text, int rows);

/* The greatest height, from the alphabet's own to `rows`, at which the text is no wider than
 * `cols`; 0 where none is. */
int letters_height(enum letters alphabet, const char *text, int rows, int cols);

/* Draws the text with its upper left at row, col. */
void letters_draw(struct grid *grid, enum letters alphabet, const char *text, int rows, int row,
                  int col, enum grid_style style);

#endif
