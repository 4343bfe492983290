/* SPDX-License-Identifier: MIT */
/*
 * A session from a chord of a score: what is held lies as it does there, its own completion comes
 * first, as it lies there, and then the session is one like any other. With and without a hand.
 * derived: the contract, --from and --order; facts of 6-Z17: the ring is of movements of four
 * semitones, and a round has each of the six once.
 */
#include "check.h"

#include <stdio.h>
#include <string.h>

#include <holdfast/instrumentfile.h>
#include <holdfast/schedule.h>

enum { SIX = 6, HELD = 0x111, OWN = 0x86 /* C# D G */ };

static struct hf_schedule schedule; /* large */

struct wish {
    enum hf_option key;
    const char *text;
};

static struct hf_fretboard board_of(const char *name)
{
    struct hf_fretboard board;
    const char *text = hf_instrumentfile_find_builtin(name);
    assert_non_null(text);
    assert_ok(hf_instrumentfile_parse(text, strlen(text), name, name, &board, NULL));
    return board;
}

/* A request with the two halves of a chord, as the command line makes it. */
static struct hf_request request_of(const char *held, const char *added, const char *instrument,
                                    const struct wish *wishes, uint64_t seed)
{
    struct hf_request r;
    struct hf_notes halves[2];
    hf_request_init(&r);
    r.seed = seed;
    for (; wishes->text; wishes++)
        assert_ok(hf_request_set(&r, wishes->key, wishes->text, NULL));
    if (instrument) {
        struct hf_fretboard board = board_of(instrument);
        assert_ok(hf_request_set(&r, HF_OPT_HAND, instrument, NULL));
        hf_request_take_board(&r, &board);
    }
    assert_ok(hf_notes_parse(held, NULL, &halves[0], NULL));
    if (added) {
        assert_ok(hf_notes_parse(added, NULL, &halves[1], NULL));
        assert_ok(hf_request_split(&r, &halves[0], &halves[1], NULL));
    } else {
        r.held = halves[0];
        r.given[HF_OPT_HELD] = true;
    }
    assert_ok(hf_request_resolve(&r, NULL));
    return r;
}

static void its_own_completion_comes_first_and_each_once_a_round(void **state)
{
    (void)state;
    static const char *const orders[] = {"shuffle", "near", "far", "ring", "listed"};
    for (size_t i = 0; i < sizeof orders / sizeof orders[0]; i++)
        for (uint64_t seed = 0; seed < 30; seed++) {
            struct hf_request r = request_of(
                "C3 E3 G#3", "G4 C#5 D6", NULL,
                (const struct wish[]){{HF_OPT_ORDER, orders[i]}, {HF_OPT_SEED, NULL}}, seed);
            struct hf_cue cue;
            hf_pcset last = 0;
            unsigned come = 0;
            int count = 0;
            assert_ok(hf_schedule_init(&schedule, &r, NULL));
            for (; hf_schedule_next(&schedule, &cue); count++) {
                if (count == 0) {
                    assert_int_equal(cue.pcs, OWN);
                    assert_int_equal(cue.voicing.notes[0], 67); /* as it lies in the chord */
                    assert_int_equal(cue.voicing.notes[1], 73);
                    assert_int_equal(cue.voicing.notes[2], 86);
                }
                if (strcmp(orders[i], "ring") == 0 && last)
                    assert_int_equal(hf_pcset_movement(last, cue.pcs, NULL), 4);
                last = cue.pcs;
                come = count % SIX ? come : 0;
                come |= 1u << cue.id;
                if (count % SIX == SIX - 1)
                    assert_int_equal(come, 0x7e);
            }
            assert_int_equal(count, 2 * SIX);
            hf_schedule_deinit(&schedule);
        }
}

/* published: standard tuning: x-3-2-1 is C3 E3 G#3, and 9, 3 and 3 on the first, fifth and sixth
 * string are C#3 D4 G4. It is out of reach, and stays as the player gave it. */
