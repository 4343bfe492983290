/* SPDX-License-Identifier: MIT */
/* The room. */
#include <math.h>

#include "hall.h"
#include "rows.h"

void rows_hall(struct rows *rows)
{
    struct hall hall = hall_response(48000, 1, 1), left = hall_response(48000, 1, 0);
    double worst = 0;
    for (double hz = 250; hz <= 4000; hz *= 2)
        worst = fmax(worst, fabs(hall_t30(&hall, hz) / hall_asked_t60(48000, hz) - 1) * 100);
    rows_add(rows, "reverberation", "T30 by octave, 250 Hz-4 kHz, off the asked", -HUGE_VAL, worst,
             6, "%");
    rows_add(rows, "reverberation", "spectral flatness, 0.5-1 s", 0.42, hall_flatness(&hall),
             HUGE_VAL, "");
    rows_add(rows, "reverberation", "echo density, 0.3-1.5 s", 0.9, hall_density(&hall, 0.3, 1.5),
             1.1, "");
    rows_add(rows, "reverberation", "correlation of the sides", -HUGE_VAL,
             fmax(fabs(hall_correlation(&hall)), fabs(hall_correlation(&left))), 0.05, "");
    rows_add(rows, "reverberation", "mono", -3.3, hall_mono_db(&hall), -2.7, "dB");
    hall_free(&hall);
    hall_free(&left);
}
