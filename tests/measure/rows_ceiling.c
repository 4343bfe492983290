/* SPDX-License-Identifier: MIT */
/* The ceiling. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/ceiling.h>
#include <holdfast/sine.h>

#include "hostile.h"
#include "measure.h"
#include "rows.h"

#define PI 3.14159265358979323846
enum { N = HOSTILE_SAMPLES };

static struct hf_ceiling ceiling;
static float side[2][N], was[2][N];

static void run(void)
{
    hf_ceiling_init(&ceiling, 48000, (float)hf_gain(HF_CEILING_INNER_DB));
    hf_ceiling_render(&ceiling, side[0], side[1], N);
}

static int bypass_differs(void)
{
    hostile_fill(side[0], 0, 0.24);
    hostile_fill(side[1], 6, 0.35);
    memcpy(was, side, sizeof was);
    run();
    int late = hf_ceiling_latency(&ceiling), differ = 0;
    for (int s = 0; s < 2; s++)
        differ += memcmp(side[s] + late, was[s], (size_t)(N - late) * sizeof(float)) != 0;
    return differ;
}

static double loudest_db(void)
{
    double most = 0;
    for (int kind = 0; kind < HOSTILE_KINDS; kind++) {
        for (double gain = 0.5; gain < 5000; gain *= 10) {
            hostile_fill(side[0], kind, gain);
            hostile_fill(side[1], HOSTILE_KINDS - 1 - kind, gain);
            measure_band_limit(side[0], N, 20.0 / 48);
            measure_band_limit(side[1], N, 20.0 / 48);
            run();
            most = fmax(most, fmax(measure_true_peak(side[0], N), measure_true_peak(side[1], N)));
        }
    }
    return measure_db(most);
}

/* EBU Tech 3341, signals 15 to 19. */
static void tones(double *low, double *high)
{
    static const double rows[5][3] = {
        {4, 0, -6.02}, {4, 45, -6.02}, {6, 60, -6.02}, {8, 67.5, -6.02}, {4, 45, 2.98}};
    *low = HUGE_VAL, *high = -HUGE_VAL;
    for (int r = 0; r < 5; r++) {
        float x[1024 + HF_CEILING_TAIL], peak[1024];
        for (int i = 0; i < 1024 + HF_CEILING_TAIL; i++)
            x[i] = (float)(pow(10, rows[r][2] / 20) *
                           sin(2 * PI * i / rows[r][0] + rows[r][1] * PI / 180));
        hf_vector_best()->true_peak(x, 1024, peak);
        double off = measure_db(measure_peak(peak, 1024)) - rows[r][2];
        *low = fmin(*low, off);
        *high = fmax(*high, off);
    }
}

void rows_ceiling(struct rows *rows)
{
    double low, high;
    tones(&low, &high);
    rows_add(rows, "ceiling", "bypass below the threshold: sides that differ by a bit", 0,
             bypass_differs(), 0, "");
    rows_add(rows, "ceiling", "hostile input to 20 kHz, 16x oversampled", -HUGE_VAL, loudest_db(),
             HF_CEILING_DB, "dBTP");
    rows_add(rows, "ceiling", "EBU Tech 3341 tones, most over", -HUGE_VAL, high, 0.2, "dB");
    rows_add(rows, "ceiling", "EBU Tech 3341 tones, most under", -0.4, low, HUGE_VAL, "dB");
}
