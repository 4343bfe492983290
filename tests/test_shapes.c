/* SPDX-License-Identifier: MIT */
/* The search for shapes, against counting through every string and fret. */
#include "check.h"

#include <stdio.h>

#include <holdfast/instrumentfile.h>
#include <holdfast/random.h>
#include <holdfast/shapes.h>

#include "brute.h"

#define COUNT(rows) (sizeof(rows) / sizeof *(rows))

static struct hf_fretboard board_of(const char *name)
{
    struct hf_fretboard board;
    const char *text = hf_instrumentfile_find_builtin(name);
    assert_non_null(text);
    assert_ok(hf_instrumentfile_parse(text, strlen(text), name, name, &board, NULL));
    return board;
}

static struct hf_notes notes_of(const struct hf_fretboard *board, const char *text)
{
    struct hf_strings strings = hf_fretboard_strings(board);
    struct hf_notes_how how = {.strings = &strings};
    struct hf_notes notes;
    struct hf_diag diag;
    if (hf_notes_parse(text, &how, &notes, &diag) != HF_OK)
        fail_msg("%s: %s", text, diag.message);
    return notes;
}

static struct brute_wish wish_of(const struct hf_shapes_ask *ask, int held[12])
{
    struct brute_wish wish = {.pcs = ask->set,
                              .pitches = ask->count,
                              .doubled = ask->doubled && !ask->count,
                              .no_open = ask->no_open,
                              .string_low = ask->string_low,
                              .string_high = ask->string_high,
                              .fret_high = ask->fret_high,
                              .position_low = ask->position_low,
                              .position_high = ask->position_high,
                              .reach_mm = ask->reach_mm,
                              .fingers = ask->fingers};
    for (int i = 0; i < ask->count; i++)
        wish.pitch[i] = ask->midi[i];
    for (int s = 0; s < 12 && ask->held; s++)
        held[s] = ask->held->fret[s];
    wish.held = ask->held ? held : NULL;
    return wish;
}

/* How many ways the slow search would count through. */
static double ways(const struct hf_fretboard *board, const struct brute_wish *wish)
{
    double all = 1;
    for (int s = 0; s < board->strings; s++) {
        int choices = 0;
        for (int f = -1; f <= board->frets - board->capo; f++)
            choices += brute_allowed(board, wish, s, f);
        all *= choices;
    }
    return all;
}

/* The list is what the slow search finds, measured alike, in order; its first is its first. */
static void compare_with_brute_force(const struct hf_fretboard *board,
                                     const struct hf_shapes_ask *ask)
{
    struct hf_shapes found;
    struct hf_shape first;
    struct hf_diag diag = {0};
    bool any = false, is = false;
    int held[12];
    struct brute_wish wish = wish_of(ask, held);
    brute_search(board, &wish);
    assert_ok(hf_shapes_find(board, ask, &found, &diag));
    assert_int_equal(found.count, brute_count);
    for (size_t i = 0; i < found.count; i++) {
        const struct hf_shape *shape = &found.shape[i];
        int at = brute_find(shape->fret);
        assert_true(at >= 0);
        const struct brute_shape *same = &brute_found[at];
        assert_true(fabs(shape->reach_mm - same->reach_mm) < 1e-6);
        assert_int_equal(shape->fingers, same->fingers);
        assert_int_equal(shape->position, same->position);
        assert_int_equal(shape->sounding, same->sounding);
        assert_int_equal(shape->right, same->sounding <= board->plucking ? HF_RIGHT_PLUCK
                                       : same->gap                       ? HF_RIGHT_ROLL
                                                                         : HF_RIGHT_STRUM);
        if (i)
            assert_true(hf_shape_compare(&found.shape[i - 1], shape) < 0);
    }
    assert_ok(hf_shapes_first(board, ask, &any, &first, NULL));
    assert_ok(hf_shapes_first(board, ask, &is, NULL, NULL));
    assert_int_equal(any, found.count > 0);
    assert_int_equal(is, any);
    assert_true(!any || hf_shape_compare(&first, &found.shape[0]) == 0);
    assert_int_equal(hf_shapes_explain(board, ask, &diag), any ? HF_OK : HF_E_USAGE);
    assert_true(any || diag.message[0]);
    hf_shapes_free(&found);
}

/* ---- against brute force --------------------------------------------------------------------- */

