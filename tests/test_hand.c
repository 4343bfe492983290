/* SPDX-License-Identifier: MIT */
/*
 * Cues that lie in the hand: everything is measured here anew, from frets alone, by the published
 * formula of fret positions with the C library's pow, which the program does not use.
 */
#include "check.h"

#include <math.h>
#include <string.h>

#include <holdfast/instrumentfile.h>
#include <holdfast/schedule.h>

static struct hf_schedule schedule; /* large */

struct wish {
    enum hf_option key;
    const char *text;
};

static struct hf_request request_of(const struct wish *wishes, uint64_t seed)
{
    struct hf_request r;
    struct hf_fretboard board;
    const char *text = hf_instrumentfile_find_builtin("guitar");
    assert_ok(hf_instrumentfile_parse(text, strlen(text), "guitar", "guitar", &board, NULL));
    hf_request_init(&r);
    r.seed = seed;
    assert_ok(hf_request_set(&r, HF_OPT_HAND, "guitar", NULL));
    for (; wishes->text; wishes++)
        assert_ok(hf_request_set(&r, wishes->key, wishes->text, NULL));
    hf_request_take_board(&r, &board);
    assert_ok(hf_request_resolve(&r, NULL));
    return r;
}

/* Standard tuning, 650 mm, 8.5 and 11.5 mm between strings: the built-in guitar. */
static const int open_strings[6] = {40, 45, 50, 55, 59, 64};

static double along(int fret)
{
    return 650 * (1 - pow(2, -fret / 12.0)); /* published: the equal-tempered fret formula */
}

static double across(int string, int fret)
{
    return (string + 1 - 3.5) * (8.5 + (11.5 - 8.5) * along(fret) / 650);
}

static double reach_of(const int8_t *frets)
{
    double reach = 0;
    for (int a = 0; a < 6; a++)
        for (int b = a + 1; b < 6; b++)
            if (frets[a] > 0 && frets[b] > 0)
                reach = fmax(reach, hypot(along(frets[a]) - along(frets[b]),
                                          across(a, frets[a]) - across(b, frets[b])));
    return reach;
}

static int lowest_stopped(const int8_t *frets)
{
    int lowest = 0;
    for (int i = 0; i < 6; i++)
        if (frets[i] > 0 && (lowest == 0 || frets[i] < lowest))
            lowest = frets[i];
    return lowest;
}

static hf_pcset sounding(const int8_t *frets)
{
    hf_pcset set = 0;
    for (int i = 0; i < 6; i++)
        if (frets[i] >= 0)
            set = (hf_pcset)(set | 1u << (open_strings[i] + frets[i]) % 12);
    return set;
}

static void assert_playable(const struct hf_cue *cue)
{
    assert_int_equal(cue->strings, 6);
    for (int i = 0; i < 6; i++)
        assert_in_range(cue->shape.fret[i] + 1, 0, 20);
    if (reach_of(cue->shape.fret) > 100.0001)
        fail_msg("a reach of %.1f mm", reach_of(cue->shape.fret));
}

static void sixty_cues_bring_each_in_eight_shapes_and_three_registers(void **state)
{
    (void)state;
    for (uint64_t seed = 0; seed < 20; seed++) {
        struct hf_request r = request_of((const struct wish[]){{HF_OPT_HELD, "C E G#"},
                                                               {HF_OPT_REGISTER, "all"},
                                                               {HF_OPT_ROUNDS, "10"},
                                                               {HF_OPT_SEED, NULL}},
                                         seed);
        struct hf_cue cue;
        int8_t shapes[7][10][6];
        int come[7] = {0}, relations[7] = {0}, cues = 0;
        assert_ok(hf_schedule_init(&schedule, &r, NULL));
        while (hf_schedule_next(&schedule, &cue)) {
            assert_playable(&cue);
            assert_int_equal(sounding(cue.shape.fret), cue.pcs);
            relations[cue.id] |= 1 << hf_voicing_relation(&cue.voicing, &schedule.held);
            bool new_shape = true;
            for (int i = 0; i < come[cue.id]; i++)
                if (memcmp(shapes[cue.id][i], cue.shape.fret, 6) == 0)
                    new_shape = false;
            if (new_shape)
                memcpy(shapes[cue.id][come[cue.id]++], cue.shape.fret, 6);
            cues++;
        }
        assert_int_equal(cues, 60);
        for (int id = 1; id <= 6; id++) {
            if (come[id] < 8)
                fail_msg("seed %d: completion %d in %d shapes", (int)seed, id, come[id]);
            assert_int_equal(relations[id], 7);
        }
        hf_schedule_deinit(&schedule);
    }
}

