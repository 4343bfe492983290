/* SPDX-License-Identifier: MIT */
/* Where fingers stand and what a shape asks of the hand, against the published formula and against
 * every assignment; and the instruments that ship. */
#include "check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/fretboard.h>
#include <holdfast/instrumentfile.h>
#include <holdfast/random.h>

#define COUNT(rows) (sizeof(rows) / sizeof *(rows))

static struct hf_fretboard board_of(const char *name)
{
    struct hf_fretboard board;
    struct hf_diag diag;
    const char *text = hf_instrumentfile_find_builtin(name);
    assert_non_null(text);
    if (hf_instrumentfile_parse(text, strlen(text), name, name, &board, &diag) != HF_OK)
        fail_msg("%s", diag.message);
    return board;
}

static struct hf_shape shape_of(const struct hf_fretboard *board, const char *frets)
{
    struct hf_strings strings = hf_fretboard_strings(board);
    struct hf_notes_how how = {.strings = &strings};
    struct hf_notes notes;
    struct hf_shape shape;
    struct hf_diag diag;
    if (hf_notes_parse(frets, &how, &notes, &diag) != HF_OK)
        fail_msg("%s: %s", frets, diag.message);
    assert_ok(hf_shape_of_notes(board, &notes, &shape, NULL));
    return shape;
}

static void near_to(double is, double should, double within)
{
    if (!(fabs(is - should) <= within))
        fail_msg("%.12g is not %.12g", is, should);
}

/* ---- places ---------------------------------------------------------------------------------- */

static void fret_wires_lie_by_the_published_formula(void **state)
{
    (void)state;
    static const struct {
        int fret;
        double mm;
    } rows[] = {{1, 36.482}, {5, 163.050}, {7, 216.177}, {12, 325.000}, {19, 433.089}};
    struct hf_fretboard board = board_of("guitar");
    /* published: a scale of 650 mm, to a thousandth */
    for (size_t i = 0; i < COUNT(rows); i++)
        near_to(hf_fretboard_along_mm(&board, rows[i].fret), rows[i].mm, 0.0005);
    board.frets = HF_FRETS_MOST;
    for (int fret = 0; fret <= HF_FRETS_MOST; fret++) /* published: L (1 - 2^(-n/12)) */
        near_to(hf_fretboard_along_mm(&board, fret), 650 * (1 - exp2(-fret / 12.0)), 1e-10);
}

static void spans_of_four_and_five_frets_are_as_published(void **state)
{
    (void)state;
    static const struct {
        int position;
        double four, five;
    } rows[] = {{1, 97.6, 126.6}, {3, 87.0, 112.8}, {5, 77.5, 100.5}, {7, 69.0, 89.5}};
    struct hf_fretboard board = board_of("guitar");
    for (size_t i = 0; i < COUNT(rows); i++) { /* published: exhaustive computation for 650 mm */
        double first = hf_fretboard_along_mm(&board, rows[i].position);
        near_to(hf_fretboard_along_mm(&board, rows[i].position + 3) - first, rows[i].four, 0.05);
        near_to(hf_fretboard_along_mm(&board, rows[i].position + 4) - first, rows[i].five, 0.05);
    }
}

static void strings_spread_evenly_from_nut_to_bridge(void **state)
{
    (void)state;
    struct hf_fretboard board = board_of("guitar");
    for (int s = 0; s < 6; s++) {
        near_to(hf_fretboard_across_mm(&board, s, 0), (s + 1 - 3.5) * 8.5, 1e-12);
        /* derived: half-way to the bridge the spacing is the mean of both */
        near_to(hf_fretboard_across_mm(&board, s, 12), (s + 1 - 3.5) * 10.0, 1e-12);
    }
}