static void the_triad_is_found_in_every_way_on_every_instrument(void **state)
{
    (void)state;
    for (const struct hf_instrument *each = hf_instruments; each->name; each++)
        for (int way = 0; way < 4; way++) {
            struct hf_fretboard board = board_of(each->name);
            struct hf_shapes_ask ask;
            hf_shapes_ask_init(&ask, &board);
            ask.set = (hf_pcset)(1 << 0 | 1 << 4 | 1 << 8);
            ask.no_open = way & 1;
            ask.reach_mm = way & 2 ? 70.01 : ask.reach_mm;
            compare_with_brute_force(&board, &ask);
            assert_true(brute_count > 0);
        }
}

static struct hf_fretboard random_board(struct hf_random *random)
{
    struct hf_fretboard board = {.strings = 1 + (int)hf_random_below(random, 7),
                                 .frets = 5 + (int)hf_random_below(random, 20),
                                 .fingers = 1 + (int)hf_random_below(random, 5),
                                 .plucking = 1 + (int)hf_random_below(random, 5)};
    int midi = 26 + (int)hf_random_below(random, 20);
    for (int s = 0; s < board.strings; s++) {
        board.midi[s] = midi;
        midi += (int)hf_random_below(random, 9) - 1;
    }
    board.capo = hf_random_below(random, 4) ? 0 : (int)hf_random_below(random, 5);
    board.scale_mm = 330 + hf_random_below(random, 600);
    board.nut_mm = 6 + hf_random_below(random, 50) / 10.0;
    board.bridge_mm = board.nut_mm + hf_random_below(random, 60) / 10.0;
    board.reach_mm = 40 + hf_random_below(random, 100) + 0.037;
    return board;
}

static void random_notes(struct hf_random *random, const struct hf_fretboard *board,
                         struct hf_shapes_ask *ask)
{
    int count = 1 + (int)hf_random_below(random, (uint32_t)board->strings);
    ask->doubled = hf_random_below(random, 4) == 0; /* means nothing for pitches */
    if (hf_random_below(random, 3) == 0) {
        while (ask->count < count && ask->count < 5) {
            int string = (int)hf_random_below(random, (uint32_t)board->strings);
            int midi = board->midi[string] + (int)hf_random_below(random, 16);
            bool had = false;
            for (int i = 0; i < ask->count; i++)
                had = had || ask->midi[i] == midi;
            if (had)
                count--;
            else
                ask->midi[ask->count++] = midi;
        }
        return;
    }
    while (hf_pcset_size(ask->set) < count)
        ask->set = (hf_pcset)(ask->set | 1u << hf_random_below(random, HF_PCS));
}

static void random_wishes(struct hf_random *random, const struct hf_fretboard *board,
                          struct hf_shapes_ask *ask)
{
    ask->no_open = hf_random_below(random, 4) == 0;
    if (hf_random_below(random, 4) == 0) {
        ask->string_low = (int)hf_random_below(random, (uint32_t)board->strings);
        ask->string_high =
            ask->string_low +
            (int)hf_random_below(random, (uint32_t)(board->strings - ask->string_low));
    }
    if (hf_random_below(random, 4) == 0)
        ask->fret_high = (int)hf_random_below(random, (uint32_t)ask->fret_high + 1);
    if (hf_random_below(random, 4) == 0) {
        ask->position_low = (int)hf_random_below(random, 6);
        ask->position_high = ask->position_low + (int)hf_random_below(random, 6);
    }
}

/* One or two strings that stay, within reach of each other or not. */
static void random_held(struct hf_random *random, const struct hf_fretboard *board,
                        struct hf_shape *held)
{
    hf_shape_init(held);
    for (int i = 0; i < 2; i++) {
        int string = (int)hf_random_below(random, (uint32_t)board->strings);
        int last = hf_fretboard_last(board);
        held->fret[string] = (int8_t)hf_random_below(random, last < 4 ? (uint32_t)last + 1 : 5);
    }
    hf_shape_measure(board, held);
}

static void random_sets_on_random_instruments_are_found_in_every_way(void **state)
{
    (void)state;
    struct hf_random random;
    int cases = 0, none = 0;
    size_t shapes = 0;
    hf_random_init(&random, 6, 2);
    while (cases < 1000) {
        struct hf_fretboard board = random_board(&random);
        struct hf_shapes_ask ask;
        struct hf_shape held;
        int frets[12];
        hf_shapes_ask_init(&ask, &board);
        random_notes(&random, &board, &ask);
        random_wishes(&random, &board, &ask);
        random_held(&random, &board, &held);
        if (hf_random_below(&random, 3) == 0)
            ask.held = &held;
        struct brute_wish wish = wish_of(&ask, frets);
        if (ways(&board, &wish) > 100000)
            continue;
        compare_with_brute_force(&board, &ask);
        cases += brute_count > 0;
        none += brute_count == 0;
        shapes += (size_t)brute_count;
    }
    printf("# %zu shapes in 1000 cases, none in %d more\n", shapes, none);
    assert_true(none > 0);
}

