/* SPDX-License-Identifier: MIT */
/* The held notes as a loop: no seam, the pitches and the level of the engine's. */
#include "check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/builtin.h>
#include <holdfast/engine.h>
#include <holdfast/loop.h>
#include <holdfast/patchfile.h>
#include <holdfast/sine.h>

enum { RATE = 24000, SHORT = 3, LONG = 4 };

static struct hf_patch patch_of(const char *name)
{
    struct hf_patch patch = {0};
    for (const struct hf_builtin *each = hf_builtin_patches; each->name; each++)
        if (strcmp(each->name, name) == 0) {
            assert_ok(hf_patchfile_parse(each->text, strlen(each->text), name, &patch, NULL));
            return patch;
        }
    fail_msg("no patch %s", name);
    return patch;
}

static struct hf_loop_setting setting_of(const char *name, bool struck)
{
    struct hf_loop_setting s = {.held = {.way = struck ? HF_HELD_STRUCK : HF_HELD_SUSTAINED,
                                         .patch = patch_of(name),
                                         .rate_hz = RATE,
                                         .a4_mhz = 440000,
                                         .seed = 7,
                                         .restrike = RATE + 7},
                                .count = 3,
                                .notes = {48, 52, 56},
                                .shortest_s = SHORT,
                                .longest_s = LONG};
    return s;
}

/* What a second and a period later differ in at most, against the largest sample. */
static double seam_db(const struct hf_loop_setting *setting)
{
    struct hf_loop *loop = NULL;
    assert_ok(hf_loop_new(&loop, setting, NULL));
    int64_t period = hf_loop_period(loop), more = RATE / HF_CHUNK * HF_CHUNK;
    assert_int_equal(period % HF_CHUNK, 0);
    float *sound = malloc((size_t)(period + more) * 2 * sizeof *sound);
    assert_non_null(sound);
    hf_loop_render(loop, (period + more) / HF_CHUNK, sound);
    double worst = 0, largest = 0;
    for (int64_t i = 0; i < 2 * more; i++) {
        worst = fmax(worst, fabs((double)sound[i] - (double)sound[i + 2 * period]));
        largest = fmax(largest, fabs((double)sound[i]));
    }
    free(sound);
    hf_loop_free(loop);
    assert_true(largest > 0.01);
    return 20 * log10(worst / largest);
}

/* derived: a step is a whole number, so that after P samples its phase is off by P / 2 of 2^32 at
 * most: 2 * 10^-5 of a turn for 6 s, -78 dB for one partial, here 12 and fewer of them. */
static void a_period_later_all_is_the_same(void **state)
{
    (void)state;
    static const char *const names[] = {"soft-sine", "reed"}; /* those without breath */
    for (int i = 0; i < 2; i++) {
        struct hf_loop_setting setting = setting_of(names[i], false);
        assert_true(seam_db(&setting) < -60);
    }
    struct hf_loop_setting beating = setting_of("reed", false);
    beating.held.patch.copies = 3;
    beating.held.patch.detune_hz = 0.37;
    beating.held.patch.side_gain = 0.2;
    assert_true(seam_db(&beating) < -60);
}

/* derived: a strike does not depend on the one before, but for the room, which after 9 s has lost
 * 200 dB of its beginning. */
static void strikes_come_round_alike(void **state)
{
    (void)state;
    struct hf_loop_setting setting = setting_of("felt-hammer", true);
    assert_true(seam_db(&setting) < -100);
}

/* derived: of three notes each is off by at most half a turn a period; the best of many periods
 * lies far below that: a quarter turn in 3 s is 0.08 Hz, 1.1 cents at C3. */
static void pitches_hardly_move(void **state)
{
    (void)state;
    for (int low = 36; low <= 60; low++) {
        struct hf_loop_setting setting = setting_of("reed", false);
        struct hf_loop *loop = NULL;
        for (int i = 0; i < 3; i++)
            setting.notes[i] = (uint8_t)(low + 4 * i);
        assert_ok(hf_loop_new(&loop, &setting, NULL));
        for (int i = 0; i < 3; i++) {
            float left, right;
            const struct hf_drone *drone = &hf_loop_note(loop, i, &left, &right)->drone;
            double true_step = (double)hf_pitch_increment(low + 4 * i, 440000, RATE);
            double cents = 1200 * log2((double)drone->partial[0].step / true_step);
            assert_true(fabs(cents) < HF_LOOP_CENTS);
            double turns = (double)drone->partial[0].step * (double)hf_loop_period(loop) / 0x1p32;
            assert_true(fabs(turns - round(turns)) < 1e-4);
        }
        hf_loop_free(loop);
    }
}

/* The engine itself as the reference: the same notes by the same settings, after the attack. */
static void it_is_as_loud_as_the_engine_has_it(void **state)
{
    (void)state;
    enum { FRAMES = RATE * 4 / HF_CHUNK * HF_CHUNK };
    static float ours[2 * FRAMES], theirs[2 * FRAMES];
    struct hf_loop_setting setting = setting_of("open-pipe", false);
    struct hf_loop *loop = NULL;
    struct hf_engine *engine = NULL;
    setting.volume_db = -6;
    struct hf_engine_setting other = {.rate_hz = RATE,
                                      .a4_mhz = 440000,
                                      .volume_db = -6,
                                      .held = setting.held,
                                      .added_patch = patch_of("plucked-nylon")};
    struct hf_event hold = {.kind = HF_EVENT_HOLD, .count = 3, .notes = {48, 52, 56}};
    assert_ok(hf_loop_new(&loop, &setting, NULL));
    hf_loop_render(loop, FRAMES / HF_CHUNK, ours);
    assert_ok(hf_engine_new(&engine, &other, NULL));
    assert_true(hf_engine_send(engine, &hold));
    hf_engine_render(engine, FRAMES, theirs); /* the attack */
    hf_engine_render(engine, FRAMES, theirs);
    double power[2] = {0, 0};
    for (int i = 0; i < 2 * FRAMES; i++) {
        power[0] += (double)ours[i] * (double)ours[i];
        power[1] += (double)theirs[i] * (double)theirs[i];
    }
    assert_true(fabs(10 * log10(power[0] / power[1])) < 0.6); /* partials drift by 0.8 dB */
    hf_engine_free(engine);
    hf_loop_free(loop);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_period_later_all_is_the_same),
        cmocka_unit_test(strikes_come_round_alike),
        cmocka_unit_test(pitches_hardly_move),
        cmocka_unit_test(it_is_as_loud_as_the_engine_has_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
