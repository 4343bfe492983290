/* SPDX-License-Identifier: MIT */
/* The smaller parts of the screen: the level, remarks, counts, what comes next, lists alone; and
 * text that no letters are drawn for. Expectations are counted by hand from the sizes. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check.h"

#include "../src/cli/grid.h"

enum { RATE = 8000, RIGHT_EDGE = 0x2502 };

static struct grid grid;

static struct scene scene_of(const char *large)
{
    struct scene scene = {.state = SCENE_CUE,
                          .word = "find",
                          .held = "C E G#",
                          .has_bar = true,
                          .left = 0.5,
                          .what = "sound in",
                          .in = 5 * RATE,
                          .rate_hz = RATE,
                          .now = 130 * RATE,
                          .cue = 3,
                          .cues = 12,
                          .round = 1,
                          .rounds = 2};
    snprintf(scene.large, sizeof scene.large, "%s", large);
    return scene;
}

static uint32_t code_at(int row, int col)
{
    return grid.cells[row * grid.cols + col].code;
}

/* A row's characters, what is no ASCII as '~'. */
static const char *row_text(int row)
{
    static char text[GRID_COLS_MOST + 1];
    for (int col = 0; col < grid.cols; col++)
        text[col] = code_at(row, col) < 0x7f ? (char)code_at(row, col) : '~';
    text[grid.cols] = 0;
    return text;
}

static int row_with(const char *text)
{
    for (int row = 0; row < grid.rows; row++)
        if (strstr(row_text(row), text))
            return row;
    return -1;
}

static int cells_of(int row, uint32_t code)
{
    int count = 0;
    for (int col = 0; col < grid.cols; col++)
        count += code_at(row, col) == code;
    return count;
}

static int rows_in(enum grid_style style)
{
    int first = -1, last = -2;
    for (int i = 0; i < grid.rows * grid.cols; i++)
        if (grid.cells[i].style == style && grid.cells[i].code != ' ') {
            last = i / grid.cols;
            first = first < 0 ? last : first;
        }
    return last - first + 1;
}

/* ---- lines ----------------------------------------------------------------------------------- */

static void the_level_is_full_at_the_ceiling_and_empty_54_db_below(void **state)
{
    (void)state;
    /* derived: 20 columns for the 54 dB up to -6 */
    static const struct {
        double db;
        int cells;
    } rows[] = {{-6, 20}, {0, 20}, {-33, 10}, {-60, 0}, {-120, 0}};
    struct scene scene = scene_of("D Eb A");
    scene.has_level = true;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        scene.level_db = rows[i].db;
        grid_draw(&scene, 24, 80, false, &grid);
        int row = row_with("level ");
        assert_true(row > 0 && row == row_with("-6 dB"));
        assert_int_equal(cells_of(row, 0x2588), rows[i].cells);
        assert_int_equal(cells_of(row, RIGHT_EDGE), 1);
    }
    snprintf(scene.remark, sizeof scene.remark, "%060d", 0); /* what is said comes first */
    grid_draw(&scene, 24, 80, false, &grid);
    assert_int_equal(row_with("level "), -1);
}

static void a_remark_takes_two_lines_and_loses_nothing(void **state)
{
    (void)state;
    struct scene scene = scene_of("D Eb A");
    memset(scene.remark, 'x', 100);
    grid_draw(&scene, 24, 80, false, &grid);
    int row = row_with("xxxx"), count = cells_of(row, 'x') + cells_of(row + 1, 'x');
    assert_int_equal(count, 100);
    scene.remark[70] = ' '; /* parted where there is a space */
    grid_draw(&scene, 24, 80, false, &grid);
    row = row_with("xxxx");
    assert_int_equal(cells_of(row, 'x'), 70);
    assert_int_equal(cells_of(row + 1, 'x'), 29);
}

static void hunt_counts_what_is_found(void **state)
{
    (void)state;
    struct scene scene = scene_of("");
    scene.practice = HF_PRACTICE_HUNT;
    scene.cue = 0;
    scene.cues = 6;
    scene.rounds = 1;
    grid_draw(&scene, 24, 80, false, &grid);
    assert_true(row_with("found 0 of 6   2 min") >= 0);
    scene.practice = HF_PRACTICE_IMPROVISE; /* before the first cue none is counted */
    grid_draw(&scene, 24, 80, false, &grid);
    assert_int_equal(row_with(" of 6"), -1);
}

static void what_comes_next_is_above_or_where_that_is_narrow_below(void **state)
{
    (void)state;
    struct scene scene = scene_of("D Eb A");
    snprintf(scene.next, sizeof scene.next, "F F# B");
    grid_draw(&scene, 24, 80, false, &grid);
    assert_int_equal(row_with("next F F# B"), 0);
    grid_draw(&scene, 24, 60, false, &grid);
    assert_true(row_with("next F F# B") > 12);
}

static void a_state_that_stands_is_named_beside_the_bar(void **state)
{
    (void)state;
    struct scene scene = scene_of("D Eb A");
    grid_draw(&scene, 24, 80, false, &grid);
    assert_int_equal(row_with("sound in 0:05"), 23);
    scene.state = SCENE_PAUSE;
    grid_draw(&scene, 24, 80, false, &grid);
    assert_int_equal(row_with("pause"), 23);
    scene.state = SCENE_END;
    scene.has_bar = false;
    grid_draw(&scene, 24, 80, false, &grid);
    assert_int_equal(row_with("sound in"), -1);
    assert_int_equal(cells_of(23, ' '), 80);
}

