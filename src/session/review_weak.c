/* SPDX-License-Identifier: MIT */
/* What asks for practice. Invariant: a weight is a function of one cell and the date, and lies
 * between its limits, so that none is ever starved. */
#include "review_parts.h"

enum { DAYS_THAT_WEIGH = 14, TRIADS = 4, TRIAD_STEP = 4, MARKS_LEAST = 5 };

/* Lower bounds: eighteen of twenty are sure, twelve of twenty weak. */
#define SURE 0.65
#define WEAK 0.4

hf_pcset hf_review_triad(int which)
{
    return (hf_pcset)((1u | 1u << TRIAD_STEP | 1u << 2 * TRIAD_STEP) << which);
}

double hf_review_lower(const struct hf_review_cell *cell)
{
    uint32_t got = 0;
    double low = 0, high;
    for (int i = 0; cell && i < cell->recent_count; i++)
        got += cell->recent >> i & 1;
    if (cell && cell->recent_count > 0)
        hf_review_wilson(got, (uint32_t)cell->recent_count, &low, &high);
    return low;
}

char hf_review_sign(const struct hf_review_cell *cell)
{
    if (!cell || !review_came(cell))
        return ' ';
    if (cell->recent_count == 0)
        return '.';
    if (cell->recent_count < MARKS_LEAST)
        return '?';
    double low = hf_review_lower(cell);
    return low >= SURE ? '#' : low >= WEAK ? '+' : '-';
}

int32_t hf_review_days_since(const struct hf_review_cell *cell, int32_t today)
{
    if (!cell || !review_came(cell))
        return -1;
    return today > cell->last_day ? today - cell->last_day : 0; /* a clock may have been set back */
}

double hf_review_weight(const struct hf_review_cell *cell, int32_t today)
{
    double weak = 1 - hf_review_lower(cell);
    int32_t days = hf_review_days_since(cell, today);
    if (days < 0 || days > DAYS_THAT_WEIGH)
        days = DAYS_THAT_WEIGH;
    return (HF_REVIEW_LEAST + weak * weak * weak) * (1 + (double)days / DAYS_THAT_WEIGH);
}

/* Two figures of a triad, the second for equals: the less, the more it asks for practice. */
struct need {
    double first, second;
};

static struct need need_of(const struct hf_review *review, const struct hf_setclass *added,
                           int which, bool weak, int32_t today)
{
    struct hf_completion completions[HF_COMPLETIONS_MOST];
    hf_pcset triad = hf_review_triad(which);
    int count = hf_pairing_complete(triad, added, completions);
    double cues = 0, weight = 0, last = -1e9;
    for (int i = 0; i < count; i++) {
        const struct hf_review_cell *cell = hf_review_find(review, triad, completions[i].pcs);
        cues += cell ? cell->cued : 0;
        weight += hf_review_weight(cell, today);
        if (cell && review_came(cell) && cell->last_day > last)
            last = cell->last_day;
    }
    return weak ? (struct need){-weight, 0} : (struct need){cues, last};
}

unsigned hf_review_triads(const struct hf_review *review, const struct hf_setclass *added,
                          bool weak, int32_t today)
{
    struct need best = {0, 0};
    unsigned found = 0;
    for (int which = 0; which < TRIADS && review->sessions > 0; which++) {
        struct need need = need_of(review, added, which, weak, today);
        bool same = found && need.first == best.first && need.second == best.second;
        bool better = !found || need.first < best.first ||
                      (need.first == best.first && need.second < best.second);
        if (better)
            found = 0;
        if (better || same) {
            best = need;
            found |= 1u << which;
        }
    }
    return found;
}
