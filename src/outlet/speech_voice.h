/* SPDX-License-Identifier: MIT */
/*
 * speech_voice: flite itself: a voice that turns a text into samples. Everything that knows flite
 * is in speech_voice.c, which is empty words where it wasn't there at build time.
 *
 * The module owns a voice (open, close). Control thread only.
 */
#ifndef HOLDFAST_OUTLET_SPEECH_VOICE_H
#define HOLDFAST_OUTLET_SPEECH_VOICE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A word that the voice wouldn't know or would say wrongly. */
struct speech_word {
    const char *word, *phonemes; /* "noteces", "t s eh1 s" */
};

struct speech_voice;

extern const char speech_voice_names[]; /* "awb, kal, rms, slt"; "" without flite */

/* NULL where there is no voice of that name. `words` is ended by a NULL word. */
struct speech_voice *speech_voice_open(const char *name, const struct speech_word *words);
void speech_voice_close(struct speech_voice *voice);

/* Speaks: `*samples` is the caller's to free. False when nothing came of it. */
bool speech_voice_speak(struct speech_voice *voice, const char *text, int16_t **samples, int *count,
                        int *rate_hz);

/* The phonemes of a text, parted by spaces. False when there is no room. */
bool speech_voice_phonemes(struct speech_voice *voice, const char *text, char *out, size_t size);

#endif
