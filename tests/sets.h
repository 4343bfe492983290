/* SPDX-License-Identifier: MIT */
/* sets: what the tests of pairings write sets and classes with: "048" and class(3, 12). */
#ifndef TESTS_SETS_H
#define TESTS_SETS_H

#include <string.h>

#include <holdfast/setclass.h>

#include "check.h"

static inline hf_pcset set_of(const char *digits)
{
    hf_pcset set = 0;
    for (; *digits; digits++)
        set |= (hf_pcset)(1u << (strchr("0123456789TE", *digits) - "0123456789TE"));
    return set;
}

static inline const struct hf_setclass *class(int size, int number)
{
    return hf_setclass_find(size, number);
}

#endif
