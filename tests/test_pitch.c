/* SPDX-License-Identifier: MIT */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <holdfast/pitch.h>

#define COUNT(rows) (sizeof(rows) / sizeof *(rows))

/* published: A4 = 440 Hz, ISO 16:1975; MIDI 1.0 numbers; the rest derived, rounded to 4 places:
 * 440 * 2^((m - 69) / 12). */
static void equal_tempered_pitches_have_the_published_frequencies(void **state)
{
    (void)state;
    const struct {
        int midi;
        double hz;
    } rows[] = {{69, 440.0},    {40, 82.4069},  {48, 130.8128}, {52, 164.8138},
                {56, 207.6523}, {60, 261.6256}, {0, 8.1758},    {127, 12543.8540}};
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_true(fabs(hf_pitch_to_hz(rows[i].midi, 440.0) - rows[i].hz) <= 0.00005);
    assert_true(hf_pitch_to_hz(69, 442.0) == 442.0);
}

/* derived: beats of the equal-tempered thirds, 4th harmonic of the upper against the 5th of the
 * lower. */
static void the_triads_thirds_beat_as_computed(void **state)
{
    (void)state;
    const struct {
        int midi;
        double beats_hz;
    } rows[] = {{48, 5.1912}, {52, 6.5405}, {56, 8.2405}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        double beats =
            4 * hf_pitch_to_hz(rows[i].midi + 4, 440) - 5 * hf_pitch_to_hz(rows[i].midi, 440);
        assert_true(fabs(beats - rows[i].beats_hz) <= 0.00005);
    }
}

/* derived: three pure thirds miss the octave by 128:125, 41.0589 cents. */
static void cents_measure_the_ratio_of_frequencies(void **state)
{
    (void)state;
    assert_true(fabs(hf_pitch_cents(125, 128) - 41.0589) <= 0.00005);
    assert_true(fabs(hf_pitch_cents(440, 220) + 1200) <= 1e-9);
    for (int midi = 0; midi < HF_MIDI_MOST; midi++)
        assert_true(fabs(hf_pitch_cents(hf_pitch_to_hz(midi, 440), hf_pitch_to_hz(midi + 1, 440)) -
                         100) <= 1e-9);
}

static void the_octave_changes_at_c(void **state)
{
    (void)state;
    for (int midi = 0; midi <= HF_MIDI_MOST; midi++)
        assert_int_equal(hf_pitch_octave(midi), midi / 12 - 1);
    assert_int_equal(hf_pitch_octave(-1), -2);
    assert_int_equal(hf_pitch_octave(-12), -2);
    assert_int_equal(hf_pitch_octave(-13), -3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(equal_tempered_pitches_have_the_published_frequencies),
        cmocka_unit_test(the_triads_thirds_beat_as_computed),
        cmocka_unit_test(cents_measure_the_ratio_of_frequencies),
        cmocka_unit_test(the_octave_changes_at_c),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
