/* SPDX-License-Identifier: MIT */
/* The room by its impulse response; the methods stand in tests/measure/hall.h. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/room.h>

#include "measure/hall.h"
#include "measure/measure.h"

static struct hf_room room;

/* Limit of the specification: within 6 % of what is asked, by octaves. */
static void it_dies_away_as_long_as_asked(void **state)
{
    (void)state;
    static const long rates[] = {16000, 48000, 96000};
    assert_true(fabs(hall_asked_t60(48000, 0) - 2.45) < 1e-9);
    assert_true(fabs(hall_asked_t60(48000, 4000) - 1.8) < 1e-9);
    for (size_t r = 0; r < sizeof rates / sizeof *rates; r++) {
        struct hall hall = hall_response(rates[r], 1, 1);
        for (double hz = 250; hz <= 4000; hz *= 2) {
            double asked = hall_asked_t60((double)rates[r], hz);
            assert_true(fabs(hall_t30(&hall, hz) / asked - 1) <= 0.06);
        }
        hall_free(&hall);
    }
}

/* Limits of the specification: flatness 0.42, echo density 0.9 to 1.1. */
static void its_tail_is_like_noise(void **state)
{
    (void)state;
    struct hall hall = hall_response(48000, 1, 1);
    assert_true(hall_flatness(&hall) >= 0.42);
    double density = hall_density(&hall, 0.3, 1.5);
    assert_true(density >= 0.9 && density <= 1.1);
    hall_free(&hall);
}

/* Limits of the specification: 0.05; -3 +-0.3 dB; whichever side the sound is on. */
static void its_sides_have_nothing_in_common(void **state)
{
    (void)state;
    for (int from = 1; from <= 3; from++) {
        struct hall hall = hall_response(48000, from & 1, from >> 1);
        assert_true(fabs(hall_correlation(&hall)) <= 0.05);
        assert_true(fabs(hall_mono_db(&hall) + 3) <= 0.3);
        hall_free(&hall);
    }
}

/* derived: the level is made so that the power of both sides is that of the input. */
static void it_is_as_loud_as_what_goes_in(void **state)
{
    (void)state;
    static const long rates[] = {11025, 48000, 192000};
    for (size_t r = 0; r < sizeof rates / sizeof *rates; r++) {
        double sum = 0;
        for (int side = 0; side < 2; side++) {
            struct hall hall = hall_response(rates[r], side == 0, side == 1);
            sum += pow(10, hall_gain_db(&hall) / 10) / 2;
            hall_free(&hall);
        }
        assert_true(fabs(10 * log10(sum)) < 1);
    }
}

static void lengths_are_primes_and_all_different(void **state)
{
    (void)state;
    static const long rates[] = {8000, 11025, 22050, 44100, 48000, 88200, 192000};
    for (size_t r = 0; r < sizeof rates / sizeof *rates; r++) {
        hf_room_init(&room, rates[r]);
        for (int n = 0; n < HF_ROOM_LINES; n++) {
            for (int d = 2; d < room.delay[n]; d++)
                assert_true(room.delay[n] % d != 0);
            for (int other = 0; other < n; other++)
                assert_true(room.delay[n] != room.delay[other]);
            assert_true(room.delay[n] >= HF_CHUNK);
            assert_true(room.begin[n] + room.size[n] + HF_CHUNK <= HF_ROOM_FLOATS);
            assert_true(room.size[n] >= room.delay[n] + HF_CHUNK - (HF_CHUNK - 1));
        }
        for (int side = 0; side < 2; side++)
            for (int n = 0; n < HF_ROOM_DIFFUSERS; n++)
                assert_in_range(room.diffuser_delay[side][n], 16, 2048 - 48);
    }
}

