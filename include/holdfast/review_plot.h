/* SPDX-License-Identifier: MIT */
/*
 * review_plot: a review as a page to look at or to print: the map of completions, minutes by day,
 * levels of ear training, time in roam. Drawn by cairo, which a build may lack; it says so then.
 *
 * The caller owns everything. One thread at a time.
 */
#ifndef HOLDFAST_REVIEW_PLOT_H
#define HOLDFAST_REVIEW_PLOT_H

#include <holdfast/review.h>
#include <holdfast/spelling.h>

/* Can a page be drawn into a file of this name? HF_E_USAGE for an extension that is not .svg or
 * .pdf, and where the program was built without cairo. */
enum hf_status hf_review_plot_check(const char *path, struct hf_diag *diag) HF_CHECKED;

/* Draws it, whole or not at all. Errors: as above, HF_E_CREATE, HF_E_IO, HF_E_MEMORY. */
enum hf_status hf_review_plot(const struct hf_review *review, int32_t today, enum hf_names names,
                              const char *path, struct hf_diag *diag) HF_CHECKED;

#endif
