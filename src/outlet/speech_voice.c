/* SPDX-License-Identifier: MIT */
/* Invariant: the same text gives the same samples whatever was said before: flite's noise comes
 * from rand(), which is seeded anew for each. */
#include "speech_voice.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#if HF_FLITE

#include <flite/flite.h>

/* The libraries of the voices have no header. */
cst_voice *register_cmu_us_awb(const char *directory);
cst_voice *register_cmu_us_kal16(const char *directory);
cst_voice *register_cmu_us_rms(const char *directory);
cst_voice *register_cmu_us_slt(const char *directory);

const char speech_voice_names[] = "awb, kal, rms, slt";

static const struct {
    const char *name;
    cst_voice *(*get)(const char *directory);
} voices[] = {{"awb", register_cmu_us_awb},
              {"kal", register_cmu_us_kal16},
              {"rms", register_cmu_us_rms},
              {"slt", register_cmu_us_slt}};

struct speech_voice {
    cst_voice *voice;
    cst_lexicon *lexicon;
};

static void add_words(struct speech_voice *v, const struct speech_word *words)
{
    cst_val *list = NULL;
    char entry[96];
    for (; words->word; words++) {
        snprintf(entry, sizeof entry, "\"%s\" : %s", words->word, words->phonemes);
        cst_val *made = cst_lex_make_entry(v->lexicon, entry);
        if (made)
            list = cons_val(made, list);
    }
    if (v->lexicon->lex_addenda)
        delete_val(v->lexicon->lex_addenda);
    v->lexicon->lex_addenda = list;
}

struct speech_voice *speech_voice_open(const char *name, const struct speech_word *words)
{
    struct speech_voice *v = NULL;
    for (size_t i = 0; i < sizeof voices / sizeof voices[0]; i++) {
        if (strcmp(voices[i].name, name) != 0)
            continue;
        flite_init();
        v = calloc(1, sizeof *v);
        if (v)
            v->voice = voices[i].get(NULL);
        break;
    }
    if (!v || !v->voice) {
        free(v);
        return NULL;
    }
    v->lexicon = val_lexicon(feat_val(v->voice->features, "lexicon"));
    add_words(v, words);
    return v;
}

void speech_voice_close(struct speech_voice *v)
{
    static const struct speech_word none = {NULL, NULL};
    if (!v)
        return;
    add_words(v,
              &none); /* the voice and its lexicon are flite's, for as long as the program runs */
    free(v);
}

bool speech_voice_speak(struct speech_voice *v, const char *text, int16_t **samples, int *count,
                        int *rate_hz)
{
    srand(1);
    cst_utterance *utterance = flite_synth_text(text, v->voice);
    cst_wave *wave = utterance ? utt_wave(utterance) : NULL;
    int16_t *copy = NULL;
    if (wave && wave->num_samples > 0 && wave->num_channels == 1)
        copy = malloc((size_t)wave->num_samples * sizeof *copy);
    if (copy) {
        memcpy(copy, wave->samples, (size_t)wave->num_samples * sizeof *copy);
        *samples = copy;
        *count = wave->num_samples;
        *rate_hz = wave->sample_rate;
    }
    if (utterance)
        delete_utterance(utterance);
    return copy != NULL;
}

bool speech_voice_phonemes(struct speech_voice *v, const char *text, char *out, size_t size)
{
    cst_utterance *utterance = flite_synth_text(text, v->voice);
    bool fits = utterance != NULL;
    size_t used = 0;
    out[0] = 0;
    for (cst_item *s = utterance ? relation_head(utt_relation(utterance, "Segment")) : NULL;
         s && fits; s = item_next(s)) {
        int more =
            snprintf(out + used, size - used, "%s%s", used ? " " : "", item_feat_string(s, "name"));
        fits = more > 0 && (size_t)more < size - used;
        used += fits ? (size_t)more : 0;
    }
    if (utterance)
        delete_utterance(utterance);
    return fits;
}

#else

const char speech_voice_names[] = "";

struct speech_voice *speech_voice_open(const char *name, const struct speech_word *words)
{
    (void)name;
    (void)words;
    return NULL;
}

void speech_voice_close(struct speech_voice *v)
{
    (void)v;
}

bool speech_voice_speak(struct speech_voice *v, const char *text, int16_t **samples, int *count,
                        int *rate_hz)
{
    (void)v;
    (void)text;
    (void)samples;
    (void)count;
    (void)rate_hz;
    return false;
}

bool speech_voice_phonemes(struct speech_voice *v, const char *text, char *out, size_t size)
{
    (void)v;
    (void)text;
    (void)out;
    (void)size;
    return false;
}

#endif
