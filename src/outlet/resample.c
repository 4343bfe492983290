/* SPDX-License-Identifier: MIT */
/* Invariants: no call of the C library's mathematics, so that a sound comes out the same on every
 * build; steps between the table's entries are linear, and their error is under -110 dB. */
#include <holdfast/resample.h>

#include <holdfast/sine.h>

/* In parts of the lower rate; with this beta the band between what passes and what does not is
 * .0714 of it wide (Kaiser's formula for twice 40 zero crossings). */
static const double cutoff = 0.465, beta = 9, pi = 3.14159265358979323846;

/* The modified Bessel function of order 0 of the root of `square`: a series of even powers. */
static double bessel_0(double square)
{
    double term = 1, sum = 1;
    for (int k = 1; term > 1e-18 * sum; k++) {
        term *= square / (4.0 * k * k);
        sum += term;
    }
    return sum;
}

void hf_resampler_init(struct hf_resampler *r)
{
    double whole = bessel_0(beta * beta);
    for (int i = 0; i < HF_RESAMPLE_ENTRIES; i++) {
        double x = (double)i / HF_RESAMPLE_STEPS, place = x / HF_RESAMPLE_CROSSINGS;
        double window = place >= 1 ? 0 : bessel_0(beta * beta * (1 - place * place)) / whole;
        r->table[i] = (float)(i == 0 ? 1 : window * hf_sine_radians(pi * x) / (pi * x));
    }
}

int64_t hf_resample_count(int64_t count, int from_hz, int to_hz)
{
    return (count * to_hz + from_hz - 1) / from_hz;
}

/* Taps at most: at the lowest rate out of the highest. */
enum { TAPS_MOST = 2 * (HF_RESAMPLE_CROSSINGS * 26 + 2) };

/* The kernel about a place `part` of a sample after a sample, for the samples from `reach` - 1
 * before that one to `reach` after it. `scale`: zero crossings a sample of input. */
static void taps_at(const struct hf_resampler *r, double part, double scale, int64_t reach,
                    double taps[TAPS_MOST])
{
    for (int64_t i = 0; i < 2 * reach; i++) {
        double x = ((double)(i - reach + 1) - part) * scale * HF_RESAMPLE_STEPS;
        x = x < 0 ? -x : x;
        int entry =
            x < HF_RESAMPLE_CROSSINGS * HF_RESAMPLE_STEPS ? (int)x : HF_RESAMPLE_ENTRIES - 2;
        double step = x - entry, low = (double)r->table[entry], high = (double)r->table[entry + 1];
        taps[i] = (low + (high - low) * (step < 1 ? step : 0)) * scale;
    }
}

static float sum_at(const float *in, int64_t count, int64_t whole, int64_t reach,
                    const double taps[TAPS_MOST])
{
    double sum[4] = {0}; /* side by side, since each sum keeps its order */
    int64_t first = whole - reach + 1, from = first < 0 ? -first : 0;
    int64_t to = first + 2 * reach < count ? 2 * reach : count - first;
    for (; from + 4 <= to; from += 4)
        for (int i = 0; i < 4; i++)
            sum[i] += (double)in[first + from + i] * taps[from + i];
    for (; from < to; from++)
        sum[0] += (double)in[first + from] * taps[from];
    return (float)(sum[0] + sum[1] + (sum[2] + sum[3]));
}

static int divisor(int a, int b)
{
    while (b) {
        int rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

void hf_resample(const struct hf_resampler *r, const float *in, int64_t count, int from_hz,
                 float *out, int to_hz)
{
    double taps[TAPS_MOST] = {0};
    double scale = 2 * cutoff * (to_hz < from_hz ? (double)to_hz / from_hz : 1);
    int64_t reach = (int64_t)(HF_RESAMPLE_CROSSINGS / scale) + 1;
    int64_t made = hf_resample_count(count, from_hz, to_hz);
    /* Places between samples come again after so many: each is worked out once. */
    int64_t phases = to_hz / divisor(to_hz, from_hz);
    for (int64_t phase = 0; phase < phases && phase < made; phase++) {
        taps_at(r, (double)(phase * from_hz % to_hz) / to_hz, scale, reach, taps);
        for (int64_t i = phase; i < made; i += phases)
            out[i] = sum_at(in, count, i * from_hz / to_hz, reach, taps);
    }
}
