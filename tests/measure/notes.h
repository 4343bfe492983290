/* SPDX-License-Identifier: MIT */
/*
 * notes: notes of the shipped patches, rendered for measuring, and what is found in them. Buffers
 * are from malloc; the caller frees them.
 */
#ifndef MEASURE_NOTES_H
#define MEASURE_NOTES_H

#include <stdint.h>

#include <holdfast/patch.h>

/* A shipped patch by name; ends the program with a word where there is none. */
struct hf_patch notes_patch(const char *name);

/* Names of the shipped patches of a kind, ended by NULL. */
extern const char *const notes_drones[];
extern const char *const notes_strucks[];

/* One held note with the gain its level asks for on its own chord of `count` notes. */
float *notes_drone(const struct hf_patch *patch, int midi, long rate, long samples, uint64_t seed);
float *notes_struck(const struct hf_patch *patch, int midi, long rate, long samples);

/* The held set as the engine mixes it (interleaved stereo, equal-power pan across +-.35), from a
 * session sample on, a multiple of 64; wet = true adds the room at -20 dB. */
float *notes_chord_from(const struct hf_patch *patch, const int *midi, int count, long rate,
                        long from, long frames, uint64_t seed, bool wet);

/* The same from the beginning. */
float *notes_chord(const struct hf_patch *patch, const int *midi, int count, long rate, long frames,
                   uint64_t seed, bool wet);

/* Cents by which the fundamental is off, over all and (worst) between half-second windows. */
double notes_drone_cents(const struct hf_patch *patch, int midi, double seconds, double *worst);

/* The same of a struck note from 0.15 to 1.4 s; `weighted` gets the mean over the partials, each
 * against its ratio times the fundamental, weighted by amplitude. */
double notes_struck_cents(const struct hf_patch *patch, int midi, double *weighted);

/* Power away from the partials (those of the law, within `near_hz`) and power over the limits,
 * against the whole, in dB. Breath is off. */
struct notes_residue {
    double between_db;
    double above_db;
};
struct notes_residue notes_drone_residue(const struct hf_patch *patch, int midi, long rate);
struct notes_residue notes_struck_residue(const struct hf_patch *patch, int midi, long rate);

/* Integrated loudness (libebur128, EBU R 128) of an interleaved stereo signal. */
double notes_lufs(const float *stereo, long frames, long rate);

/* Largest momentary loudness (libebur128, windows of 400 ms at every 10 ms) of a mono signal heard
 * at equal power from the middle. */
double notes_momentary_lufs(const float *mono, long samples, long rate);

/* Roughness, power from 2 to 5 kHz (dB) and crest (dB) of a chord, from its rendered spectrum. */
struct notes_character {
    double roughness;
    double middle_db;
    double crest_db;
    double centroid_hz;
};
struct notes_character notes_character(const struct hf_patch *patch, const int *midi, int count);

#endif
