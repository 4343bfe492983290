/* SPDX-License-Identifier: MIT */
/* hall: what a reverberation is like, from its impulse response. */
#ifndef MEASURE_HALL_H
#define MEASURE_HALL_H

struct hall {
    long n; /* samples, a power of two */
    double rate;
    float *side[2];
};

/* The response of the program's room to one sample on the sides given. Free with hall_free. */
struct hall hall_response(long rate, double left, double right);
void hall_free(struct hall *hall);

/* Decay time in seconds in the octave around hz: backward integration of the squared response (M.
 * R. Schroeder 1965; ISO 3382-1), straight line from -5 to -35 dB, both sides together. */
double hall_t30(const struct hall *hall, double hz);

/* What the specification asks for at hz: 2.45 s at 0, 1.8 s at 4 kHz, one pole between (Jot). */
double hall_asked_t60(double rate, double hz);

/* Spectral flatness (geometric over arithmetic mean of the power) from 0.5 to 1 s, mean over the
 * octaves from 250 Hz to 4 kHz; Gaussian noise has e^-0.5772 = 0.561. */
double hall_flatness(const struct hall *hall);

/* Normalised echo density (J. S. Abel and P. Huang, AES 121, 2006) from `from_s` to `to_s`: share
 * of samples beyond one standard deviation over 20 ms, against that of Gaussian noise, 0.3173. */
double hall_density(const struct hall *hall, double from_s, double to_s);

/* Correlation of both sides; level of their half sum against the mean of theirs, in dB. */
double hall_correlation(const struct hall *hall);
double hall_mono_db(const struct hall *hall);

/* Power of both sides from 200 to 3500 Hz over that of the input, in dB. */
double hall_gain_db(const struct hall *hall);

#endif
