/* SPDX-License-Identifier: MIT */
/* What stands where on the screen, and why it must. Expectations come from issue "at the music
 * stand" (sizes, what is second in size, what moves) or from counting; no picture is kept. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check.h"

#include <holdfast/pairing.h>

#include "../src/cli/grid.h"
#include "../src/cli/letters.h"

enum { RATE = 8000, GUARD = 0xdead };

static struct grid grid, other;

static struct scene find_scene(void)
{
    struct scene scene = {.state = SCENE_CUE,
                          .large = "D Eb A",
                          .word = "find",
                          .held = "C E G#",
                          .has_bar = true,
                          .left = 0.5,
                          .change = 0.25,
                          .what = "sound in",
                          .in = 5 * RATE,
                          .rate_hz = RATE,
                          .now = 130 * RATE,
                          .cue = 3,
                          .cues = 12,
                          .round = 1,
                          .rounds = 2};
    return scene;
}

/* ---- looking at a grid ----------------------------------------------------------------------- */

static uint32_t code_at(const struct grid *g, int row, int col)
{
    return g->cells[row * g->cols + col].code;
}

/* A row's characters; a block is '#'. */
static const char *row_text(const struct grid *g, int row)
{
    static char text[GRID_COLS_MOST + 1];
    for (int c = 0; c < g->cols; c++) {
        uint32_t code = code_at(g, row, c);
        text[c] = code < 0x7f ? (char)code : code >= 0x2580 && code < 0x2590 ? '#' : '~';
    }
    text[g->cols] = 0;
    return text;
}

static bool has_text(const struct grid *g, const char *text)
{
    for (int row = 0; row < g->rows; row++)
        if (strstr(row_text(g, row), text))
            return true;
    return false;
}

/* Rows between the first and the last that have a block of this style. */
static int rows_of(const struct grid *g, enum grid_style style)
{
    int first = -1, last = -2;
    for (int i = 0; i < g->rows * g->cols; i++)
        if (g->cells[i].style == style && g->cells[i].code >= 0x2580 && g->cells[i].code < 0x2590) {
            last = i / g->cols;
            first = first < 0 ? last : first;
        }
    return last - first + 1;
}

/* Eighths of cells that the lowest row's bar fills. */
static int eighths(const struct grid *g)
{
    int sum = 0;
    for (int c = 0; c < g->cols; c++) {
        uint32_t code = code_at(g, g->rows - 1, c);
        if (code >= 0x2588 && code <= 0x258f)
            sum += 0x2590 - (int)code;
    }
    return sum;
}

/* ---- tests ----------------------------------------------------------------------------------- */

static void the_notes_are_seven_rows_high_or_more_from_the_least_size_up(void **state)
{
    (void)state;
    struct scene scene = find_scene();
    for (int rows = GRID_ROWS_LEAST; rows <= 60; rows++)
        for (int cols = GRID_COLS_LEAST; cols <= 200; cols += 5) {
            grid_draw(&scene, rows, cols, false, &grid);
            assert_true(rows_of(&grid, GRID_NOTES) >= 7);
        }
}

static void what_to_do_is_second_in_size(void **state)
{
    (void)state;
    static const int sizes[][2] = {{12, 40}, {24, 80}, {50, 160}};
    struct scene scene = find_scene();
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        grid_draw(&scene, sizes[i][0], sizes[i][1], false, &grid);
        assert_true(rows_of(&grid, GRID_WORD) >= 3);
        assert_true(rows_of(&grid, GRID_WORD) < rows_of(&grid, GRID_NOTES));
        assert_true(rows_of(&grid, GRID_HELD) <= rows_of(&grid, GRID_WORD));
    }
}

static void letters_are_large_enough_for_two_metres(void **state)
{
    (void)state;
    /* derived: 20 arc minutes at 2000 mm are 2000 * tan(20 / 60 degrees) = 11.6 mm; on a screen
     * that is 180 mm high, at 24 and at 50 lines */
    static const int sizes[][2] = {{24, 80}, {50, 160}};
    struct scene scene = find_scene();
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        grid_draw(&scene, sizes[i][0], sizes[i][1], false, &grid);
        double row_mm = 180.0 / sizes[i][0];
        assert_true(rows_of(&grid, GRID_NOTES) * row_mm >= 11.6);
        assert_true(rows_of(&grid, GRID_WORD) * row_mm >= 11.6);
        assert_true(rows_of(&grid, GRID_HELD) * row_mm >= 11.6);
    }
}

