/* SPDX-License-Identifier: MIT */
/* Invariant: nothing here reaches a sample; these numbers are for people and for tests. */
#include <holdfast/pitch.h>

#include <math.h>

double hf_pitch_to_hz(int midi, double a4_hz)
{
    return a4_hz * exp2((midi - HF_MIDI_A4) / 12.0);
}

double hf_pitch_cents(double from_hz, double to_hz)
{
    return 1200.0 * log2(to_hz / from_hz);
}

int hf_pitch_octave(int midi)
{
    int below = midi < 0 ? 11 : 0; /* C truncates towards 0 */
    return (midi - below) / 12 - 1;
}
