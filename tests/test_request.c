/* SPDX-License-Identifier: MIT */
/* Defaults and limits are those of the contract of the command line (the table of options). */
#include "check.h"

#include <math.h>
#include <string.h>

#include <holdfast/request.h>

static struct hf_request fresh(void)
{
    struct hf_request request;
    hf_request_init(&request);
    return request;
}

static void the_defaults_are_those_of_the_contract(void **state)
{
    (void)state;
    struct hf_request r = fresh();
    assert_int_equal(r.practice, HF_PRACTICE_IMPROVISE);
    assert_string_equal(r.added->name, "3-5");
    assert_int_equal(r.cue, HF_CUE_CONFIRM);
    assert_int_equal(r.order, HF_ORDER_SHUFFLE);
    assert_true(r.every.amount == 25 && !r.every.wait);
    assert_true(r.lead_in.amount == 10);
    assert_int_equal(r.where, HF_REGISTER_ABOVE);
    assert_string_equal(r.text[HF_OPT_PATCH], "stopped-pipe");
    assert_string_equal(r.text[HF_OPT_CUE_PATCH], "plucked-nylon");
    assert_true(r.a4_hz == 440 && r.volume_db == 0);
    assert_int_equal(r.bits, 24);
    for (int key = 0; key < HF_OPTIONS; key++)
        assert_false(r.given[key]);
    assert_ok(hf_request_resolve(&r, NULL));
    assert_int_equal(r.rounds, 2);
    assert_int_equal(r.rate_hz, 48000);
}

struct row {
    enum hf_option key;
    const char *text;
    bool good;
};

static void each_option_keeps_to_its_limits(void **state)
{
    (void)state;
    static const struct row rows[] = {
        {HF_OPT_EVERY, "0.1s", true},
        {HF_OPT_EVERY, "1h", true},
        {HF_OPT_EVERY, "0.09s", false},
        {HF_OPT_EVERY, "61m", false},
        {HF_OPT_EVERY, "0", false},
        {HF_OPT_EVERY, "25", false},
        {HF_OPT_EVERY, "infs", false},
        {HF_OPT_EVERY, "nan", false},
        {HF_OPT_EVERY, "1e9s", false},
        {HF_OPT_EVERY, "-1s", false},
        {HF_OPT_EVERY, "wait", true},
        {HF_OPT_EVERY, "0beats", false},
        {HF_OPT_EVERY, "100ms", true},
        {HF_OPT_EVERY, "", false},
        {HF_OPT_LEAD_IN, "0", true},
        {HF_OPT_LEAD_IN, "0s", true},
        {HF_OPT_LEAD_IN, "-1s", false},
        {HF_OPT_ROUNDS, "0", false},
        {HF_OPT_ROUNDS, "1", true},
        {HF_OPT_ROUNDS, "99999999999", false},
        {HF_OPT_ROUNDS, "1.5", false},
        {HF_OPT_A4, "380", true},
        {HF_OPT_A4, "480", true},
        {HF_OPT_A4, "379.9", false},
        {HF_OPT_A4, "480.1", false},
        {HF_OPT_A4, "nan", false},
        {HF_OPT_VOLUME, "-40", true},
        {HF_OPT_VOLUME, "0.1", false},
        {HF_OPT_VOLUME, "-40.1", false},
        {HF_OPT_SEED, "18446744073709551615", true},
        {HF_OPT_SEED, "0", true},
        {HF_OPT_SEED, "18446744073709551616", false},
        {HF_OPT_SEED, "-1", false},
        {HF_OPT_RATE, "8000", true},
        {HF_OPT_RATE, "192000", true},
        {HF_OPT_RATE, "7999", false},
        {HF_OPT_RATE, "192001", false},
        {HF_OPT_RATE, "44100.5", false},
        {HF_OPT_BITS, "16", true},
        {HF_OPT_BITS, "float", true},
        {HF_OPT_BITS, "32", false},
        {HF_OPT_REGISTER, "C4:C6", true},
        {HF_OPT_REGISTER, "C6:C4", false},
        {HF_OPT_REGISTER, "C4", false},
        {HF_OPT_REGISTER, "C:D", false},
        {HF_OPT_REGISTER, "C4:", false},
        {HF_OPT_HELD, "C E G#", true},
        {HF_OPT_HELD, "H", false},
        {HF_OPT_HELD, "{}", false},
        {HF_OPT_HELD, "x-3-2-1-x-x", true},
        {HF_OPT_ADDED, "016", true},
        {HF_OPT_ADDED, "3-5", true},
        {HF_OPT_ADDED, "017", false},
        {HF_OPT_ADDED, "3-13", false},
        {HF_OPT_CUE, "lead", true},
        {HF_OPT_CUE, "loud", false},
        {HF_OPT_PRACTICE, "nap", false},
        {HF_OPT_LABEL, "Ann, Tuesday", true},
        {HF_OPT_LABEL, "a\033b", false},
        {HF_OPT_LABEL, "a\xff", false},
        {HF_OPT_TEMPO, "60", true},
        {HF_OPT_TEMPO, "0", false},
        {HF_OPT_DRONE, "struck", true},
        {HF_OPT_DRONE, "off", true},
        {HF_OPT_DRONE, "loud", false},
        {HF_OPT_RESTRIKE, "0.4s", false},
        {HF_OPT_RESTRIKE, "60s", true},
        {HF_OPT_ROOM, "-60", true},
        {HF_OPT_ROOM, "6.1", false},
        {HF_OPT_TUNING, "pure", true},
        {HF_OPT_SPREAD, "wide", true},
        {HF_OPT_METER, "13", false},
        {HF_OPT_BREAK_EVERY, "off", true},
        {HF_OPT_BREAK_EVERY, "25m", true},
        {HF_OPT_BREAK_EVERY, "0.5s", false},
        {HF_OPT_BREAK_EVERY, "8beats", false},
        {HF_OPT_BREAK_EVERY, "24h", true},
        {HF_OPT_BREAK_EVERY, "25", false},
        {HF_OPT_KIND, "0", false},
        {HF_OPT_KIND, "2", true},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct hf_request r = fresh(), before = r;
        struct hf_diag diag = {0};
        enum hf_status status = hf_request_set(&r, rows[i].key, rows[i].text, &diag);
        if ((status == HF_OK) != rows[i].good)
            fail_msg("%s %s", hf_option_name(rows[i].key), rows[i].text);
        if (status != HF_OK) {
            assert_int_equal(status, HF_E_USAGE);
            assert_true(diag.message[0] != 0);
            assert_memory_equal(&r, &before, sizeof r);
        } else {
            assert_string_equal(r.text[rows[i].key], rows[i].text);
        }
    }
}

