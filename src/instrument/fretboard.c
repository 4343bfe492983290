/* SPDX-License-Identifier: MIT */
/* Invariants: nothing but +, -, *, / and sqrt, whose results are the same everywhere, makes a
 * length; lengths that are compared are whole nanometres, so that equal ones are equal. */
#include <holdfast/fretboard.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "assignment.h"

static double to_nanometre(double mm)
{
    return (double)(int64_t)(mm * 1e6 + 0.5) / 1e6;
}

/* ---- places ---------------------------------------------------------------------------------- */

struct hf_strings hf_fretboard_strings(const struct hf_fretboard *board)
{
    struct hf_strings strings = {.count = board->strings, .frets = hf_fretboard_last(board)};
    for (int s = 0; s < board->strings; s++)
        strings.midi[s] = board->midi[s] + board->capo;
    return strings;
}

int hf_fretboard_last(const struct hf_fretboard *board)
{
    return board->frets - board->capo;
}

double hf_fretboard_along_mm(const struct hf_fretboard *board, int fret)
{
    /* 2^(-k/12) */
    static const double left[12] = {
        1.0,
        0.94387431268169349664,
        0.89089871814033930474,
        0.84089641525371454303,
        0.79370052598409973738,
        0.74915353843834074940,
        0.70710678118654752440,
        0.66741992708501718242,
        0.62996052494743658238,
        0.59460355750136053336,
        0.56123102415468649072,
        0.52973154717964763228,
    };
    int wire = board->capo + fret;
    return board->scale_mm * (1.0 - left[wire % 12] / (double)(1 << wire / 12));
}

double hf_fretboard_across_mm(const struct hf_fretboard *board, int string, int fret)
{
    double spacing = board->nut_mm + (board->bridge_mm - board->nut_mm) *
                                         hf_fretboard_along_mm(board, fret) / board->scale_mm;
    return (string + 1 - (board->strings + 1) / 2.0) * spacing;
}

double hf_fretboard_distance_mm(const struct hf_fretboard *board, int string_a, int fret_a,
                                int string_b, int fret_b)
{
    double along = hf_fretboard_along_mm(board, fret_a) - hf_fretboard_along_mm(board, fret_b);
    double across = hf_fretboard_across_mm(board, string_a, fret_a) -
                    hf_fretboard_across_mm(board, string_b, fret_b);
    return sqrt(along * along + across * across);
}

/* ---- measures of a shape --------------------------------------------------------------------- */

void hf_shape_init(struct hf_shape *shape)
{
    memset(shape, 0, sizeof *shape);
    memset(shape->fret, HF_SILENT, sizeof shape->fret);
}

/* One finger can go on over a fret from string to string as long as no sounding string between is
 * open or stopped lower. */
static int count_fingers(const struct hf_fretboard *board, const struct hf_shape *shape)
{
    bool lies[HF_FRETS_MOST + 1] = {false}; /* a finger that may reach the next string */
    int fingers = 0;
    for (int s = 0; s < board->strings; s++) {
        int fret = shape->fret[s];
        if (fret == HF_SILENT)
            continue;
        for (int higher = fret + 1; higher <= HF_FRETS_MOST; higher++)
            lies[higher] = false;
        fingers += fret > 0 && !lies[fret];
        lies[fret] = true;
    }
    return fingers;
}

static enum hf_right_hand right_hand(const struct hf_fretboard *board, const struct hf_shape *shape)
{
    int first = -1, last = -1;
    for (int s = 0; s < board->strings; s++)
        if (shape->fret[s] != HF_SILENT) {
            first = first < 0 ? s : first;
            last = s;
        }
    if (shape->sounding <= board->plucking)
        return HF_RIGHT_PLUCK;
    return last - first + 1 == shape->sounding ? HF_RIGHT_STRUM : HF_RIGHT_ROLL;
}

bool hf_shape_stretch(const struct hf_fretboard *board, const struct hf_shape *shape, int *string_a,
                      int *string_b)
{
    double longest = -1;
    for (int a = 0; a < board->strings; a++)
        for (int b = a + 1; b < board->strings && shape->fret[a] > 0; b++) {
            if (shape->fret[b] <= 0)
                continue;
            double distance = hf_fretboard_distance_mm(board, a, shape->fret[a], b, shape->fret[b]);
            if (distance <= longest)
                continue;
            longest = distance;
            *string_a = a;
            *string_b = b;
        }
    return longest >= 0;
}

void hf_shape_measure(const struct hf_fretboard *board, struct hf_shape *shape)
{
    int a, b;
    shape->sounding = shape->stopped = shape->position = 0;
    shape->movement = 0;
    for (int s = board->strings; s < HF_STRINGS_MOST; s++)
        shape->fret[s] = HF_SILENT;
    for (int s = 0; s < board->strings; s++) {
        int fret = shape->fret[s];
        shape->sounding = (uint8_t)(shape->sounding + (fret != HF_SILENT));
        shape->stopped = (uint8_t)(shape->stopped + (fret > 0));
        if (fret > 0 && (shape->position == 0 || fret < shape->position))
            shape->position = (uint8_t)fret;
    }
    shape->fingers = (uint8_t)count_fingers(board, shape);
    shape->right = (uint8_t)right_hand(board, shape);
    shape->reach_mm = 0;
    if (hf_shape_stretch(board, shape, &a, &b))
        shape->reach_mm =
            to_nanometre(hf_fretboard_distance_mm(board, a, shape->fret[a], b, shape->fret[b]));
}

