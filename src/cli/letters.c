/* SPDX-License-Identifier: MIT */
/* Invariant: at an alphabet's own height every point of a form is one half of a cell; at a greater
 * one each half of a cell is looked up in the form. Those of names become smooth by that; the sharp
 * and those of words are too thin for it and stay square. */
#include "letters.h"

#include <stddef.h>
#include <string.h>

/* Points of a form, row by row, '#' set. A space is a form without points. */
struct form {
    char name;
    int width;
    const char *points;
};

/* What follows a note's letter is a sign, with forms of its own. */
enum { SHARP_SIGN = '\1', FLAT_SIGN = '\2', GAP = 1 };

struct alphabet {
    int height;
    const struct form *forms;
    size_t count;
};

static const struct form name_forms[] = {
    {'A', 7,
     "...#... ..###.. ..###.. .##.##. .##.##. .##.##. ##...##"
     " ##...## ####### ####### ##...## ##...## ##...## ##...##"},
    {'B', 7,
     "#####.. ######. ##..### ##...## ##...## ##..### ######."
     " ######. ##..### ##...## ##...## ##..### ######. #####.."},
    {'C', 7,
     "..####. .###### ###..## ##..... ##..... ##..... ##....."
     " ##..... ##..... ##..... ##..... ###..## .###### ..####."},
    {'D', 7,
     "#####.. ######. ##..### ##...## ##...## ##...## ##...##"
     " ##...## ##...## ##...## ##...## ##..### ######. #####.."},
    {'E', 7,
     "####### ####### ##..... ##..... ##..... ##..... ######."
     " ######. ##..... ##..... ##..... ##..... ####### #######"},
    {'F', 7,
     "####### ####### ##..... ##..... ##..... ##..... ######."
     " ######. ##..... ##..... ##..... ##..... ##..... ##....."},
    {'G', 7,
     "..####. .###### ###..## ##..... ##..... ##..... ##....."
     " ##..### ##..### ##...## ##...## ###..## .###### ..####."},
    {'H', 7,
     "##...## ##...## ##...## ##...## ##...## ##...## #######"
     " ####### ##...## ##...## ##...## ##...## ##...## ##...##"},
    {'T', 7,
     "####### ####### ...##.. ...##.. ...##.. ...##.. ...##.."
     " ...##.. ...##.. ...##.. ...##.. ...##.. ...##.. ...##.."},
    {'?', 7,
     ".#####. ####### ##...## .....## .....## ....### ...###."
     " ..###.. ..##... ..##... ....... ....... ..##... ..##..."},
    {'0', 7,
     ".#####. ####### ##...## ##...## ##...## ##..### ##.#.##"
     " ##.#.## ###..## ##...## ##...## ##...## ####### .#####."},
    {'1', 5, "..##. .###. ####. ##.#. ...#. ...#. ...#. ...#. ...#. ...#. ...#. ...#. ##### #####"},
    {'2', 7,
     ".#####. ####### ##...## .....## .....## ....### ...###."
     " ..###.. .###... ###.... ##..... ##..... ####### #######"},
    {'3', 7,
     ".#####. ####### ##...## .....## .....## .....## ..####."
     " ..####. .....## .....## .....## ##...## ####### .#####."},
    {'4', 7,
     "....##. ...###. ...###. ..####. ..#.##. .##.##. .#..##."
     " ##..##. ####### ####### ....##. ....##. ....##. ....##."},
    {'5', 7,
     "####### ####### ##..... ##..... ##..... ######. #######"
     " ....### .....## .....## .....## ##..### ######. .####.."},
    {'6', 7,
     "..####. .###### ###.... ##..... ##..... ##.###. #######"
     " ###..## ##...## ##...## ##...## ###..## .###### ..####."},
    {'7', 7,
     "####### ####### .....## ....### ....##. ...###. ...##.."
     " ..###.. ..##... ..##... .###... .##.... .##.... .##...."},
    {'8', 7,
     ".#####. ####### ##...## ##...## ##...## ##...## .#####."
     " ####### ##...## ##...## ##...## ##...## ####### .#####."},
    {'9', 7,
     ".####.. ######. ##..### ##...## ##...## ##...## ##..###"
     " ####### .###.## .....## .....## ....### ######. .####.."},
    {SHARP_SIGN, 5,
     ".#.#. .#.#. .#.#. ##### ##### .#.#. .#.#. ##### ##### .#.#. .#.#. .#.#. ..... ....."},
    {FLAT_SIGN, 5,
     "##... ##... ##... ##... ##... ##... ####. ##### ##.## ##.## ##.## ##.## ##### ####."},
    {' ', 1, ". . . . . . . . . . . . . ."},
};