static void a_half_in_frets_is_played_where_it_lies(void **state)
{
    (void)state;
    struct hf_request r =
        request_of("x-3-2-1-x-x", "9-x-x-x-3-3", "guitar", /* C#3, D4, G4 */
                   (const struct wish[]){{HF_OPT_HOLD, "hand"}, {HF_OPT_SEED, NULL}}, 1);
    static const int8_t frets[] = {9, 3, 2, 1, 3, 3}; /* both halves in one hand */
    struct hf_cue cue;
    assert_ok(hf_schedule_init(&schedule, &r, NULL));
    assert_true(hf_schedule_next(&schedule, &cue));
    assert_int_equal(cue.pcs, OWN);
    assert_memory_equal(cue.shape.fret, frets, sizeof frets);
    hf_schedule_deinit(&schedule);
    r = request_of("x-3-2-1-x-x", "9-x-x-x-3-3", "guitar",
                   (const struct wish[]){{HF_OPT_SEED, NULL}}, 1);
    static const int8_t added[] = {9, HF_SILENT, HF_SILENT, HF_SILENT, 3, 3};
    assert_ok(hf_schedule_init(&schedule, &r, NULL));
    assert_true(hf_schedule_next(&schedule, &cue));
    assert_memory_equal(cue.shape.fret, added, sizeof added);
    while (hf_schedule_next(&schedule, &cue))
        assert_int_equal(cue.strings, 6);
    hf_schedule_deinit(&schedule);
}

/* In letters: the hand takes the first shape that there is, or none; the notes stay as they are. */
static void a_half_in_letters_gets_a_shape_where_there_is_one(void **state)
{
    (void)state;
    static const struct {
        const char *added;
        int strings;
    } rows[] = {{"C#4 D4 G4", 6}, {"C#1 D6 G7", 0}};
    for (int holds = 0; holds < 2; holds++)
        for (size_t i = 0; i < 2; i++) {
            struct hf_request r =
                request_of("C3 E3 G#3", rows[i].added, "guitar",
                           holds ? (const struct wish[]){{HF_OPT_HOLD, "hand"}, {HF_OPT_SEED, NULL}}
                                 : (const struct wish[]){{HF_OPT_SEED, NULL}},
                           7);
            struct hf_cue cue;
            struct hf_notes notes;
            assert_ok(hf_notes_parse(rows[i].added, NULL, &notes, NULL));
            assert_ok(hf_schedule_init(&schedule, &r, NULL));
            assert_true(hf_schedule_next(&schedule, &cue));
            for (int n = 0; n < 3; n++)
                assert_int_equal(cue.voicing.notes[n], notes.note[n].midi);
            if (!holds)
                assert_int_equal(cue.strings, rows[i].strings);
            assert_true(hf_schedule_next(&schedule, &cue));
            assert_int_equal(cue.strings, 6);
            hf_schedule_deinit(&schedule);
        }
}

/* A tour goes on by what the hand can do from the held grip: each stop has it, and adds three. */
static void a_tour_keeps_the_grip_and_adds_what_it_can(void **state)
{
    (void)state;
    struct hf_request r =
        request_of("x-3-2-1-x-x", NULL, "guitar",
                   (const struct wish[]){{HF_OPT_ORDER, "tour"}, {HF_OPT_SEED, NULL}}, 3);
    struct hf_cue cue;
    int count = 0;
    assert_ok(hf_schedule_init(&schedule, &r, NULL));
    int stops = (int)schedule.stop_count;
    assert_true(stops > 0);
    for (; hf_schedule_next(&schedule, &cue); count++) {
        static const int open_strings[] = {40, 45, 50, 55, 59, 64}; /* published: E2 to E4 */
        hf_pcset sounding = 0;
        for (int string = 0; string < 6; string++)
            if (cue.shape.fret[string] >= 0)
                sounding =
                    (hf_pcset)(sounding |
                               1u << (open_strings[string] + cue.shape.fret[string]) % HF_PCS);
        assert_int_equal(sounding, cue.pcs | HELD);
    }
    assert_int_equal(count, stops); /* once over all of it */
    hf_schedule_deinit(&schedule);
}

