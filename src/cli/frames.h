/* SPDX-License-Identifier: MIT */
/*
 * frames: shapes drawn in plain characters, as chord charts are: strings upright, the lowest at the
 * left (of a left-handed instrument at the right), several beside each other in 80 columns.
 *
 * The caller owns the struct, which starts with what is set by hand and zeros. Main thread only.
 */
#ifndef HOLDFAST_CLI_FRAMES_H
#define HOLDFAST_CLI_FRAMES_H

#include <holdfast/fretboard.h>

enum { FRAME_TEXT = 64, FRAMES_A_ROW = 6, FRAME_WORDS = 9 };

struct frame {
    struct hf_shape shape;
    hf_pcset held;          /* these pitch classes are marked @ where a finger stands */
    char title[FRAME_TEXT]; /* over it; may be empty */
    char note[FRAME_TEXT];  /* a last line under it; may be empty */
};

struct frames {
    const struct hf_fretboard *board;
    bool colour;
    int words; /* width of the longest title or note; at least FRAME_WORDS is taken */
    struct frame row[FRAMES_A_ROW];
    int count;
};

/* True where stdout is a terminal that takes colours, and the player wants them (NO_COLOR). */
bool frames_colour(void);

/* Draws a frame, once a row of them is full or frames_flush is called. */
void frames_add(struct frames *frames, const struct frame *frame);
void frames_flush(struct frames *frames);

/* What the marks mean, on a line or two. `marks_held`: frames have @. */
void frames_legend(const struct hf_fretboard *board, bool marks_held);

#endif
