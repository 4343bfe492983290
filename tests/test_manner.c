/* SPDX-License-Identifier: MIT */
/* How the notes of a cue come: one after another, at once, in halves; and held notes that rest.
 * Whether a note sounds is measured by Goertzel's algorithm at its fundamental, by the C library's
 * mathematics; expected times are derived from the event. */
#include "check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/engine.h>
#include <holdfast/patchfile.h>

#define PI 3.14159265358979323846

enum { RATE = 48000, SAMPLES = 8 * RATE, WINDOW = 9600 };

struct heard {
    float held[SAMPLES], added[SAMPLES];
    int64_t at;
};

static struct heard heard;

static void hear(void *self, const struct hf_bus stems[HF_STEMS], const struct hf_bus *sum)
{
    struct heard *h = self;
    (void)sum;
    for (int i = 0; i < HF_CHUNK && h->at < SAMPLES; i++, h->at++) {
        h->held[h->at] = stems[HF_STEM_HELD].left[i] + stems[HF_STEM_HELD].right[i];
        h->added[h->at] = stems[HF_STEM_ADDED].left[i] + stems[HF_STEM_ADDED].right[i];
    }
}

static struct hf_patch patch_of(const char *name)
{
    struct hf_patch patch;
    const char *text = hf_patchfile_find_builtin(name);
    assert_non_null(text);
    assert_ok(hf_patchfile_parse(text, strlen(text), name, &patch, NULL));
    return patch;
}

/* Renders some events; `command` comes at sample `command_at`. */
static void run(const struct hf_event *cue, const struct hf_event *command, int64_t command_at)
{
    static float stereo[2 * HF_CHUNK];
    const struct hf_event hold = {.kind = HF_EVENT_HOLD, .count = 3, .notes = {48, 52, 56}};
    struct hf_engine *engine = NULL;
    struct hf_engine_setting setting = {
        .rate_hz = RATE,
        .a4_mhz = 440000,
        .room_db = HF_ENGINE_NO_ROOM_DB,
        .held = {.rate_hz = RATE, .a4_mhz = 440000, .seed = 7, .patch = patch_of("stopped-pipe")},
        .added_patch = patch_of("plucked-nylon")};
    assert_ok(hf_engine_new(&engine, &setting, NULL));
    memset(&heard, 0, sizeof heard);
    hf_engine_set_tap(engine, (struct hf_engine_tap){hear, &heard});
    assert_true(hf_engine_send(engine, &hold));
    assert_true(hf_engine_send(engine, cue));
    while (heard.at < SAMPLES) {
        if (command && heard.at >= command_at) {
            assert_true(hf_engine_send(engine, command));
            command = NULL;
        }
        hf_engine_render(engine, HF_CHUNK, stereo);
    }
    hf_engine_free(engine);
}

/* Amplitude of a note's fundamental in the window from `at` on, in dB. */
static double level(const float *signal, int midi, int64_t at)
{
    double hz = 440 * pow(2, (midi - 69) / 12.0), w = 2 * PI * hz / RATE;
    double re = 0, im = 0;
    for (int i = 0; i < WINDOW; i++) {
        double window = 0.5 - 0.5 * cos(2 * PI * i / WINDOW);
        re += window * (double)signal[at + i] * cos(w * i);
        im += window * (double)signal[at + i] * sin(w * i);
    }
    return 20 * log10(sqrt(re * re + im * im) * 4 / WINDOW + 1e-12);
}

/* 20 dB parts a note that sounds from one that does not. */
static void assert_sounds(int midi, int64_t at, bool expected)
{
    double db = level(heard.added, midi, at);
    if ((db > -48) != expected)
        fail_msg("note %d at sample %lld: %.1f dB", midi, (long long)at, db);
}

/* Far enough apart, and no partial of one near the fundamental of another. */
static const struct hf_event notes = {.kind = HF_EVENT_CUE,
                                      .cue = 1,
                                      .at = RATE,
                                      .hear = RATE,
                                      .tell = HF_NEVER,
                                      .end = SAMPLES,
                                      .count = 3,
                                      .notes = {61, 67, 74}};

static void notes_come_one_after_another(void **state)
{
    (void)state;
    struct hf_event cue = notes;
    cue.manner = (struct hf_manner){.staggered = true, .stagger = 36000};
    run(&cue, NULL, 0);
    for (int i = 0; i < 3; i++) {
        int64_t begins = RATE + i * 36000;
        assert_sounds(cue.notes[i], begins - WINDOW - 64, false);
        assert_sounds(cue.notes[i], begins, true);
    }
}

static void notes_come_all_at_once(void **state)
{
    (void)state;
    struct hf_event cue = notes;
    cue.manner.staggered = true;
    run(&cue, NULL, 0);
    float first = 0;
    int64_t at = 0;
    while (heard.added[at] == first)
        at++;
    assert_in_range(at, RATE, RATE + 64);
    for (int i = 0; i < 3; i++)
        assert_sounds(cue.notes[i], RATE, true);
    /* the usual way they are 60 ms apart: in the first 200 ms the last is not all there yet */
    double at_once = level(heard.added, cue.notes[2], RATE);
    cue.manner = (struct hf_manner){0};
    run(&cue, NULL, 0);
    assert_true(level(heard.added, cue.notes[2], RATE) < at_once - 6);
}

