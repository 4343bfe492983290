/* SPDX-License-Identifier: MIT */
/*
 * speech: turns texts into utterances by flite, where that was there when the program was built.
 * Words are synthesised, brought to the session's rate and level, and kept by text.
 *
 * The module owns the speech (open, close) and its utterances. Control thread only; utterances may
 * be read on any thread once their number has reached it. flite draws noise by rand(), which is
 * seeded anew for each text, so that a text has the same samples whatever was said before it.
 */
#ifndef HOLDFAST_SPEECH_H
#define HOLDFAST_SPEECH_H

#include <stdbool.h>

#include <holdfast/spelling.h>
#include <holdfast/status.h>
#include <holdfast/utterance.h>

enum { HF_SPEECH_TEXTS_MOST = 512 /* of one session; what comes after is not spoken */ };

struct hf_speech;

/* Whether speech is in this build, and the names of its voices ("awb, kal, rms, slt"; "" without).
 */
bool hf_speech_is_built(void);
const char *hf_speech_voices(void);

/* Where `voice` is "": the voice that is spoken with then. */
const char *hf_speech_default_voice(void);

/* Whether this build can speak with `voice` ("" for the default). HF_E_USAGE: no such voice, or
 * speech is not built in; the advice says what to do. */
enum hf_status hf_speech_check(const char *voice, struct hf_diag *diag) HF_CHECKED;

/* Starts a voice for a session's rate; note names are pronounced as `names` has it. HF_E_USAGE
 * as hf_speech_check, HF_E_MEMORY. */
enum hf_status hf_speech_open(struct hf_speech **out, const char *voice, enum hf_names names,
                              int rate_hz, struct hf_diag *diag) HF_CHECKED;
void hf_speech_close(struct hf_speech *speech);

struct hf_speaker hf_speech_speaker(struct hf_speech *speech);

/* The phonemes of a text, parted by spaces, as the voice has them; for tests. False when `size` is
 * too small or the text can't be spoken. */
bool hf_speech_phonemes(struct hf_speech *speech, const char *text, char *out, int size);

#endif
