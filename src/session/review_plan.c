/* SPDX-License-Identifier: MIT */
/* What to do today. Invariant: a plan is a function of the review, the date and the minutes. */
#include <holdfast/review.h>

void hf_review_plan(const struct hf_review *review, int32_t today, int minutes, struct hf_plan *out)
{
    (void)review;
    (void)today;
    (void)minutes;
    (void)out;
}