static const struct form word_forms[] = {
    {'A', 5, ".###. #...# #...# ##### #...# #...#"},
    {'B', 5, "####. #...# ####. #...# #...# ####."},
    {'C', 5, ".#### #.... #.... #.... #.... .####"},
    {'D', 5, "####. #...# #...# #...# #...# ####."},
    {'E', 5, "##### #.... ####. #.... #.... #####"},
    {'F', 5, "##### #.... ####. #.... #.... #...."},
    {'G', 5, ".#### #.... #..## #...# #...# .####"},
    {'H', 5, "#...# #...# ##### #...# #...# #...#"},
    {'I', 3, "### .#. .#. .#. .#. ###"},
    {'J', 5, "..### ...#. ...#. ...#. #..#. .##.."},
    {'K', 5, "#...# #..#. ###.. #..#. #...# #...#"},
    {'L', 5, "#.... #.... #.... #.... #.... #####"},
    {'M', 5, "#...# ##.## #.#.# #.#.# #...# #...#"},
    {'N', 5, "##..# ##..# #.#.# #.#.# #..## #..##"},
    {'O', 5, ".###. #...# #...# #...# #...# .###."},
    {'P', 5, "####. #...# #...# ####. #.... #...."},
    {'Q', 5, ".###. #...# #...# #.#.# #..#. .##.#"},
    {'R', 5, "####. #...# #...# ####. #..#. #...#"},
    {'S', 5, ".#### #.... .###. ....# ....# ####."},
    {'T', 5, "##### ..#.. ..#.. ..#.. ..#.. ..#.."},
    {'U', 5, "#...# #...# #...# #...# #...# .###."},
    {'V', 5, "#...# #...# #...# #...# .#.#. ..#.."},
    {'W', 5, "#...# #...# #.#.# #.#.# ##.## #...#"},
    {'X', 5, "#...# .#.#. ..#.. ..#.. .#.#. #...#"},
    {'Y', 5, "#...# .#.#. ..#.. ..#.. ..#.. ..#.."},
    {'Z', 5, "##### ...#. ..#.. .#... #.... #####"},
    {'0', 5, ".###. #...# #..## ##..# #...# .###."},
    {'1', 3, ".#. ##. .#. .#. .#. ###"},
    {'2', 5, ".###. #...# ...#. ..#.. .#... #####"},
    {'3', 5, "####. ....# .###. ....# ....# ####."},
    {'4', 5, "...#. ..##. .#.#. ##### ...#. ...#."},
    {'5', 5, "##### #.... ####. ....# ....# ####."},
    {'6', 5, ".###. #.... ####. #...# #...# .###."},
    {'7', 5, "##### ....# ...#. ..#.. ..#.. ..#.."},
    {'8', 5, ".###. #...# .###. #...# #...# .###."},
    {'9', 5, ".###. #...# #...# .#### ....# .###."},
    {'?', 5, ".###. #...# ...#. ..#.. ..... ..#.."},
    {'!', 1, "# # # # . #"},
    {'-', 3, "... ... ### ... ... ..."},
    {'.', 1, ". . . . . #"},
    {':', 1, ". # . . # ."},
    {'+', 3, "... .#. ### .#. ... ..."},
    {SHARP_SIGN, 5, ".#.#. ##### .#.#. ##### .#.#. ....."},
    {FLAT_SIGN, 3, "#.. #.. ##. #.# ##. ..."},
    {' ', 2, ".. .. .. .. .. .."},
};

static const struct alphabet alphabets[] = {
    [LETTERS_NAMES] = {2 * LETTERS_NAMES_ROWS, name_forms, sizeof name_forms / sizeof *name_forms},
    [LETTERS_WORDS] = {2 * LETTERS_WORDS_ROWS, word_forms, sizeof word_forms / sizeof *word_forms},
};

/* ---- text into forms ------------------------------------------------------------------------- */

/* Is this # or b the sign of a note before it? A chain of them may come between. */
static bool is_sign(const char *text, size_t at)
{
    size_t from = at;
    while (from > 0 && text[from - 1] == text[at])
        from--;
    if (from == 0 || (text[at] != '#' && text[at] != 'b'))
        return false;
    char before = text[from - 1];
    return before >= 'A' && before <= 'G';
}

static char form_name(const char *text, size_t at)
{
    if (is_sign(text, at))
        return text[at] == '#' ? SHARP_SIGN : FLAT_SIGN;
    return text[at];
}