/* Where a sound lies within a chunk makes no difference, to the bit. */
static void a_sound_may_come_at_any_sample(void **state)
{
    (void)state;
    static const long rates[] = {8000, 48000};
    enum { CHUNKS = 200, N = CHUNKS * HF_CHUNK };
    static float first[2][N], out[2][N];
    for (size_t r = 0; r < 2; r++) {
        for (int offset = 0; offset < HF_CHUNK; offset += 21) {
            hf_room_init(&room, rates[r]);
            for (int c = 0; c < CHUNKS; c++) {
                float in[2][HF_CHUNK] = {{0}};
                if (c == 0)
                    in[0][offset] = 0.5f, in[1][offset] = -0.25f;
                hf_room_render(&room, in[0], in[1], &out[0][c * HF_CHUNK], &out[1][c * HF_CHUNK]);
            }
            if (offset == 0)
                memcpy(first, out, sizeof first);
            size_t size = (size_t)(N - offset) * sizeof(float);
            assert_memory_equal(out[0] + offset, first[0], size);
            assert_memory_equal(out[1] + offset, first[1], size);
        }
    }
}

/* No denormal number goes round for ever: after the longest decay there is exactly nothing. */
static void silence_comes_in_the_end(void **state)
{
    (void)state;
    float in[2][HF_CHUNK] = {{1}, {-1}}, out[2][HF_CHUNK];
    hf_room_init(&room, 48000);
    for (long at = 0; at < 48000 * 20; at += HF_CHUNK) {
        hf_room_render(&room, in[0], in[1], out[0], out[1]);
        memset(in, 0, sizeof in);
    }
    assert_true(measure_peak(out[0], HF_CHUNK) == 0 && measure_peak(out[1], HF_CHUNK) == 0);
    for (int n = 0; n < HF_ROOM_LINES; n++)
        for (int i = 0; i < room.size[n]; i++)
            assert_true(room.memory[room.begin[n] + i] == 0);
}

/* The worst a room can be given: full scale at the frequency it likes best, for a long time. */
static void it_stays_within_bounds(void **state)
{
    (void)state;
    float out[2][HF_CHUNK];
    hf_room_init(&room, 48000);
    double most = 0;
    for (long at = 0; at < 48000 * 20; at += HF_CHUNK) {
        float in[HF_CHUNK];
        for (int i = 0; i < HF_CHUNK; i++)
            in[i] = (float)sin(2 * acos(-1) * 300.0 * (double)(at + i) / 48000);
        hf_room_render(&room, in, in, out[0], out[1]);
        most = fmax(most, fmax(measure_peak(out[0], HF_CHUNK), measure_peak(out[1], HF_CHUNK)));
    }
    assert_true(most < 8);
}

static void every_width_gives_the_same_bits(void **state)
{
    (void)state;
    static float first[HF_CHUNK * 400];
    bool have = false;
    for (const struct hf_vector *const *v = hf_vector_all(); *v; v++) {
        if (!hf_vector_runs(*v))
            continue;
        hf_vector_use(*v);
        hf_room_init(&room, 44100);
        hf_vector_use(NULL);
        for (int c = 0; c < 400; c++) {
            float in[2][HF_CHUNK], out[2][HF_CHUNK];
            for (int i = 0; i < HF_CHUNK; i++) {
                in[0][i] = (float)((c * 31 + i * 7919) % 1000) / 1000.0f;
                in[1][i] = (float)((c * 17 + i * 10473) % 1000) / 1000.0f;
            }
            hf_room_render(&room, in[0], in[1], out[0], out[1]);
            for (int i = 0; i < HF_CHUNK; i++)
                out[0][i] = out[0][i] * 0.5f + out[1][i];
            if (!have)
                memcpy(first + c * HF_CHUNK, out[0], sizeof out[0]);
            assert_memory_equal(first + c * HF_CHUNK, out[0], sizeof out[0]);
        }
        have = true;
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_dies_away_as_long_as_asked),
        cmocka_unit_test(its_tail_is_like_noise),
        cmocka_unit_test(its_sides_have_nothing_in_common),
        cmocka_unit_test(it_is_as_loud_as_what_goes_in),
        cmocka_unit_test(lengths_are_primes_and_all_different),
        cmocka_unit_test(a_sound_may_come_at_any_sample),
        cmocka_unit_test(silence_comes_in_the_end),
        cmocka_unit_test(it_stays_within_bounds),
        cmocka_unit_test(every_width_gives_the_same_bits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
