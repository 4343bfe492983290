/* SPDX-License-Identifier: MIT */
/*
 * sine: the elementary functions of the sound (sine, powers of two, logarithm, pitch, fades),
 * written out so that every build computes the same bits. Nothing here calls the C library's
 * mathematics.
 *
 * Pure; real-time safe; any thread.
 */
#ifndef HOLDFAST_SINE_H
#define HOLDFAST_SINE_H

#include <stdint.h>

#include <holdfast/vector.h>

/* Sine of a phase, 2^32 to the turn. Error at most 1.0e-7, exact at 0, 90, 180 and 270 degrees. */
float hf_sine(uint32_t phase);

/* Sine of an angle in radians, |angle| up to 1e5, in double: error about 1e-11. */
double hf_sine_radians(double radians);
double hf_cosine_radians(double radians);

/* 2^x, relative error 1.1e-12; |x| up to 1000. */
double hf_exp2(double x);

/* Logarithm to base 2, absolute error about 1e-14; x above 0. */
double hf_log2(double x);

/* x^y for x above 0, by the two above. */
double hf_power(double x, double y);

/* Amplitude ratio of a level in dB, 10^(db/20), for db within 2000 of 0, and the reverse. */
double hf_gain(double db);
double hf_decibels(double ratio);

/* Phase step a sample, 2^32 to the turn, of a MIDI note (0 to 127), A4 at a4_mhz thousandths of
 * a hertz (380000 to 480000) at `rate` samples a second: integer arithmetic, error at most 0.001
 * cent from E1 on at 96 kHz. A harmonic is a whole multiple of it. 64 bits, since a high note at a
 * low rate passes 2^32. */
uint64_t hf_pitch_increment(int midi, long a4_mhz, long rate);

/* The same with an offset of |cents| up to 1200: the integer step times 2^(cents/1200) in double,
 * rounded to nearest. An offset of 0 gives hf_pitch_increment exactly. */
uint64_t hf_pitch_increment_cents(int midi, double cents, long a4_mhz, long rate);

/* Frequency in hertz of a MIDI note, error below 1e-9 of it. */
double hf_sine_pitch_hz(int midi, long a4_mhz);

/* Raised cosine: 0 up to position 0, 1 from position `length` on (a length of 0 is a step at 0),
 * rising between and never falling. Exactly 0 and 1 at the ends. For a fade out, use the position
 * from the end, or 1 - fade. Length up to 2^26. */
float hf_fade(int64_t position, int64_t length);

/* out[i] = hf_fade(position + i, length). */
void hf_fade_chunk(int64_t position, int64_t length, float out[HF_CHUNK]);

#endif
