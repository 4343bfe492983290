/* SPDX-License-Identifier: MIT */
/* What is spoken, measured: phonemes, lengths, level (libebur128, which is no part of the program),
 * peaks, and that nothing depends on what was said before. Skipped where speech isn't built in. */
#include "check.h"

#include <ebur128.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/crc32.h>
#include <holdfast/speech.h>
#include <holdfast/wording.h>

static const char *const voices[] = {"awb", "kal", "rms", "slt"};

static struct hf_speech *speech_of(const char *voice, enum hf_names names, int rate_hz)
{
    struct hf_speech *speech = NULL;
    assert_ok(hf_speech_open(&speech, voice, names, rate_hz, NULL));
    return speech;
}

static const struct hf_utterance *say(struct hf_speech *speech, const char *text)
{
    struct hf_speaker speaker = hf_speech_speaker(speech);
    const struct hf_utterance *utterance =
        speaker.get(speaker.self, speaker.prepare(speaker.self, text));
    assert_non_null(utterance);
    return utterance;
}

struct row {
    const char *text, *phonemes;
};

static void expect_phonemes(enum hf_names names, const struct row *rows)
{
    for (; rows->text; rows++)
        for (size_t v = 0; v < 4; v++) {
            struct hf_speech *speech = speech_of(voices[v], names, 48000);
            char got[400];
            assert_true(hf_speech_phonemes(speech, rows->text, got, sizeof got));
            hf_speech_close(speech);
            if (strcmp(got, rows->phonemes) != 0)
                fail_msg("%s, %s: %s", voices[v], rows->text, got);
        }
}

/* published: the letters and words in the CMU Pronouncing Dictionary (0.7b): A. EY, B. B IY, C. S
 * IY, D. D IY, E. IY, F. EH F, G. JH IY, SHARP SH AA R P, FLAT F L AE T; each name a phrase of its
 * own. */
static void note_names_are_said_as_names(void **state)
{
    (void)state;
    if (!hf_speech_is_built())
        skip();
    static const struct row rows[] = {
        {"C sharp, D, G", "pau s iy sh aa r p pau d iy pau jh iy pau"},
        {"A, A flat", "pau ey pau ey f l ae t pau"}, /* never the article */
        {"A natural, B, E", "pau ey n ae ch er ax l pau b iy pau iy pau"},
        {"fourth, F, C", "pau f ao r th pau eh f pau s iy pau"},
        {"F double sharp", "pau eh f d ah b ax l sh aa r p pau"},
        {"find A", "pau f ay n d ey pau"},
        {NULL, NULL}};
    expect_phonemes(HF_NAMES_SIMPLE, rows);
}

/* derived: German letters and endings (Cis, Es, As, H), in the sounds that an English voice has. */
static void german_names_are_said_in_german(void **state)
{
    (void)state;
    if (!hf_speech_is_built())
        skip();
    static const struct row rows[] = {
        {"Cis, D, G", "pau t s ih s pau d ey pau g ey pau"},
        {"Es, As, A", "pau eh s pau aa s pau aa pau"},
        {"H, B, Fis", "pau hh aa pau b ey pau f ih s pau"},
        {"Ges, Heses, Cisis", "pau g eh s pau hh eh s eh s pau t s ih s ih s pau"},
        {NULL, NULL}};
    expect_phonemes(HF_NAMES_GERMAN, rows);
}

static void numbers_are_said_whole(void **state)
{
    (void)state;
    if (!hf_speech_is_built())
        skip();
    static const struct row rows[] = {
        {"10, 11, 7", "pau t eh n pau ih l eh v ax n pau s eh v ax n pau"}, /* not "one zero" */
        {"0, 1, 2", "pau z ih r ow pau w ah n pau t uw pau"},
        {NULL, NULL}};
    expect_phonemes(HF_NAMES_NUMBERS, rows);
}

/* All names of all twelve pitch classes, in every way to name them: none may be unknown, which
 * would be guessed letter by letter and take long. derived: a name of one note takes under 1.2 s.
 */
