/* SPDX-License-Identifier: MIT */
/*
 * paragraph: one entry of a text page: a label, then words that are wrapped beside it so that no
 * line is wider than a terminal and none ends in blanks. Only code in src/cli includes this.
 *
 * The caller owns the paragraph. Main thread only.
 */
#ifndef HOLDFAST_PARAGRAPH_H
#define HOLDFAST_PARAGRAPH_H

#include <stddef.h>
#include <stdio.h>

#include <holdfast/status.h>

enum {
    HF_PARAGRAPH_WIDTH = 80,  /* columns of a line at most; a code point counts as one */
    HF_PARAGRAPH_TEXT = 2048, /* bytes of a paragraph; what is more is cut off */
    HF_PARAGRAPH_INDENT = 72  /* columns of the label at most */
};

struct hf_paragraph {
    int indent; /* column where every line but the first begins */
    size_t length;
    char text[HF_PARAGRAPH_TEXT];
};

/* Starts one: the label, padded with blanks up to column `indent`. The label is never broken; one
 * that reaches over the column is followed by a blank. */
void hf_paragraph_begin(struct hf_paragraph *p, int indent, const char *label);

/* Starts one without a label: its first line begins at column `first`, the others at `indent`. */
void hf_paragraph_hang(struct hf_paragraph *p, int first, int indent);

/* Adds words (printf rules). A line may break at any run of blanks among them; within a line the
 * blanks stay as they are. */
void hf_paragraph_add(struct hf_paragraph *p, const char *format, ...) HF_PRINTF(2, 3);

/* The same, but the words stay on one line where they can: they are broken only when they alone
 * are wider than what is beside the label. */
void hf_paragraph_add_whole(struct hf_paragraph *p, const char *format, ...) HF_PRINTF(2, 3);

/* Writes it, with a newline at its end. A word wider than the room beside the label is cut. */
void hf_paragraph_write(const struct hf_paragraph *p, FILE *out);

/* Writes it to stdout. */
void hf_paragraph_end(const struct hf_paragraph *p);

/* A whole paragraph to stdout at once. */
void hf_paragraph_print(int indent, const char *label, const char *format, ...) HF_PRINTF(3, 4);

#endif
