/* SPDX-License-Identifier: MIT */
/* Invariants: how far the music gives way depends on when utterances begin, on their lengths and on
 * when they are broken off, not on their samples; both voices fall silent by a ramp or of
 * themselves. */
#include <holdfast/spoken.h>

#include <string.h>

#include <holdfast/sine.h>

#define CUT_S 0.02

/* The music has given way all the way; hf_fade takes lengths up to 2^26. */
enum { DEPTH = 1 << 24 };

static int64_t samples(double seconds, int rate_hz)
{
    return (int64_t)(seconds * rate_hz + 0.5);
}

static int32_t steps_in(int64_t count)
{
    return (int32_t)((DEPTH + count - 1) / count);
}

void hf_spoken_init(struct hf_spoken *s, int rate_hz)
{
    memset(s, 0, sizeof *s);
    s->lead = samples(HF_SPEECH_LEAD_S, rate_hz);
    s->cut = samples(CUT_S, rate_hz);
    s->down = steps_in(s->lead);
    s->up = steps_in(samples(HF_SPEECH_RELEASE_S, rate_hz));
    s->duck = (float)hf_gain(HF_SPEECH_DUCK_DB);
}

static bool is_saying(const struct hf_spoken_voice *voice)
{
    return voice->age < voice->length && voice->gone < 0;
}

void hf_spoken_hush(struct hf_spoken *s, int from)
{
    if (!is_saying(&s->now))
        return;
    s->now.gone = 0;
    s->now.cut_from = from;
    if (s->now.age > s->lead) /* else there was nothing to hear yet */
        s->before = s->now;
    s->now = (struct hf_spoken_voice){0};
}

void hf_spoken_begin(struct hf_spoken *s, int from, const struct hf_speaker *speaker,
                     uint32_t words, int64_t length)
{
    const struct hf_utterance *said =
        words && speaker->get ? speaker->get(speaker->self, words) : NULL;
    hf_spoken_hush(s, from);
    s->now = (struct hf_spoken_voice){.length = length, .gone = -1, .from = from};
    if (!said || !said->samples)
        return;
    s->now.samples = said->samples;
    s->now.count = said->length < length ? said->length : length;
    s->now.gain = said->gain;
}

/* Moves a voice on by a sample and returns it. */
static float say(struct hf_spoken_voice *voice, int64_t cut)
{
    float out = 0;
    if (voice->samples && voice->age < voice->count)
        out = (float)voice->samples[voice->age] * voice->gain;
    voice->age++;
    if (voice->gone >= 0) {
        out *= 1 - hf_fade(voice->gone, cut);
        if (voice->gone++ >= cut)
            voice->age = voice->length;
    }
    return out;
}

/* A sample of what was broken off: from there on it fades. */
static float say_before(struct hf_spoken_voice *voice, int i, int64_t cut)
{
    if (voice->age >= voice->length)
        return 0;
    if (i >= voice->cut_from)
        return say(voice, cut);
    voice->gone = -1;
    float out = say(voice, cut);
    voice->gone = 0;
    return out;
}

static void give_way(struct hf_spoken *s, bool saying)
{
    if (saying)
        s->depth = s->depth < DEPTH - s->down ? s->depth + s->down : DEPTH;
    else
        s->depth = s->depth > s->up ? s->depth - s->up : 0;
}

/* Writes the words of a chunk to `out` and the music's gain for each sample to `duck`. False when
 * there is nothing to do: neither is touched then. */
static bool render(struct hf_spoken *s, float out[HF_CHUNK], float duck[HF_CHUNK])
{
    if (!is_saying(&s->now) && s->before.age >= s->before.length && s->depth == 0)
        return false;
    for (int i = 0; i < HF_CHUNK; i++) {
        /* What is said now may begin later in the chunk; until then the one before is being said.
         */
        bool saying = is_saying(&s->now) && i >= s->now.from;
        bool still = s->before.gone == 0 && i < s->before.cut_from;
        give_way(s, saying || (still && s->before.age < s->before.length));
        duck[i] = s->depth == 0       ? 1
                  : s->depth == DEPTH ? s->duck
                                      : 1 - (1 - s->duck) * hf_fade(s->depth, DEPTH);
        out[i] = say_before(&s->before, i, s->cut) + (saying ? say(&s->now, s->cut) : 0);
    }
    s->now.from = 0;
    s->before.cut_from = 0;
    return true;
}

void hf_spoken_mix(struct hf_spoken *s, struct hf_bus *music, int count, struct hf_bus *speech)
{
    float words[HF_CHUNK], duck[HF_CHUNK];
    if (!render(s, words, duck))
        return;
    for (int bus = 0; bus < count; bus++)
        for (int i = 0; i < HF_CHUNK; i++) {
            music[bus].left[i] *= duck[i];
            music[bus].right[i] *= duck[i];
        }
    hf_bus_add(speech, words, 1, 1);
}