static void a_short_cue_draws_its_notes_together(void **state)
{
    (void)state;
    struct hf_event cue = notes;
    cue.end = cue.hear + RATE; /* derived: a sixth of it, 8000 samples, from note to note */
    cue.manner = (struct hf_manner){.staggered = true, .stagger = 36000};
    run(&cue, NULL, 0);
    assert_sounds(cue.notes[2], RATE + 16000 - WINDOW - 64, false);
    assert_sounds(cue.notes[2], RATE + 16000, true);
}

static void an_again_comes_in_the_same_manner(void **state)
{
    (void)state;
    struct hf_event cue = notes, again = notes;
    cue.manner = again.manner = (struct hf_manner){.staggered = true, .stagger = 36000};
    again.kind = HF_EVENT_AGAIN;
    again.at = HF_AT_ONCE;
    run(&cue, &again, 4 * RATE);
    int64_t from = 4 * RATE + 4800; /* the first notes are damped, in less than 100 ms */
    assert_sounds(cue.notes[0], from, true);
    assert_sounds(cue.notes[1], from, false);
    assert_sounds(cue.notes[1], 4 * RATE + 36000 + 64, true);
    assert_sounds(cue.notes[2], 4 * RATE + 36000 + 64, false);
    assert_sounds(cue.notes[2], 4 * RATE + 72000 + 64, true);
}

static void halves_sound_apart_and_then_together(void **state)
{
    (void)state;
    struct hf_event cue = notes;
    const uint8_t list[12] = {48, 52, 56, 63, 70, 77, 48, 52, 56, 63, 70, 77};
    cue.count = 12;
    memcpy(cue.notes, list, sizeof list);
    cue.manner = (struct hf_manner){.first = 3, .apart = 2 * RATE};
    cue.end = cue.hear + 100 * RATE;
    run(&cue, NULL, 0);
    for (int i = 0; i < 6; i++) {
        bool held = i < 3;
        assert_sounds(list[i], RATE + 12000, held);
        assert_sounds(list[i], 3 * RATE + 12000, !held);
        assert_sounds(list[i], 5 * RATE + 24000, true);
    }
    /* derived: in a cue of 4 s a part has a quarter of it */
    cue.end = cue.hear + 4 * RATE;
    run(&cue, NULL, 0);
    assert_sounds(list[0], 2 * RATE + 12000, false);
    assert_sounds(list[3], 2 * RATE + 12000, true);
    assert_sounds(list[0], 3 * RATE + 24000, true);
}

static double held_at(int64_t at)
{
    return level(heard.held, 48, at);
}

static void held_notes_rest_until_the_cue_is_told(void **state)
{
    (void)state;
    struct hf_event cue = notes;
    cue.at = cue.hear = 3 * RATE + 17; /* when they are there in full; between the grid's samples */
    cue.tell = 5 * RATE + 5;
    cue.manner.rests = true;
    run(&cue, NULL, 0);
    double before = held_at(3 * RATE - WINDOW), rest = held_at(3 * RATE + 73000);
    assert_true(before > -60);
    assert_true(rest < before - 100); /* silent, exactly: */
    for (int64_t i = 3 * RATE + 72200; i < 5 * RATE; i++)
        assert_true(heard.held[i] == 0);
    double half = held_at(3 * RATE + 36000 - WINDOW / 2);
    assert_true(half > before - 9 && half < before - 3); /* derived: half the gain, -6 dB */
    assert_true(held_at(5 * RATE + 72100) > before - 3);
}

static void a_reveal_or_a_next_ends_the_rest(void **state)
{
    (void)state;
    struct hf_event cue = notes;
    cue.at = cue.hear = 3 * RATE;
    cue.tell = cue.end = 1000 * (int64_t)RATE;
    cue.manner.rests = true;
    static const enum hf_event_kind kinds[] = {HF_EVENT_REVEAL, HF_EVENT_NEXT};
    for (int i = 0; i < 2; i++) {
        struct hf_event command = {.kind = kinds[i], .at = HF_AT_ONCE};
        run(&cue, &command, 5 * RATE);
        double before = held_at(3 * RATE - WINDOW);
        assert_true(held_at(5 * RATE - WINDOW) < before - 100);
        assert_true(held_at(5 * RATE + 72100) > before - 3);
    }
    /* in the middle of the fade: it turns round where it is */
    struct hf_event command = {.kind = HF_EVENT_REVEAL, .at = HF_AT_ONCE};
    run(&cue, &command, 3 * RATE + 36000);
    double before = held_at(3 * RATE - WINDOW);
    assert_true(held_at(3 * RATE + 36000) > before - 9);
    assert_true(held_at(3 * RATE + 36000 + 72100) > before - 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(notes_come_one_after_another),
        cmocka_unit_test(notes_come_all_at_once),
        cmocka_unit_test(a_short_cue_draws_its_notes_together),
        cmocka_unit_test(an_again_comes_in_the_same_manner),
        cmocka_unit_test(halves_sound_apart_and_then_together),
        cmocka_unit_test(held_notes_rest_until_the_cue_is_told),
        cmocka_unit_test(a_reveal_or_a_next_ends_the_rest),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
