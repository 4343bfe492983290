/* SPDX-License-Identifier: MIT */
/* Walks proven shortest, and the bound for those that are not. Invariant: whatever the prices are,
 * the cheapest tree with them is no dearer than any walk, so that every bound ever seen holds. */
#include "walk.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { BOUND_ROUNDS = 400, PATIENCE = 20 };

double hf_walk_length(const double *cost, size_t count, const size_t *order)
{
    double length = 0;
    for (size_t i = 1; i < count; i++)
        length += cost[order[i - 1] * count + order[i]];
    return length;
}

/* ---- exact ----------------------------------------------------------------------------------- */

/* least[set * count + last]: the shortest walk through a set of places that ends at one of them. */
static void fill_table(const double *cost, size_t count, double *least, uint8_t *before)
{
    size_t sets = (size_t)1 << count;
    for (size_t set = 1; set < sets; set++)
        for (size_t last = 0; last < count; last++) {
            double *here = &least[set * count + last];
            size_t rest = set & ~((size_t)1 << last); /* `set` where it does not hold `last` */
            *here = rest == 0 ? 0 : HUGE_VAL;
            for (size_t from = 0; from < count && rest != set; from++) {
                if (!(rest >> from & 1))
                    continue;
                double length = least[rest * count + from] + cost[from * count + last];
                if (length < *here) {
                    *here = length;
                    before[set * count + last] = (uint8_t)from;
                }
            }
        }
}

enum hf_status hf_walk_exact(const double *cost, size_t count, size_t *order)
{
    size_t cells = ((size_t)1 << count) * count, set = ((size_t)1 << count) - 1, last = 0;
    double *least = malloc(cells * sizeof *least);
    uint8_t *before = calloc(cells, 1);
    if (!least || !before) {
        free(least);
        free(before);
        return HF_E_MEMORY;
    }
    fill_table(cost, count, least, before);
    for (size_t i = 1; i < count; i++)
        if (least[set * count + i] < least[set * count + last])
            last = i;
    for (size_t i = count; i-- > 0;) {
        order[i] = last;
        size_t from = before[set * count + last];
        set &= ~((size_t)1 << last);
        last = from;
    }
    free(least);
    free(before);
    return HF_OK;
}

/* ---- bound ----------------------------------------------------------------------------------- */

struct tree {
    double *price;  /* of each place */
    double *far;    /* from the tree so far */
    size_t *beside; /* the place of the tree that is nearest */
    int *degree;
    bool *in;
};

/* R. C. Prim, "Shortest connection networks", Bell System Technical Journal 36 (1957). */
static double span(const double *cost, size_t count, struct tree *tree)
{
    double total = 0;
    memset(tree->in, 0, count * sizeof *tree->in);
    memset(tree->degree, 0, count * sizeof *tree->degree);
    for (size_t i = 0; i < count; i++) {
        tree->far[i] = HUGE_VAL;
        tree->beside[i] = 0;
    }
    for (size_t at = 0, joined = 1; joined < count; joined++) {
        size_t next = count;
        tree->in[at] = true;
        for (size_t i = 0; i < count; i++) {
            if (tree->in[i])
                continue;
            double with = cost[at * count + i] + tree->price[at] + tree->price[i];
            if (with < tree->far[i]) {
                tree->far[i] = with;
                tree->beside[i] = at;
            }
            if (next == count || tree->far[i] < tree->far[next])
                next = i;
        }
        total += tree->far[next];
        tree->degree[next]++;
        tree->degree[tree->beside[next]]++;
        at = next;
    }
    return total;
}

/* A walk is a round through one more place that is free to reach: a tree over the others, and the
 * two cheapest ways to that place. Returns what they cost less the prices paid twice. */
static double price_tree(const double *cost, size_t count, struct tree *tree)
{
    double total = span(cost, count, tree);
    size_t first = tree->price[1] < tree->price[0], second = !first;
    for (size_t i = 2; i < count; i++)
        if (tree->price[i] < tree->price[first]) {
            second = first;
            first = i;
        } else if (tree->price[i] < tree->price[second]) {
            second = i;
        }
    total += tree->price[first] + tree->price[second];
    tree->degree[first]++;
    tree->degree[second]++;
    for (size_t i = 0; i < count; i++)
        total -= 2 * tree->price[i];
    return total;
}

/* Raises the price of places where the tree branches, lowers it where it ends. */
static double raise_bound(const double *cost, size_t count, double length, struct tree *tree)
{
    double best = 0, scale = 2;
    int waited = 0;
    for (int round = 0; round < BOUND_ROUNDS && scale > 1e-4; round++) {
        double bound = price_tree(cost, count, tree), off = 0;
        if (bound > best) {
            best = bound;
            waited = 0;
        } else if (++waited == PATIENCE) {
            scale /= 2;
            waited = 0;
        }
        for (size_t i = 0; i < count; i++)
            off += (tree->degree[i] - 2) * (tree->degree[i] - 2);
        if (off <= 0 || best >= length)
            break;
        for (size_t i = 0; i < count; i++)
            tree->price[i] += scale * (length - bound) / off * (tree->degree[i] - 2);
    }
    return best < length ? best : length;
}

enum hf_status hf_walk_bound(const double *cost, size_t count, double length, double *bound)
{
    struct tree tree = {calloc(count, sizeof *tree.price), malloc(count * sizeof *tree.far),
                        malloc(count * sizeof *tree.beside), malloc(count * sizeof *tree.degree),
                        malloc(count * sizeof *tree.in)};
    bool whole = tree.price && tree.far && tree.beside && tree.degree && tree.in;
    if (whole)
        *bound = raise_bound(cost, count, length, &tree);
    free(tree.price);
    free(tree.far);
    free(tree.beside);
    free(tree.degree);
    free(tree.in);
    return whole ? HF_OK : HF_E_MEMORY;
}

/* ---- both ------------------------------------------------------------------------------------ */

enum hf_status hf_walk_find(const double *cost, size_t count, size_t exact, size_t *order,
                            double *length, double *bound)
{
    enum hf_status status = HF_OK;
    if (count < 2) {
        for (size_t i = 0; i < count; i++)
            order[i] = i;
        *length = *bound = 0;
        return HF_OK;
    }
    status =
        count <= exact ? hf_walk_exact(cost, count, order) : hf_walk_improve(cost, count, order);
    if (status != HF_OK)
        return status;
    double found = hf_walk_length(cost, count, order), least = found;
    if (count > exact)
        status = hf_walk_bound(cost, count, found, &least);
    if (status != HF_OK)
        return status;
    *length = found;
    *bound = least;
    return HF_OK;
}
