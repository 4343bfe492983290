/* SPDX-License-Identifier: MIT */
#include "hall.h"

#include <complex.h>
#include <fftw3.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/room.h>

#define PI 3.14159265358979323846

struct hall hall_response(long rate, double left, double right)
{
    struct hall hall = {.n = HF_CHUNK, .rate = (double)rate};
    struct hf_room *room = aligned_alloc(HF_ALIGNMENT, (sizeof *room + 63) / 64 * 64);
    float in[2][HF_CHUNK] = {{(float)left}, {(float)right}};
    while (hall.n < 5 * rate)
        hall.n *= 2;
    for (int side = 0; side < 2; side++)
        hall.side[side] = malloc((size_t)hall.n * sizeof(float));
    hf_room_init(room, rate);
    for (long at = 0; at < hall.n; at += HF_CHUNK) {
        hf_room_render(room, in[0], in[1], hall.side[0] + at, hall.side[1] + at);
        in[0][0] = in[1][0] = 0;
    }
    free(room);
    return hall;
}

void hall_free(struct hall *hall)
{
    free(hall->side[0]);
    free(hall->side[1]);
}

/* One octave of a side, by a Fourier transform: 1 in the middle, 0 an octave off, a cosine between
 * (steep edges would ring for longer than a room). */
static void octave(const struct hall *hall, int side, double hz, double *out)
{
    fftw_complex *bins = fftw_alloc_complex((size_t)hall->n / 2 + 1);
    fftw_plan there = fftw_plan_dft_r2c_1d((int)hall->n, out, bins, FFTW_ESTIMATE);
    fftw_plan back = fftw_plan_dft_c2r_1d((int)hall->n, bins, out, FFTW_ESTIMATE);
    for (long i = 0; i < hall->n; i++)
        out[i] = (double)hall->side[side][i];
    fftw_execute(there);
    for (long k = 0; k <= hall->n / 2; k++) {
        double at = (double)k * hall->rate / (double)hall->n;
        double off = k > 0 ? fabs(log2(at / hz)) : 1;
        bins[k] *= off < 1 ? (1 + cos(PI * off)) / 2 : 0;
    }
    fftw_execute(back);
    fftw_destroy_plan(there);
    fftw_destroy_plan(back);
    fftw_free(bins);
}

double hall_t30(const struct hall *hall, double hz)
{
    double *energy = calloc((size_t)hall->n, sizeof *energy);
    double *band = fftw_alloc_real((size_t)hall->n);
    double st = 0, sl = 0, stt = 0, stl = 0, count = 0;
    for (int side = 0; side < 2; side++) {
        octave(hall, side, hz, band);
        for (long i = 0; i < hall->n; i++)
            energy[i] += band[i] * band[i];
    }
    for (long i = hall->n - 2; i >= 0; i--)
        energy[i] += energy[i + 1];
    for (long i = 0; i < hall->n; i++) {
        double level = 10 * log10(energy[i] / energy[0]), t = (double)i / hall->rate;
        if (level > -5 || level < -35)
            continue;
        st += t, sl += level, stt += t * t, stl += t * level, count++;
    }
    free(energy);
    fftw_free(band);
    return -60 / ((count * stl - st * sl) / (count * stt - st * st));
}

double hall_asked_t60(double rate, double hz)
{
    /* One sample's share of the absorption of any line: decay a sample g0 at 0, g0 r at 4 kHz. The
     * pole of the longest line stands for all. */
    double m = 6271 * rate / 48000;
    double g = -60 * m / (rate * 2.45), r = pow(10, -3 * m / rate * (1 / 1.8 - 1 / 2.45));
    double a = 1 - r * r, b = 1 - r * r * cos(2 * PI * 4000 / rate);
    double p = (b - sqrt(b * b - a * a)) / a;
    double c = cos(2 * PI * hz / rate);
    double loss = g + 20 * log10((1 - p) / sqrt(1 + p * p - 2 * p * c));
    return -60 / (loss / (m / rate));
}

