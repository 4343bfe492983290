/* SPDX-License-Identifier: MIT */
#include "measure.h"

#include <complex.h>
#include <fftw3.h>
#include <math.h>
#include <stdlib.h>

#define PI 3.14159265358979323846
#define J ((double complex)_Complex_I)

double measure_db(double amplitude_ratio)
{
    return amplitude_ratio > 0 ? 20 * log10(amplitude_ratio) : -400;
}

double measure_cents_between(double hz, double reference_hz)
{
    return 1200 * log2(hz / reference_hz);
}

double measure_note_hz(int midi, double a4_hz)
{
    return a4_hz * exp2((midi - 69) / 12.0);
}

double measure_rms(const float *x, long n)
{
    double sum = 0;
    for (long i = 0; i < n; i++)
        sum += (double)x[i] * (double)x[i];
    return sqrt(sum / (double)n);
}

double measure_peak(const float *x, long n)
{
    double peak = 0;
    for (long i = 0; i < n; i++)
        peak = fmax(peak, fabs((double)x[i]));
    return peak;
}

static double blackman_harris(long i, long n)
{
    double t = 2 * PI * ((double)i + 0.5) / (double)n;
    return 0.35875 - 0.48829 * cos(t) + 0.14128 * cos(2 * t) - 0.01168 * cos(3 * t);
}

struct measure_tone measure_tone(const float *x, long n, double rate, double hz)
{
    double complex sum = 0, turn = cexp(-J * 2 * PI * hz / rate);
    double complex at = cexp(J * 2 * PI * hz / rate * (double)n / 2);
    double weight = 0;
    for (long i = 0; i < n; i++) {
        double w = blackman_harris(i, n);
        sum += w * (double)x[i] * at;
        weight += w;
        at *= turn;
        if (i % 1024 == 1023)
            at = cexp(-J * 2 * PI * hz / rate * ((double)(i + 1) - (double)n / 2));
    }
    sum *= 2 / weight;
    return (struct measure_tone){cabs(sum), carg(sum * J)};
}

double measure_cents(const float *x, long n, double rate, double hz, double window_s, double *worst)
{
    long window = lround(window_s * rate), hop = window / 2;
    long count = n >= window ? (n - window) / hop + 1 : 0;
    double sum_t = 0, sum_p = 0, sum_tt = 0, sum_tp = 0, used = 0, last = 0, most = 0, loudest = 0;
    double last_t = 0;
    for (long k = 0; k < count; k++) {
        struct measure_tone tone = measure_tone(x + k * hop, window, rate, hz);
        double t = ((double)(k * hop) + (double)window / 2) / rate;
        double phase = remainder(tone.phase - 2 * PI * hz * t, 2 * PI);
        loudest = fmax(loudest, tone.amplitude);
        if (tone.amplitude < 1e-4 * loudest)
            continue;
        if (used > 0) {
            phase = last + remainder(phase - last, 2 * PI);
            double off = (phase - last) / (2 * PI) / (t - last_t);
            most = fmax(most, fabs(measure_cents_between(hz + off, hz)));
        }
        last = phase;
        last_t = t;
        used++;
        sum_t += t, sum_p += phase, sum_tt += t * t, sum_tp += t * phase;
    }
    if (worst)
        *worst = most;
    double slope = (used * sum_tp - sum_t * sum_p) / (used * sum_tt - sum_t * sum_t);
    return measure_cents_between(hz + slope / (2 * PI), hz);
}

double measure_thd_n(const float *x, long n, double rate, double hz)
{
    /* Normal equations of a cos + b sin + c; three unknowns, by Cramer's rule. */
    double cc = 0, ss = 0, cs = 0, c1 = 0, s1 = 0, xc = 0, xs = 0, x1 = 0;
    for (long i = 0; i < n; i++) {
        double t = 2 * PI * fmod(hz * (double)i / rate, 1.0);
        double c = cos(t), s = sin(t), v = (double)x[i];
        cc += c * c, ss += s * s, cs += c * s, c1 += c, s1 += s;
        xc += v * c, xs += v * s, x1 += v;
    }
    double m = (double)n;
    double det = cc * (ss * m - s1 * s1) - cs * (cs * m - s1 * c1) + c1 * (cs * s1 - ss * c1);
    double a = (xc * (ss * m - s1 * s1) - cs * (xs * m - s1 * x1) + c1 * (xs * s1 - ss * x1)) / det;
    double b = (cc * (xs * m - x1 * s1) - xc * (cs * m - s1 * c1) + c1 * (cs * x1 - xs * c1)) / det;
    double d =
        (cc * (ss * x1 - s1 * xs) - cs * (cs * x1 - xs * c1) + xc * (cs * s1 - ss * c1)) / det;
    double residue = 0;
    for (long i = 0; i < n; i++) {
        double t = 2 * PI * fmod(hz * (double)i / rate, 1.0);
        double off = (double)x[i] - a * cos(t) - b * sin(t) - d;
        residue += off * off;
    }
    return 10 * log10(residue / m / ((a * a + b * b) / 2));
}

