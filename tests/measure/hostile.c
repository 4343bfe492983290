/* SPDX-License-Identifier: MIT */
#include "hostile.h"

#include <math.h>
#include <stdbool.h>

#include <holdfast/random.h>

#define PI 3.14159265358979323846

static double sample(int kind, int i, double noise)
{
    const double n = HOSTILE_SAMPLES;
    switch (kind) {
    case 0:
        return noise;
    case 1:
        return i / 53 % 2 ? 1 : -1;
    case 2:
        return sin(PI / 2 * i + PI / 4);
    case 3:
        return i % 1777 == 0 ? 1 : 0;
    case 4:
        return (i / 311 + i) % 2 ? 1 : -1;
    case 5:
        return i / 480 % 7 == 0 ? sin(0.3 * i) : 0.01 * noise;
    case 6:
        return sin(PI * 0.9 * i * (double)i / (2 * n));
    default:
        return sin(0.11 * i) * (i / 4096 % 2 ? 1 : 0.05);
    }
}

void hostile_fill(float *x, int kind, double gain)
{
    struct hf_random random;
    hf_random_init(&random, (unsigned)kind, 1);
    for (int i = 0; i < HOSTILE_SAMPLES; i++) {
        double noise = 2 * (double)hf_random_unit(&random) - 1;
        bool silent = i < 2000 || i >= HOSTILE_SAMPLES - 2000;
        x[i] = silent ? 0 : (float)(gain * sample(kind, i, noise));
    }
}
