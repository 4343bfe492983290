/* SPDX-License-Identifier: MIT */
/* A cue as a piece that goes round. What it should be is what the engine makes of the same cue, and
 * that its end leads to its beginning as any sample leads to the next. */
#include "check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/builtin.h>
#include <holdfast/patchfile.h>
#include <holdfast/track.h>

enum { RATE = 24000, HEAR = 6 * RATE + 17, END = 9 * RATE + 5 };

static struct hf_patch patch_of(const char *name)
{
    struct hf_patch patch;
    const char *text = hf_patchfile_find_builtin(name);
    assert_non_null(text);
    assert_ok(hf_patchfile_parse(text, strlen(text), name, &patch, NULL));
    return patch;
}

static struct hf_track_setting setting_of(int64_t hear, double volume_db)
{
    return (struct hf_track_setting){.engine = {.rate_hz = RATE,
                                                .a4_mhz = 440000,
                                                .volume_db = volume_db,
                                                .held = {.way = HF_HELD_SUSTAINED,
                                                         .patch = patch_of("soft-sine"),
                                                         .rate_hz = RATE,
                                                         .a4_mhz = 440000,
                                                         .seed = 7},
                                                .added_patch = patch_of("plucked-nylon")},
                                     .held_count = 3,
                                     .held = {48, 52, 56},
                                     .cue = {.kind = HF_EVENT_CUE,
                                             .cue = 1,
                                             .hear = hear,
                                             .end = END,
                                             .count = 3,
                                             .notes = {62, 69, 75}}};
}

static float *make(const struct hf_track_setting *setting, int64_t *frames)
{
    float *stereo = NULL;
    assert_ok(hf_track_make(setting, &stereo, frames, NULL));
    return stereo;
}

/* How sharply the left side turns at frame `at` of the piece as it goes round. */
static double turn(const float *stereo, int64_t frames, int64_t at)
{
    double before = (double)stereo[2 * ((at + frames - 1) % frames)];
    double here = (double)stereo[2 * (at % frames)];
    double after = (double)stereo[2 * ((at + 1) % frames)];
    return fabs(after - 2 * here + before);
}

static double sharpest(const float *stereo, int64_t frames, int64_t from, int64_t to)
{
    double most = 0;
    for (int64_t at = from; at < to; at++)
        most = fmax(most, turn(stereo, frames, at));
    return most;
}

static double rms(const float *stereo, int64_t from, int64_t count)
{
    double sum = 0;
    for (int64_t i = from; i < from + count; i++)
        sum += (double)stereo[2 * i] * (double)stereo[2 * i] +
               (double)stereo[2 * i + 1] * (double)stereo[2 * i + 1];
    return sqrt(sum / (double)(2 * count));
}

static void the_end_leads_to_the_beginning_without_a_click(void **state)
{
    (void)state;
    struct hf_track_setting setting = setting_of(HEAR, 0);
    int64_t frames = 0;
    float *stereo = make(&setting, &frames);
    assert_true(frames >= END && frames <= END + RATE + 64);
    double usual = sharpest(stereo, frames, 2 * RATE, 5 * RATE); /* held notes alone */
    assert_true(sharpest(stereo, frames, frames - 128, frames + 128) < 1.5 * usual);
    free(stereo);
}

/* The engine's sound of the same: after a long time alone, the cue. */
static float *by_engine(const struct hf_track_setting *setting, int64_t alone, int64_t frames)
{
    struct hf_engine *engine = NULL;
    float *stereo = calloc((size_t)(2 * frames), sizeof *stereo);
    struct hf_event hold = {.kind = HF_EVENT_HOLD, .count = 3};
    struct hf_event cue = setting->cue;
    memcpy(hold.notes, setting->held, 3);
    cue.at += alone;
    cue.hear += alone;
    cue.end += alone;
    assert_non_null(stereo);
    assert_ok(hf_engine_new(&engine, &setting->engine, NULL));
    assert_true(hf_engine_send(engine, &hold));
    assert_true(hf_engine_send(engine, &cue));
    hf_engine_render(engine, (long)frames, stereo);
    hf_engine_free(engine);
    return stereo;
}