static void no_leap_is_longer_than_allowed(void **state)
{
    (void)state;
    for (uint64_t seed = 0; seed < 20; seed++) {
        struct hf_request r = request_of((const struct wish[]){{HF_OPT_HELD, "C E G#"},
                                                               {HF_OPT_REGISTER, "all"},
                                                               {HF_OPT_LEAP, "40"},
                                                               {HF_OPT_ROUNDS, "10"},
                                                               {HF_OPT_SEED, NULL}},
                                         seed);
        struct hf_cue cue;
        int last = 0;
        assert_ok(hf_schedule_init(&schedule, &r, NULL));
        while (hf_schedule_next(&schedule, &cue)) {
            int lowest = lowest_stopped(cue.shape.fret);
            assert_playable(&cue);
            if (last && lowest)
                assert_true(fabs(along(last) - along(lowest)) <= 40.0001);
            last = lowest ? lowest : last;
        }
        hf_schedule_deinit(&schedule);
    }
}

static void with_the_held_notes_in_hand_all_six_sound_together(void **state)
{
    (void)state;
    static const char *const helds[] = {"C E G#", "C3 E3 G#3", "x-3-2-1-x-x"};
    for (size_t i = 0; i < 3; i++)
        for (uint64_t seed = 0; seed < 5; seed++) {
            struct hf_request r = request_of((const struct wish[]){{HF_OPT_HELD, helds[i]},
                                                                   {HF_OPT_HOLD, "hand"},
                                                                   {HF_OPT_ROUNDS, "3"},
                                                                   {HF_OPT_SEED, NULL}},
                                             seed);
            struct hf_cue cue;
            assert_ok(hf_schedule_init(&schedule, &r, NULL));
            while (hf_schedule_next(&schedule, &cue)) {
                assert_playable(&cue);
                assert_int_equal(sounding(cue.shape.fret), cue.pcs | 0x111);
                if (!cue.has_hold)
                    continue;
                /* a new grip: its strings are in the shape as they are */
                for (int string = 0; string < 6; string++)
                    if (cue.hold_shape.fret[string] >= 0)
                        assert_int_equal(cue.shape.fret[string], cue.hold_shape.fret[string]);
                assert_int_equal(sounding(cue.hold_shape.fret), 0x111);
            }
            hf_schedule_deinit(&schedule);
        }
}

static void a_fixed_grip_leaves_out_what_cannot_be_added(void **state)
{
    (void)state;
    struct hf_request r = request_of((const struct wish[]){{HF_OPT_HELD, "x-3-2-1-x-x"},
                                                           {HF_OPT_HOLD, "hand"},
                                                           {HF_OPT_GRIP, "fixed"},
                                                           {HF_OPT_SEED, NULL}},
                                     1);
    struct hf_cue cue;
    int cues = 0;
    assert_ok(hf_schedule_init(&schedule, &r, NULL));
    assert_true(hf_schedule_left_out(&schedule) > 0);
    while (hf_schedule_next(&schedule, &cue)) {
        assert_playable(&cue);
        assert_false(cue.has_hold);
        assert_int_equal(cue.shape.fret[1], 3);
        assert_int_equal(cue.shape.fret[2], 2);
        assert_int_equal(cue.shape.fret[3], 1);
        cues++;
    }
    assert_int_equal(cues, 2 * (6 - hf_schedule_left_out(&schedule)));
    hf_schedule_deinit(&schedule);
}

static void order_grip_moves_one_grip_by_four_frets(void **state)
{
    (void)state;
    struct hf_request r = request_of((const struct wish[]){{HF_OPT_HELD, "C E G#"},
                                                           {HF_OPT_ORDER, "grip"},
                                                           {HF_OPT_ROUNDS, "1"},
                                                           {HF_OPT_SEED, NULL}},
                                     1);
    struct hf_cue cue, cues[6];
    int count = 0;
    unsigned seen = 0;
    assert_ok(hf_schedule_init(&schedule, &r, NULL));
    while (hf_schedule_next(&schedule, &cue)) {
        assert_playable(&cue);
        assert_int_equal(sounding(cue.shape.fret), cue.pcs | 0x111);
        seen |= 1u << cue.id;
        cues[count++] = cue;
    }
    assert_int_equal(count, 6);
    assert_int_equal(seen, 0x7e);
    for (int i = 0; i < 6; i++)
        for (int string = 0; i % 3 && string < 6; string++)
            if (cues[i].shape.fret[string] >= 0) /* published: a grip moved four frets */
                assert_int_equal(cues[i].shape.fret[string], cues[i - 1].shape.fret[string] + 4);
    hf_schedule_deinit(&schedule);
}