static void what_is_not_built_yet_is_refused_with_a_word(void **state)
{
    (void)state;
    struct hf_request r = fresh();
    struct hf_diag diag;
    assert_int_equal(hf_request_set(&r, HF_OPT_VIEW, "staff", &diag), HF_E_USAGE);
    assert_non_null(strstr(diag.message, "not built yet"));
    assert_non_null(strstr(diag.advice, "letters"));
}

static void lengths_become_samples(void **state)
{
    (void)state;
    struct hf_request r = fresh();
    assert_ok(hf_request_set(&r, HF_OPT_RATE, "44100", NULL));
    assert_ok(hf_request_set(&r, HF_OPT_TEMPO, "90", NULL));
    assert_ok(hf_request_set(&r, HF_OPT_EVERY, "8beats", NULL));
    assert_ok(hf_request_set(&r, HF_OPT_LEAD_IN, "1.5m", NULL));
    assert_ok(hf_request_resolve(&r, NULL));
    assert_int_equal(hf_request_samples(&r, r.every), 235200);    /* derived: 8 * 60 / 90 * 44100 */
    assert_int_equal(hf_request_samples(&r, r.lead_in), 3969000); /* derived: 90 * 44100 */
    assert_int_equal(hf_request_a4_mhz(&r), 440000);
}

static void beats_need_a_tempo_and_keep_to_the_limits(void **state)
{
    (void)state;
    struct hf_request r = fresh();
    struct hf_diag diag;
    assert_ok(hf_request_set(&r, HF_OPT_EVERY, "8beats", NULL));
    assert_int_equal(hf_request_resolve(&r, &diag), HF_E_USAGE);
    assert_non_null(strstr(diag.advice, "--tempo"));
    assert_ok(hf_request_set(&r, HF_OPT_EVERY, "1000000beats", NULL));
    assert_ok(hf_request_set(&r, HF_OPT_TEMPO, "60", NULL));
    assert_int_equal(hf_request_resolve(&r, NULL), HF_E_USAGE);
}

static void without_a_held_set_the_seed_chooses_one_of_four_triads(void **state)
{
    (void)state;
    bool seen[4] = {false};
    for (int seed = 0; seed < 64; seed++) {
        struct hf_request r = fresh();
        r.seed = (uint64_t)seed;
        assert_ok(hf_request_resolve(&r, NULL));
        assert_string_equal(hf_setclass_of(r.held.set)->name, "3-12");
        assert_true(hf_notes_placed(&r.held));
        for (int root = 0; root < 4; root++)
            seen[root] |= (r.held.set >> root & 1) != 0;
    }
    assert_true(seen[0] && seen[1] && seen[2] && seen[3]);
}

