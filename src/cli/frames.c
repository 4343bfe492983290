/* SPDX-License-Identifier: MIT */
/* Invariant: a line is laid out in plain characters first, so that colours never move anything. */
#include "frames.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { COLUMNS = 80, GAP = 1, SIDE = 3, LINE_MOST = 2 * COLUMNS, FRETS_LEAST = 4 };

/* How a character is shown. */
enum look { PLAIN, STRING, ADDED, HELD, LOOKS };
static const char *const looks[LOOKS] = {"\033[0m", "\033[0;2m", "\033[0;1m", "\033[0;1;36m"};

struct line {
    char text[LINE_MOST + 1];
    char look[LINE_MOST];
    int length;
};

bool frames_colour(void)
{
    const char *unwanted = getenv("NO_COLOR"), *terminal = getenv("TERM");
    return isatty(STDOUT_FILENO) == 1 && (!unwanted || !unwanted[0]) && terminal && terminal[0] &&
           strcmp(terminal, "dumb") != 0;
}

static void put(struct line *line, int column, const char *text, enum look look)
{
    for (; *text && column < LINE_MOST; text++, column++) {
        while (line->length <= column) {
            line->look[line->length] = PLAIN;
            line->text[line->length++] = ' ';
        }
        line->text[column] = *text;
        line->look[column] = (char)look;
    }
}

static void print_line(const struct frames *frames, struct line *line)
{
    enum look now = PLAIN;
    while (line->length > 0 && line->text[line->length - 1] == ' ')
        line->length--;
    for (int i = 0; i < line->length; i++) {
        enum look look = (enum look)line->look[i];
        if (frames->colour && look != now && line->text[i] != ' ') {
            fputs(looks[look], stdout);
            now = look;
        }
        putchar(line->text[i]);
    }
    if (now != PLAIN)
        fputs(looks[PLAIN], stdout);
    putchar('\n');
    line->length = 0;
}

/* ---- measures -------------------------------------------------------------------------------- */

static int cell_width(const struct frames *frames)
{
    int words = frames->words > FRAME_WORDS ? frames->words : FRAME_WORDS;
    return SIDE + (words > frames->board->strings ? words : frames->board->strings) + GAP;
}

static int frames_a_row(const struct frames *frames)
{
    int fit = (COLUMNS + GAP) / cell_width(frames);
    return fit < 1 ? 1 : fit > FRAMES_A_ROW ? FRAMES_A_ROW : fit;
}

static int highest(const struct hf_shape *shape)
{
    int high = 0;
    for (int s = 0; s < HF_STRINGS_MOST; s++)
        high = shape->fret[s] > high ? shape->fret[s] : high;
    return high;
}

/* The fret of the topmost row: the first where the shape lies there, else the lowest stopped. */
static int first_fret(const struct hf_shape *shape)
{
    return highest(shape) <= FRETS_LEAST ? 1 : shape->position;
}

static int frets_shown(const struct frames *frames)
{
    int most = FRETS_LEAST;
    for (int i = 0; i < frames->count; i++) {
        const struct hf_shape *shape = &frames->row[i].shape;
        int frets = highest(shape) - first_fret(shape) + 1;
        most = frets > most ? frets : most;
    }
    return most;
}

/* ---- lines ----------------------------------------------------------------------------------- */

static int column_of(const struct frames *frames, int cell, int string)
{
    int at = frames->board->left_handed ? frames->board->strings - 1 - string : string;
    return cell * cell_width(frames) + SIDE + at;
}

static void put_marks(const struct frames *frames, struct line *line, int cell)
{
    const struct hf_shape *shape = &frames->row[cell].shape;
    for (int s = 0; s < frames->board->strings; s++)
        if (shape->fret[s] <= 0)
            put(line, column_of(frames, cell, s), shape->fret[s] == 0 ? "0" : "x", PLAIN);
}

static void put_edge(const struct frames *frames, struct line *line, int cell)
{
    bool nut = first_fret(&frames->row[cell].shape) == 1;
    for (int s = 0; s < frames->board->strings; s++)
        put(line, column_of(frames, cell, s), nut ? "=" : "-", STRING);
}

static void put_fret(const struct frames *frames, struct line *line, int cell, int row)
{
    const struct frame *frame = &frames->row[cell];
    const struct hf_fretboard *board = frames->board;
    int fret = first_fret(&frame->shape) + row;
    char number[8];
    snprintf(number, sizeof number, "%2d", fret % 100);
    if (row == 0)
        put(line, cell * cell_width(frames), number, PLAIN);
    for (int s = 0; s < board->strings; s++) {
        bool held = hf_pcset_has(frame->held, hf_pc(board->midi[s] + board->capo + fret));
        if (frame->shape.fret[s] != fret)
            put(line, column_of(frames, cell, s), "|", STRING);
        else if (held)
            put(line, column_of(frames, cell, s), "@", HELD);
        else
            put(line, column_of(frames, cell, s), "o", ADDED);
    }
}

static void put_words(const struct frames *frames, struct line *line, int cell, const char *words)
{
    put(line, cell * cell_width(frames) + SIDE, words, PLAIN);
}

static void print_words(const struct frames *frames, int which)
{
    static const char *const right[] = {"pluck", "strum", "roll"};
    struct line line = {.length = 0};
    for (int i = 0; i < frames->count; i++) {
        const struct hf_shape *shape = &frames->row[i].shape;
        char text[FRAME_TEXT];
        if (which == 0)
            snprintf(text, sizeof text, "%.0f mm", shape->reach_mm);
        else if (which == 1)
            snprintf(text, sizeof text, "%d finger%s", shape->fingers,
                     shape->fingers == 1 ? "" : "s");
        else
            snprintf(text, sizeof text, "%s", right[shape->right]);
        put_words(frames, &line, i, text);
    }
    print_line(frames, &line);
}

static void print_texts(const struct frames *frames, bool titles)
{
    struct line line = {.length = 0};
    for (int i = 0; i < frames->count; i++)
        put_words(frames, &line, i, titles ? frames->row[i].title : frames->row[i].note);
    if (line.length)
        print_line(frames, &line);
}

/* ---- rows ------------------------------------------------------------------------------------ */

void frames_flush(struct frames *frames)
{
    struct line line = {.length = 0};
    int frets = frets_shown(frames);
    if (frames->count == 0)
        return;
    print_texts(frames, true);
    for (int i = 0; i < frames->count; i++)
        put_marks(frames, &line, i);
    print_line(frames, &line);
    for (int i = 0; i < frames->count; i++)
        put_edge(frames, &line, i);
    print_line(frames, &line);
    for (int row = 0; row < frets; row++) {
        for (int i = 0; i < frames->count; i++)
            put_fret(frames, &line, i, row);
        print_line(frames, &line);
    }
    for (int which = 0; which < 3; which++)
        print_words(frames, which);
    print_texts(frames, false);
    putchar('\n');
    frames->count = 0;
}

void frames_add(struct frames *frames, const struct frame *frame)
{
    frames->row[frames->count++] = *frame;
    if (frames->count == frames_a_row(frames))
        frames_flush(frames);
}

void frames_legend(const struct hf_fretboard *board, bool marks_held)
{
    printf("Lowest string at the %s. %s,\n"
           "0 open string, x silent. Number at the side: fret%s.\n"
           "Under it: reach, fingers, right hand.\n",
           board->left_handed ? "right (left-handed)" : "left",
           marks_held ? "@ finger on a held note, o on an added one" : "o finger",
           board->capo ? ", counted from the capo" : "");
}