static void a_capo_moves_the_nut_of_the_hand_only(void **state)
{
    (void)state;
    struct hf_fretboard board = board_of("guitar"), with = board;
    with.capo = 3;
    assert_int_equal(hf_fretboard_last(&with), 16);
    assert_int_equal(hf_fretboard_strings(&with).frets, 16);
    for (int fret = 0; fret <= 16; fret++) {
        near_to(hf_fretboard_along_mm(&with, fret), hf_fretboard_along_mm(&board, fret + 3), 1e-12);
        near_to(hf_fretboard_across_mm(&with, 2, fret), hf_fretboard_across_mm(&board, 2, fret + 3),
                1e-12);
    }
    struct hf_shape shape = shape_of(&with, "x-3-2-1-x-x");
    struct hf_shape without = shape_of(&board, "x-6-5-4-x-x");
    int notes[HF_STRINGS_MOST], same[HF_STRINGS_MOST];
    assert_int_equal(hf_shape_notes(&with, &shape, notes), 3);
    hf_shape_notes(&board, &without, same);
    assert_memory_equal(notes, same, 3 * sizeof *notes);
    near_to(shape.reach_mm, without.reach_mm, 1e-9);
}

/* ---- shapes ---------------------------------------------------------------------------------- */

static void the_contracts_shape_is_measured_as_the_contract_says(void **state)
{
    (void)state;
    struct hf_fretboard board = board_of("guitar");
    struct hf_shape shape = shape_of(&board, "x-3-2-1-x-x");
    int notes[HF_STRINGS_MOST], a, b;
    /* published: {"frets":[null,3,2,1,null,null],"notes":[48,52,56],"fingers":3,"reach_mm":69.3,
     * "position":1,"right_hand":"pluck"} */
    assert_int_equal(hf_shape_notes(&board, &shape, notes), 3);
    assert_int_equal(notes[0], 48);
    assert_int_equal(notes[1], 52);
    assert_int_equal(notes[2], 56);
    assert_int_equal(shape.fingers, 3);
    assert_int_equal(shape.position, 1);
    assert_int_equal(shape.right, HF_RIGHT_PLUCK);
    near_to(shape.reach_mm, 69.3, 0.05);
    assert_true(hf_shape_stretch(&board, &shape, &a, &b));
    assert_int_equal(a, 1);
    assert_int_equal(b, 3);
    assert_true(hf_shape_fits(&board, &shape));
    assert_int_equal(hf_shape_set(&board, &shape), 1 << 0 | 1 << 4 | 1 << 8);
}

/* derived: the rule of shared fingers, told by hand for each row. */
static void fingers_are_shared_only_over_strings_that_allow_it(void **state)
{
    (void)state;
    static const struct {
        const char *frets;
        int fingers, position;
    } rows[] =
        {
            {"0-0-0-0-0-0", 0, 0}, {"x-x-x-x-x-5", 1, 5},
            {"1-3-3-2-1-1", 3, 1},                        /* a full barre; 3 3 share */
            {"x-3-2-0-1-0", 3, 1}, {"3-2-0-0-0-3", 3, 2}, /* open strings part the two at fret 3 */
            {"2-0-2-2-x-2", 2, 2}, /* silence lets a finger lie, an open string does not */
            {"2-1-2-x-x-x", 3, 1}, /* a lower fret between */
            {"2-3-2-x-x-x", 2, 2}, /* a higher fret between */
            {"2-x-2-x-x-x", 1, 2}, /* silence between */
            {"5-7-7-5-5-5", 2, 5}, {"2-2-2-1-1-1", 2, 1},
            {"4-4-4-5-5-3", 3, 3}, {"5-6-5-4-5-5", 4, 4},
        };
    struct hf_fretboard board = board_of("guitar");
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct hf_shape shape = shape_of(&board, rows[i].frets);
        if (shape.fingers != rows[i].fingers || shape.position != rows[i].position)
            fail_msg("%s: %d fingers in position %d", rows[i].frets, shape.fingers, shape.position);
    }
}

/* derived: the fewest parts into which the notes of each fret can be cut so that within a part no
 * string between is open or stopped lower, found by trying every cut. */