/* ---- what guitarists know -------------------------------------------------------------------- */

static bool list_has(const struct hf_fretboard *board, const struct hf_shapes *list,
                     const char *frets)
{
    for (size_t i = 0; i < list->count; i++) {
        char text[HF_SHAPE_TEXT];
        if (!strcmp(hf_shape_format(board, &list->shape[i], text), frets))
            return true;
    }
    return false;
}

/* Common practice, no source. */
static void open_position_chords_are_found_with_doubled_notes(void **state)
{
    (void)state;
    static const struct {
        const char *notes, *frets;
    } rows[] = {{"C E G", "x-3-2-0-1-0"},    {"A C# E", "x-0-2-2-2-0"}, {"G B D", "3-2-0-0-0-3"},
                {"E G# B", "0-2-2-1-0-0"},   {"D F# A", "x-x-0-2-3-2"}, {"A C E", "x-0-2-2-1-0"},
                {"E G B", "0-2-2-0-0-0"},    {"D F A", "x-x-0-2-3-1"},  {"F A C", "1-3-3-2-1-1"},
                {"B D# F# A", "x-2-1-2-0-2"}};
    struct hf_fretboard board = board_of("guitar");
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct hf_notes notes = notes_of(&board, rows[i].notes);
        struct hf_shapes_ask ask;
        struct hf_shapes list;
        hf_shapes_ask_init(&ask, &board);
        hf_shapes_ask_notes(&ask, &notes);
        ask.doubled = true;
        assert_ok(hf_shapes_find(&board, &ask, &list, NULL));
        if (!list_has(&board, &list, rows[i].frets))
            fail_msg("%s is not found as %s", rows[i].notes, rows[i].frets);
        hf_shapes_free(&list);
    }
}

static void the_contracts_shape_is_found_for_its_pitches(void **state)
{
    (void)state;
    static const char *const lists[] = {"C3 E3 G#3", "x-3-2-1-x-x", "0 4 8"};
    struct hf_fretboard board = board_of("guitar");
    for (size_t i = 0; i < COUNT(lists); i++) {
        struct hf_notes notes = notes_of(&board, lists[i]);
        struct hf_shapes_ask ask;
        struct hf_shapes list;
        hf_shapes_ask_init(&ask, &board);
        hf_shapes_ask_notes(&ask, &notes);
        assert_ok(hf_shapes_find(&board, &ask, &list, NULL));
        assert_true(list_has(&board, &list, "x-3-2-1-x-x"));
        assert_false(list_has(&board, &list, "x-3-2-1-1-x"));
        hf_shapes_free(&list);
    }
}

/* ---- order ----------------------------------------------------------------------------------- */

static void movement_is_counted_from_the_notes_that_were_given(void **state)
{
    (void)state;
    struct hf_fretboard board = board_of("guitar");
    struct hf_notes notes = notes_of(&board, "C E G#");
    struct hf_shapes_ask ask;
    struct hf_shapes list;
    static const int from[] = {48, 52, 56};
    struct hf_voicing start = hf_voicing_of(from, 3);
    bool ties = false;
    hf_shapes_ask_init(&ask, &board);
    hf_shapes_ask_notes(&ask, &notes);
    ask.from = &start;
    assert_ok(hf_shapes_find(&board, &ask, &list, NULL));
    for (size_t i = 0; i < list.count; i++) {
        struct hf_voicing voicing = hf_shape_voicing(&board, &list.shape[i]);
        assert_int_equal(list.shape[i].movement, hf_voicing_movement(&start, &voicing));
        if (i && list.shape[i].reach_mm <= list.shape[i - 1].reach_mm) {
            ties = true;
            assert_true(list.shape[i].movement >= list.shape[i - 1].movement);
        }
    }
    assert_true(ties);
    hf_shapes_free(&list);
}

/* ---- reasons --------------------------------------------------------------------------------- */

struct wish {
    const char *instrument, *notes, *held;
    double reach_mm; /* 0: the instrument's */
    int fingers;     /* 0: the instrument's */
    int position_low, position_high, fret_high;
    bool no_open;
    int string_low, string_high; /* high 0: all */
    const char *says;
};

