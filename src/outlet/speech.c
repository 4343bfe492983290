/* SPDX-License-Identifier: MIT */
/* Invariants: an utterance never changes or moves once its number was given; the samples of a text
 * depend on the text, the voice, the note names and the rate alone. */
#include <holdfast/speech.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/ceiling.h>
#include <holdfast/crc32.h>
#include <holdfast/resample.h>
#include <holdfast/sine.h>

#include "speech_level.h"
#include "speech_voice.h"

enum { WORDS_MOST = 48, WORD_TEXT = 16, PHONEMES_TEXT = 24, SAID_TEXT = 4 * HF_UTTERANCE_TEXT };

/* Peaks of speech: with those of the music that gives way to it the sum stays under the ceiling, so
 * that a word never changes a note. */
#define PEAK_DB (-11.0)
enum { ROUNDS = 4, FULL = 32000 };

struct hf_speech {
    struct speech_voice *voice;
    enum hf_names names;
    int rate_hz;
    uint32_t count;
    struct hf_utterance utterances[HF_SPEECH_TEXTS_MOST];
    int16_t *samples[HF_SPEECH_TEXTS_MOST]; /* theirs, owned */
    char texts[HF_SPEECH_TEXTS_MOST][HF_UTTERANCE_TEXT];
    char words[WORDS_MOST][WORD_TEXT], phonemes[WORDS_MOST][PHONEMES_TEXT];
    struct speech_word lexicon[WORDS_MOST + 1];
    struct hf_resampler resampler;
};

bool hf_speech_is_built(void)
{
    return speech_voice_names[0] != 0;
}

const char *hf_speech_voices(void)
{
    return speech_voice_names;
}

const char *hf_speech_default_voice(void)
{
    return "rms"; /* understood best over the drone, with awb; and it keeps its level */
}

/* ---- note names ------------------------------------------------------------------------------ */

/* Letters as they are said, A to H. The German ones are near to what an English voice can say. */
static const char *const english[] = {"ey1", "b iy1", "s iy1",  "d iy1",
                                      "iy1", "eh1 f", "jh iy1", "ey1 ch"};
static const char *const german[] = {"aa1", "b ey1", "t s ey1", "d ey1",
                                     "ey1", "eh1 f", "g ey1",   "hh aa1"};
/* What a German letter is before an ending, and the endings. */
static const char *const stems[] = {"aa1", "b", "t s", "d", "ey1", "f", "g", "hh"};
static const struct {
    const char *letters, *phonemes;
} endings[] = {{"isis", "ih1 s ih0 s"}, {"is", "ih1 s"},    {"eses", "eh1 s eh0 s"},
               {"es", "eh1 s"},         {"ses", "s eh0 s"}, {"s", "s"}};

static void add_word(struct hf_speech *s, int *count, const char *name, const char *first,
                     const char *then)
{
    int i = (*count)++;
    snprintf(s->words[i], WORD_TEXT, "note%s", name);
    s->words[i][4] = (char)(name[0] - 'A' + 'a');
    snprintf(s->phonemes[i], PHONEMES_TEXT, "%s %s", first, then);
    s->lexicon[i] = (struct speech_word){s->words[i], s->phonemes[i]};
}

/* Es and As have lost a vowel, the others keep it. */
static bool has_ending(int letter, const char *ending)
{
    bool vowel = letter == 0 || letter == 4;
    return letter != 1 && (ending[0] == 'i' || (ending[0] == 's') == vowel);
}

static void fill_lexicon(struct hf_speech *s)
{
    bool is_german = s->names == HF_NAMES_GERMAN;
    int count = 0;
    for (int letter = 0; letter < 8; letter++) {
        char name[8] = {(char)('A' + letter), 0};
        add_word(s, &count, name, is_german ? german[letter] : english[letter], "");
        for (size_t i = 0; is_german && i < sizeof endings / sizeof endings[0]; i++) {
            if (!has_ending(letter, endings[i].letters))
                continue;
            snprintf(name + 1, sizeof name - 1, "%s", endings[i].letters);
            const char *stem = letter == 4 && name[1] == 's' ? "eh1" : stems[letter];
            add_word(s, &count, name, stem, endings[i].phonemes);
        }
    }
    s->lexicon[count] = (struct speech_word){NULL, NULL};
}

