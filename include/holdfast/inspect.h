/* SPDX-License-Identifier: MIT */
/*
 * inspect: what the command of that name was asked, and the page that answers it for a reader. Only
 * code in src/cli includes this.
 *
 * The caller owns what it passes. Main thread only.
 */
#ifndef HOLDFAST_INSPECT_H
#define HOLDFAST_INSPECT_H

#include <holdfast/query.h>

struct hf_inspect {
    struct hf_query query;
    int subsets;   /* how many notes the subsets to list have; -1: list none */
    bool compares; /* --against was given */
    struct hf_notes against;
    const char *against_text; /* as it was given, to be read once the other options are known */
};

/* Prints the page for a list of notes on stdout. */
void hf_inspect_page(const struct hf_inspect *asked, const struct hf_notes *notes);

#endif