static void each_part_of_the_state_is_in_words_too(void **state)
{
    (void)state;
    /* colour is never the only carrier: the held notes have a word, the rest is words itself */
    static const int sizes[][2] = {{12, 40}, {24, 80}, {50, 160}};
    struct scene scene = find_scene();
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        grid_draw(&scene, sizes[i][0], sizes[i][1], false, &grid);
        assert_true(has_text(&grid, "held"));
        assert_true(has_text(&grid, "cue 3 of 12   round 1 of 2   2 min"));
        assert_true(has_text(&grid, "sound in 0:05"));
    }
}

static void the_notes_stand_where_the_letters_are_drawn(void **state)
{
    (void)state;
    /* derived: at 12 rows the letters have rows 4 to 10 (a line of counts, three of what to do,
     * seven, the bar), in the middle of the columns, the notes two spaces apart where those fit */
    struct scene scene = find_scene();
    grid_draw(&scene, 12, 40, false, &grid);
    grid_clear(&other, 12, 40);
    letters_draw(&other, LETTERS_NAMES, "D  Eb  A", 7, 4,
                 (40 - letters_width(LETTERS_NAMES, "D  Eb  A", 7)) / 2, GRID_NOTES);
    for (int i = 4 * 40; i < 11 * 40; i++) {
        assert_int_equal(grid.cells[i].code, other.cells[i].code);
        assert_int_equal(grid.cells[i].style, other.cells[i].style);
    }
}

static void the_bar_shrinks_with_the_time_left(void **state)
{
    (void)state;
    /* derived: the bar's cells are those between the words and the edge; a mark covers one of them.
     * In 80 columns, "sound in 0:05" and two gaps leave 64, so that 1/512 of the time is an eighth
     */
    struct scene scene = find_scene();
    scene.change = 0;
    int last = 0;
    for (int step = 0; step <= 512; step++) {
        scene.left = step / 512.0;
        grid_draw(&scene, 24, 80, false, &grid);
        assert_true(abs(eighths(&grid) - step) <= 1);
        assert_true(step == 0 || eighths(&grid) >= last);
        last = eighths(&grid);
    }
}

static void a_stay_says_so_and_holds_the_bar(void **state)
{
    (void)state;
    struct scene scene = find_scene();
    scene.state = SCENE_STAY;
    scene.stands = true;
    snprintf(scene.hint, sizeof scene.hint, "Space: go on");
    grid_draw(&scene, 24, 80, false, &grid);
    assert_true(strstr(row_text(&grid, 23), "stay "));
    assert_true(strstr(row_text(&grid, 23), "Space: go on"));
    assert_true(eighths(&grid) > 0);
}

static void every_completion_has_large_letters_in_forty_columns(void **state)
{
    (void)state;
    struct hf_completion found[HF_COMPLETIONS_MOST];
    const struct hf_setclass *added = NULL;
    int tried = 0;
    assert_ok(hf_setclass_parse("016", &added, NULL));
    for (int root = 0; root < 4; root++) {
        hf_pcset held = (hf_pcset)(0x111 << root);
        int count = hf_pairing_complete(held, added, found);
        for (int i = 0; i < count; i++, tried++) {
            struct hf_spelled spelled[HF_PCS];
            char names[SCENE_NAMES] = "", name[HF_SPELLED_TEXT];
            int notes = hf_spelling_of(found[i].pcs, HF_NAMES_SIMPLE, spelled);
            for (int n = 0; n < notes; n++)
                snprintf(names + strlen(names), sizeof names - strlen(names), "%s%s", n ? " " : "",
                         hf_spelled_format(spelled[n], HF_NAMES_SIMPLE, name));
            assert_true(letters_width(LETTERS_NAMES, names, 7) <= 40);
        }
    }
    assert_int_equal(tried, 24); /* published: four triads, six each (the README) */
}

