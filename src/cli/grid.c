/* SPDX-License-Identifier: MIT */
/* The layout. From the top: a line of counts; what to do and what is held in middle letters (where
 * rows are few the counts stand under these, so that letters never touch); the notes in letters as
 * large as fit; lines of words; the bar. What does not fit is left out from the
 * least important on. Invariants: the places of the parts depend on the size and on what the
 * session has at all (frame, staff, list), not on the moment; nothing is drawn outside the grid. */
#include "grid.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include <holdfast/ceiling.h>

#include "letters.h"

enum { TALL = 18, WIDE = 72, GAP = 2, LEVEL_COLS = 20, LEVEL_DB = 54 };

/* The parts of a grid of at least the least size. */
struct layout {
    bool wide, tall;
    int words_rows;          /* of the middle letters; 0: in the top line instead */
    struct grid_area top;    /* what to do, what is held */
    struct grid_area middle; /* the notes */
    struct grid_area list, frame, staff;
    int counts; /* the line of counts: the first, or what parts the letters where there is no gap */
    int lines;  /* first of the two lines of words under the middle; 0 without */
    int bar;
};

/* ---- where everything goes ------------------------------------------------------------------- */

/* Takes a column of its own at the right of the middle for a part, where enough is left. */
static struct grid_area take_right(struct layout *l, struct grid_area size)
{
    int least = l->wide ? 44 : GRID_COLS_LEAST;
    struct grid_area none = {0, 0, 0, 0};
    if (!size.rows || size.rows > l->middle.rows || l->middle.cols - size.cols - GAP < least)
        return none;
    l->middle.cols -= size.cols + GAP;
    return (struct grid_area){l->middle.row + (l->middle.rows - size.rows) / 2,
                              l->middle.col + l->middle.cols + GAP, size.rows, size.cols};
}

/* A list takes the whole middle, or with notes its lower part: in letters where half of it is
 * enough for them, else in words. */
static void place_list(const struct scene *scene, struct layout *l)
{
    struct grid_area half = l->middle;
    if (!scene->count)
        return;
    l->list = l->middle;
    if (!scene->large[0])
        return;
    half.rows = l->middle.rows / 2; /* with the gap over it */
    int rows = grid_list_rows(&half, scene);
    rows += l->tall ? 1 : 0; /* a gap over it */
    l->list.rows = rows;
    l->list.row += l->middle.rows - rows;
    l->middle.rows -= rows;
}

/* The chord of sight, whose list has its names too. */
static bool is_chord(const struct scene *scene)
{
    return scene->practice == HF_PRACTICE_SIGHT && scene->count && scene->items[0].names[0];
}

/* Where the list of such a chord can be in letters, it has all of the place. */
static void prefer_list(const struct scene *scene, struct layout *l)
{
    struct grid_area whole = l->middle;
    if (!is_chord(scene))
        return;
    whole.rows += l->list.rows;
    if (!grid_list_letters(&whole, scene))
        return;
    l->list = whole;
    l->middle.rows = 0;
}

enum { UNDER = 3, OVER = 2 }; /* rows of the lines and a gap; of the first line and a gap */

/* Has such a list letters only where what to do has none? */
static bool is_crowded(const struct scene *scene, int rows, int cols)
{
    struct grid_area small = {0, 0, rows - 1 - UNDER - OVER - LETTERS_WORDS_ROWS - 1, cols};
    struct grid_area large = {0, 0, rows - 1 - UNDER - OVER, cols};
    return is_chord(scene) && !grid_list_letters(&small, scene) && grid_list_letters(&large, scene);
}

static struct layout lay_out(const struct scene *scene, int rows, int cols)
{
    struct layout l = {.wide = cols >= WIDE, .tall = rows >= TALL};
    l.words_rows = rows >= 36 ? rows / 24 * LETTERS_WORDS_ROWS : LETTERS_WORDS_ROWS;
    /* whole multiples keep the strokes even */
    if (scene->count && (!l.tall || is_crowded(scene, rows, cols)))
        l.words_rows = 0; /* the list needs the place */
    l.counts = l.tall ? 0 : l.words_rows;
    l.top = (struct grid_area){l.tall ? OVER : 0, 1, l.words_rows, cols - 2};
    l.bar = rows - 1;
    int first = l.top.row + (l.words_rows || !l.tall ? l.words_rows + 1 : 0);
    int last = l.bar - (l.tall ? UNDER : 0);
    l.lines = l.tall ? last : 0;
    l.middle = (struct grid_area){first, 0, last - first, cols};
    if (l.wide)
        l.middle.col = 1, l.middle.cols = cols - 2;
    l.frame = take_right(&l, grid_frame_size(scene, 2));
    if (!l.frame.rows)
        l.frame = take_right(&l, grid_frame_size(scene, 1));
    l.staff = take_right(&l, grid_staff_size(scene));
    place_list(scene, &l);
    prefer_list(scene, &l);
    if (!l.frame.rows && !l.staff.rows)
        l.list.col = 0, l.list.cols = cols;
    return l;
}