static double octave_flatness(const struct hall *hall, int side, double hz)
{
    long from = lround(0.5 * hall->rate), n = lround(0.5 * hall->rate);
    double *x = fftw_alloc_real((size_t)n), logs = 0, sum = 0, count = 0;
    fftw_complex *bins = fftw_alloc_complex((size_t)n / 2 + 1);
    fftw_plan plan = fftw_plan_dft_r2c_1d((int)n, x, bins, FFTW_ESTIMATE);
    /* The decay is taken out, so that the piece is as a stationary noise would be. */
    for (long i = 0; i < n; i++)
        x[i] = (double)hall->side[side][from + i] *
               pow(10, 3 * (double)i / hall->rate / hall_asked_t60(hall->rate, hz));
    fftw_execute(plan);
    for (long k = 1; k <= n / 2; k++) {
        double at = (double)k * hall->rate / (double)n;
        if (at < hz * sqrt(0.5) || at > hz * sqrt(2))
            continue;
        double power = creal(bins[k] * conj(bins[k]));
        logs += log(power), sum += power, count++;
    }
    fftw_destroy_plan(plan);
    fftw_free(x);
    fftw_free(bins);
    return exp(logs / count) / (sum / count);
}

double hall_flatness(const struct hall *hall)
{
    double sum = 0;
    for (int k = 0; k < 5; k++)
        for (int side = 0; side < 2; side++)
            sum += octave_flatness(hall, side, 250 * exp2(k)) / 10;
    return sum;
}

double hall_density(const struct hall *hall, double from_s, double to_s)
{
    long window = lround(0.02 * hall->rate);
    double beyond = 0, count = 0;
    for (int side = 0; side < 2; side++) {
        const float *x = hall->side[side];
        for (long at = lround(from_s * hall->rate); (double)(at + window) < to_s * hall->rate;
             at += window) {
            double power = 0;
            for (long i = at; i < at + window; i++)
                power += (double)x[i] * (double)x[i];
            for (long i = at; i < at + window; i++)
                beyond += (double)x[i] * (double)x[i] > power / (double)window;
            count += (double)window;
        }
    }
    return beyond / count / erfc(sqrt(0.5));
}

static void powers(const struct hall *hall, double *left, double *right, double *both)
{
    *left = *right = *both = 0;
    for (long i = 0; i < hall->n; i++) {
        double l = (double)hall->side[0][i], r = (double)hall->side[1][i];
        *left += l * l, *right += r * r, *both += l * r;
    }
}

double hall_correlation(const struct hall *hall)
{
    double l, r, both;
    powers(hall, &l, &r, &both);
    return both / sqrt(l * r);
}

double hall_mono_db(const struct hall *hall)
{
    double l, r, both;
    powers(hall, &l, &r, &both);
    return 10 * log10((l + r + 2 * both) / 4 / ((l + r) / 2));
}

double hall_gain_db(const struct hall *hall)
{
    double *x = fftw_alloc_real((size_t)hall->n), sum = 0, count = 0;
    fftw_complex *bins = fftw_alloc_complex((size_t)hall->n / 2 + 1);
    fftw_plan plan = fftw_plan_dft_r2c_1d((int)hall->n, x, bins, FFTW_ESTIMATE);
    for (int side = 0; side < 2; side++) {
        for (long i = 0; i < hall->n; i++)
            x[i] = (double)hall->side[side][i];
        fftw_execute(plan);
        for (long k = 0; k <= hall->n / 2; k++) {
            double at = (double)k * hall->rate / (double)hall->n;
            if (at < 200 || at > 3500)
                continue;
            sum += creal(bins[k] * conj(bins[k]));
            count += 0.5;
        }
    }
    fftw_destroy_plan(plan);
    fftw_free(x);
    fftw_free(bins);
    return 10 * log10(sum / count);
}
