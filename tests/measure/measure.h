/* SPDX-License-Identifier: MIT */
/*
 * measure: what a signal holds, found by methods that share nothing with the program: double
 * arithmetic, the C library's mathematics, FFTW. For tests and measurements only; not linked into
 * the program.
 */
#ifndef MEASURE_H
#define MEASURE_H

#include <stdbool.h>

struct measure_tone {
    double amplitude;
    double phase; /* radians, of a sine at the middle of the piece */
};

/* Amplitude and phase of what lies at hz, by a piece of n samples under a Blackman-Harris window
 * (F. J. Harris 1978, 4 terms, side lobes at -92 dB): anything more than 4 rate/n away is out. */
struct measure_tone measure_tone(const float *x, long n, double rate, double hz);

/* Deviation in cents of the frequency near hz: slope of the phase over the whole signal (least
 * squares over windows of window_s, half overlapped). `worst` gets the largest deviation between
 * two neighbouring windows; may be NULL. Windows where the tone's amplitude is under 1e-4 of its
 * largest are left out. */
double measure_cents(const float *x, long n, double rate, double hz, double window_s,
                     double *worst);

/* Residue over fundamental in dB after a least-squares fit of sine, cosine and constant. */
double measure_thd_n(const float *x, long n, double rate, double hz);

/* Power spectrum: power[k] for k = 0 .. n/2 at k rate/n, of a sine of amplitude a: a^2/2 summed
 * over its lobe. A Kaiser window with beta 20: side lobes under -155 dB, lobe 7 bins either side.
 */
void measure_power_spectrum(const float *x, long n, double *power);
#define MEASURE_LOBE 8

/* Sum of power over bins from low_hz to high_hz. */
double measure_band(const double *power, long n, double rate, double low_hz, double high_hz);

double measure_rms(const float *x, long n);
double measure_peak(const float *x, long n);
/* Largest magnitude between the samples: n samples (a power of two) interpolated 16 times by a zero
 * padded Fourier transform; the signal should be silent at both ends, since it wraps around. */
double measure_true_peak(const float *x, long n);

/* Leaves nothing above `cut`, a fraction of the rate; a cosine from 0.9 cut on (n a power of two).
 */
void measure_band_limit(float *x, long n, double cut);

double measure_db(double amplitude_ratio);
double measure_cents_between(double hz, double reference_hz);

/* Equal temperament after ISO 16:1975 (A4) and the MIDI numbering, by the C library. */
double measure_note_hz(int midi, double a4_hz);

/* Roughness after Sethares (JASA 94, 1993), written here a second time, with exp(). */
double measure_roughness(const double *hz, const double *amplitude, int n);

/* One biquad in double; coefficients of ITU-R BS.1770 for 48 kHz in two stages: magnitude of the
 * weighting at hz by complex arithmetic. */
double measure_k_weight(double hz);

#endif