/* ---- what the voice is given ----------------------------------------------------------------- */

static void add(char out[SAID_TEXT], const char *word)
{
    size_t used = strlen(out);
    snprintf(out + used, SAID_TEXT - used, "%s", word);
}

/* A number to 99 in words: the voice says some of them digit by digit. */
static void add_number(char out[SAID_TEXT], const char *digits)
{
    static const char *const ones[] = {"zero",    "one",     "two",       "three",    "four",
                                       "five",    "six",     "seven",     "eight",    "nine",
                                       "ten",     "eleven",  "twelve",    "thirteen", "fourteen",
                                       "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"};
    static const char *const tens[] = {"",      "",      "twenty",  "thirty", "forty",
                                       "fifty", "sixty", "seventy", "eighty", "ninety"};
    int value = digits[0] - '0';
    if (digits[1])
        value = 10 * value + (digits[1] - '0');
    if (value < 20) {
        add(out, ones[value]);
        return;
    }
    add(out, tens[value / 10]);
    if (value % 10) {
        add(out, " ");
        add(out, ones[value % 10]);
    }
}

/* A word of a text: a note, a number, or itself. */
static void add_token(const struct hf_speech *s, char out[SAID_TEXT], const char *token)
{
    char note[HF_UTTERANCE_TEXT + 8];
    size_t length = strlen(token);
    if (length <= 2 && length > 0 && strspn(token, "0123456789") == length) {
        add_number(out, token);
        return;
    }
    if (token[0] >= 'A' && token[0] <= 'H') {
        snprintf(note, sizeof note, "note%s", token);
        note[4] = (char)(token[0] - 'A' + 'a');
        for (const struct speech_word *word = s->lexicon; word->word; word++)
            if (strcmp(word->word, note) == 0) {
                add(out, note);
                return;
            }
    }
    add(out, token);
}

/* The text in words that the voice knows. */
static void translate(const struct hf_speech *s, const char *text, char out[SAID_TEXT])
{
    out[0] = 0;
    for (const char *c = text; *c;) {
        char token[HF_UTTERANCE_TEXT], mark[2] = {0};
        size_t length = strcspn(c, " ,.:;?!");
        snprintf(token, sizeof token, "%.*s", (int)length, c);
        add_token(s, out, token);
        c += length;
        if (*c) {
            mark[0] = *c++;
            add(out, mark);
        }
    }
}

/* ---- utterances ------------------------------------------------------------------------------ */

/* A sound that is being made ready. */
struct take {
    int16_t *raw;
    int count, rate_hz;
    float *voice; /* what of it isn't silence, at its own rate */
    int64_t heard;
    float *ready, *at_48k;
    int64_t length, length_48k; /* the lead left out */
};

/* Leaves out the silence at both ends: what is under 2 % of the peak, but for 10 ms. */
static void trim(struct take *t)
{
    int peak = 1, first = 0, last = t->count - 1;
    for (int i = 0; i < t->count; i++)
        peak = abs(t->raw[i]) > peak ? abs(t->raw[i]) : peak;
    while (first < last && abs(t->raw[first]) * 50 < peak)
        first++;
    while (last > first && abs(t->raw[last]) * 50 < peak)
        last--;
    int margin = t->rate_hz / 100, fade = t->rate_hz / 200;
    first = first > margin ? first - margin : 0;
    last = last + margin < t->count ? last + margin : t->count - 1;
    t->heard = last - first + 1;
    for (int64_t i = 0; i < t->heard; i++) {
        int64_t edge = i < t->heard - 1 - i ? i : t->heard - 1 - i;
        t->voice[i] = (float)t->raw[first + i] / 32768 * hf_fade(edge, fade);
    }
}