/* ---- lines ----------------------------------------------------------------------------------- */

/* As much of a text as such a width has room for: parts that two spaces or more set apart stay
 * whole or go, from the last on. The first of all is cut where it must be, which the display does.
 */
static void keep_parts(const char *text, int cols, char out[SCENE_TEXT])
{
    snprintf(out, SCENE_TEXT, "%s", text);
    for (char *end; grid_text_width(out) > cols;) {
        char *part = NULL;
        for (end = out; (end = strstr(end, "  ")); end += strspn(end, " "))
            part = end;
        if (!part)
            return;
        *part = 0;
    }
}

/* One of the counts behind the others, or nothing where it would be cut. */
static void add_count(char text[SCENE_TEXT], int cols, const char *count)
{
    size_t used = strlen(text);
    if ((int)(used + strlen(count)) + (used ? 3 : 0) <= cols)
        snprintf(text + used, SCENE_TEXT - used, "%s%s", used ? "   " : "", count);
}

/* "cue 3 of 12   round 1 of 2   4 min", or those that so many columns have room for. */
static void count_text(const struct scene *scene, int cols, char text[SCENE_TEXT])
{
    char count[48];
    const char *what = scene->practice == HF_PRACTICE_HUNT ? "found" : "cue";
    text[0] = 0;
    if ((scene->cue || scene->practice == HF_PRACTICE_HUNT) && scene->cues) {
        snprintf(count, sizeof count, "%s %" PRIu32 " of %" PRIu32, what, scene->cue, scene->cues);
        add_count(text, cols, count);
    }
    if (scene->round && scene->rounds > 1) {
        snprintf(count, sizeof count, "round %" PRIu32 " of %" PRIu32, scene->round, scene->rounds);
        add_count(text, cols, count);
    }
    snprintf(count, sizeof count, "%" PRId64 " min", scene->now / scene->rate_hz / 60);
    add_count(text, cols, count);
}

/* What is asked, told or typed, where it stands nowhere else. */
static bool needs_words(const struct layout *l, const struct scene *scene)
{
    return !l->lines && scene->under[0] &&
           (scene->practice == HF_PRACTICE_SIGHT || scene->practice == HF_PRACTICE_HUNT);
}

static void put_right(struct grid *grid, int row, int end, int least, const char *text,
                      enum grid_style style)
{
    int col = end - grid_text_width(text);
    if (col >= least)
        grid_text(grid, row, col, end, text, style);
}

static bool is_small(const struct layout *l, const struct scene *scene)
{
    return !l->words_rows || letters_width(LETTERS_WORDS, scene->word, l->words_rows) >
                                 l->top.cols - GAP - grid_text_width(scene->held) - 5;
}

static void draw_counts(struct grid *grid, const struct layout *l, const struct scene *scene)
{
    char text[SCENE_TEXT] = "", held[SCENE_TEXT + 8];
    int row = l->counts, col = 1, end = grid->cols - 1;
    if (!l->lines && scene->remark[0]) { /* there is no other line for it */
        grid_text(grid, row, col, end, scene->remark, GRID_TEXT);
        return;
    }
    if (!l->words_rows)
        col = grid_text(grid, row, col, end, scene->word, GRID_WORD) + GAP;
    if (is_small(l, scene) && !l->wide && scene->held[0]) {
        snprintf(held, sizeof held, "held %s", scene->held);
        put_right(grid, row, end, col, held, GRID_HELD);
        end -= grid_text_width(held) + GAP;
    }
    if (needs_words(l, scene)) {
        keep_parts(scene->under, end - col, text);
        char *details = strstr(text, ": ");
        if (details && grid_text_width(text) > end - col)
            *details = 0;
        grid_text(grid, row, col, end, text, GRID_TEXT);
        return;
    }
    count_text(scene, end - col, text);
    col = grid_text(grid, row, col, end, text, GRID_QUIET);
    if (l->wide)
        put_right(grid, row, end, col + GAP, scene->next, GRID_TEXT);
    if (l->wide && scene->next[0])
        put_right(grid, row, end - grid_text_width(scene->next) - 1, col + GAP, "next", GRID_QUIET);
}

