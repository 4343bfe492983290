/* SPDX-License-Identifier: MIT */
/* Letting go of the player: which level when, how it is reached, and that nothing ever gets louder
 * than it began. Expected gains by the C library's pow, which has no part in the program. */
#include "check.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

#include <holdfast/event.h>
#include <holdfast/request.h>
#include <holdfast/schedule.h>
#include <holdfast/support.h>

#include "../src/sound/level.h"

enum { RATE = 8000 };

/* ---- which ----------------------------------------------------------------------------------- */

static void it_begins_whole_and_never_rises(void **state)
{
    (void)state;
    for (uint32_t total = 1; total <= 300; total++) {
        struct hf_support before = hf_support_at(0, total);
        assert_int_equal(before.stage, HF_SUPPORT_WHOLE);
        assert_int_equal(before.db, 0);
        for (uint32_t place = 1; place < total; place++) {
            struct hf_support now = hf_support_at(place, total);
            assert_true(now.stage >= before.stage && now.db <= before.db);
            assert_true(now.stage != HF_SUPPORT_WHOLE || now.db > HF_SUPPORT_LOW_DB);
            before = now;
        }
        if (total >= 4) /* there is room for all three */
            assert_int_equal(before.stage, HF_SUPPORT_NONE);
    }
    /* A session of a day at 0.1 s a cue: no number overflows. */
    assert_int_equal(hf_support_at(863999, 864000).stage, HF_SUPPORT_NONE);
    assert_int_equal(hf_support_at(UINT32_MAX - 1, UINT32_MAX).db, HF_DRONE_NONE_DB);
}

/* derived: of twelve cues six get softer by 12 dB / 6, two thirds of the other six are four. */
static void two_rounds_go_down_in_steps_of_two_db(void **state)
{
    (void)state;
    static const int db[] = {0, -2, -4, -6, -8, -10, -12, -12, -12, -12, -60, -60};
    for (uint32_t place = 0; place < 12; place++)
        assert_int_equal(hf_support_at(place, 12).db, db[place]);
    assert_int_equal(hf_support_at(6, 12).stage, HF_SUPPORT_START);
    struct hf_support_times times = hf_support_times(25 * RATE, RATE);
    assert_int_equal(times.hold, 50000); /* derived: a quarter of 25 s */
    assert_int_equal(times.over, 2 * RATE);
    times = hf_support_times(4 * RATE, RATE);
    assert_int_equal(times.hold, RATE);
    assert_int_equal(times.over, RATE / 2);
    times = hf_support_times(0, RATE);
    assert_int_equal(times.hold, 5 * RATE);
}

static void the_schedule_says_when_it_changes(void **state)
{
    (void)state;
    static struct hf_schedule schedule; /* large */
    struct hf_request request;
    struct hf_cue cue;
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_SUPPORT, "fading", NULL));
    assert_ok(hf_request_resolve(&request, NULL));
    assert_ok(hf_schedule_init(&schedule, &request, NULL));
    for (uint32_t place = 0; hf_schedule_next(&schedule, &cue); place++) {
        /* At the first nothing changes; the last two are alike. */
        assert_int_equal(cue.has_drone, place != 0 && place != 11);
        assert_int_equal(cue.drone.db, hf_support_at(place, 12).db);
    }
    hf_schedule_deinit(&schedule);
}

/* A session that goes on begins with the whole drone, so its first cue says where it is by then. */
static void who_goes_on_has_the_level_of_the_place(void **state)
{
    (void)state;
    static struct hf_schedule schedule; /* large */
    struct hf_request request;
    struct hf_cue cue;
    hf_pcset given[12];
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_SUPPORT, "fading", NULL));
    assert_ok(hf_request_resolve(&request, NULL));
    assert_ok(hf_schedule_init(&schedule, &request, NULL));
    for (int i = 0; hf_schedule_next(&schedule, &cue); i++)
        given[i] = cue.pcs;
    for (uint32_t played = 1; played < 12; played++) {
        assert_ok(hf_schedule_init(&schedule, &request, NULL));
        assert_true(hf_schedule_skip(&schedule, 0, given, played));
        assert_true(hf_schedule_next(&schedule, &cue));
        assert_true(cue.has_drone);
        assert_int_equal(cue.drone.db, hf_support_at(played, 12).db);
    }
}

