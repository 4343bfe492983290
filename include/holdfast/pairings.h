/* SPDX-License-Identifier: MIT */
/*
 * pairings: what the command of that name was asked, and the page that answers it for a reader.
 * Only code in src/cli includes this.
 *
 * The caller owns what it passes. Main thread only.
 */
#ifndef HOLDFAST_PAIRINGS_H
#define HOLDFAST_PAIRINGS_H

#include <holdfast/pairing.h>
#include <holdfast/query.h>

enum { HF_PAIRINGS_MOST = HF_SETCLASSES * HF_SETCLASSES };

struct hf_pairings {
    struct hf_query query;
    const struct hf_setclass *held, *added, *result; /* NULL: any */
    int size;                                        /* 0: any */
    int at_most;                                     /* classes that a pairing may make */
    bool all;                                        /* also the largest unions */
    bool narrowed;                                   /* any of these options was given */
};

/* Finds what is asked for, in the order of held, then of added; returns how many. */
int hf_pairings_find(const struct hf_pairings *asked, struct hf_pairing out[HF_PAIRINGS_MOST]);

/* Prints on stdout the list of those that were found; where nothing narrows them how many there are
 * and how to narrow them; where there are none the reason, for which it uses `found` as room. */
void hf_pairings_page(const struct hf_pairings *asked, struct hf_pairing found[HF_PAIRINGS_MOST],
                      int count);

#endif