/* The held notes at the right of what to do: in letters, or else in words. */
static void draw_held(struct grid *grid, const struct layout *l, const struct scene *scene,
                      int from)
{
    int end = l->top.col + l->top.cols, row = l->top.row + l->words_rows / 2;
    int width = letters_width(LETTERS_WORDS, scene->held, l->words_rows);
    if (letters_know(LETTERS_WORDS, scene->held) && end - width - 5 >= from) {
        letters_draw(grid, LETTERS_WORDS, scene->held, l->words_rows, l->top.row, end - width,
                     GRID_HELD);
        put_right(grid, row, end - width - 1, from, "held", GRID_QUIET);
        return;
    }
    put_right(grid, row, end, from, scene->held, GRID_HELD);
    put_right(grid, row, end - grid_text_width(scene->held) - 1, from, "held", GRID_QUIET);
}

static void draw_top(struct grid *grid, const struct layout *l, const struct scene *scene)
{
    int width = letters_width(LETTERS_WORDS, scene->word, l->words_rows ? l->words_rows : 3);
    if (!l->words_rows)
        return;
    if (width <= l->top.cols && letters_know(LETTERS_WORDS, scene->word))
        letters_draw(grid, LETTERS_WORDS, scene->word, l->words_rows, l->top.row, l->top.col,
                     GRID_WORD);
    else
        width = grid_text(grid, l->top.row + 1, l->top.col, l->top.col + l->top.cols, scene->word,
                          GRID_WORD);
    if ((l->wide || !is_small(l, scene)) && scene->held[0])
        draw_held(grid, l, scene, l->top.col + width + GAP);
}

static void put_middle(struct grid *grid, const struct grid_area *area, int row, const char *text,
                       enum grid_style style)
{
    int width = grid_text_width(text);
    int col = area->col + (width < area->cols ? (area->cols - width) / 2 : 0);
    grid_text(grid, row, col, area->col + area->cols, text, style);
}

/* ---- the notes ------------------------------------------------------------------------------- */

/* Each space twice. */
static void space_out(const char *text, char out[2 * SCENE_NAMES])
{
    size_t used = 0;
    for (; *text && used + 2 < 2 * SCENE_NAMES; text++) {
        if (*text == ' ')
            out[used++] = ' ';
        out[used++] = *text;
    }
    out[used] = 0;
}

/* More notes than a line has room for: two lines of middle letters, or words. */
static void draw_two_lines(struct grid *grid, const struct grid_area *area, const char *text,
                           enum grid_style style)
{
    char first[SCENE_NAMES];
    snprintf(first, sizeof first, "%s", text);
    char *second = first + strlen(first) / 2;
    while (*second && *second != ' ')
        second++;
    bool parted = *second == ' ' && area->rows >= 2 * LETTERS_WORDS_ROWS;
    *second++ = 0;
    if (!parted || !letters_know(LETTERS_WORDS, text) ||
        letters_width(LETTERS_WORDS, first, LETTERS_WORDS_ROWS) > area->cols ||
        letters_width(LETTERS_WORDS, second, LETTERS_WORDS_ROWS) > area->cols) {
        put_middle(grid, area, area->row + area->rows / 2, text, style);
        return;
    }
    const char *lines[] = {first, second};
    int row = area->row + (area->rows - 2 * LETTERS_WORDS_ROWS) / 2;
    for (int i = 0; i < 2; i++)
        letters_draw(grid, LETTERS_WORDS, lines[i], LETTERS_WORDS_ROWS,
                     row + i * (area->rows > 2 * LETTERS_WORDS_ROWS ? LETTERS_WORDS_ROWS + 1
                                                                    : LETTERS_WORDS_ROWS),
                     area->col +
                         (area->cols - letters_width(LETTERS_WORDS, lines[i], LETTERS_WORDS_ROWS)) /
                             2,
                     style);
}

