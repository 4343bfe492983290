/* SPDX-License-Identifier: MIT */
/* Invariant: row_price[i] + column_price[j] <= cost[i][j], with equality for every pair that is
 * assigned, so that the total is least once every row has a column. */
#include "assignment.h"

#include <math.h>
#include <stdbool.h>

enum { LINES = HF_ASSIGNMENT_MOST + 1 }; /* lines count from 1; column 0 starts a path */

struct prices {
    double row[LINES], column[LINES];
    int row_of[LINES]; /* of a column; 0: free */
};

/* The free column that the row in column 0 reaches most cheaply, its path in `from`. */
static int find_path(struct prices *p, double cost[HF_ASSIGNMENT_MOST][HF_ASSIGNMENT_MOST],
                     int count, int from[LINES])
{
    double least[LINES];
    bool met[LINES] = {false};
    int at = 0;
    for (int j = 0; j <= count; j++)
        least[j] = HUGE_VAL;
    do {
        int row = p->row_of[at], next = 0;
        double step = HUGE_VAL;
        met[at] = true;
        for (int j = 1; j <= count; j++) {
            if (met[j])
                continue;
            double slack = cost[row - 1][j - 1] - p->row[row] - p->column[j];
            if (slack < least[j]) {
                least[j] = slack;
                from[j] = at;
            }
            if (least[j] < step) {
                step = least[j];
                next = j;
            }
        }
        for (int j = 0; j <= count; j++) {
            if (met[j]) {
                p->row[p->row_of[j]] += step;
                p->column[j] -= step;
            } else {
                least[j] -= step;
            }
        }
        at = next;
    } while (p->row_of[at]);
    return at;
}

double hf_assignment_least(double cost[HF_ASSIGNMENT_MOST][HF_ASSIGNMENT_MOST], int count)
{
    struct prices p = {{0}, {0}, {0}};
    double total = 0;
    for (int row = 1; row <= count; row++) {
        int from[LINES] = {0};
        p.row_of[0] = row;
        for (int at = find_path(&p, cost, count, from); at; at = from[at])
            p.row_of[at] = p.row_of[from[at]];
    }
    for (int j = 1; j <= count; j++)
        total += cost[p.row_of[j] - 1][j - 1];
    return total;
}