/* Where nothing can be added the player is told before anything sounds, and why. */
static void what_no_hand_can_do_is_said(void **state)
{
    (void)state;
    static const struct {
        const char *held, *added, *instrument;
        struct wish wishes[4];
        const char *says;
    } rows[] = {
        {"C3 E3 G#3", NULL, "guitar", {{HF_OPT_REGISTER, "C7:E7"}}, "no shape on"},
        {"C3 E3 G#3",
         NULL,
         "guitar",
         {{HF_OPT_REGISTER, "above"}, {HF_OPT_REACH, "1"}},
         "reach 9 mm over 1"},
        {"C E G#", NULL, "ukulele", {{HF_OPT_HOLD, "hand"}}, "in one hand are 6"},
        {"C E G#", NULL, "ukulele", {{HF_OPT_ORDER, "tour"}}, "in one hand are 6"},
        {"x-15-14-13-x-x",
         NULL,
         "guitar",
         {{HF_OPT_HOLD, "hand"}, {HF_OPT_GRIP, "fixed"}, {HF_OPT_REACH, "30"}},
         "no completion can be played while the held notes stay in the hand"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct hf_request r =
            request_of(rows[i].held, rows[i].added, rows[i].instrument, rows[i].wishes, 1);
        struct hf_diag diag = {0};
        if (hf_schedule_init(&schedule, &r, &diag) != HF_E_USAGE ||
            !strstr(diag.message, rows[i].says))
            fail_msg("row %zu: \"%s\"", i, diag.message);
        assert_true(diag.message[0]);
    }
}

/* Roam with a hand: every choice of every completion has a shape. */
static void each_choice_of_the_player_has_a_shape(void **state)
{
    (void)state;
    struct hf_request r =
        request_of("C3 E3 G#3", NULL, "guitar",
                   (const struct wish[]){{HF_OPT_PRACTICE, "roam"}, {HF_OPT_SEED, NULL}}, 5);
    struct hf_cue cue;
    assert_ok(hf_schedule_init(&schedule, &r, NULL));
    assert_false(hf_schedule_next(&schedule, &cue)); /* the player says which */
    for (int turn = 0; turn < 5 * SIX; turn++) {
        hf_schedule_choose(&schedule, turn % SIX, &cue);
        assert_int_equal(cue.id, turn % SIX + 1);
        assert_int_equal(cue.strings, 6);
    }
    hf_schedule_deinit(&schedule);
}

/* derived: a hand spans as many white keys as asked; two share what is held and added by register
 */
static void at_the_keys_two_hands_hold_and_add(void **state)
{
    (void)state;
    struct hf_request r;
    struct hf_cue cue;
    hf_request_init(&r);
    assert_ok(hf_request_set(&r, HF_OPT_HAND, "keys", NULL));
    assert_ok(hf_request_set(&r, HF_OPT_HOLD, "hand", NULL));
    assert_ok(hf_request_set(&r, HF_OPT_HELD, "C4 E4 G#4", NULL));
    assert_ok(hf_request_set(&r, HF_OPT_REGISTER, "through", NULL));
    assert_ok(hf_request_set(&r, HF_OPT_ROUNDS, "6", NULL));
    assert_ok(hf_request_resolve(&r, NULL));
    assert_ok(hf_schedule_init(&schedule, &r, NULL));
    while (hf_schedule_next(&schedule, &cue)) {
        int all[6], count = 0;
        for (int note = 0; note < 128; note++)
            for (int i = 0; i < 3; i++)
                if (cue.voicing.notes[i] == note || schedule.held.notes[i] == note)
                    all[count++] = note;
        assert_int_equal(count, 6);
        bool fits = false; /* nine white keys are 16 semitones at most */
        for (int left = 0; left <= 6; left++)
            fits |= (left == 0 || all[left - 1] - all[0] <= 16) &&
                    (left == 6 || all[5] - all[left] <= 16);
        assert_true(fits);
    }
    hf_schedule_deinit(&schedule);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(its_own_completion_comes_first_and_each_once_a_round),
        cmocka_unit_test(a_half_in_frets_is_played_where_it_lies),
        cmocka_unit_test(a_half_in_letters_gets_a_shape_where_there_is_one),
        cmocka_unit_test(a_tour_keeps_the_grip_and_adds_what_it_can),
        cmocka_unit_test(what_no_hand_can_do_is_said),
        cmocka_unit_test(each_choice_of_the_player_has_a_shape),
        cmocka_unit_test(at_the_keys_two_hands_hold_and_add),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