static int fingers_by_trying(const struct hf_fretboard *board, const struct hf_shape *shape)
{
    int total = 0;
    for (int fret = 1; fret <= HF_FRETS_MOST; fret++) {
        int at[HF_STRINGS_MOST], count = 0, best = HF_STRINGS_MOST;
        for (int s = 0; s < board->strings; s++)
            if (shape->fret[s] == fret)
                at[count++] = s;
        for (unsigned cuts = 0; count && cuts < 1u << (count - 1); cuts++) {
            bool good = true;
            for (int i = 0; i + 1 < count; i++)
                for (int s = at[i]; s <= at[i + 1] && !(cuts >> i & 1); s++)
                    if (shape->fret[s] != HF_SILENT && shape->fret[s] < fret)
                        good = false;
            int parts = 1 + __builtin_popcount(cuts);
            if (good && parts < best)
                best = parts;
        }
        total += count ? best : 0;
    }
    return total;
}

static void measures_agree_with_their_definitions_on_random_shapes(void **state)
{
    (void)state;
    struct hf_random random;
    hf_random_init(&random, 7, 1);
    for (int turn = 0; turn < 20000; turn++) {
        struct hf_fretboard board = board_of(hf_instruments[turn % 7].name);
        struct hf_shape shape;
        hf_shape_init(&shape);
        double reach = 0;
        int first = -1, last = -1, sounding = 0, position = 0;
        for (int s = 0; s < board.strings; s++) {
            int fret = (int)hf_random_below(&random, 7) - 1;
            shape.fret[s] = (int8_t)(fret > 0 ? fret + 4 : fret);
        }
        hf_shape_measure(&board, &shape);
        for (int s = 0; s < board.strings; s++) {
            int f = shape.fret[s];
            if (f == HF_SILENT)
                continue;
            sounding++;
            first = first < 0 ? s : first;
            last = s;
            position = f > 0 && (!position || f < position) ? f : position;
            for (int t = 0; t < s && f > 0; t++) {
                int g = shape.fret[t];
                double x = board.scale_mm * (exp2(-f / 12.0) - exp2(-g / 12.0));
                double wide[2];
                for (int k = 0; k < 2; k++)
                    wide[k] = board.nut_mm +
                              (board.bridge_mm - board.nut_mm) * (1 - exp2(-(k ? g : f) / 12.0));
                double y = (s + 1 - (board.strings + 1) / 2.0) * wide[0] -
                           (t + 1 - (board.strings + 1) / 2.0) * wide[1];
                if (g > 0 && hypot(x, y) > reach)
                    reach = hypot(x, y);
            }
        }
        near_to(shape.reach_mm, reach, 1e-6);
        assert_int_equal(shape.position, position);
        assert_int_equal(shape.sounding, sounding);
        assert_int_equal(shape.fingers, fingers_by_trying(&board, &shape));
        assert_int_equal(shape.right, sounding <= 4                  ? HF_RIGHT_PLUCK
                                      : last - first + 1 == sounding ? HF_RIGHT_STRUM
                                                                     : HF_RIGHT_ROLL);
    }
}

static void a_shape_fits_within_fingers_reach_and_frets(void **state)
{
    (void)state;
    struct hf_fretboard board = board_of("guitar");
    struct hf_shape shape = shape_of(&board, "x-3-2-1-x-x");
    assert_true(hf_shape_fits(&board, &shape));
    board.reach_mm = shape.reach_mm;
    assert_true(hf_shape_fits(&board, &shape));
    board.reach_mm = shape.reach_mm - 0.001;
    assert_false(hf_shape_fits(&board, &shape));
    board.reach_mm = 100;
    board.fingers = 2;
    assert_false(hf_shape_fits(&board, &shape));
    board.fingers = 4;
    board.frets = 2;
    assert_false(hf_shape_fits(&board, &shape));
}

/* ---- two shapes ------------------------------------------------------------------------------ */

static void a_leap_goes_between_lowest_stopped_frets(void **state)
{
    (void)state;
    struct hf_fretboard board = board_of("guitar");
    struct hf_shape low = shape_of(&board, "x-3-2-1-x-x"), high = shape_of(&board, "x-x-9-7-5-x");
    struct hf_shape open = shape_of(&board, "0-0-0-0-0-0");
    /* published: wires 1 and 5 of 650 mm lie at 36.482 and 163.050 */
    near_to(hf_shape_leap_mm(&board, &low, &high), 163.050 - 36.482, 0.001);
    near_to(hf_shape_leap_mm(&board, &high, &low), 163.050 - 36.482, 0.001);
    near_to(hf_shape_leap_mm(&board, &low, &open), 0, 0);
    near_to(hf_shape_leap_mm(&board, &open, &low), 0, 0);
}

