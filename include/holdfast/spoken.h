/* SPDX-License-Identifier: MIT */
/*
 * spoken: the bus of speech in the engine: it plays utterances and says how far the music gives way
 * to them. Where nothing is said the music is left alone, bit for bit.
 *
 * The caller owns the struct. init off the audio thread, the rest on it, real-time safe.
 */
#ifndef HOLDFAST_SPOKEN_H
#define HOLDFAST_SPOKEN_H

#include <stdbool.h>
#include <stdint.h>

#include <holdfast/utterance.h>
#include <holdfast/vector.h>

struct hf_spoken_voice {
    struct hf_utterance words;
    int64_t age;  /* samples since it began */
    int64_t gone; /* of its fade, -1 while it is not broken off */
    bool sounds;
};

struct hf_spoken {
    struct hf_spoken_voice now, before; /* what is said, and what it took the place of */
    int64_t lead, release, cut;         /* samples */
    int64_t depth, depth_most;          /* how far the music has given way, on a scale of its own */
    float duck;                         /* gain when it has all the way */
};

void hf_spoken_init(struct hf_spoken *spoken, int rate_hz);

/* The two below take effect within the next rendered chunk, at its sample `from`. */
/* Says `words` for `length` samples, in place of what is being said. */
void hf_spoken_begin(struct hf_spoken *spoken, int from, const struct hf_utterance *words,
                     int64_t length);
/* Breaks off what is being said. */
void hf_spoken_hush(struct hf_spoken *spoken, int from);

/* Adds the words of a chunk to `out` and fills in the music's gain for each sample. False when the
 * music is to be left alone: `duck` is untouched then. */
bool hf_spoken_render(struct hf_spoken *spoken, float out[HF_CHUNK], float duck[HF_CHUNK]);

#endif
