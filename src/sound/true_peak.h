/* SPDX-License-Identifier: MIT */
/*
 * The interpolator of ITU-R BS.1770 annex 2 (48 taps, four phases of 12), as the half sums and half
 * differences of mirrored taps; phases 2 and 3 are 1 and 0 reversed. All are whole numbers over
 * 16384, exact in float.
 */
#ifndef HOLDFAST_SOUND_TRUE_PEAK_H
#define HOLDFAST_SOUND_TRUE_PEAK_H

#define EVEN(a, b) ((float)((a) + (b)) / 16384.0f)
#define ODD(a, b) ((float)((a) - (b)) / 16384.0f)
#define SIX(X, a, b, c, d, e, f, g, h, i, j, k, l)                                                 \
    {                                                                                              \
        X(a, l), X(b, k), X(c, j), X(d, i), X(e, h), X(f, g)                                       \
    }
#define PHASE_0(X) SIX(X, 14, 90, -161, 272, -487, 1125, 7964, -838, 390, -218, 122, -68)
#define PHASE_1(X) SIX(X, -239, 240, -424, 730, -1364, 3810, 6388, -1641, 832, -477, 271, -155)

static const float hf_true_peak_even[2][6] = {PHASE_0(EVEN), PHASE_1(EVEN)};
static const float hf_true_peak_odd[2][6] = {PHASE_0(ODD), PHASE_1(ODD)};

#undef EVEN
#undef ODD
#undef SIX
#undef PHASE_0
#undef PHASE_1

#endif