bool hf_shape_fits(const struct hf_fretboard *board, const struct hf_shape *shape)
{
    for (int s = 0; s < board->strings; s++)
        if (shape->fret[s] > hf_fretboard_last(board))
            return false;
    return shape->fingers <= board->fingers && shape->reach_mm <= board->reach_mm;
}

/* ---- notes ----------------------------------------------------------------------------------- */

int hf_shape_notes(const struct hf_fretboard *board, const struct hf_shape *shape,
                   int notes[HF_STRINGS_MOST])
{
    int count = 0;
    for (int s = 0; s < board->strings; s++)
        if (shape->fret[s] != HF_SILENT)
            notes[count++] = board->midi[s] + board->capo + shape->fret[s];
    return count;
}

struct hf_voicing hf_shape_voicing(const struct hf_fretboard *board, const struct hf_shape *shape)
{
    int notes[HF_STRINGS_MOST];
    int count = hf_shape_notes(board, shape, notes);
    return hf_voicing_of(notes, count);
}

hf_pcset hf_shape_set(const struct hf_fretboard *board, const struct hf_shape *shape)
{
    int notes[HF_STRINGS_MOST];
    int count = hf_shape_notes(board, shape, notes);
    return hf_pcset_of(notes, count);
}

char *hf_shape_format(const struct hf_fretboard *board, const struct hf_shape *shape,
                      char text[HF_SHAPE_TEXT])
{
    size_t used = 0;
    text[0] = '\0';
    for (int s = 0; s < board->strings; s++) {
        char fret[8] = "x";
        if (shape->fret[s] != HF_SILENT)
            snprintf(fret, sizeof fret, "%d", shape->fret[s] % 100);
        snprintf(text + used, HF_SHAPE_TEXT - used, "%s%s", s ? "-" : "", fret);
        used += strlen(text + used);
    }
    return text;
}

enum hf_status hf_shape_of_notes(const struct hf_fretboard *board, const struct hf_notes *notes,
                                 struct hf_shape *out, struct hf_diag *diag)
{
    struct hf_shape shape;
    hf_shape_init(&shape);
    for (int i = 0; i < notes->count; i++)
        if (notes->kind != HF_NOTES_FRETS || notes->note[i].string >= board->strings ||
            notes->note[i].fret > hf_fretboard_last(board)) {
            hf_fail(diag, HF_E_USAGE, "these notes are no frets of the instrument");
            hf_advise(diag, "write one place a string, the lowest first, x for a silent one: "
                            "x-3-2-1-x-x");
            return HF_E_USAGE;
        }
    for (int s = 0; s < board->strings; s++)
        shape.fret[s] = notes->kind == HF_NOTES_FRETS ? notes->frets[s] : HF_SILENT;
    hf_shape_measure(board, &shape);
    *out = shape;
    return HF_OK;
}

/* ---- two shapes ------------------------------------------------------------------------------ */

bool hf_shape_same(const struct hf_shape *a, const struct hf_shape *b)
{
    return memcmp(a->fret, b->fret, sizeof a->fret) == 0;
}

int hf_shape_compare(const struct hf_shape *a, const struct hf_shape *b)
{
    if (a->reach_mm < b->reach_mm || a->reach_mm > b->reach_mm)
        return a->reach_mm < b->reach_mm ? -1 : 1;
    if (a->movement != b->movement)
        return a->movement < b->movement ? -1 : 1;
    for (int s = 0; s < HF_STRINGS_MOST; s++)
        if (a->fret[s] != b->fret[s])
            return a->fret[s] < b->fret[s] ? -1 : 1;
    return 0;
}

double hf_shape_leap_mm(const struct hf_fretboard *board, const struct hf_shape *from,
                        const struct hf_shape *to)
{
    if (from->position == 0 || to->position == 0)
        return 0;
    return to_nanometre(fabs(hf_fretboard_along_mm(board, from->position) -
                             hf_fretboard_along_mm(board, to->position)));
}

static int stopped_strings(const struct hf_fretboard *board, const struct hf_shape *shape,
                           int strings[HF_STRINGS_MOST])
{
    int count = 0;
    for (int s = 0; s < board->strings; s++)
        if (shape->fret[s] > 0)
            strings[count++] = s;
    return count;
}

double hf_shape_way_mm(const struct hf_fretboard *board, const struct hf_shape *from,
                       const struct hf_shape *to)
{
    const struct hf_shape *many = from->stopped >= to->stopped ? from : to;
    const struct hf_shape *few = many == from ? to : from;
    double cost[HF_ASSIGNMENT_MOST][HF_ASSIGNMENT_MOST];
    int many_at[HF_STRINGS_MOST], few_at[HF_STRINGS_MOST];
    int rows = stopped_strings(board, many, many_at);
    int columns = stopped_strings(board, few, few_at);
    if (columns == 0)
        return 0;
    for (int i = 0; i < rows; i++) {
        double nearest = HUGE_VAL;
        for (int j = 0; j < columns; j++) {
            cost[i][j] = hf_fretboard_distance_mm(board, many_at[i], many->fret[many_at[i]],
                                                  few_at[j], few->fret[few_at[j]]);
            nearest = cost[i][j] < nearest ? cost[i][j] : nearest;
        }
        for (int j = columns; j < rows; j++)
            cost[i][j] = nearest;
    }
    return to_nanometre(hf_assignment_least(cost, rows));
}
