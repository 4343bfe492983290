/* SPDX-License-Identifier: MIT */
/* Least total cost of giving each row a column of its own. */
#ifndef HOLDFAST_INSTRUMENT_ASSIGNMENT_H
#define HOLDFAST_INSTRUMENT_ASSIGNMENT_H

#include <holdfast/notes.h>

enum { HF_ASSIGNMENT_MOST = HF_STRINGS_MOST };

/* `cost[i][j]` is finite; count at most HF_ASSIGNMENT_MOST. H. W. Kuhn, "The Hungarian method for
 * the assignment problem", Naval Research Logistics Quarterly 2 (1955), in the form that grows
 * shortest paths. */
double hf_assignment_least(double cost[HF_ASSIGNMENT_MOST][HF_ASSIGNMENT_MOST], int count);

#endif