/* Text in the largest letters that fit, in the middle of the area; in words where none do. */
static void draw_large(struct grid *grid, const struct grid_area *area, const char *text,
                       enum grid_style style)
{
    enum letters alphabet = letters_know(LETTERS_NAMES, text) ? LETTERS_NAMES : LETTERS_WORDS;
    int rows =
        letters_know(alphabet, text) ? letters_height(alphabet, text, area->rows, area->cols) : 0;
    if (!rows && alphabet == LETTERS_NAMES && letters_know(LETTERS_WORDS, text)) {
        alphabet = LETTERS_WORDS;
        rows = letters_height(alphabet, text, area->rows, area->cols);
    }
    if (!rows) {
        draw_two_lines(grid, area, text, style);
        return;
    }
    char spaced[2 * SCENE_NAMES];
    space_out(text, spaced);
    if (letters_width(alphabet, spaced, rows) <= area->cols)
        text = spaced; /* notes farther apart from each other than from their signs */
    int width = letters_width(alphabet, text, rows);
    letters_draw(grid, alphabet, text, rows, area->row + (area->rows - rows) / 2,
                 area->col + (area->cols - width) / 2, style);
}

/* In the lead-in, and where nothing is to be added, the held notes stand in the middle; not where
 * nothing is to be played. */
static void draw_middle(struct grid *grid, const struct layout *l, const struct scene *scene)
{
    if (scene->large[0] && l->middle.rows > 0)
        draw_large(grid, &l->middle, scene->large, GRID_NOTES);
    else if (!scene->count && scene->state != SCENE_REST && scene->state != SCENE_END)
        draw_large(grid, &l->middle, scene->held, GRID_HELD);
    if (scene->count)
        grid_list(grid, l->list, scene);
    if (l->frame.rows)
        grid_frame(grid, l->frame, scene);
    if (l->staff.rows)
        grid_staff(grid, l->staff, scene);
}

/* ---- under it -------------------------------------------------------------------------------- */

/* The last so many decibels under the ceiling, which is where the bar ends. */
static void draw_level(struct grid *grid, int row, int end, const struct scene *scene)
{
    static const char ceiling[] = "-6 dB";
    double share = (scene->level_db - HF_CEILING_DB) / LEVEL_DB + 1;
    int col = end - (int)strlen(ceiling) - 2 - LEVEL_COLS;
    put_right(grid, row, col - 1, 0, "level", GRID_QUIET);
    grid_bar(grid, row, col, LEVEL_COLS, share < 0 ? 0 : share > 1 ? 1 : share, GRID_TIME);
    grid_put(grid, row, col + LEVEL_COLS, 0x2502, GRID_TEXT);
    put_right(grid, row, end, 0, ceiling, GRID_QUIET);
}

/* In two lines where one is not enough; returns the column after the first. */
static int draw_remark(struct grid *grid, int row, int end, const char *text)
{
    char first[SCENE_TEXT];
    size_t length = strlen(text), most = (size_t)(end - 1);
    snprintf(first, sizeof first, "%s", text);
    if (length > most && most < sizeof first) {
        for (length = most; length > 0 && text[length] != ' '; length--)
            continue;
        first[length ? length : most] = 0;
        grid_text(grid, row + 1, 1, end, text + (length ? length + 1 : most), GRID_TEXT);
    }
    return grid_text(grid, row, 1, end, first, GRID_TEXT);
}

static void draw_lines(struct grid *grid, const struct layout *l, const struct scene *scene)
{
    int end = grid->cols - 1;
    if (!l->lines)
        return;
    struct grid_area whole = {l->lines, 1, 1, grid->cols - 2};
    bool fits = grid_text_width(scene->under) <= l->middle.cols;
    char under[SCENE_TEXT];
    keep_parts(scene->under, whole.cols, under);
    int col = 1;
    if (grid_text_width(under) > whole.cols && !scene->remark[0]) {
        draw_remark(grid, l->lines, end, under);
        return;
    }
    put_middle(grid, fits ? &l->middle : &whole, l->lines, under, GRID_TEXT);
    if (scene->remark[0])
        col = draw_remark(grid, l->lines + 1, end, scene->remark);
    else if (!l->wide && scene->next[0]) {
        col = grid_text(grid, l->lines + 1, col, end, "next ", GRID_QUIET);
        col = grid_text(grid, l->lines + 1, col, end, scene->next, GRID_TEXT);
    }
    if (scene->has_level && end - col >= LEVEL_COLS + 16)
        draw_level(grid, l->lines + 1, end, scene);
}