static void no_size_draws_outside_the_grid(void **state)
{
    (void)state;
    /* every size up to 60 by 200, with all there can be: a cell behind the last is left alone */
    struct scene scene = find_scene();
    struct hf_record record = {.count = 3,
                               .notes = {62, 63, 69},
                               .names = {"D", "Eb", "A"},
                               .strings = 6,
                               .frets = {-1, 3, 2, 1, 0, 12}};
    scene.holding = scene.adding = &record;
    scene.has_level = true;
    snprintf(scene.next, sizeof scene.next, "C# D G");
    snprintf(scene.remark, sizeof scene.remark, "%0300d", 7);
    for (int i = 0; i < SCENE_ITEMS; i++) {
        struct scene_item *item = &scene.items[i];
        item->key = '1';
        snprintf(item->names, sizeof item->names, "C# F# G");
    }
    for (int count = 0; count <= SCENE_ITEMS; count += 3)
        for (int rows = 1; rows <= 60; rows++)
            for (int cols = 1; cols <= 200; cols += cols < 45 ? 1 : 7) {
                scene.count = count;
                grid.cells[rows * cols].code = GUARD;
                grid_draw(&scene, rows, cols, false, &grid);
                assert_int_equal(grid.cells[rows * cols].code, GUARD);
                assert_int_equal(grid.rows, rows);
                assert_int_equal(grid.cols, cols);
            }
}

static void too_large_is_cut(void **state)
{
    (void)state;
    struct scene scene = find_scene();
    grid_draw(&scene, 100000, 100000, false, &grid);
    assert_int_equal(grid.rows, GRID_ROWS_MOST);
    assert_int_equal(grid.cols, GRID_COLS_MOST);
}

static void too_small_shows_the_names(void **state)
{
    (void)state;
    struct scene scene = find_scene();
    grid_draw(&scene, 11, 39, false, &grid);
    assert_true(has_text(&grid, "D Eb A"));
    assert_true(has_text(&grid, "find"));
    grid_draw(&scene, 1, 6, false, &grid);
    assert_string_equal(row_text(&grid, 0), "D Eb A");
    grid_draw(&scene, 1, 1, false, &grid);
    assert_string_equal(row_text(&grid, 0), "D");
}

static void all_six_are_in_view(void **state)
{
    (void)state;
    static const char *const six[] = {"C# D G", "C# F# G", "D Eb A", "Eb A Bb", "F F# B", "F Bb B"};
    static const int sizes[][2] = {{12, 40}, {24, 80}, {50, 160}};
    struct scene scene = find_scene();
    for (int i = 0; i < 6; i++) {
        scene.items[i] = (struct scene_item){.key = (char)('1' + i)};
        snprintf(scene.items[i].names, SCENE_NAMES, "%s", six[i]);
    }
    scene.count = 6;
    for (size_t s = 0; s < sizeof sizes / sizeof sizes[0]; s++) {
        grid_draw(&scene, sizes[s][0], sizes[s][1], false, &grid);
        for (int i = 0; i < 6; i++) {
            char key[3] = {(char)('1' + i), ' ', 0};
            assert_true(has_text(&grid, key));
        }
        assert_true(rows_of(&grid, GRID_NOTES) >= 7); /* the chosen one stays large */
    }
    grid_draw(&scene, 12, 40, false, &grid); /* as words, since letters have no room */
    for (int i = 0; i < 6; i++)
        assert_true(has_text(&grid, six[i]));
}

static void each_mark_of_a_list_has_its_own_sign(void **state)
{
    (void)state;
    uint32_t signs[SCENE_WRONG + 1];
    struct scene scene = {.count = 1, .held = "C E G#", .word = "play"};
    for (int mark = SCENE_PLAIN; mark <= SCENE_WRONG; mark++) {
        scene.items[0] =
            (struct scene_item){.key = '1', .names = "D Eb A", .mark = (enum scene_mark)mark};
        grid_clear(&grid, 3, 20);
        grid_list(&grid, (struct grid_area){0, 0, 1, 20}, &scene);
        const char *key = strchr(row_text(&grid, 0), '1');
        assert_non_null(key);
        int col = (int)(key - row_text(&grid, 0));
        signs[mark] = code_at(&grid, 0, col + 2) + 0x10000 * code_at(&grid, 0, col + 4);
        for (int before = SCENE_PLAIN; before < mark; before++)
            assert_int_not_equal(signs[before], signs[mark]);
    }
}

static void ascii_has_nothing_else(void **state)
{
    (void)state;
    struct scene scene = find_scene();
    static const int sizes[][2] = {{5, 20}, {12, 40}, {24, 80}, {50, 160}};
    for (size_t s = 0; s < sizeof sizes / sizeof sizes[0]; s++) {
        grid_draw(&scene, sizes[s][0], sizes[s][1], true, &grid);
        for (int i = 0; i < grid.rows * grid.cols; i++)
            assert_in_range(grid.cells[i].code, 0x20, 0x7e);
    }
}