static void the_held_voicing_is_kept_and_an_octave_slip_is_seen(void **state)
{
    (void)state;
    struct hf_request r = fresh();
    assert_ok(hf_request_set(&r, HF_OPT_HELD, "E2 C4 G#3", NULL));
    assert_ok(hf_request_resolve(&r, NULL));
    assert_string_equal(r.text[HF_OPT_HELD], "E2 G#3 C4");
    struct hf_request w = fresh();
    w.as_written = true;
    assert_ok(hf_request_set(&w, HF_OPT_HELD, "E3 C5 G#4", NULL));
    assert_ok(hf_request_resolve(&w, NULL));
    assert_string_equal(w.text[HF_OPT_HELD], "E2 G#3 C4"); /* echoed as it sounds */
    /* What is resolved reads back as the same, which a journal relies on. */
    struct hf_request again = fresh();
    assert_ok(hf_request_set(&again, HF_OPT_HELD, w.text[HF_OPT_HELD], NULL));
    for (int i = 0; i < 3; i++)
        assert_int_equal(again.held.note[i].midi, w.held.note[i].midi);
}

static void frets_and_numbers_read_back_from_their_echo(void **state)
{
    (void)state;
    static const char *const texts[] = {"x-3-2-1-x-x", "0 4 8", "048", "39T", "(016)", "Cb E G"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct hf_request r = fresh(), again = fresh();
        assert_ok(hf_request_set(&r, HF_OPT_HELD, texts[i], NULL));
        assert_ok(hf_request_resolve(&r, NULL));
        assert_ok(hf_request_set(&again, HF_OPT_HELD, r.text[HF_OPT_HELD], NULL));
        assert_int_equal(again.held.count, r.held.count);
        for (int j = 0; j < r.held.count; j++)
            assert_int_equal(again.held.note[j].midi, r.held.note[j].midi);
    }
}

static void a_wait_has_no_length_in_time(void **state)
{
    (void)state;
    struct hf_request r = fresh();
    assert_ok(hf_request_set(&r, HF_OPT_EVERY, "wait", NULL));
    assert_ok(hf_request_set(&r, HF_OPT_FOR, "5m", NULL));
    assert_int_equal(hf_request_resolve(&r, NULL), HF_E_USAGE);
}

static void a_wide_spread_raises_every_second_note_of_a_set_without_octaves(void **state)
{
    (void)state;
    struct hf_request r = fresh();
    assert_ok(hf_request_set(&r, HF_OPT_HELD, "C E G#", NULL));
    assert_ok(hf_request_set(&r, HF_OPT_SPREAD, "wide", NULL));
    assert_ok(hf_request_resolve(&r, NULL));
    assert_string_equal(r.text[HF_OPT_HELD], "C3 G#3 E4");
    assert_ok(hf_request_resolve(&r, NULL)); /* once is once */
    assert_string_equal(r.text[HF_OPT_HELD], "C3 G#3 E4");
    struct hf_request own = fresh();
    assert_ok(hf_request_set(&own, HF_OPT_HELD, "C3 E3 G#3", NULL));
    assert_ok(hf_request_set(&own, HF_OPT_SPREAD, "wide", NULL));
    assert_ok(hf_request_resolve(&own, NULL));
    assert_string_equal(own.text[HF_OPT_HELD], "C3 E3 G#3"); /* the player's own voicing stays */
}

static void pure_tuning_is_for_augmented_triads(void **state)
{
    (void)state;
    struct hf_request r = fresh();
    struct hf_diag diag;
    assert_ok(hf_request_set(&r, HF_OPT_TUNING, "pure", NULL));
    assert_ok(hf_request_set(&r, HF_OPT_HELD, "C E G", NULL));
    assert_int_equal(hf_request_resolve(&r, &diag), HF_E_USAGE);
    assert_ok(hf_request_set(&r, HF_OPT_HELD, "C E G#", NULL));
    assert_ok(hf_request_resolve(&r, NULL));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_defaults_are_those_of_the_contract),
        cmocka_unit_test(each_option_keeps_to_its_limits),
        cmocka_unit_test(what_is_not_built_yet_is_refused_with_a_word),
        cmocka_unit_test(lengths_become_samples),
        cmocka_unit_test(beats_need_a_tempo_and_keep_to_the_limits),
        cmocka_unit_test(without_a_held_set_the_seed_chooses_one_of_four_triads),
        cmocka_unit_test(the_held_voicing_is_kept_and_an_octave_slip_is_seen),
        cmocka_unit_test(frets_and_numbers_read_back_from_their_echo),
        cmocka_unit_test(a_wait_has_no_length_in_time),
        cmocka_unit_test(a_wide_spread_raises_every_second_note_of_a_set_without_octaves),
        cmocka_unit_test(pure_tuning_is_for_augmented_triads),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