static void every_name_takes_a_moment(void **state)
{
    (void)state;
    if (!hf_speech_is_built())
        skip();
    for (int names = HF_NAMES_SIMPLE; names <= HF_NAMES_GERMAN; names++) {
        struct hf_speech *speech = speech_of("slt", (enum hf_names)names, 48000);
        for (int pc = 0; pc < 12; pc++) {
            char name[HF_SPELLED_TEXT];
            hf_spelled_format(hf_spelling_pc(pc, (enum hf_names)names), (enum hf_names)names, name);
            struct hf_record record = {.count = 1};
            char text[HF_UTTERANCE_TEXT];
            snprintf(record.names[0], sizeof record.names[0], "%s", name);
            const struct hf_utterance *utterance = say(speech, hf_wording_names(&record, text));
            double seconds = (double)utterance->length / 48000;
            if (seconds < 0.3 || seconds > 1.2)
                fail_msg("%s takes %.2f s", name, seconds);
        }
        hf_speech_close(speech);
    }
}

/* Three names of three notes, all voices. The lead before the words is silent. */
static void three_names_take_two_seconds(void **state)
{
    (void)state;
    if (!hf_speech_is_built())
        skip();
    for (size_t v = 0; v < 4; v++) {
        struct hf_speech *speech = speech_of(voices[v], HF_NAMES_SIMPLE, 48000);
        const struct hf_utterance *utterance = say(speech, "C sharp, F sharp, G");
        double seconds = (double)utterance->length / 48000;
        print_message("%s: %.2f s\n", voices[v], seconds);
        assert_true(seconds > 1.2 && seconds < 2.8);
        int64_t first = 0;
        while (utterance->samples[first] == 0)
            first++;
        assert_true(first >= 7200 && first < 7200 + 960); /* derived: 150 ms, then within 20 ms */
        hf_speech_close(speech);
    }
}

static double loudness(const struct hf_utterance *utterance, int rate_hz)
{
    ebur128_state *meter = ebur128_init(2, (unsigned long)rate_hz, EBUR128_MODE_I);
    double lufs = 0;
    assert_non_null(meter);
    for (int64_t i = 7200 * (int64_t)rate_hz / 48000; i < utterance->length; i++) {
        float both[2];
        both[0] = both[1] = (float)utterance->samples[i] * utterance->gain;
        ebur128_add_frames_float(meter, both, 1);
    }
    ebur128_loudness_global(meter, &lufs);
    ebur128_destroy(&meter);
    return lufs;
}

/* derived: -22 LUFS (speech 10 LU over music at -26 LUFS that is ducked by 6 dB: Torcoli et al.,
 * JAES 67(12), 2019). Peaks: with those of a mix at -6 - .7 dBTP that is ducked they stay under -6
 * dBTP. */
static void speech_has_its_level(void **state)
{
    (void)state;
    if (!hf_speech_is_built())
        skip();
    static const char *const texts[] = {"C sharp, D, G", "A flat, A, E flat",
                                        "the end, 5 got, 1 missed", "fourth, D, G"};
    for (size_t v = 0; v < 4; v++) {
        int rate_hz = v % 2 ? 44100 : 48000;
        /* The voices with the sharpest peaks would lose too much of their sound to have it all. */
        double within = strcmp(voices[v], hf_speech_default_voice()) == 0 ? 0.5 : 1.3;
        struct hf_speech *speech = speech_of(voices[v], HF_NAMES_SIMPLE, rate_hz);
        for (size_t t = 0; t < 4; t++) {
            const struct hf_utterance *utterance = say(speech, texts[t]);
            double lufs = loudness(utterance, rate_hz), peak = 0;
            for (int64_t i = 0; i < utterance->length; i++)
                peak = fmax(peak, fabs((double)utterance->samples[i] * (double)utterance->gain));
            print_message("%s, %s: %.2f LUFS, peak %.2f dB\n", voices[v], texts[t], lufs,
                          20 * log10(peak));
            if (fabs(lufs + 22) > within || 20 * log10(peak) > -10.7)
                fail_msg("%s, %s: %.2f LUFS, peak %.2f dB", voices[v], texts[t], lufs,
                         20 * log10(peak));
        }
        hf_speech_close(speech);
    }
}