static bool is_block(const struct grid *g, int row, int col, enum grid_style style)
{
    const struct grid_cell *cell = &g->cells[row * g->cols + col];
    return cell->style == style &&
           (cell->code == 0x2580 || cell->code == 0x2584 || cell->code == 0x2588);
}

/* Without colours "PLAY" over "F" would be one shape, and so would "F" over the bar: whatever the
 * size, what to do and the notes have a row between them, and the bar leaves half a one. */
static void letters_never_touch(void **state)
{
    (void)state;
    static const char *const words[] = {"find", "listen", "play", "pause"};
    for (int rows = GRID_ROWS_LEAST; rows <= 60; rows++)
        for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
            struct scene scene = find_scene();
            snprintf(scene.word, sizeof scene.word, "%s", words[i]);
            grid_draw(&scene, rows, 40, false, &grid);
            for (int row = 0; row + 1 < rows; row++)
                for (int col = 0; col < 40; col++)
                    assert_false(is_block(&grid, row, col, GRID_WORD) &&
                                 is_block(&grid, row + 1, col, GRID_NOTES));
            for (int col = 0; col < 40; col++)
                assert_false(is_block(&grid, rows - 2, col, GRID_NOTES) &&
                             grid.cells[(rows - 1) * 40 + col].style == GRID_TIME &&
                             code_at(&grid, rows - 1, col) != 0x2584 &&
                             code_at(&grid, rows - 1, col) != 0x2596);
        }
}

/* Half a count ("0 mi") says nothing: what has no room is left out whole. */
static void counts_are_whole_or_not_there(void **state)
{
    (void)state;
    static const char *const words[] = {"find", "listen", "play"};
    for (int cols = GRID_COLS_LEAST; cols < 80; cols++)
        for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
            for (int listed = 0; listed < 2; listed++) {
                struct scene scene = find_scene();
                snprintf(scene.word, sizeof scene.word, "%s", words[i]);
                if (listed)
                    scene_add(&scene, '1', "C# D G", SCENE_PLAIN);
                grid_draw(&scene, 12, cols, false, &grid);
                assert_true(has_text(&grid, "cue 3 of 12"));
                assert_int_equal(has_text(&grid, "2 m"), has_text(&grid, "2 min"));
                assert_int_equal(has_text(&grid, "ro"), has_text(&grid, "round 1 of 2"));
            }
}

/* At the end and in a rest nothing is to be played, so no notes are large. */
static void a_rest_shows_nothing_to_play(void **state)
{
    (void)state;
    static const enum scene_state states[] = {SCENE_REST, SCENE_END};
    for (size_t i = 0; i < 2; i++)
        for (int rows = 12; rows <= 48; rows += 12) {
            struct scene scene = find_scene();
            scene.state = states[i];
            scene.large[0] = 0;
            grid_draw(&scene, rows, 80, false, &grid);
            assert_true(rows_of(&grid, GRID_HELD) <= LETTERS_WORDS_ROWS * (rows / 24 + 1));
            assert_int_equal(rows_of(&grid, GRID_NOTES), 0);
        }
}

/* Beside a frame the middle is narrow; what is told is not cut by it. */
static void what_is_told_has_the_whole_width(void **state)
{
    (void)state;
    static const char told[] = "no 6-Z17 but 6-18: C# E A (037) + D G G#   you said: no, right";
    struct scene scene = find_scene();
    scene.strings = 6;
    snprintf(scene.under, sizeof scene.under, "%s", told);
    grid_draw(&scene, 24, 80, false, &grid);
    assert_true(has_text(&grid, told));
}

/* "level 1: which kind is it?  (always in the same place" is worse than its first part alone. */
static void parts_of_a_line_are_whole(void **state)
{
    (void)state;
    struct scene scene = find_scene();
    snprintf(scene.under, sizeof scene.under, "level 1: which kind?  (in one place)   and again");
    for (int cols = GRID_COLS_LEAST; cols < 80; cols++) {
        grid_draw(&scene, 18, cols, false, &grid);
        assert_true(has_text(&grid, "level 1: which kind?"));
        assert_int_equal(has_text(&grid, "(in"), has_text(&grid, "(in one place)"));
        assert_int_equal(has_text(&grid, "and"), has_text(&grid, "and again"));
    }
}