static void a_bar_that_has_no_room_leaves_the_words(void **state)
{
    (void)state;
    struct scene scene = scene_of("D Eb A");
    snprintf(scene.hint, sizeof scene.hint, "Enter: hear it and more"); /* 13 + 23 of 38 */
    grid_draw(&scene, 24, 40, false, &grid);
    assert_int_equal(row_with("sound in 0:05  Enter"), 23);
    assert_int_equal(cells_of(23, 0x2588) + cells_of(23, 0x2500), 0);
    snprintf(scene.hint, sizeof scene.hint, "Enter: hear it, and much more than that");
    grid_draw(&scene, 24, 40, false, &grid); /* the time comes before the key */
    assert_int_equal(row_with("sound in 0:05"), 23);
    assert_int_equal(row_with("Enter"), -1);
}

/* ---- lists and letters ----------------------------------------------------------------------- */

static void add(struct scene *scene, const char *names)
{
    struct scene_item *item = &scene->items[scene->count++];
    item->key = (char)('0' + scene->count);
    snprintf(item->names, sizeof item->names, "%s", names);
}

static void a_list_alone_has_all_of_the_middle(void **state)
{
    (void)state;
    struct scene scene = scene_of("");
    for (int i = 0; i < 3; i++) {
        add(&scene, "C# D G");
        scene.items[i].mark = SCENE_NOW;
    }
    grid_draw(&scene, 50, 80, false, &grid);
    int alone = rows_in(GRID_NOTES);
    snprintf(scene.large, sizeof scene.large, "D");
    for (int i = 0; i < 3; i++)
        scene.items[i].mark = SCENE_RIGHT;
    grid_draw(&scene, 50, 80, false, &grid);
    assert_true(rows_in(GRID_RIGHT) < alone);
    assert_true(rows_in(GRID_RIGHT) > 0 && rows_in(GRID_NOTES) > 0);
}

/* No alphabet of ours has these; they are words then, each in its place. */
static void what_no_letters_are_drawn_for_is_in_words(void **state)
{
    (void)state;
    struct scene scene = scene_of("{}");
    snprintf(scene.word, sizeof scene.word, "{find}");
    snprintf(scene.held, sizeof scene.held, "{C}");
    add(&scene, "{D}");
    scene.items[0].mark = SCENE_WRONG;
    grid_draw(&scene, 40, 100, false, &grid);
    assert_true(row_with("{find}") >= 0);
    assert_true(row_with("held {C}") >= 0);
    assert_true(row_with("{}") >= 0);
    assert_true(row_with("{D}") >= 0);
}

static void too_small_for_letters_the_held_notes_stand_alone(void **state)
{
    (void)state;
    struct scene scene = scene_of("");
    scene.has_bar = false;
    grid_draw(&scene, 6, 30, false, &grid);
    assert_int_equal(row_with("C E G#"), 1);
    assert_int_equal(row_with("find"), 0);
    assert_int_equal(row_with("held"), -1);
    assert_int_equal(cells_of(5, ' '), 30);
    grid_draw(&scene, 1, 3, false, &grid); /* and is cut where it must be */
    assert_string_equal(row_text(0), "C E");
}

/* ---- characters ------------------------------------------------------------------------------ */

static void a_character_of_any_script_is_one_column(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        uint32_t codes[4];
    } rows[] = {{"a\xc3\xa9z", {'a', 0xe9, 'z'}},       /* two bytes */
                {"a\xe2\x99\xaf", {'a', 0x266f}},       /* three */
                {"\xf0\x9d\x84\x9e!", {0x1d11e, '!'}},  /* four */
                {"\xc3(", {'?', '('}},                  /* one that is cut */
                {"\x01\x7f\xc2\x85", {'?', '?', '?'}}}; /* bytes that command a terminal */
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int width = grid_text_width(rows[i].text);
        grid_clear(&grid, 1, 10);
        assert_int_equal(grid_text(&grid, 0, 2, 10, rows[i].text, GRID_TEXT), 2 + width);
        for (int k = 0; k < width; k++)
            assert_int_equal(code_at(0, 2 + k), rows[i].codes[k]);
        assert_int_equal(code_at(0, 2 + width), ' ');
    }
    struct scene scene = scene_of("D Eb A");
    snprintf(scene.remark, sizeof scene.remark, "caf\xc3\xa9");
    grid_draw(&scene, 24, 80, true, &grid);
    assert_true(row_with("caf?") > 0); /* where the terminal knows no other characters */
}

static void nothing_outside_the_grid_is_touched(void **state)
{
    (void)state;
    static const int places[][2] = {{-1, 0}, {0, -1}, {2, 0}, {0, 4}};
    grid_clear(&grid, 2, 4);
    for (size_t i = 0; i < sizeof places / sizeof *places; i++)
        grid_put(&grid, places[i][0], places[i][1], 'x', GRID_TEXT);
    assert_int_equal(cells_of(0, ' ') + cells_of(1, ' '), 8);
    grid_clear(&grid, 0, -3);
    assert_true(grid.rows == 1 && grid.cols == 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_level_is_full_at_the_ceiling_and_empty_54_db_below),
        cmocka_unit_test(a_remark_takes_two_lines_and_loses_nothing),
        cmocka_unit_test(hunt_counts_what_is_found),
        cmocka_unit_test(what_comes_next_is_above_or_where_that_is_narrow_below),
        cmocka_unit_test(a_state_that_stands_is_named_beside_the_bar),
        cmocka_unit_test(a_bar_that_has_no_room_leaves_the_words),
        cmocka_unit_test(a_list_alone_has_all_of_the_middle),
        cmocka_unit_test(what_no_letters_are_drawn_for_is_in_words),
        cmocka_unit_test(too_small_for_letters_the_held_notes_stand_alone),
        cmocka_unit_test(a_character_of_any_script_is_one_column),
        cmocka_unit_test(nothing_outside_the_grid_is_touched),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