/* Every way to send each stopped note of the larger to one of the smaller, none left out. */
static double way_by_trying(const struct hf_fretboard *board, const struct hf_shape *a,
                            const struct hf_shape *b)
{
    const struct hf_shape *many = a->stopped >= b->stopped ? a : b, *few = many == a ? b : a;
    int m[12], f[12], rows = 0, columns = 0;
    double best = 1e9;
    long ways = 1;
    for (int s = 0; s < board->strings; s++) {
        if (many->fret[s] > 0)
            m[rows++] = s;
        if (few->fret[s] > 0)
            f[columns++] = s;
    }
    if (columns == 0)
        return 0;
    for (int i = 0; i < rows; i++)
        ways *= columns;
    for (long way = 0; way < ways; way++) {
        long left = way;
        unsigned met = 0;
        double total = 0;
        for (int i = 0; i < rows; i++, left /= columns) {
            int to = f[left % columns];
            met |= 1u << left % columns;
            total += hf_fretboard_distance_mm(board, m[i], many->fret[m[i]], to, few->fret[to]);
        }
        if (met == (1u << columns) - 1 && total < best)
            best = total;
    }
    return best;
}

static void the_way_of_the_fingers_is_the_least_of_all_assignments(void **state)
{
    (void)state;
    struct hf_fretboard board = board_of("guitar");
    struct hf_random random;
    hf_random_init(&random, 8, 1);
    for (int turn = 0; turn < 1500; turn++) {
        struct hf_shape pair[2];
        for (int side = 0; side < 2; side++) {
            hf_shape_init(&pair[side]);
            for (int s = 0; s < board.strings; s++)
                pair[side].fret[s] = (int8_t)((int)hf_random_below(&random, 12) - 1);
            hf_shape_measure(&board, &pair[side]);
        }
        double way = hf_shape_way_mm(&board, &pair[0], &pair[1]);
        near_to(way, way_by_trying(&board, &pair[0], &pair[1]), 1e-6);
        near_to(hf_shape_way_mm(&board, &pair[1], &pair[0]), way, 1e-6);
    }
}

static void shapes_are_ordered_by_reach_then_movement_then_frets(void **state)
{
    (void)state;
    struct hf_fretboard board = board_of("guitar");
    struct hf_shape wide = shape_of(&board, "x-3-2-1-x-x"),
                    narrow = shape_of(&board, "5-5-x-x-x-x");
    struct hf_shape moved = narrow, other = shape_of(&board, "x-x-x-x-0-0");
    struct hf_shape silent = shape_of(&board, "x-x-x-x-x-0");
    moved.movement = 1;
    assert_true(hf_shape_compare(&narrow, &wide) < 0);
    assert_true(hf_shape_compare(&wide, &narrow) > 0);
    assert_true(hf_shape_compare(&narrow, &moved) < 0);
    assert_true(hf_shape_compare(&silent, &other) < 0);
    assert_int_equal(hf_shape_compare(&wide, &wide), 0);
    assert_true(hf_shape_same(&narrow, &moved));
    assert_false(hf_shape_same(&narrow, &wide));
}

static void frets_are_read_back_and_only_of_the_instrument(void **state)
{
    (void)state;
    static const char *const rows[] = {"x-3-2-1-x-x", "10-10-10-9-9-9", "5-0-x-x-x-x"};
    struct hf_fretboard board = board_of("guitar"), bass = board_of("bass");
    char text[HF_SHAPE_TEXT];
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct hf_shape shape = shape_of(&board, rows[i]);
        assert_string_equal(hf_shape_format(&board, &shape, text), rows[i]);
    }
    struct hf_notes notes;
    struct hf_shape shape;
    struct hf_diag diag;
    assert_ok(hf_notes_parse("x-3-2-1-x-5", NULL, &notes, NULL));
    assert_int_equal(hf_shape_of_notes(&bass, &notes, &shape, &diag), HF_E_USAGE);
    assert_ok(hf_notes_parse("C3 E3", NULL, &notes, NULL));
    assert_int_equal(hf_shape_of_notes(&board, &notes, &shape, &diag), HF_E_USAGE);
    assert_ok(hf_notes_parse("x-x-x-x-x-22", NULL, &notes, NULL));
    assert_int_equal(hf_shape_of_notes(&board, &notes, &shape, &diag), HF_E_USAGE);
}