/* "sound in 0:05", the same width for each second. */
static void what_text(const struct scene *scene, char text[SCENE_TEXT])
{
    text[0] = 0;
    if (scene->state == SCENE_STAY)
        snprintf(text, SCENE_TEXT, "stay");
    else if (scene->state == SCENE_PAUSE)
        snprintf(text, SCENE_TEXT, "pause");
    else if (scene->state != SCENE_END && scene->what[0] && scene->in != HF_NEVER) {
        int64_t seconds = (scene->in + scene->rate_hz - 1) / scene->rate_hz;
        snprintf(text, SCENE_TEXT, "%s %" PRId64 ":%02d", scene->what, seconds / 60,
                 (int)(seconds % 60));
    }
}

/* What comes and when, the bar, and which key goes on. */
static void draw_bar_line(struct grid *grid, const struct layout *l, const struct scene *scene)
{
    char text[SCENE_TEXT];
    int col = 1, end = grid->cols - 1, hint = grid_text_width(scene->hint);
    what_text(scene, text);
    if (text[0])
        col = grid_text(grid, l->bar, col, end, text, GRID_TEXT) + 1;
    if (hint && end - hint >= col) {
        end -= hint;
        grid_text(grid, l->bar, end, grid->cols - 1, scene->hint, GRID_WORD);
        end--;
    }
    if (!scene->has_bar || end - col < 4)
        return;
    enum grid_style style = scene->stands ? GRID_QUIET : GRID_TIME;
    if (l->tall)
        grid_bar(grid, l->bar, col, end - col, scene->left, style);
    else
        grid_bar_low(grid, l->bar, col, end - col, scene->left, style);
    int mark = (int)(scene->change * (end - col) + 0.5);
    if (mark > 0 && mark < end - col) /* down to here, then the name or the sound comes */
        grid_put(grid, l->bar, col + mark, 0x2502, GRID_TEXT);
}

/* ---- the whole ------------------------------------------------------------------------------- */

/* Too small for letters: the names, and what to do where there is a second line. */
static void draw_small(struct grid *grid, const struct scene *scene)
{
    bool notes = scene->large[0];
    const char *names = notes ? scene->large : scene->held;
    int row = grid->rows >= 3 ? 1 : 0;
    int col = grid->cols > 3 + grid_text_width(names) ? 1 : 0;
    grid_text(grid, row, col, grid->cols, names, notes ? GRID_NOTES : GRID_HELD);
    if (grid->rows >= 2)
        grid_text(grid, row ? 0 : 1, col, grid->cols, scene->word, GRID_WORD);
    if (grid->rows >= 4 && notes) {
        col = grid_text(grid, 2, col, grid->cols, "held ", GRID_QUIET);
        grid_text(grid, 2, col, grid->cols, scene->held, GRID_HELD);
    }
    if (grid->rows >= 5 && scene->has_bar)
        grid_bar(grid, grid->rows - 1, 0, grid->cols, scene->left, GRID_TIME);
}

/* The nearest character of ASCII. */
static uint32_t plain_code(uint32_t code)
{
    static const struct {
        uint32_t code;
        char plain;
    } rows[] = {{0x2588, '#'}, {0x2580, '"'}, {0x2584, 'm'}, {0x2596, 'm'},
                {0x2502, '|'}, {0x2500, '-'}, {0x25b6, '>'}, {0x2713, '+'},
                {0x2717, 'x'}, {0x25cf, 'o'}, {0x25cb, 'o'}};
    if (code < 0x7f)
        return code;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (rows[i].code == code)
            return (uint32_t)rows[i].plain;
    return code >= 0x2588 && code <= 0x258f ? '#' : code >= 0x2500 && code < 0x2580 ? '+' : '?';
}

void grid_draw(const struct scene *scene, int rows, int cols, bool ascii, struct grid *out)
{
    grid_clear(out, rows, cols);
    if (out->rows < GRID_ROWS_LEAST || out->cols < GRID_COLS_LEAST) {
        draw_small(out, scene);
    } else {
        struct layout l = lay_out(scene, out->rows, out->cols);
        draw_counts(out, &l, scene);
        draw_top(out, &l, scene);
        draw_middle(out, &l, scene);
        draw_lines(out, &l, scene);
        draw_bar_line(out, &l, scene);
    }
    for (int i = 0; ascii && i < out->rows * out->cols; i++)
        out->cells[i].code = plain_code(out->cells[i].code);
}