static void at_the_keys_every_hand_stays_within_its_span(void **state)
{
    (void)state;
    /* A hand of nine white keys reaches 16 semitones at most (common practice, no source). */
    static const char *const registers[] = {"above", "through", "below"};
    for (size_t i = 0; i < 3; i++) {
        struct hf_request r;
        struct hf_cue cue;
        hf_request_init(&r);
        assert_ok(hf_request_set(&r, HF_OPT_HAND, "keys", NULL));
        assert_ok(hf_request_set(&r, HF_OPT_HELD, "C4 E4 G#4", NULL));
        assert_ok(hf_request_set(&r, HF_OPT_REGISTER, registers[i], NULL));
        assert_ok(hf_request_set(&r, HF_OPT_ROUNDS, "8", NULL));
        assert_ok(hf_request_resolve(&r, NULL));
        assert_ok(hf_schedule_init(&schedule, &r, NULL));
        while (hf_schedule_next(&schedule, &cue)) {
            int low = cue.voicing.notes[0], middle = cue.voicing.notes[1];
            int high = cue.voicing.notes[2];
            bool one = high - low <= 16;
            bool two = i == 1 && (middle - low <= 16 || high - middle <= 16);
            assert_true(one || two);
        }
    }
}

static void voicings_are_close_or_open_as_asked(void **state)
{
    (void)state;
    static const char *const ways[] = {"close", "open", "widening"};
    for (size_t i = 0; i < 3; i++) {
        struct hf_request r;
        struct hf_cue cue;
        int widest = 0;
        hf_request_init(&r);
        assert_ok(hf_request_set(&r, HF_OPT_HELD, "C E G#", NULL));
        assert_ok(hf_request_set(&r, HF_OPT_VOICING, ways[i], NULL));
        assert_ok(hf_request_set(&r, HF_OPT_ROUNDS, "6", NULL));
        assert_ok(hf_request_resolve(&r, NULL));
        assert_ok(hf_schedule_init(&schedule, &r, NULL));
        while (hf_schedule_next(&schedule, &cue)) {
            int span = cue.voicing.notes[2] - cue.voicing.notes[0];
            if (i == 0)
                assert_true(span < 12);
            if (i == 1)
                assert_true(span >= 12);
            if (i == 2 && cue.serial <= 6)
                assert_true(span < 12);
            widest = span > widest ? span : widest;
        }
        if (i == 2)
            assert_true(widest >= 12);
    }
}

static void what_needs_a_hand_says_so(void **state)
{
    (void)state;
    static const struct wish alone[] = {{HF_OPT_HOLD, "hand"},
                                        {HF_OPT_REACH, "90"},
                                        {HF_OPT_LEAP, "40"},
                                        {HF_OPT_SPAN, "8"},
                                        {HF_OPT_ORDER, "tour"}};
    for (size_t i = 0; i < sizeof alone / sizeof alone[0]; i++) {
        struct hf_request r;
        struct hf_diag diag;
        hf_request_init(&r);
        assert_ok(hf_request_set(&r, alone[i].key, alone[i].text, NULL));
        assert_int_equal(hf_request_resolve(&r, &diag), HF_E_USAGE);
        assert_non_null(strstr(diag.message, "--hand"));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sixty_cues_bring_each_in_eight_shapes_and_three_registers),
        cmocka_unit_test(no_leap_is_longer_than_allowed),
        cmocka_unit_test(with_the_held_notes_in_hand_all_six_sound_together),
        cmocka_unit_test(a_fixed_grip_leaves_out_what_cannot_be_added),
        cmocka_unit_test(order_grip_moves_one_grip_by_four_frets),
        cmocka_unit_test(at_the_keys_every_hand_stays_within_its_span),
        cmocka_unit_test(voicings_are_close_or_open_as_asked),
        cmocka_unit_test(what_needs_a_hand_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
