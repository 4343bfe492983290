/* SPDX-License-Identifier: MIT */
/* Invariants: only +, -, *, / of IEEE 754 and integers, in the order written (the build forbids
 * contraction), so every build computes the same bits; no conversion to an integer leaves its
 * range. */
#include <holdfast/sine.h>

#include <float.h>
#include <stdbool.h>
#include <string.h>

#include "sine_poly.h"

#if FLT_EVAL_METHOD != 0
#error "float arithmetic must be float (on 32-bit x86: -msse2 -mfpmath=sse)"
#endif

#define HALF_PI_HIGH 0x1.921fb54442d18p+0
#define HALF_PI_LOW 0x1.1a62633145c07p-54

float hf_sine(uint32_t phase)
{
    uint32_t from_peak = phase - HF_SINE_QUADRANT;
    if (from_peak >> 31)
        from_peak = 0u - from_peak;
    float x = (float)(int32_t)(HF_SINE_QUADRANT - from_peak) * 0x1p-30f;
    float s = 0.5f - x * (x * 0.5f);
    float w = (HF_SINE_W2 * s + HF_SINE_W1) * s + HF_SINE_W0;
    return x + x * (s + (s * s) * w);
}

/* Taylor to the 15th and 16th power: below 1e-16 for |x| up to pi/4. */
static double sine_core(double x)
{
    double u = x * x;
    double y = -1.0 / 1307674368000.0;
    y = y * u + 1.0 / 6227020800.0;
    y = y * u - 1.0 / 39916800.0;
    y = y * u + 1.0 / 362880.0;
    y = y * u - 1.0 / 5040.0;
    y = y * u + 1.0 / 120.0;
    y = y * u - 1.0 / 6.0;
    return x + x * (u * y);
}

static double cosine_core(double x)
{
    double u = x * x;
    double y = 1.0 / 20922789888000.0;
    y = y * u - 1.0 / 87178291200.0;
    y = y * u + 1.0 / 479001600.0;
    y = y * u - 1.0 / 3628800.0;
    y = y * u + 1.0 / 40320.0;
    y = y * u - 1.0 / 720.0;
    y = y * u + 1.0 / 24.0;
    y = y * u - 0.5;
    return 1.0 + u * y;
}

static double sine_quadrants(double radians, int64_t offset)
{
    double turns = radians / HALF_PI_HIGH;
    int64_t n = (int64_t)(turns + (turns < 0 ? -0.5 : 0.5));
    double x = (radians - (double)n * HALF_PI_HIGH) - (double)n * HALF_PI_LOW;
    switch ((n + offset) & 3) {
    case 0:
        return sine_core(x);
    case 1:
        return cosine_core(x);
    case 2:
        return -sine_core(x);
    default:
        return -cosine_core(x);
    }
}

double hf_sine_radians(double radians)
{
    return sine_quadrants(radians, 0);
}

double hf_cosine_radians(double radians)
{
    return sine_quadrants(radians, 1);
}

static double power_of_two(int exponent)
{
    uint64_t bits = (uint64_t)(exponent + 1023) << 52;
    double result;
    memcpy(&result, &bits, sizeof result);
    return result;
}

double hf_exp2(double x)
{
    if (x > 1000.0)
        x = 1000.0;
    if (x < -1000.0)
        x = -1000.0;
    int k = (int)(x + (x < 0 ? -0.5 : 0.5));
    double f = x - (double)k;
    double y = 1.31758581761864969e-6;
    y = y * f + 0.000015309737423569868;
    y = y * f + 0.000154038517484505076;
    y = y * f + 0.00133334520622454159;
    y = y * f + 0.0096181285428627327;
    y = y * f + 0.0555041093934170913;
    y = y * f + 0.240226506988803695;
    y = y * f + 0.693147180546514162;
    y = y * f + 1.0;
    return y * power_of_two(k);
}