static const struct form *find_form(enum letters alphabet, char name)
{
    const struct alphabet *a = &alphabets[alphabet];
    if (alphabet == LETTERS_WORDS && name >= 'a' && name <= 'z')
        name = (char)(name - 'a' + 'A');
    for (size_t i = 0; i < a->count; i++)
        if (a->forms[i].name == name)
            return &a->forms[i];
    return NULL;
}

bool letters_know(enum letters alphabet, const char *text)
{
    for (size_t i = 0; text[i]; i++)
        if (!find_form(alphabet, form_name(text, i)))
            return false;
    return true;
}

/* Points that a text is wide at the alphabet's own height. */
static int points_wide(enum letters alphabet, const char *text)
{
    int wide = 0;
    for (size_t i = 0; text[i]; i++) {
        const struct form *form = find_form(alphabet, form_name(text, i));
        wide += (i ? GAP : 0) + (form ? form->width : 0);
    }
    return wide;
}

int letters_width(enum letters alphabet, const char *text, int rows)
{
    int height = alphabets[alphabet].height;
    return (points_wide(alphabet, text) * 2 * rows + height - 1) / height;
}

int letters_height(enum letters alphabet, const char *text, int rows, int cols)
{
    int least = alphabets[alphabet].height / 2;
    for (; rows >= least; rows--)
        if (letters_width(alphabet, text, rows) <= cols)
            return rows;
    return 0;
}

/* ---- points ---------------------------------------------------------------------------------- */

/* A point of a form; the strings have spaces between the rows, which are skipped when counting. */
static bool point(const struct form *form, int height, int x, int y)
{
    if (x < 0 || y < 0 || x >= form->width || y >= height)
        return false;
    const char *row = form->points;
    for (; y > 0; y--)
        row += strcspn(row, " "), row += strspn(row, " ");
    return row[x] == '#';
}

/* A quarter of a point: its own value, but where an edge goes on in steps its corners are taken off
 * and filled, so that it becomes a slope. A corner between two straight edges stays. */
static bool quarter(const struct form *form, int height, int x2, int y2)
{
    int x = x2 >> 1, y = y2 >> 1, dx = x2 & 1 ? 1 : -1, dy = y2 & 1 ? 1 : -1;
    bool own = point(form, height, x, y);
    if (point(form, height, x + dx, y) == own || point(form, height, x, y + dy) == own)
        return own;
    bool steps =
        point(form, height, x + dx, y - dy) == own || point(form, height, x - dx, y + dy) == own;
    return steps ? !own : own;
}

struct pen {
    struct grid *grid;
    enum letters alphabet;
    int row, col, rows, height; /* height: of the alphabet, in points */
    enum grid_style style;
};

/* What is in the middle of half a cell. */
static bool sample(const struct pen *pen, const struct form *form, int x, int left, int half)
{
    int high = 2 * pen->rows, height = pen->height;
    if (pen->alphabet == LETTERS_WORDS || form->name == SHARP_SIGN || high == height)
        return point(form, height, (2 * x + 1) * height / (2 * high) - left,
                     (2 * half + 1) * height / (2 * high));
    return quarter(form, height, (2 * x + 1) * height / high - 2 * left,
                   (2 * half + 1) * height / high);
}

/* Draws one form whose left edge is at `left` points of its own size. */
static void draw_form(const struct pen *pen, const struct form *form, int left)
{
    int high = 2 * pen->rows, height = pen->height;
    int from = (left * high + height - 1) / height;
    int to = ((left + form->width) * high + height - 1) / height;
    for (int x = from; x < to; x++)
        for (int row = 0; row < pen->rows; row++) {
            bool upper = sample(pen, form, x, left, 2 * row);
            bool lower = sample(pen, form, x, left, 2 * row + 1);
            uint32_t code = upper && lower ? 0x2588 : upper ? 0x2580 : lower ? 0x2584 : 0;
            if (code)
                grid_put(pen->grid, pen->row + row, pen->col + x, code, pen->style);
        }
}

void letters_draw(struct grid *grid, enum letters alphabet, const char *text, int rows, int row,
                  int col, enum grid_style style)
{
    struct pen pen = {grid, alphabet, row, col, rows, alphabets[alphabet].height, style};
    int left = 0;
    for (size_t i = 0; text[i]; i++) {
        const struct form *form = find_form(alphabet, form_name(text, i));
        if (!form)
            continue;
        draw_form(&pen, form, left);
        left += form->width + GAP;
    }
}
