/* SPDX-License-Identifier: MIT */
/* The shortest walk that visits every place once, from anywhere to anywhere. */
#ifndef HOLDFAST_INSTRUMENT_WALK_H
#define HOLDFAST_INSTRUMENT_WALK_H

#include <stdbool.h>
#include <stddef.h>

#include <holdfast/status.h>

/* `cost[i * count + j]` is that from i to j and back, finite, 0 or more. Fills in `order`, the
 * length of the walk and a bound: no walk is shorter. Up to `exact` places (at most 20) both are
 * the same. HF_E_MEMORY. */
enum hf_status hf_walk_find(const double *cost, size_t count, size_t exact, size_t *order,
                            double *length, double *bound) HF_CHECKED;

/* The parts, each for two places or more: exact by a table over all subsets (Held and Karp 1962);
 * by improving a first walk (2-opt and moved segments, G. A. Croes, Operations Research 6 (1958);
 * kicks of double bridges, O. Martin, S. Otto and E. Felten, Complex Systems 5 (1991)); and the
 * bound by spanning trees with prices on the places (Held and Karp 1970), never above `length`. */
enum hf_status hf_walk_exact(const double *cost, size_t count, size_t *order) HF_CHECKED;
enum hf_status hf_walk_improve(const double *cost, size_t count, size_t *order) HF_CHECKED;
enum hf_status hf_walk_bound(const double *cost, size_t count, double length,
                             double *bound) HF_CHECKED;

double hf_walk_length(const double *cost, size_t count, const size_t *order);

#endif