/* The six notes of sight stand in letters, in two lines or in their list, whatever they are; where
 * the list has letters, nothing says the same once more. */
static void a_chord_in_sight_is_in_letters(void **state)
{
    (void)state;
    static const char *const chords[][6] = {{"C", "F", "F#", "G", "A", "C#"},
                                            {"G#", "D", "E", "A", "B", "Eb"},
                                            {"F#", "Bb", "Eb", "G#", "C#", "D"}};
    static const int sizes[][2] = {{12, 40}, {18, 40}, {18, 60}, {24, 40}, {24, 80}, {50, 132}};
    for (int i = 0; i < 3 * 6; i++) {
        struct scene scene = find_scene();
        scene.practice = HF_PRACTICE_SIGHT;
        scene.large[0] = scene.held[0] = 0;
        for (int n = 0; n < 6; n++) {
            size_t used = strlen(scene.large);
            snprintf(scene.large + used, sizeof scene.large - used, "%s%s", n ? " " : "",
                     chords[i % 3][n]);
            scene_add(&scene, (char)('1' + n), chords[i % 3][n], SCENE_RIGHT);
        }
        grid_draw(&scene, sizes[i / 3][0], sizes[i / 3][1], false, &grid);
        int chord = rows_of(&grid, GRID_NOTES), list = rows_of(&grid, GRID_RIGHT);
        assert_true(sizes[i / 3][0] == 12 ? chord >= 6 : list >= 7 && chord <= 0);
        if (sizes[i / 3][0] == 24 && sizes[i / 3][1] == 80)
            assert_true(list >= 13); /* derived: two lines of letters of six rows, and a gap */
    }
}

/* B flat and B stand on one line (~) of the staff, and neither name writes over the other. */
static void names_on_one_line_of_the_staff_are_apart(void **state)
{
    (void)state;
    struct hf_record added = {.count = 3, .notes = {65, 70, 71}, .names = {"F", "Bb", "B"}};
    struct scene scene = find_scene();
    scene.large[0] = 0;
    scene.adding = &added;
    grid_draw(&scene, 50, 132, false, &grid);
    assert_true(has_text(&grid, "Bb~B"));
}

/* With few rows there is no line under the notes: what is typed, asked and told stands in that of
 * the counts. */
static void few_rows_show_what_is_typed_and_told(void **state)
{
    (void)state;
    struct scene scene = find_scene();
    scene_add(&scene, 0, "D Eb A", SCENE_RIGHT);
    scene.practice = HF_PRACTICE_HUNT;
    snprintf(scene.under, sizeof scene.under, "d eb_");
    grid_draw(&scene, 12, 40, false, &grid);
    assert_true(has_text(&grid, "d eb_"));
    scene.practice = HF_PRACTICE_SIGHT;
    snprintf(scene.under, sizeof scene.under, "no 6-Z17 but 6-18: C# E A (037) + D G G#");
    grid_draw(&scene, 12, 40, false, &grid);
    assert_true(has_text(&grid, "no 6-Z17 but 6-18 ")); /* of the rest there would be half */
    grid_draw(&scene, 18, 40, false, &grid);
    assert_true(has_text(&grid, "no 6-Z17 but 6-18: C# E A (037) + D G"));
    assert_memory_equal(row_text(&grid, 15), " G# ", 4);
}

/* A chord that is not told yet: its frame shows where to look, and no finger differs from another.
 */
static void a_frame_whose_halves_are_secret_has_one_kind_of_finger(void **state)
{
    (void)state;
    struct scene scene = find_scene();
    scene.strings = 6;
    memcpy(scene.frets, (const int8_t[]){15, 17, 18, 18, 17, HF_SILENT}, 6);
    scene.large[0] = 0;
    for (int cols = 60; cols <= 80; cols += 20) { /* single and double size */
        int fingers = 0;
        grid_draw(&scene, 24, cols, false, &grid);
        for (int i = 0; i < 24 * cols; i++) {
            uint32_t code = grid.cells[i].code;
            assert_true(code != 0x25cb && code != '(');
            fingers += code == 0x25cf || (code == 0x2588 && grid.cells[i].style == GRID_NOTES);
        }
        assert_true(fingers == 5 || fingers == 15);
    }
}

/* ---- letters --------------------------------------------------------------------------------- */