static void a_text_sounds_the_same_whatever_was_said_before(void **state)
{
    (void)state;
    if (!hf_speech_is_built())
        skip();
    for (size_t v = 0; v < 4; v++) {
        uint32_t sums[2], whole[2];
        for (int round = 0; round < 2; round++) {
            struct hf_speech *speech = speech_of(voices[v], HF_NAMES_SIMPLE, 48000);
            if (round == 1) {
                say(speech, "E, A, B flat");
                say(speech, "the end");
            }
            const struct hf_utterance *utterance = say(speech, "C sharp, D, G");
            sums[round] = utterance->sum;
            whole[round] = hf_crc32(utterance->samples,
                                    (size_t)utterance->length * sizeof *utterance->samples);
            hf_speech_close(speech);
        }
        assert_int_equal(sums[0], sums[1]);
        assert_int_equal(whole[0], whole[1]);
    }
}

/* The sum in the journal is of the voice's own samples, so that it can be compared at any rate. */
static void the_sum_does_not_depend_on_the_rate(void **state)
{
    (void)state;
    if (!hf_speech_is_built())
        skip();
    struct hf_speech *low = speech_of("slt", HF_NAMES_SIMPLE, 8000);
    struct hf_speech *high = speech_of("slt", HF_NAMES_SIMPLE, 192000);
    assert_int_equal(say(low, "D, G")->sum, say(high, "D, G")->sum);
    assert_int_not_equal(say(low, "D, G")->sum, say(low, "D, A")->sum);
    hf_speech_close(low);
    hf_speech_close(high);
}

static void a_text_keeps_its_number(void **state)
{
    (void)state;
    if (!hf_speech_is_built())
        skip();
    struct hf_speech *speech = speech_of("kal", HF_NAMES_SIMPLE, 8000);
    struct hf_speaker speaker = hf_speech_speaker(speech);
    uint32_t first = speaker.prepare(speaker.self, "D");
    assert_int_equal(first, 1);
    assert_int_equal(speaker.prepare(speaker.self, "E"), 2);
    assert_int_equal(speaker.prepare(speaker.self, "D"), first);
    assert_string_equal(speaker.get(speaker.self, first)->text, "D");
    assert_null(speaker.get(speaker.self, 0));
    /* Texts that nobody could want, and more than there is room for. */
    char text[HF_UTTERANCE_TEXT + 8];
    memset(text, 'a', sizeof text);
    text[sizeof text - 1] = 0;
    assert_int_equal(speaker.prepare(speaker.self, text), 0);
    for (int i = 0; i < HF_SPEECH_TEXTS_MOST + 5; i++) {
        snprintf(text, sizeof text, "%d %d", i / 50, i % 50);
        uint32_t number = speaker.prepare(speaker.self, text);
        assert_int_equal(number, i < HF_SPEECH_TEXTS_MOST - 2 ? (uint32_t)i + 3 : 0);
    }
    hf_speech_close(speech);
}

static void an_unknown_voice_is_refused_with_the_known_ones(void **state)
{
    (void)state;
    struct hf_speech *speech = NULL;
    struct hf_diag diag;
    assert_int_equal(hf_speech_open(&speech, "s", HF_NAMES_SIMPLE, 48000, &diag), HF_E_USAGE);
    assert_null(speech);
    assert_non_null(
        strstr(diag.advice, hf_speech_is_built() ? "awb, kal, rms, slt" : "flite1-dev"));
    if (hf_speech_is_built()) {
        assert_ok(hf_speech_check("", NULL));
        for (size_t v = 0; v < 4; v++)
            assert_ok(hf_speech_check(voices[v], NULL));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(note_names_are_said_as_names),
        cmocka_unit_test(german_names_are_said_in_german),
        cmocka_unit_test(numbers_are_said_whole),
        cmocka_unit_test(every_name_takes_a_moment),
        cmocka_unit_test(three_names_take_two_seconds),
        cmocka_unit_test(speech_has_its_level),
        cmocka_unit_test(a_text_sounds_the_same_whatever_was_said_before),
        cmocka_unit_test(the_sum_does_not_depend_on_the_rate),
        cmocka_unit_test(a_text_keeps_its_number),
        cmocka_unit_test(an_unknown_voice_is_refused_with_the_known_ones),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
