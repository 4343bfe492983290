/* SPDX-License-Identifier: MIT */
/*
 * A speaker for tests that makes no sound: an utterance takes a millisecond a letter, so that many
 * of them fit into the short cues of tests, and none fits into the shortest.
 */
#ifndef TESTS_TALKER_H
#define TESTS_TALKER_H

#include <stdio.h>
#include <string.h>

#include <holdfast/crc32.h>
#include <holdfast/utterance.h>

enum { TALKER_TEXTS = 600, TALKER_PER_LETTER = 40 /* samples */ };

static struct talker {
    uint32_t count;
    char texts[TALKER_TEXTS][HF_UTTERANCE_TEXT];
    struct hf_utterance utterances[TALKER_TEXTS];
} talker;

static inline uint32_t talker_prepare(void *self, const char *text)
{
    (void)self;
    for (uint32_t i = 0; i < talker.count; i++)
        if (strcmp(talker.texts[i], text) == 0)
            return i + 1;
    if (talker.count == TALKER_TEXTS)
        return 0;
    snprintf(talker.texts[talker.count], HF_UTTERANCE_TEXT, "%s", text);
    talker.utterances[talker.count] =
        (struct hf_utterance){.text = talker.texts[talker.count],
                              .length = (int64_t)strlen(text) * TALKER_PER_LETTER,
                              .sum = hf_crc32(text, strlen(text))};
    return ++talker.count;
}

static inline const struct hf_utterance *talker_get(void *self, uint32_t words)
{
    (void)self;
    return words > 0 && words <= talker.count ? &talker.utterances[words - 1] : NULL;
}

static inline struct hf_speaker talker_begin(void)
{
    talker.count = 0;
    return (struct hf_speaker){talker_prepare, talker_get, NULL};
}

#endif
