/* SPDX-License-Identifier: MIT */
/*
 * Every way to put notes on strings, found without a thought: all choices of silence or a fret for
 * each string are counted through, and each is judged by the words of the contract, with the maths
 * library. Shares nothing with src/instrument but the struct that describes an instrument.
 */
#ifndef TESTS_BRUTE_H
#define TESTS_BRUTE_H

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/fretboard.h>

enum { BRUTE_SILENT = -1, BRUTE_MOST = 1 << 18 };

struct brute_wish {
    unsigned pcs;           /* pitch classes, or */
    int pitches, pitch[12]; /* pitches, when there are any */
    bool doubled, no_open;
    int string_low, string_high, fret_high;
    int position_low, position_high; /* low -1: any */
    double reach_mm;
    int fingers;
    const int *held; /* a fret for each string, or NULL */
};

struct brute_shape {
    int fret[12];
    double reach_mm;
    int fingers, position, sounding;
    bool gap; /* a silent string between sounding ones */
};

static struct brute_shape brute_found[BRUTE_MOST];
static int brute_count;

static inline double brute_reach(const struct hf_fretboard *board, const int *fret)
{
    double reach = 0;
    for (int a = 0; a < board->strings; a++)
        for (int b = 0; b < a; b++) {
            if (fret[a] < 1 || fret[b] < 1)
                continue;
            double x[2], y[2];
            for (int k = 0; k < 2; k++) {
                int wire = board->capo + fret[k ? b : a];
                x[k] = board->scale_mm * (1 - pow(2, -wire / 12.0));
                y[k] =
                    ((k ? b : a) + 1 - (board->strings + 1) / 2.0) *
                    (board->nut_mm + (board->bridge_mm - board->nut_mm) * x[k] / board->scale_mm);
            }
            reach = fmax(reach, hypot(x[0] - x[1], y[0] - y[1]));
        }
    return reach;
}

/* A note needs a finger of its own unless the one before it at its fret can be shared. */
static inline int brute_fingers(const struct hf_fretboard *board, const int *fret)
{
    int fingers = 0;
    for (int a = 0; a < board->strings; a++) {
        bool shares = false;
        if (fret[a] < 1)
            continue;
        for (int b = a - 1; b >= 0; b--) {
            if (fret[b] == BRUTE_SILENT)
                continue;
            if (fret[b] == fret[a])
                shares = true;
            if (fret[b] <= fret[a])
                break;
        }
        fingers += !shares;
    }
    return fingers;
}

/* Whether what is added is what is wished for. */
static inline bool brute_sounds(const struct hf_fretboard *board, const struct brute_wish *wish,
                                const int *fret)
{
    int times[128] = {0}, of_pc[12] = {0}, notes = 0;
    for (int s = 0; s < board->strings; s++) {
        if (fret[s] == BRUTE_SILENT || (wish->held && wish->held[s] != BRUTE_SILENT))
            continue;
        int midi = board->midi[s] + board->capo + fret[s];
        times[midi]++;
        of_pc[midi % 12]++;
        notes++;
    }
    if (wish->pitches) {
        for (int i = 0; i < wish->pitches; i++)
            if (times[wish->pitch[i]] != 1)
                return false;
        return notes == wish->pitches;
    }
    for (int pc = 0; pc < 12; pc++) {
        bool wanted = wish->pcs >> pc & 1;
        if (wanted ? of_pc[pc] == 0 || (of_pc[pc] > 1 && !wish->doubled) : of_pc[pc] > 0)
            return false;
    }
    return notes > 0;
}

static inline bool brute_allowed(const struct hf_fretboard *board, const struct brute_wish *wish,
                                 int string, int fret)
{
    int midi = board->midi[string] + board->capo + fret;
    if (wish->held && wish->held[string] != BRUTE_SILENT)
        return fret == wish->held[string];
    if (fret == BRUTE_SILENT)
        return true;
    bool sounds = wish->pitches == 0 && (wish->pcs >> midi % 12 & 1);
    for (int i = 0; i < wish->pitches; i++)
        sounds = sounds || wish->pitch[i] == midi;
    return sounds && string >= wish->string_low && string <= wish->string_high &&
           fret <= wish->fret_high && !(wish->no_open && fret == 0);
}

static inline void brute_judge(const struct hf_fretboard *board, const struct brute_wish *wish,
                               const int *fret)
{
    struct brute_shape shape = {.position = 99};
    int first = -1, last = -1;
    if (!brute_sounds(board, wish, fret))
        return;
    for (int s = 0; s < 12; s++)
        shape.fret[s] = s < board->strings ? fret[s] : BRUTE_SILENT;
    for (int s = 0; s < board->strings; s++) {
        if (fret[s] == BRUTE_SILENT)
            continue;
        first = first < 0 ? s : first;
        last = s;
        shape.sounding++;
        if (fret[s] > 0 && fret[s] < shape.position)
            shape.position = fret[s];
    }
    shape.position = shape.position == 99 ? 0 : shape.position;
    shape.gap = last - first + 1 > shape.sounding;
    shape.reach_mm = brute_reach(board, fret);
    shape.fingers = brute_fingers(board, fret);
    if (shape.reach_mm > wish->reach_mm || shape.fingers > wish->fingers)
        return;
    if (wish->position_low >= 0 &&
        (shape.position < wish->position_low || shape.position > wish->position_high))
        return;
    if (brute_count < BRUTE_MOST)
        brute_found[brute_count++] = shape;
}

/* Fills brute_found, brute_count. Only frets that sound a wished note are counted through. */
static inline void brute_search(const struct hf_fretboard *board, const struct brute_wish *wish)
{
    static int choice[12][40];
    int choices[12], at[12] = {0}, fret[12];
    int last = board->frets - board->capo;
    brute_count = 0;
    for (int s = 0; s < board->strings; s++) {
        choices[s] = 0;
        for (int f = BRUTE_SILENT; f <= last; f++)
            if (brute_allowed(board, wish, s, f))
                choice[s][choices[s]++] = f;
        if (choices[s] == 0)
            return;
    }
    for (;;) {
        int s = 0;
        for (int t = 0; t < board->strings; t++)
            fret[t] = choice[t][at[t]];
        brute_judge(board, wish, fret);
        for (; s < board->strings && ++at[s] == choices[s]; s++)
            at[s] = 0;
        if (s == board->strings)
            return;
    }
}

static inline int brute_find(const int8_t *fret)
{
    for (int i = 0; i < brute_count; i++) {
        bool same = true;
        for (int s = 0; s < 12; s++)
            same = same && brute_found[i].fret[s] == fret[s];
        if (same)
            return i;
    }
    return -1;
}

#endif