static bool allocate(struct take *t, int rate_hz)
{
    t->voice = malloc((size_t)t->count * sizeof *t->voice);
    if (!t->voice)
        return false;
    trim(t);
    t->length = hf_resample_count(t->heard, t->rate_hz, rate_hz);
    t->length_48k = hf_resample_count(t->heard, t->rate_hz, SPEECH_LEVEL_HZ);
    t->ready = malloc((size_t)t->length * sizeof *t->ready);
    t->at_48k = malloc((size_t)t->length_48k * sizeof *t->at_48k);
    return t->ready && t->at_48k;
}

static void release(struct take *t)
{
    free(t->raw);
    free(t->voice);
    free(t->ready);
    free(t->at_48k);
}

static int64_t lead(const struct hf_speech *s)
{
    return (int64_t)(HF_SPEECH_LEAD_S * s->rate_hz + 0.5);
}

/* Takes the voice by a gain and keeps it under PEAK_DB. True when that was needed. */
static bool limit(struct take *t, float gain)
{
    struct hf_ceiling ceiling;
    float left[HF_CHUNK], right[HF_CHUNK];
    hf_ceiling_init(&ceiling, t->rate_hz, (float)hf_gain(PEAK_DB));
    int64_t late = hf_ceiling_latency(&ceiling);
    for (int64_t from = 0; from < t->heard + late; from += HF_CHUNK) {
        for (int64_t i = 0; i < HF_CHUNK; i++)
            left[i] = right[i] = from + i < t->heard ? t->voice[from + i] * gain : 0;
        hf_ceiling_render(&ceiling, left, right, HF_CHUNK);
        for (int64_t i = 0; i < HF_CHUNK; i++)
            if (from + i >= late && from + i - late < t->heard)
                t->voice[from + i - late] = left[i];
    }
    return ceiling.reduced > 0;
}

/* Brings the voice's level to what it should be, and its peaks under PEAK_DB: both at its own rate.
 * What the second takes from the first is given back, until it is less than a listener notices. */
static void set_level(const struct hf_speech *s, struct take *t)
{
    bool limited = true;
    for (int round = 0; limited && round < ROUNDS; round++) {
        hf_resample(&s->resampler, t->voice, t->heard, t->rate_hz, t->at_48k, SPEECH_LEVEL_HZ);
        double more = HF_SPEECH_LUFS - speech_level_lufs(t->at_48k, t->length_48k);
        limited = (round == 0 || more > 0.3) && limit(t, (float)hf_gain(more));
    }
}

/* Samples in 16 bits, the lead before them, and what they are to be multiplied by; NULL without
 * memory. */
static int16_t *pack(const struct hf_speech *s, const struct take *t, float *gain)
{
    int64_t before = lead(s);
    int16_t *samples = calloc((size_t)(before + t->length), sizeof *samples);
    if (!samples)
        return NULL;
    float peak = 1e-9f;
    for (int64_t i = 0; i < t->length; i++) {
        float size = t->ready[i] < 0 ? -t->ready[i] : t->ready[i];
        peak = size > peak ? size : peak;
    }
    for (int64_t i = 0; i < t->length; i++) {
        float value = t->ready[i] / peak * FULL;
        samples[before + i] = (int16_t)(value < 0 ? value - 0.5f : value + 0.5f);
    }
    *gain = peak / FULL;
    return samples;
}

/* CRC-32 of the samples' bytes, the lower one first. */
static uint32_t sum_of(const int16_t *samples, int count)
{
    unsigned char *bytes = malloc((size_t)count * 2);
    if (!bytes)
        return 0;
    for (int i = 0; i < count; i++) {
        bytes[2 * i] = (unsigned char)((uint16_t)samples[i] & 0xff);
        bytes[2 * i + 1] = (unsigned char)((uint16_t)samples[i] >> 8);
    }
    uint32_t sum = hf_crc32(bytes, (size_t)count * 2);
    free(bytes);
    return sum;
}

