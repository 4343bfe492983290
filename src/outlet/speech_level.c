/* SPDX-License-Identifier: MIT */
#include "speech_level.h"

#include <holdfast/sine.h>

/* A second-order section, transposed direct form II. */
struct section {
    double b[3], a[2], state[2];
};

static double filter(struct section *s, double in)
{
    double out = s->b[0] * in + s->state[0];
    s->state[0] = s->b[1] * in - s->a[0] * out + s->state[1];
    s->state[1] = s->b[2] * in - s->a[1] * out;
    return out;
}

/* BS.1770-5, tables 1 and 2, for 48 kHz. */
static const struct section shelf = {{1.53512485958697, -2.69169618940638, 1.19839281085285},
                                     {-1.69065929318241, 0.73248077421585},
                                     {0}};
static const struct section high_pass = {{1, -2, 1}, {-1.99004745483398, 0.99007225036621}, {0}};

enum { HOP = SPEECH_LEVEL_HZ / 10, HOPS_A_BLOCK = 4, HOPS_MOST = 600 };

/* Energies of hops of 100 ms; how many. What is longer than a minute is measured by that. */
static int hops_of(const float *samples, int64_t count, double energy[HOPS_MOST])
{
    struct section first = shelf, second = high_pass;
    int hops = 0;
    for (int64_t i = 0; i < count && hops < HOPS_MOST; hops++) {
        double sum = 0;
        for (int j = 0; j < HOP; j++, i++) {
            double y = filter(&second, filter(&first, i < count ? (double)samples[i] : 0));
            sum += y * y;
        }
        energy[hops] = sum;
    }
    return hops;
}

/* The mean square of the blocks over a threshold, of both sides together. */
static double gated(const double *energy, int hops, double threshold)
{
    double sum = 0;
    int blocks = 0;
    for (int i = 0; i + HOPS_A_BLOCK <= hops || i == 0; i++) {
        double block = 0;
        for (int j = i; j < i + HOPS_A_BLOCK && j < hops; j++)
            block += energy[j];
        block = 2 * block / (HOPS_A_BLOCK * HOP);
        if (block > threshold) {
            sum += block;
            blocks++;
        }
    }
    return blocks ? sum / blocks : 0;
}

double speech_level_lufs(const float *samples, int64_t count)
{
    double energy[HOPS_MOST];
    int hops = hops_of(samples, count, energy);
    /* LUFS = -0.691 + 10 log10(mean square); -70 LUFS and -10 LU as mean squares */
    double mean = gated(energy, hops, hf_gain(2 * (-70 + 0.691)));
    mean = gated(energy, hops, mean / 10);
    return mean > 0 ? -0.691 + hf_decibels(mean) / 2 : -200;
}
