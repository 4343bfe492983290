/* SPDX-License-Identifier: MIT */
/*
 * utterance: something spoken, as plain data that the session and the sound both know, and where
 * they get it from. The session asks for a text and learns how long it takes; the sound takes the
 * samples; neither knows what speaks.
 *
 * An utterance belongs to the speaker that made it and stays as it is until the speaker goes; so
 * any thread may `get` one whose number reached it through a ring, and real-time safely; `prepare`
 * is for the control thread.
 */
#ifndef HOLDFAST_UTTERANCE_H
#define HOLDFAST_UTTERANCE_H

#include <stdint.h>

enum { HF_UTTERANCE_TEXT = 200 /* bytes of a text with its end */ };

/* The words begin HF_SPEECH_LEAD_S after the utterance does, while the music gives way by
 * HF_SPEECH_DUCK_DB; it comes back over HF_SPEECH_RELEASE_S after the end. A name is over
 * HF_SPEECH_GAP_S before the notes that it names. */
#define HF_SPEECH_LEAD_S 0.15
#define HF_SPEECH_RELEASE_S 0.5
#define HF_SPEECH_GAP_S 0.25
#define HF_SPEECH_DUCK_DB (-6.0)

/* The level of speech, at volume 0: 10 LU over the held set at -26 LUFS when that is ducked. */
#define HF_SPEECH_LUFS (-22.0)

struct hf_utterance {
    const char *text;
    int64_t length; /* samples of the session, the lead included */
    uint32_t sum;   /* CRC-32 of the words as the voice gave them, whatever the session's rate */
    const int16_t *samples; /* `length` of them; NULL: no words, the music gives way all the same */
    float gain;             /* that they are to be multiplied by */
};

/* Who speaks. */
struct hf_speaker {
    /* The number of a text's utterance, made now where it isn't there yet; 0 when it can't be
     * spoken. */
    uint32_t (*prepare)(void *self, const char *text);
    /* The utterance with a number that `prepare` gave; NULL for any other. */
    const struct hf_utterance *(*get)(void *self, uint32_t words);
    void *self;
};

#endif
