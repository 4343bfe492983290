/* SPDX-License-Identifier: MIT */
/* hostile: signals that try to pass the ceiling. */
#ifndef MEASURE_HOSTILE_H
#define MEASURE_HOSTILE_H

enum { HOSTILE_KINDS = 8, HOSTILE_SAMPLES = 1 << 16 };

/* Fills HOSTILE_SAMPLES samples with signal `kind` (0 to HOSTILE_KINDS - 1): noise, square, quarter
 * of the rate between its samples, single samples, broken alternation, bursts, sweep, steps. Silent
 * for 2000 samples at both ends. */
void hostile_fill(float *x, int kind, double gain);

#endif