static bool make(struct hf_speech *s, const char *text, int16_t **samples, struct hf_utterance *out)
{
    char said[SAID_TEXT];
    struct take t = {0};
    struct hf_utterance made = {.text = text};
    translate(s, text, said);
    if (speech_voice_speak(s->voice, said, &t.raw, &t.count, &t.rate_hz) &&
        allocate(&t, s->rate_hz)) {
        set_level(s, &t);
        hf_resample(&s->resampler, t.voice, t.heard, t.rate_hz, t.ready, s->rate_hz);
        made.sum = sum_of(t.raw, t.count);
        made.length = lead(s) + t.length;
        made.samples = *samples = pack(s, &t, &made.gain);
    }
    release(&t);
    if (made.samples)
        *out = made;
    return made.samples != NULL;
}

/* ---- speaking -------------------------------------------------------------------------------- */

static uint32_t prepare(void *self, const char *text)
{
    struct hf_speech *s = self;
    for (uint32_t i = 0; i < s->count; i++)
        if (strcmp(s->texts[i], text) == 0)
            return i + 1;
    if (s->count == HF_SPEECH_TEXTS_MOST || strlen(text) >= HF_UTTERANCE_TEXT)
        return 0;
    memcpy(s->texts[s->count], text, strlen(text) + 1);
    struct hf_utterance *utterance = &s->utterances[s->count];
    return make(s, s->texts[s->count], &s->samples[s->count], utterance) ? ++s->count : 0;
}

static const struct hf_utterance *get(void *self, uint32_t words)
{
    const struct hf_speech *s = self;
    return words > 0 && words <= HF_SPEECH_TEXTS_MOST ? &s->utterances[words - 1] : NULL;
}

struct hf_speaker hf_speech_speaker(struct hf_speech *s)
{
    return (struct hf_speaker){prepare, get, s};
}

bool hf_speech_phonemes(struct hf_speech *s, const char *text, char *out, int size)
{
    char said[SAID_TEXT];
    translate(s, text, said);
    return speech_voice_phonemes(s->voice, said, out, (size_t)size);
}

enum hf_status hf_speech_check(const char *voice, struct hf_diag *diag)
{
    for (const char *name = speech_voice_names; *name; name += strspn(name, ", ")) {
        size_t length = strcspn(name, ", ");
        if (voice[0] == 0 || (strlen(voice) == length && strncmp(name, voice, length) == 0))
            return HF_OK;
        name += length;
    }
    if (hf_speech_is_built()) {
        hf_fail(diag, HF_E_USAGE, "there is no voice \"%.60s\"", voice);
        hf_advise(diag, "choose one of: %s", hf_speech_voices());
        return HF_E_USAGE;
    }
    hf_fail(diag, HF_E_USAGE, "speech is not in this build");
    hf_advise(diag, "install flite (Debian: apt-get install flite1-dev), then build again");
    return HF_E_USAGE;
}

enum hf_status hf_speech_open(struct hf_speech **out, const char *voice, enum hf_names names,
                              int rate_hz, struct hf_diag *diag)
{
    struct hf_speech *s = calloc(1, sizeof *s);
    if (!s)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    s->names = names;
    s->rate_hz = rate_hz;
    fill_lexicon(s);
    s->voice = speech_voice_open(voice[0] ? voice : hf_speech_default_voice(), s->lexicon);
    if (!s->voice) {
        free(s);
        return hf_speech_check(voice, diag) == HF_OK ? hf_fail(diag, HF_E_MEMORY, "out of memory")
                                                     : HF_E_USAGE;
    }
    hf_resampler_init(&s->resampler);
    *out = s;
    return HF_OK;
}

void hf_speech_close(struct hf_speech *s)
{
    if (!s)
        return;
    for (uint32_t i = 0; i < s->count; i++)
        free(s->samples[i]);
    speech_voice_close(s->voice);
    free(s);
}
