/* SPDX-License-Identifier: MIT */
#include "review.h"

int review_plan(const struct review_asked *asked)
{
    (void)asked;
    return 0;
}
