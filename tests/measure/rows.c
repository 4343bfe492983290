/* SPDX-License-Identifier: MIT */
#include "rows.h"

#include <math.h>
#include <stdio.h>

static void limit_text(char *out, size_t size, double low, double high)
{
    if (low == -HUGE_VAL)
        snprintf(out, size, "<= %.4g", high);
    else if (high == HUGE_VAL)
        snprintf(out, size, ">= %.4g", low);
    else
        snprintf(out, size, "%.4g to %.4g", low, high);
}

void rows_add(struct rows *rows, const char *what, const char *how, double low, double figure,
              double high, const char *unit)
{
    char limit[48];
    int pass = figure >= low && figure <= high; /* false for what is no number */
    limit_text(limit, sizeof limit, low, high);
    if (rows->count++ == 0)
        printf("| what | how | limit | figure | |\n| --- | --- | --- | --- | --- |\n");
    printf("| %s | %s | %s | %.4g %s | %s |\n", what, how, limit, figure, unit,
           pass ? "pass" : "FAIL");
    fflush(stdout);
    rows->failed += !pass;
}
