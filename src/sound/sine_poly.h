/* SPDX-License-Identifier: MIT */
/*
 * The numbers of the sine, shared by its scalar and its vector form.
 *
 * The phase is folded to x in -1..1 quadrants, exactly, in integers. With s = (1 - x^2)/2 the sine
 * of x quadrants is x + x (s + s^2 W(s)): the first two terms of its expansion around x = 1 are
 * exact there (sin = 1, slope 0), so that what is computed with rounding stays small. W is of
 * degree 2, fitted for the least largest error (6.3e-9 before rounding). The largest error over all
 * phases, rounding included, is 9.49e-8, at 0.1655 of a turn; it never falls within a rising
 * quadrant. Both were found by trying all phases.
 */
#ifndef HOLDFAST_SOUND_SINE_POLY_H
#define HOLDFAST_SOUND_SINE_POLY_H

#define HF_SINE_QUADRANT 0x40000000u
#define HF_SINE_W0 0x1.10b19p-2f
#define HF_SINE_W1 0x1.0acabp-5f
#define HF_SINE_W2 0x1.3a0f18p-9f

#endif
