/* SPDX-License-Identifier: MIT */
/*
 * pitch: pitches as MIDI numbers and as frequencies. Floating point with libm, for what is shown
 * and checked; nothing here may reach a sample.
 *
 * Pure; any thread may call it.
 */
#ifndef HOLDFAST_PITCH_H
#define HOLDFAST_PITCH_H

enum { HF_MIDI_MOST = 127, HF_MIDI_A4 = 69, HF_MIDI_MIDDLE_C = 60 };

/* Equal temperament: a4_hz * 2^((midi - 69) / 12) (MIDI 1.0; A4 = 440 Hz: ISO 16:1975). */
double hf_pitch_to_hz(int midi, double a4_hz);

/* Cents from one frequency up to another, both above 0: 1200 * log2(to / from). */
double hf_pitch_cents(double from_hz, double to_hz);

/* The octave of a MIDI number, middle C being C4: -1 to 9. */
int hf_pitch_octave(int midi);

#endif
