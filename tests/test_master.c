/* SPDX-License-Identifier: MIT */
/* The player's volume as a gain over time: exact where it rests, a ramp without a step between.
 * Expected gains by the C library's pow and cos, which have no part in the program. */
#include "check.h"

#include <math.h>
#include <stdlib.h>

#include "../src/sound/master.h"

enum { RATE = 48000, RAMP = 2400, SAMPLES = RATE };

static float gains[SAMPLES];

struct turn {
    int64_t at;
    int db;
};

/* A second of gains, with turns at chunks. */
static void run(double begin_db, const struct turn *turns, int count)
{
    struct hf_master master;
    struct hf_transport transport;
    hf_transport_init(&transport, RATE);
    hf_master_init(&master, begin_db, RATE);
    for (int64_t at = 0; at < SAMPLES; at += HF_CHUNK) {
        for (int i = 0; i < count; i++)
            if (turns[i].at == at)
                hf_master_set(&master, turns[i].db, at);
        hf_master_gain(&master, &transport, at, gains + at);
    }
}

static double gain_of(double db)
{
    return pow(10, db / 20);
}

static void assert_gain(int64_t at, double expected)
{
    if (fabs((double)gains[at] - expected) > 2e-7 * expected)
        fail_msg("sample %lld: %.9g, expected %.9g", (long long)at, (double)gains[at], expected);
}

static void a_volume_that_nobody_turns_is_one_number(void **state)
{
    (void)state;
    run(-7.5, NULL, 0);
    for (int i = 0; i < SAMPLES; i++)
        assert_true(gains[i] == gains[0]);
    assert_gain(0, gain_of(-7.5)); /* derived: 10^(dB/20) */
}

static void a_turn_is_a_ramp_of_50_ms_between_two_numbers(void **state)
{
    (void)state;
    const struct turn turn = {6400, -1};
    run(0, &turn, 1);
    for (int i = 0; i < SAMPLES; i++) {
        /* derived: a raised cosine, sin^2 over a quarter of a turn */
        double x = i < turn.at ? 0 : i >= turn.at + RAMP ? 1 : (double)(i - turn.at) / RAMP;
        double risen = pow(sin(x * acos(-1) / 2), 2);
        assert_gain(i, 1 + (gain_of(-1) - 1) * risen);
    }
    assert_true(gains[turn.at + RAMP] == gains[SAMPLES - 1]);
}

/* A key held down turns the volume again before the ramp is over. */
static void turns_within_turns_never_step(void **state)
{
    (void)state;
    struct turn turns[24];
    for (int i = 0; i < 24; i++)
        turns[i] = (struct turn){640 + i * 25 * HF_CHUNK, i < 12 ? -1 - i : i - 23};
    run(0, turns, 24);
    double most = 0;
    for (int i = 1; i < SAMPLES; i++)
        most = fmax(most, fabs((double)gains[i] - (double)gains[i - 1]));
    /* derived: the steepest point of a raised cosine over RAMP samples is its height * pi / 2 /
     * RAMP; no turn is higher than 3 dB, the way that one at the top has left when the next one
     * comes */
    assert_true(most < (1 - gain_of(-3)) * acos(-1) / 2 / RAMP);
    assert_true(most > (1 - gain_of(-1)) * 0.9 * acos(-1) / 2 / RAMP); /* it did move */
    assert_gain(SAMPLES - 1, 1);
}

/* published: the contract: a pause fades over 300 ms to silence, a resume over as much from it, and
 * an end over the fade that its record tells. derived: half a period of a raised cosine. */
static void a_pause_a_resume_and_an_end_fade(void **state)
{
    (void)state;
    enum { FADE = 14400, AT = 6400 };
    for (int which = 0; which < 3; which++) {
        struct hf_master master;
        struct hf_transport t;
        hf_transport_init(&t, RATE);
        hf_master_init(&master, -6, RATE);
        assert_int_equal(t.pause_fade, FADE); /* derived: 0.3 s of 48000 is 225 * 64 */
        *(which == 0 ? &t.out_at : which == 1 ? &t.in_at : &t.end_at) = AT;
        t.end_fade = FADE;
        for (int64_t at = AT; at < SAMPLES; at += HF_CHUNK)
            hf_master_gain(&master, &t, at, gains + at);
        for (int64_t i = 0; i < FADE; i++) {
            double risen = 0.5 - 0.5 * cos(acos(-1) * (double)i / FADE);
            double expected = gain_of(-6) * (which == 1 ? risen : 1 - risen);
            if (fabs((double)gains[AT + i] - expected) > 1e-5)
                fail_msg("%d, sample %d: %.9g, expected %.9g", which, (int)i, (double)gains[AT + i],
                         expected);
        }
        assert_true(fabs((double)gains[AT + FADE + HF_CHUNK] - (which == 1 ? gain_of(-6) : 0)) <
                    1e-6);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_volume_that_nobody_turns_is_one_number),
        cmocka_unit_test(a_turn_is_a_ramp_of_50_ms_between_two_numbers),
        cmocka_unit_test(turns_within_turns_never_step),
        cmocka_unit_test(a_pause_a_resume_and_an_end_fade),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
