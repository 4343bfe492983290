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

#include <holdfast/held.h>
#include <holdfast/utterance.h>

struct hf_spoken_voice {
    const int16_t *samples; /* NULL: the music gives way to nothing */
    int64_t count;          /* of samples */
    int64_t length, age;    /* of the utterance; since it began. Silent when they are the same */
    int64_t gone;           /* since it was broken off, -1 before */
    float gain;
    int from, cut_from; /* samples of the next chunk where it begins, where it is broken off */
};

struct hf_spoken {
    struct hf_spoken_voice now, before; /* what is said, and what it took the place of */
    int64_t lead, cut;                  /* samples of silence at the beginning, of breaking off */
    int32_t depth, down, up;            /* how far the music has given way; its steps */
    float duck;                         /* gain when it has all the way */
};

void hf_spoken_init(struct hf_spoken *spoken, int rate_hz);

/* Says the speaker's utterance `words` (0, or no speaker: nothing) for `length` samples from sample
 * `from` of the next chunk on, in place of what is being said. */
void hf_spoken_begin(struct hf_spoken *spoken, int from, const struct hf_speaker *speaker,
                     uint32_t words, int64_t length);

/* Breaks off what is being said at sample `from` of the next chunk, over 20 ms. */
void hf_spoken_hush(struct hf_spoken *spoken, int from);

/* Adds the words of a chunk to the bus `speech`, in the middle, and lets the music's `count` buses
 * give way. */
void hf_spoken_mix(struct hf_spoken *spoken, struct hf_bus *music, int count,
                   struct hf_bus *speech);

#endif