/* With the mantissa m in sqrt(1/2) to sqrt 2 and s = (m - 1)/(m + 1):
 * log m = 2 (s + s^3/3 + ... + s^17/17), the rest below 3e-16. */
double hf_log2(double x)
{
    uint64_t bits;
    memcpy(&bits, &x, sizeof bits);
    int exponent = (int)(bits >> 52 & 0x7ff) - 1023;
    bits = (bits & 0xfffffffffffffu) | UINT64_C(1023) << 52;
    double m;
    memcpy(&m, &bits, sizeof m);
    if (m > 1.4142135623730951) {
        m *= 0.5;
        exponent++;
    }
    double s = (m - 1.0) / (m + 1.0);
    double u = s * s;
    double y = 1.0 / 17.0;
    for (int n = 15; n >= 1; n -= 2)
        y = y * u + 1.0 / (double)n;
    return (double)exponent + 2.8853900817779268 * s * y;
}

double hf_power(double x, double y)
{
    return hf_exp2(y * hf_log2(x));
}

/* log2(10)/20 and its inverse. */
double hf_gain(double db)
{
    return hf_exp2(db * 0.16609640474436813);
}

double hf_decibels(double ratio)
{
    return hf_log2(ratio) * 6.020599913279624;
}

/* round(2^40 * 2^(k/12)), k semitones above A (computed with 60 decimal digits; the test computes
 * them again). */
static const uint64_t semitone[12] = {1099511627776, 1164891991448, 1234160073853, 1307547050779,
                                      1385297844439, 1467671940879, 1554944255988, 1647406053005,
                                      1745365914583, 1849150772653, 1959106999532, 2075601563905};

/* Frequency over rate, times 2^40, in the octave from A4 up, rounded down; and the octave. */
static uint64_t pitch_above_a4(int midi, long a4_mhz, long rate, int *octave)
{
    int k = (midi - 69 + 120) % 12;
    *octave = (midi - 69 + 120) / 12 - 10;
    return (uint64_t)a4_mhz * semitone[k] / ((uint64_t)rate * 1000);
}

uint64_t hf_pitch_increment(int midi, long a4_mhz, long rate)
{
    int octave;
    uint64_t q = pitch_above_a4(midi, a4_mhz, rate, &octave);
    int shift = 8 - octave;
    return (q + (UINT64_C(1) << (shift - 1))) >> shift;
}

uint64_t hf_pitch_increment_cents(int midi, double cents, long a4_mhz, long rate)
{
    if (cents == 0)
        return hf_pitch_increment(midi, a4_mhz, rate);
    int octave;
    double q = (double)pitch_above_a4(midi, a4_mhz, rate, &octave);
    return (uint64_t)(q * power_of_two(octave - 8) * hf_exp2(cents / 1200.0) + 0.5);
}

double hf_sine_pitch_hz(int midi, long a4_mhz)
{
    int octave;
    pitch_above_a4(midi, a4_mhz, 1, &octave);
    return (double)a4_mhz * 0.001 * (double)semitone[(midi - 69 + 120) % 12] *
           power_of_two(octave - 40);
}

/* sin^2 of a quarter turn times position / length. In double, where every step of a fade of up to
 * 2^26 samples is larger than the rounding, so that nothing ever falls. */
float hf_fade(int64_t position, int64_t length)
{
    if (position >= length)
        return position >= 0 ? 1.0f : 0.0f;
    if (position <= 0)
        return 0.0f;
    double x = (double)position / (double)length;
    bool high = x > 0.5;
    double y = high ? cosine_core((1.0 - x) * HALF_PI_HIGH) : sine_core(x * HALF_PI_HIGH);
    return (float)(y * y);
}

void hf_fade_chunk(int64_t position, int64_t length, float out[HF_CHUNK])
{
    for (int i = 0; i < HF_CHUNK; i++)
        out[i] = hf_fade(position + i, length);
}