static void no_two_letters_look_alike(void **state)
{
    (void)state;
    /* at the smallest size, any two differ in two cells or more */
    static const char *const sets[] = {[LETTERS_NAMES] = "ABCDEFGH0123456789?",
                                       [LETTERS_WORDS] = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789?"};
    for (int a = LETTERS_NAMES; a <= LETTERS_WORDS; a++)
        for (const char *x = sets[a]; *x; x++)
            for (const char *y = x + 1; *y; y++) {
                int rows = a == LETTERS_NAMES ? LETTERS_NAMES_ROWS : LETTERS_WORDS_ROWS;
                int differ = 0;
                grid_clear(&grid, rows, 8);
                grid_clear(&other, rows, 8);
                letters_draw(&grid, (enum letters)a, (char[]){*x, 0}, rows, 0, 0, GRID_TEXT);
                letters_draw(&other, (enum letters)a, (char[]){*y, 0}, rows, 0, 0, GRID_TEXT);
                for (int i = 0; i < rows * 8; i++)
                    differ += grid.cells[i].code != other.cells[i].code;
                assert_true(differ >= 2);
            }
}

static void a_letter_b_and_a_flat_are_told_apart(void **state)
{
    (void)state;
    assert_true(letters_know(LETTERS_NAMES, "Bb Ebb F##"));
    assert_false(letters_know(LETTERS_NAMES, "b")); /* a flat belongs to a note */
    /* derived: 7 + 1 + 5 columns for a letter and its sign, 7 + 1 + 7 for two letters */
    assert_int_equal(letters_width(LETTERS_NAMES, "Bb", 7), 13);
    assert_int_equal(letters_width(LETTERS_NAMES, "BB", 7), 15);
}

static void letters_fill_their_width_and_height_at_any_size(void **state)
{
    (void)state;
    for (int rows = LETTERS_NAMES_ROWS; rows <= 40; rows++) {
        int width = letters_width(LETTERS_NAMES, "E", rows);
        int first = 0, last = 0;
        grid_clear(&grid, rows + 1, width + 1);
        letters_draw(&grid, LETTERS_NAMES, "E", rows, 0, 0, GRID_TEXT);
        for (int c = 0; c < width; c++) {
            first += code_at(&grid, 0, c) != ' ';
            last += code_at(&grid, rows - 1, c) != ' ';
        }
        assert_int_equal(first, width); /* an E has a bar at its top and its bottom */
        assert_int_equal(last, width);
        for (int r = 0; r <= rows; r++)
            assert_int_equal(code_at(&grid, r, width), ' ');
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_notes_are_seven_rows_high_or_more_from_the_least_size_up),
        cmocka_unit_test(what_to_do_is_second_in_size),
        cmocka_unit_test(letters_are_large_enough_for_two_metres),
        cmocka_unit_test(each_part_of_the_state_is_in_words_too),
        cmocka_unit_test(the_notes_stand_where_the_letters_are_drawn),
        cmocka_unit_test(the_bar_shrinks_with_the_time_left),
        cmocka_unit_test(a_stay_says_so_and_holds_the_bar),
        cmocka_unit_test(every_completion_has_large_letters_in_forty_columns),
        cmocka_unit_test(no_size_draws_outside_the_grid),
        cmocka_unit_test(too_large_is_cut),
        cmocka_unit_test(too_small_shows_the_names),
        cmocka_unit_test(all_six_are_in_view),
        cmocka_unit_test(each_mark_of_a_list_has_its_own_sign),
        cmocka_unit_test(ascii_has_nothing_else),
        cmocka_unit_test(letters_never_touch),
        cmocka_unit_test(counts_are_whole_or_not_there),
        cmocka_unit_test(a_rest_shows_nothing_to_play),
        cmocka_unit_test(what_is_told_has_the_whole_width),
        cmocka_unit_test(names_on_one_line_of_the_staff_are_apart),
        cmocka_unit_test(parts_of_a_line_are_whole),
        cmocka_unit_test(a_chord_in_sight_is_in_letters),
        cmocka_unit_test(few_rows_show_what_is_typed_and_told),
        cmocka_unit_test(a_frame_whose_halves_are_secret_has_one_kind_of_finger),
        cmocka_unit_test(no_two_letters_look_alike),
        cmocka_unit_test(a_letter_b_and_a_flat_are_told_apart),
        cmocka_unit_test(letters_fill_their_width_and_height_at_any_size),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
