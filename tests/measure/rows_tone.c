/* SPDX-License-Identifier: MIT */
/* The sine and the pitches. */
#include <math.h>
#include <stdlib.h>

#include <holdfast/sine.h>

#include "measure.h"
#include "rows.h"

#define PI 3.14159265358979323846

static double sine_error(uint64_t step)
{
    double worst = 0;
    for (uint64_t p = 0; p < UINT64_C(1) << 32; p += step)
        worst = fmax(worst, fabs((double)hf_sine((uint32_t)p) - sin(2 * PI * (double)p * 0x1p-32)));
    for (uint32_t q = 0; q < 4; q++) {
        static const float exact[4] = {0, 1, 0, -1};
        if (hf_sine(q << 30) != exact[q])
            worst = HUGE_VAL;
    }
    return worst;
}

static double thd_n(void)
{
    enum { N = 480000 };
    float *x = malloc(N * sizeof *x);
    uint64_t step = hf_pitch_increment(69, 440000, 48000);
    for (uint32_t i = 0; i < N; i++)
        x[i] = hf_sine((uint32_t)step * i);
    double db = measure_thd_n(x, N, 48000, (double)step * 48000 * 0x1p-32);
    free(x);
    return db;
}

static double increment_cents(long rate, long step_mhz)
{
    double worst = 0;
    for (int midi = 28; midi <= 100; midi++) {
        for (long a4 = 380000; a4 <= 480000; a4 += step_mhz) {
            double hz = (double)hf_pitch_increment(midi, a4, rate) * (double)rate * 0x1p-32;
            double reference = measure_note_hz(midi, (double)a4 / 1000);
            worst = fmax(worst, fabs(measure_cents_between(hz, reference)));
        }
    }
    return worst;
}

void rows_tone(struct rows *rows, int thorough)
{
    rows_add(rows, "sine",
             thorough ? "all 2^32 phases against sin()" : "every 97th phase against sin()",
             -HUGE_VAL, sine_error(thorough ? 1 : 97), 1.0e-7, "");
    rows_add(rows, "THD+N, 440 Hz", "10 s, least squares", -HUGE_VAL, thd_n(), -148, "dB");
    long step = thorough ? 1 : 97;
    double worst = fmax(increment_cents(44100, step),
                        fmax(increment_cents(48000, step), increment_cents(96000, step)));
    rows_add(rows, "increment", "MIDI 28-100, A4 380-480, 44.1/48/96 kHz", -HUGE_VAL, worst, 0.001,
             "cent");
    rows_add(rows, "increment", "the same at 192 kHz", -HUGE_VAL, increment_cents(192000, step),
             0.0015, "cent");
}
