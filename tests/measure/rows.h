/* SPDX-License-Identifier: MIT */
/* rows: the table of what was measured, a line a figure. */
#ifndef MEASURE_ROWS_H
#define MEASURE_ROWS_H

struct rows {
    int count;
    int failed;
};

/* Prints a row; passes when low <= figure <= high (use -HUGE_VAL or HUGE_VAL for no limit). */
void rows_add(struct rows *rows, const char *what, const char *how, double low, double figure,
              double high, const char *unit);

/* The parts of the table. `thorough`: all phases of the sine, every note. */
void rows_tone(struct rows *rows, int thorough);
void rows_notes(struct rows *rows, int thorough);
void rows_hall(struct rows *rows);
void rows_ceiling(struct rows *rows);
void rows_session(struct rows *rows);

#endif
