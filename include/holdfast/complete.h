/* SPDX-License-Identifier: MIT */
/*
 * complete: what the command of that name was asked, and the pages that answer it for a reader.
 * Only code in src/cli includes this.
 *
 * The caller owns what it passes. Main thread only.
 */
#ifndef HOLDFAST_COMPLETE_H
#define HOLDFAST_COMPLETE_H

#include <holdfast/pairing.h>
#include <holdfast/path.h>
#include <holdfast/query.h>

struct hf_complete {
    struct hf_query query;
    const struct hf_setclass *added;  /* NULL: not told */
    const struct hf_setclass *result; /* NULL: any */
    bool hints;
    const char *from_text, *to_text; /* the ends of a path, or NULL */
    enum hf_path_share share;
};

/* One reading of a held set: a class that is added to it. */
struct hf_reading {
    struct hf_notes held;
    const struct hf_setclass *added;
    struct hf_completion completions[HF_COMPLETIONS_MOST];
    int count;
};

/* A path that was found. */
struct hf_path {
    struct hf_notes from, to;
    hf_pcset chain[HF_SETCLASS_FORMS];
    int length;
};

/* Print on stdout: the completions, or why there are none; the same told in four hints; a path. */
void hf_complete_page(const struct hf_complete *asked, const struct hf_reading *reading);
void hf_complete_hints(const struct hf_complete *asked, const struct hf_reading *reading);
void hf_complete_path_page(const struct hf_complete *asked, const struct hf_path *path);

#endif