/* ---- instruments ----------------------------------------------------------------------------- */

static void the_instruments_that_ship_are_as_the_contract_says(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        int strings, low, high, frets;
        double scale, nut, bridge; /* 0: not told */
    } rows[] = {
        {"guitar", 6, 40, 64, 19, 650, 8.5, 11.5}, {"narrow-guitar", 6, 40, 64, 22, 648, 7.0, 10.5},
        {"dropped-d", 6, 38, 64, 19, 0, 0, 0},     {"seven-string", 7, 35, 64, 24, 0, 0, 0},
        {"bass", 4, 28, 43, 20, 0, 0, 0},          {"fourths", 6, 40, 65, 19, 0, 0, 0},
        {"ukulele", 4, 67, 69, 12, 0, 0, 0},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct hf_fretboard board = board_of(rows[i].name);
        assert_string_equal(hf_instruments[i].name, rows[i].name);
        assert_int_equal(board.strings, rows[i].strings);
        assert_int_equal(board.midi[0], rows[i].low);
        assert_int_equal(board.midi[board.strings - 1], rows[i].high);
        assert_int_equal(board.frets, rows[i].frets);
        near_to(board.scale_mm, rows[i].scale > 0 ? rows[i].scale : board.scale_mm, 0);
        near_to(board.nut_mm, rows[i].nut > 0 ? rows[i].nut : board.nut_mm, 0);
        near_to(board.bridge_mm, rows[i].bridge > 0 ? rows[i].bridge : board.bridge_mm, 0);
        near_to(board.reach_mm, 100, 0);
        assert_int_equal(board.fingers, 4);
        assert_int_equal(board.plucking, 4);
        assert_int_equal(board.capo, 0);
        assert_false(board.left_handed);
        assert_string_equal(board.name, rows[i].name);
    }
    assert_null(hf_instruments[COUNT(rows)].name);
    assert_null(hf_instrumentfile_find_builtin("lute"));
}

#define GOOD                                                                                       \
    "[instrument]\nstrings = E2 A2 D3\nfrets = 12\nscale_mm = 650\nnut_spacing_mm = 8\n"           \
    "bridge_spacing_mm = 11\n"

static enum hf_status read_text(const char *text, struct hf_fretboard *board, struct hf_diag *diag)
{
    return hf_instrumentfile_parse(text, strlen(text), "my.ini", "my", board, diag);
}

static void a_file_may_say_all_of_it(void **state)
{
    (void)state;
    struct hf_fretboard board;
    assert_ok(
        read_text("; mine\n[instrument]\nabout = ours\nstrings = A2,A2 D4\nfrets=36\ncapo = 2\n"
                  "scale_mm = 620.5\nnut_spacing_mm = 7\nbridge_spacing_mm = 10\n"
                  "reach_mm = 88.5\nfingers = 3\nplucking_fingers = 5\nleft_handed = yes\n",
                  &board, NULL));
    assert_string_equal(board.about, "ours");
    assert_int_equal(board.strings, 3);
    assert_int_equal(board.midi[0], 45);
    assert_int_equal(board.midi[1], 45);
    assert_int_equal(board.midi[2], 62);
    assert_int_equal(board.frets, 36);
    assert_int_equal(board.capo, 2);
    near_to(board.scale_mm, 620.5, 0);
    near_to(board.reach_mm, 88.5, 0);
    assert_int_equal(board.fingers, 3);
    assert_int_equal(board.plucking, 5);
    assert_true(board.left_handed);
    assert_ok(read_text(GOOD, &board, NULL));
    near_to(board.reach_mm, 100, 0);
    assert_string_equal(board.about, "");
}

