/* SPDX-License-Identifier: MIT */
/* The bus of speech: how the music gives way, that it does so alike with words and without, that
 * nothing clicks. derived: from HF_SPEECH_LEAD_S, HF_SPEECH_RELEASE_S and HF_SPEECH_DUCK_DB. */
#include "check.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

#include <holdfast/spoken.h>

enum { RATE = 48000, LENGTH = RATE, CHUNKS = 2 * RATE / HF_CHUNK, TOTAL = CHUNKS * HF_CHUNK };
enum { LEAD = RATE * 15 / 100, RELEASE = RATE / 2 };

static int16_t tone[LENGTH];
static const struct hf_utterance utterance = {.length = LENGTH, .samples = tone, .gain = 1e-5f};

static const struct hf_utterance *get(void *self, uint32_t words)
{
    (void)self;
    return words == 1 ? &utterance : NULL;
}

static const struct hf_speaker speaker = {.get = get};

static int make_tone(void **state)
{
    (void)state;
    for (int i = LEAD; i < LENGTH; i++)
        tone[i] = (int16_t)(20000 * sin(2 * 3.14159265358979 * 440 * i / RATE));
    return 0;
}

static float music[TOTAL], words[TOTAL];

/* Plays music of 1 under an utterance at chunk 10, sample `from`; `cut` > 0: broken off at that
 * chunk. */
static void play(uint32_t number, int from, int cut)
{
    struct hf_spoken spoken;
    hf_spoken_init(&spoken, RATE);
    for (int chunk = 0; chunk < CHUNKS; chunk++) {
        struct hf_bus buses[2] = {0};
        for (int i = 0; i < HF_CHUNK; i++)
            buses[0].left[i] = buses[0].right[i] = 1;
        if (chunk == 10)
            hf_spoken_begin(&spoken, from, &speaker, number, LENGTH);
        if (cut && chunk == cut)
            hf_spoken_hush(&spoken, 5);
        hf_spoken_mix(&spoken, buses, 1, &buses[1]);
        memcpy(music + chunk * HF_CHUNK, buses[0].left, sizeof buses[0].left);
        memcpy(words + chunk * HF_CHUNK, buses[1].right, sizeof buses[1].right);
    }
}

static void the_music_gives_way_by_six_decibels_and_comes_back(void **state)
{
    (void)state;
    const int begin = 10 * HF_CHUNK + 7;
    play(1, 7, 0);
    for (int i = 0; i < TOTAL; i++) {
        if (i < begin || i > begin + LENGTH + RELEASE + 2)
            assert_true(music[i] == 1); /* to the bit */
        else if (i > begin + LEAD && i < begin + LENGTH)
            assert_true(fabs(20 * log10((double)music[i]) + 6) < 0.001);
        else
            assert_true(music[i] <= 1 && (double)music[i] >= 0.501);
    }
}

static void words_come_when_the_music_has_given_way(void **state)
{
    (void)state;
    const int begin = 10 * HF_CHUNK + 7;
    play(1, 7, 0);
    for (int i = 0; i < TOTAL; i++) {
        int at = i - begin;
        float meant = at >= 0 && at < LENGTH ? (float)tone[at] * 1e-5f : 0;
        assert_true(words[i] == meant);
    }
}

/* Without flite a replay must give way as the session did. */
static void the_music_gives_way_alike_without_words(void **state)
{
    (void)state;
    static float with[TOTAL];
    for (int cut = 0; cut < 600; cut += 150) {
        play(1, 33, cut);
        memcpy(with, music, sizeof with);
        play(0, 33, cut);
        assert_memory_equal(with, music, sizeof with);
        for (int i = 0; i < TOTAL; i++)
            assert_true(words[i] == 0);
    }
}

/* The largest step of the music's gain and of a word that is broken off: ramps, no jumps. A tone of
 * 440 Hz with a peak of .2 moves by .0115 a sample. */
static void nothing_jumps(void **state)
{
    (void)state;
    for (int cut = 0; cut < 600; cut += 97) {
        play(1, 50, cut);
        for (int i = 1; i < TOTAL; i++) {
            assert_true(fabs((double)music[i] - (double)music[i - 1]) < 0.0002);
            assert_true(fabs((double)words[i] - (double)words[i - 1]) < 0.0120);
        }
    }
    play(1, 50, 200);
    for (int i = 200 * HF_CHUNK + 5 + RATE / 50 + 2; i < TOTAL; i++)
        assert_true(words[i] == 0); /* gone after 20 ms */
    assert_true(music[TOTAL - 1] == 1);
}

/* What comes takes the place of what is being said; the music stays down. */
static void one_takes_the_place_of_another(void **state)
{
    (void)state;
    struct hf_spoken spoken;
    float last = 0;
    hf_spoken_init(&spoken, RATE);
    for (int chunk = 0; chunk < CHUNKS; chunk++) {
        struct hf_bus buses[2] = {0};
        for (int i = 0; i < HF_CHUNK; i++)
            buses[0].left[i] = 1;
        if (chunk == 0 || chunk == 300)
            hf_spoken_begin(&spoken, 20, &speaker, 1, LENGTH);
        hf_spoken_mix(&spoken, buses, 1, &buses[1]);
        for (int i = 0; i < HF_CHUNK; i++) {
            int at = chunk * HF_CHUNK + i;
            assert_true(fabs((double)buses[1].left[i] - (double)last) < 0.0120);
            last = buses[1].left[i];
            if (at > LEAD + 20 && at < 300 * HF_CHUNK + LENGTH)
                assert_true(fabs(20 * log10((double)buses[0].left[i]) + 6) < 0.001);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_music_gives_way_by_six_decibels_and_comes_back),
        cmocka_unit_test(words_come_when_the_music_has_given_way),
        cmocka_unit_test(the_music_gives_way_alike_without_words),
        cmocka_unit_test(nothing_jumps),
        cmocka_unit_test(one_takes_the_place_of_another),
    };
    return cmocka_run_group_tests(tests, make_tone, NULL);
}