/* Modified Bessel function of the first kind, order 0, by its series. */
static double bessel_i0(double x)
{
    double sum = 1, term = 1;
    for (int k = 1; k < 200 && term > sum * 1e-18; k++) {
        term *= x / 2 / k * (x / 2 / k);
        sum += term;
    }
    return sum;
}

void measure_power_spectrum(const float *x, long n, double *power)
{
    const double beta = 20;
    double *in = fftw_alloc_real((size_t)n), energy = 0;
    fftw_complex *out = fftw_alloc_complex((size_t)n / 2 + 1);
    fftw_plan plan = fftw_plan_dft_r2c_1d((int)n, in, out, FFTW_ESTIMATE);
    for (long i = 0; i < n; i++) {
        double u = 2 * ((double)i + 0.5) / (double)n - 1;
        double w = bessel_i0(beta * sqrt(1 - u * u)) / bessel_i0(beta);
        in[i] = (double)x[i] * w;
        energy += w * w;
    }
    fftw_execute(plan);
    for (long k = 0; k <= n / 2; k++)
        power[k] = 2 * creal(out[k] * conj(out[k])) / energy / (double)n;
    fftw_destroy_plan(plan);
    fftw_free(in);
    fftw_free(out);
}

double measure_true_peak(const float *x, long n)
{
    const long fine = 16 * n;
    double *time = fftw_alloc_real((size_t)fine), peak = 0;
    fftw_complex *bins = fftw_alloc_complex((size_t)fine / 2 + 1);
    fftw_plan there = fftw_plan_dft_r2c_1d((int)n, time, bins, FFTW_ESTIMATE);
    fftw_plan back = fftw_plan_dft_c2r_1d((int)fine, bins, time, FFTW_ESTIMATE);
    for (long i = 0; i < n; i++)
        time[i] = (double)x[i];
    fftw_execute(there);
    for (long k = n / 2 + 1; k <= fine / 2; k++)
        bins[k] = 0;
    fftw_execute(back);
    for (long i = 0; i < fine; i++)
        peak = fmax(peak, fabs(time[i]) / (double)n);
    fftw_destroy_plan(there);
    fftw_destroy_plan(back);
    fftw_free(time);
    fftw_free(bins);
    return peak;
}

void measure_band_limit(float *x, long n, double cut)
{
    double *time = fftw_alloc_real((size_t)n);
    fftw_complex *bins = fftw_alloc_complex((size_t)n / 2 + 1);
    fftw_plan there = fftw_plan_dft_r2c_1d((int)n, time, bins, FFTW_ESTIMATE);
    fftw_plan back = fftw_plan_dft_c2r_1d((int)n, bins, time, FFTW_ESTIMATE);
    for (long i = 0; i < n; i++)
        time[i] = (double)x[i];
    fftw_execute(there);
    for (long k = 0; k <= n / 2; k++) {
        double over = ((double)k / (double)n / cut - 0.9) / 0.1;
        bins[k] *= over <= 0 ? 1 : over >= 1 ? 0 : (1 + cos(PI * over)) / 2;
    }
    fftw_execute(back);
    for (long i = 0; i < n; i++)
        x[i] = (float)(time[i] / (double)n);
    fftw_destroy_plan(there);
    fftw_destroy_plan(back);
    fftw_free(time);
    fftw_free(bins);
}

double measure_band(const double *power, long n, double rate, double low_hz, double high_hz)
{
    double sum = 0;
    long low = (long)ceil(low_hz * (double)n / rate),
         high = (long)floor(high_hz * (double)n / rate);
    for (long k = low; k <= high && k <= n / 2; k++)
        sum += power[k];
    return sum;
}

double measure_roughness(const double *hz, const double *amplitude, int n)
{
    double sum = 0;
    for (int i = 0; i < n; i++) {
        for (int j = 0; j < i; j++) {
            double s = 0.24 / (0.0207 * fmin(hz[i], hz[j]) + 18.96);
            double d = fabs(hz[i] - hz[j]);
            sum += fmin(amplitude[i], amplitude[j]) * 5 * (exp(-3.51 * s * d) - exp(-5.75 * s * d));
        }
    }
    return sum;
}

double measure_k_weight(double hz)
{
    double complex z = cexp(-J * 2 * PI * hz / 48000);
    double complex shelf = (1.53512485958697 - 2.69169618940638 * z + 1.19839281085285 * z * z) /
                           (1 - 1.69065929318241 * z + 0.73248077421585 * z * z);
    double complex pass =
        (1 - 2 * z + z * z) / (1 - 1.99004745483398 * z + 0.99007225036621 * z * z);
    return cabs(shelf * pass);
}