static void every_mistake_is_told_with_its_line_and_what_is_allowed(void **state)
{
    (void)state;
    static const struct {
        const char *text, *says;
    } rows[] = {
        {"", "my.ini:1: [instrument]: strings is missing"},
        {"[instrument]\nfrets = 12\n", "my.ini:1: [instrument]: strings is missing"},
        {"strings = E2\n", "my.ini:1: a key stands before [instrument]"},
        {"[guitar]\n", "my.ini:1: [guitar]: unknown section (allowed: instrument)"},
        {"[]\n", "my.ini:1: []: unknown section (allowed: instrument)"},
        {GOOD "[instrument]\n", "my.ini:7: [instrument]: repeated section (first in line 1)"},
        {GOOD "colour = red\n", "my.ini:7: [instrument] colour = red: unknown key"},
        {GOOD "reach = 3\n",
         "my.ini:7: [instrument] reach = 3: unknown key (its unit is missing: reach_mm)"},
        {GOOD "frets = 3\n", "my.ini:7: [instrument] frets = 3: repeated key (first in line 3)"},
        {GOOD "nonsense\n", "my.ini:7: neither [section] nor key = value"},
        {GOOD "capo = 12\n", "my.ini:7: [instrument] capo = 12: no fret is left of 12 (allowed: 0 "
                             "to 11)"},
        {GOOD "capo = -1\n", "my.ini:7: [instrument] capo = -1: out of range (allowed: 0 to 24)"},
        {GOOD "reach_mm = inf\n",
         "my.ini:7: [instrument] reach_mm = inf: not a number (allowed: 1 to 1000)"},
        {GOOD "reach_mm = nan\n",
         "my.ini:7: [instrument] reach_mm = nan: not a number (allowed: 1 to 1000)"},
        {GOOD "reach_mm = -5\n",
         "my.ini:7: [instrument] reach_mm = -5: out of range (allowed: 1 to 1000)"},
        {GOOD "reach_mm = 1.2345678901234567\n", "more than 15 digits"},
        {GOOD "fingers = 6\n",
         "my.ini:7: [instrument] fingers = 6: out of range (allowed: 1 to 5)"},
        {GOOD "fingers = 2.5\n", "not a whole number (allowed: 1 to 5)"},
        {GOOD "plucking_fingers = 0\n", "out of range (allowed: 1 to 5)"},
        {GOOD "left_handed = maybe\n",
         "my.ini:7: [instrument] left_handed = maybe: must be yes or no"},
        {GOOD "about =\n", "too short or too long, in bytes (allowed: 1 to 99)"},
        {GOOD "about = 0123456789012345678901234567890123456789012345678901234567890123456789"
              "012345678901234567890123456789\n",
         "too short or too long, in bytes (allowed: 1 to 99)"},
        {GOOD "left_handed = Yes\n", "left_handed = Yes: must be yes or no"},
        {GOOD "= 3\n", "my.ini:7: [instrument]  = 3: unknown key"},
        {"[instrument]\nfrets = 37\n",
         "my.ini:2: [instrument] frets = 37: out of range (allowed: 1 to 36)"},
        {"[instrument]\nfrets = 0\n", "out of range (allowed: 1 to 36)"},
        {"[instrument]\nscale_mm = -650\n", "out of range (allowed: 100 to 2000)"},
        {"[instrument]\nscale_mm = 1e999\n", "(allowed: 100 to 2000)"},
        {"[instrument]\nnut_spacing_mm = 0\n", "out of range (allowed: 1 to 60)"},
        {"[instrument]\nbridge_spacing_mm = 61\n", "out of range (allowed: 1 to 60)"},
        {"[instrument]\nstrings =\n", "no strings (allowed: 1 to 12 notes)"},
        {"[instrument]\nstrings = , ,\n", "no strings (allowed: 1 to 12 notes)"},
        {"[instrument]\nstrings = E2 A2 D3 E2 A2 D3 E2 A2 D3 E2 A2 D3 G3\n",
         "more than 12 strings (allowed: 1 to 12)"},
        {"[instrument]\nstrings = E2 H2\n",
         "\"H2\" is no note with its octave (allowed: C-1 to G9)"},
        {"[instrument]\nstrings = E A D\n", "\"E\" is no note with its octave"},
        {"[instrument]\nstrings = 40\n", "\"40\" is no note with its octave"},
        {"[instrument]\nstrings = C10\n", "\"C10\" is no note with its octave"},
        {"[instrument]\nstrings = x-3\n", "\"x-3\" is no note with its octave"},
        {"[instrument]\nstrings = G8\nfrets = 13\nscale_mm = 650\nnut_spacing_mm = 8\n"
         "bridge_spacing_mm = 11\n",
         "my.ini:2: [instrument] strings: G8 passes G9 within 13 frets (allowed: C-1 to G9)"},
        {GOOD " frets = 3\n", "my.ini:7: line begins with a space"},
        {GOOD "about = \x01\n", "my.ini:7: control byte"},
        {GOOD "about = \xff\n", "my.ini:7: not UTF-8"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct hf_fretboard board;
        struct hf_diag diag = {0};
        memset(&board, 0x55, sizeof board);
        struct hf_fretboard before = board;
        if (read_text(rows[i].text, &board, &diag) != HF_E_DATA ||
            !strstr(diag.message, rows[i].says))
            fail_msg("row %zu says \"%s\"", i, diag.message);
        assert_memory_equal(&board, &before, sizeof board);
    }
    struct hf_diag diag;
    struct hf_fretboard board;
    assert_ok(read_text(GOOD "left_handed = yes\n", &board, &diag));
    assert_true(board.left_handed);
    assert_ok(read_text(GOOD "left_handed = no\n", &board, &diag));
    assert_false(board.left_handed);
    assert_int_equal(read_text(GOOD "colour = red\n", &board, &diag), HF_E_DATA);
    assert_non_null(strstr(diag.advice, "strings, frets, capo, scale_mm"));
    assert_int_equal(diag.line, 7);
}

/* Cut or with a byte changed anywhere, a file is read or refused, and says why. */
static void no_damage_goes_without_a_word(void **state)
{
    (void)state;
    const char *text = hf_instrumentfile_find_builtin("guitar");
    struct hf_random random;
    hf_random_init(&random, 9, 1);
    for (int turn = 0; turn < 20000; turn++) {
        char copy[400];
        size_t length = strlen(text);
        memcpy(copy, text, length);
        for (int i = 0; i < 1 + turn % 3; i++)
            copy[hf_random_below(&random, (uint32_t)length)] = (char)hf_random_below(&random, 256);
        length = turn % 5 == 0 ? hf_random_below(&random, (uint32_t)length) : length;
        struct hf_fretboard board;
        struct hf_diag diag = {0};
        enum hf_status status = hf_instrumentfile_parse(copy, length, "f", "f", &board, &diag);
        assert_true(status == HF_OK || (status == HF_E_DATA && diag.message[0]));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fret_wires_lie_by_the_published_formula),
        cmocka_unit_test(spans_of_four_and_five_frets_are_as_published),
        cmocka_unit_test(strings_spread_evenly_from_nut_to_bridge),
        cmocka_unit_test(a_capo_moves_the_nut_of_the_hand_only),
        cmocka_unit_test(the_contracts_shape_is_measured_as_the_contract_says),
        cmocka_unit_test(fingers_are_shared_only_over_strings_that_allow_it),
        cmocka_unit_test(measures_agree_with_their_definitions_on_random_shapes),
        cmocka_unit_test(a_shape_fits_within_fingers_reach_and_frets),
        cmocka_unit_test(a_leap_goes_between_lowest_stopped_frets),
        cmocka_unit_test(the_way_of_the_fingers_is_the_least_of_all_assignments),
        cmocka_unit_test(shapes_are_ordered_by_reach_then_movement_then_frets),
        cmocka_unit_test(frets_are_read_back_and_only_of_the_instrument),
        cmocka_unit_test(the_instruments_that_ship_are_as_the_contract_says),
        cmocka_unit_test(a_file_may_say_all_of_it),
        cmocka_unit_test(every_mistake_is_told_with_its_line_and_what_is_allowed),
        cmocka_unit_test(no_damage_goes_without_a_word),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