static void what_cannot_be_played_is_told_with_the_reason(void **state)
{
    (void)state;
    /* derived: from the open strings E2 A2 D3 G3 B3 E4, 19 frets, and the published fret wires */
    static const struct wish rows[] = {
        {"guitar", "C2 E3", .says = "C2 is too low by 4 semitones: the lowest string is E2"},
        {"guitar", "D#2", .says = "D#2 is too low by 1 semitone: the lowest string is E2"},
        {"guitar", "E6", .says = "E6 is too high by 5 semitones: the highest fret is B5"},
        {"bass", "0 1 2 3 4", .says = "too many notes: 5, and the instrument has 4 strings"},
        {"guitar", "E2 F2", .says = "E2, F2 lie only on string 1, and a string sounds one note"},
        {"guitar", "E2 A2 A#2 B2",
         .says = "E2, A2, A#2 lie only on strings 1, 2, and a string sounds one note"},
        {"guitar", "F2 G4 F5", .says = "mm over 100: from F2 (string 1, fret 1) to "},
        {"guitar", "F2 C3", .reach_mm = 60,
         .says = "reach 68 mm over 60: from F2 (string 1, fret 1) to C3 (string 2, fret 3)"},
        {"guitar", "F2 B2 E3 G3 C4 F4", .fingers = 1, .says = " fingers over 1, as in "},
        {"guitar", "C E G", .position_low = 25, .position_high = 30,
         .says = "no shape is left by --position"},
        {"guitar", "E2 A2 D3", .no_open = true, .says = "no shape is left by --open no"},
        {"guitar", "E2 A2 D3", .string_low = 1, .string_high = 5,
         .says = "no shape is left by --strings"},
        {"guitar", "G5", .fret_high = 12, .says = "no shape is left by --frets"},
        {"guitar", "G5 C#5", .fret_high = 12, .position_low = 1, .position_high = 2,
         .says = "no shape is left by --position and --frets together"},
        {"guitar", "E2 A2 D3", .no_open = true, .position_low = 25, .position_high = 30,
         .says = "no shape is left by --position and --open no together"},
        {"guitar", "C# D G", "3-3-2-1-x-x", .says = "3 notes to add, and 2 strings are free"},
        {"guitar", "E2", "3-x-x-x-x-x", .says = "E2 lies only on strings that are held"},
        {"guitar", "{}", .says = "there are no notes to play"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct wish *row = &rows[i];
        struct hf_fretboard board = board_of(row->instrument);
        struct hf_notes notes = notes_of(&board, row->notes);
        struct hf_shapes_ask ask;
        struct hf_shape held;
        struct hf_diag diag = {0};
        hf_shapes_ask_init(&ask, &board);
        hf_shapes_ask_notes(&ask, &notes);
        ask.reach_mm = row->reach_mm > 0 ? row->reach_mm : ask.reach_mm;
        ask.fingers = row->fingers ? row->fingers : ask.fingers;
        ask.position_low = row->position_high ? row->position_low : ask.position_low;
        ask.position_high = row->position_high ? row->position_high : ask.position_high;
        ask.fret_high = row->fret_high ? row->fret_high : ask.fret_high;
        ask.no_open = row->no_open;
        ask.string_low = row->string_high ? row->string_low : ask.string_low;
        ask.string_high = row->string_high ? row->string_high : ask.string_high;
        if (row->held) {
            struct hf_notes frets = notes_of(&board, row->held);
            assert_ok(hf_shape_of_notes(&board, &frets, &held, NULL));
            ask.held = &held;
        }
        if (hf_shapes_explain(&board, &ask, &diag) != HF_E_USAGE ||
            !strstr(diag.message, row->says))
            fail_msg("%s: \"%s\"", row->notes, diag.message);
    }
}

static void a_short_neck_may_lack_a_pitch_class(void **state)
{
    (void)state;
    struct hf_fretboard board = {.strings = 1,
                                 .midi = {40},
                                 .frets = 3,
                                 .scale_mm = 650,
                                 .nut_mm = 8,
                                 .bridge_mm = 10,
                                 .reach_mm = 100,
                                 .fingers = 4,
                                 .plucking = 4};
    struct hf_shapes_ask ask;
    struct hf_diag diag = {0};
    hf_shapes_ask_init(&ask, &board);
    ask.set = 1 << 0;
    assert_int_equal(hf_shapes_explain(&board, &ask, &diag), HF_E_USAGE);
    assert_non_null(strstr(diag.message, "no string has C within 3 frets"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_triad_is_found_in_every_way_on_every_instrument),
        cmocka_unit_test(random_sets_on_random_instruments_are_found_in_every_way),
        cmocka_unit_test(open_position_chords_are_found_with_doubled_notes),
        cmocka_unit_test(the_contracts_shape_is_found_for_its_pitches),
        cmocka_unit_test(movement_is_counted_from_the_notes_that_were_given),
        cmocka_unit_test(what_cannot_be_played_is_told_with_the_reason),
        cmocka_unit_test(a_short_neck_may_lack_a_pitch_class),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