static void it_sounds_as_the_session_did(void **state)
{
    (void)state;
    int64_t frames = 0, alone = 10 * RATE;
    struct hf_track_setting setting = setting_of(HEAR, 0);
    float *piece = make(&setting, &frames), *session = by_engine(&setting, alone, alone + END);
    /* derived: within what drifts and beats do to the level of a second, 1 dB */
    const int64_t froms[] = {2 * RATE, HEAR, HEAR + RATE};
    for (int i = 0; i < 3; i++)
        assert_true(fabs(20 * log10(rms(piece, froms[i], RATE) /
                                    rms(session, alone + froms[i], RATE))) < 1);
    free(piece);
    free(session);
}

static void what_is_left_of_the_notes_goes_on_at_the_beginning(void **state)
{
    (void)state;
    int64_t frames = 0, other = 0;
    struct hf_track_setting with = setting_of(HEAR, 0), without = setting_of(HF_NEVER, 0);
    float *piece = make(&with, &frames), *silent = make(&without, &other);
    assert_int_equal(frames, other);
    for (int64_t i = 0; i < 2 * frames; i++)
        piece[i] -= silent[i];
    assert_true(rms(piece, HEAR, RATE) > 0.001);
    assert_true(rms(piece, 0, RATE / 4) > 0.00001);
    assert_true(rms(piece, HEAR - RATE, RATE) < 0.0001);
    free(piece);
    free(silent);
}

static void a_short_cue_makes_a_piece_of_eight_seconds(void **state)
{
    (void)state;
    int64_t frames = 0;
    struct hf_track_setting setting = setting_of(RATE, 0);
    setting.cue.end = 2 * RATE;
    float *piece = make(&setting, &frames);
    assert_true(frames >= 8 * RATE && frames <= 9 * RATE + 64);
    free(piece);
}

static void with_nothing_held_it_is_the_cue_alone(void **state)
{
    (void)state;
    int64_t frames = 0;
    struct hf_track_setting setting = setting_of(HEAR, 0);
    setting.engine.held.way = HF_HELD_OFF;
    float *piece = make(&setting, &frames);
    assert_true(rms(piece, HEAR, RATE) > 0.001);
    assert_true(rms(piece, HEAR - RATE, RATE / 2) < 0.0001);
    float *session = by_engine(&setting, 0, HEAR + RATE); /* to the sample */
    for (int64_t i = 2 * HEAR; i < 2 * (HEAR + RATE); i++)
        assert_float_equal(piece[i], session[i], 1e-5);
    free(session);
    free(piece);
}

/* published: the sound's specification: nothing over -6 dBFS; at so loud a volume it would be */
static void nothing_is_over_the_ceiling_where_it_goes_round(void **state)
{
    (void)state;
    int64_t frames = 0;
    struct hf_track_setting setting = setting_of(HEAR, 0);
    setting.engine.volume_db = 30; /* beyond what can be asked for */
    float *piece = make(&setting, &frames), most = 0;
    for (int64_t i = 0; i < 2 * frames; i++)
        most = fmaxf(most, fabsf(piece[i]));
    assert_true(most > 0.4f && (double)most <= pow(10, -6 / 20.0));
    free(piece);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_end_leads_to_the_beginning_without_a_click),
        cmocka_unit_test(it_sounds_as_the_session_did),
        cmocka_unit_test(what_is_left_of_the_notes_goes_on_at_the_beginning),
        cmocka_unit_test(a_short_cue_makes_a_piece_of_eight_seconds),
        cmocka_unit_test(with_nothing_held_it_is_the_cue_alone),
        cmocka_unit_test(nothing_is_over_the_ceiling_where_it_goes_round),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
