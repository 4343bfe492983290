/* SPDX-License-Identifier: MIT */
/* review_draw: the page itself, for review_plot.c alone. */
#ifndef HOLDFAST_OUTLET_REVIEW_DRAW_H
#define HOLDFAST_OUTLET_REVIEW_DRAW_H

#include <holdfast/review.h>
#include <holdfast/spelling.h>

/* A4 upright, in points. */
enum { REVIEW_PAGE_WIDTH = 595, REVIEW_PAGE_HEIGHT = 842 };

struct _cairo;
void review_draw(struct _cairo *cr, const struct hf_review *review, int32_t today,
                 enum hf_names names);

#endif