static void what_has_no_drone_to_let_go_of_is_refused(void **state)
{
    (void)state;
    static const struct {
        enum hf_option key;
        const char *value, *says;
    } rows[] = {{HF_OPT_DRONE, "off", "drone off has none"},
                {HF_OPT_CUE, "reverse", "nobody would know it"},
                {HF_OPT_PRACTICE, "warmup", "goes with improvise, not with warmup"},
                {HF_OPT_PRACTICE, "roam", "goes with improvise, not with roam"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct hf_request request;
        struct hf_diag diag = {0};
        hf_request_init(&request);
        assert_ok(hf_request_set(&request, HF_OPT_SUPPORT, "fading", NULL));
        assert_ok(hf_request_set(&request, rows[i].key, rows[i].value, NULL));
        assert_int_equal(hf_request_resolve(&request, &diag), HF_E_USAGE);
        if (!strstr(diag.message, rows[i].says))
            fail_msg("%s", diag.message);
    }
}

/* ---- how ------------------------------------------------------------------------------------- */

enum { SECONDS = 12, SAMPLES = SECONDS * RATE };

static float gains[SAMPLES];

static double gain_of(double db)
{
    return pow(10, db / 20);
}

/* A signal of ones through a level that moves at 1 s and at 6 s. */
static void run(float first, int64_t over, int64_t hold, float second)
{
    struct hf_level level;
    hf_level_init(&level);
    for (int64_t at = 0; at < SAMPLES; at += HF_CHUNK) {
        struct hf_bus bus;
        for (int i = 0; i < HF_CHUNK; i++)
            bus.left[i] = bus.right[i] = 1;
        if (at == 1 * RATE)
            hf_level_set(&level, first, over, hold, at);
        if (at == 6 * RATE)
            hf_level_set(&level, second, over, 0, at);
        hf_level_apply(&level, at, &bus);
        assert_memory_equal(bus.left, bus.right, sizeof bus.left);
        memcpy(gains + at, bus.left, sizeof bus.left);
    }
}

static void assert_gain(double seconds, double expected)
{
    double found = (double)gains[(int)(seconds * RATE)];
    if (fabs(found - expected) > 1e-6)
        fail_msg("at %g s: %.9g, expected %.9g", seconds, found, expected);
}

/* derived: a raised cosine from a to b in n samples moves by at most pi / 2 |a - b| / n a sample.
 */
static void assert_smooth(double span, int64_t over)
{
    for (int i = 1; i < SAMPLES; i++)
        assert_true(fabs((double)gains[i] - (double)gains[i - 1]) <=
                    1.5708 * span / (double)over + 1e-6);
}

static void a_level_is_reached_by_a_slow_fade(void **state)
{
    (void)state;
    float low = (float)gain_of(-12);
    run(low, 2 * RATE, 0, low);
    assert_gain(0.9, 1);
    assert_gain(2, (1 + gain_of(-12)) / 2); /* derived: half way in the middle */
    assert_gain(3, gain_of(-12));
    assert_gain(11, gain_of(-12));
    assert_smooth(1 - (double)low, 2 * RATE);
}

static void at_the_start_only_it_comes_and_goes(void **state)
{
    (void)state;
    float low = (float)gain_of(-12);
    run(low, RATE, 3 * RATE, low);
    assert_gain(2, gain_of(-12));
    assert_gain(4, gain_of(-12));
    assert_gain(5, 0);
    assert_gain(6, 0);
    assert_gain(7, gain_of(-12)); /* back, and not above what it was */
    assert_smooth(1 - (double)low, RATE);
}

static void a_new_fade_begins_where_the_last_one_is(void **state)
{
    (void)state;
    run(0, 8 * RATE, 0, 1);
    assert_smooth(1, 8 * RATE);
    assert_gain(0.5, 1);
    assert_true(gains[6 * RATE] < 1 && gains[6 * RATE] > 0);
    assert_gain(11.99, (double)gains[6 * RATE] + (1 - (double)gains[6 * RATE]) *
                                                     (0.5 - 0.5 * cos(3.14159265 * 5.99 / 8)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_begins_whole_and_never_rises),
        cmocka_unit_test(two_rounds_go_down_in_steps_of_two_db),
        cmocka_unit_test(the_schedule_says_when_it_changes),
        cmocka_unit_test(who_goes_on_has_the_level_of_the_place),
        cmocka_unit_test(what_has_no_drone_to_let_go_of_is_refused),
        cmocka_unit_test(a_level_is_reached_by_a_slow_fade),
        cmocka_unit_test(at_the_start_only_it_comes_and_goes),
        cmocka_unit_test(a_new_fade_begins_where_the_last_one_is),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
