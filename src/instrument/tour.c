/* SPDX-License-Identifier: MIT */
/* Every grip around a held one, and a short walk over them. Invariant: the stops are the shapes
 * that hf_shapes_find lists for each completion, each once. */
#include <holdfast/grip.h>

#include <stdlib.h>
#include <string.h>

#include "walk.h"

static enum hf_status append(struct hf_tour *tour, const struct hf_shapes *grips, int id,
                             struct hf_diag *diag)
{
    size_t count = tour->count + grips->count;
    if (count > HF_TOUR_MOST) {
        hf_fail(diag, HF_E_USAGE, "there are more than %d grips to walk over", HF_TOUR_MOST);
        hf_advise(diag, "narrow them with --strings, --frets, --position or a shorter --reach");
        return HF_E_USAGE;
    }
    if (grips->count == 0)
        return HF_OK;
    struct hf_tour_stop *grown = realloc(tour->stop, count * sizeof *grown);
    if (!grown)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    tour->stop = grown;
    for (size_t i = 0; i < grips->count; i++)
        tour->stop[tour->count++] = (struct hf_tour_stop){.shape = grips->shape[i], .id = id};
    return HF_OK;
}

static enum hf_status collect(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                              const struct hf_shape *held, const struct hf_completion *completions,
                              int count, struct hf_tour *tour, struct hf_diag *diag)
{
    for (int i = 0; i < count; i++) {
        struct hf_shapes_ask of = hf_grip_ask(ask, held, completions[i].pcs);
        struct hf_shapes grips = {0};
        enum hf_status status = hf_shapes_find(board, &of, &grips, diag);
        if (status == HF_OK)
            status = append(tour, &grips, completions[i].id, diag);
        hf_shapes_free(&grips);
        if (status != HF_OK)
            return status;
    }
    return HF_OK;
}

static void measure(const struct hf_fretboard *board, const struct hf_tour *tour, double *cost)
{
    for (size_t i = 0; i < tour->count; i++)
        for (size_t j = 0; j <= i; j++)
            cost[i * tour->count + j] = cost[j * tour->count + i] =
                i == j ? 0 : hf_shape_way_mm(board, &tour->stop[i].shape, &tour->stop[j].shape);
}

/* Puts the stops in the order of the walk; `sorted` has room for them. */
static void put_in_order(struct hf_tour *tour, const double *cost, const size_t *order,
                         struct hf_tour_stop *sorted)
{
    for (size_t i = 0; i < tour->count; i++) {
        sorted[i] = tour->stop[order[i]];
        sorted[i].way_mm = i ? cost[order[i - 1] * tour->count + order[i]] : 0;
    }
    memcpy(tour->stop, sorted, tour->count * sizeof *sorted);
}

static enum hf_status walk(const struct hf_fretboard *board, struct hf_tour *tour,
                           struct hf_diag *diag)
{
    size_t count = tour->count;
    double *cost = malloc(count * count * sizeof *cost);
    size_t *order = malloc(count * sizeof *order);
    struct hf_tour_stop *sorted = malloc(count * sizeof *sorted);
    enum hf_status status = HF_E_MEMORY;
    if (cost && order && sorted) {
        measure(board, tour, cost);
        status = hf_walk_find(cost, count, HF_TOUR_EXACT, order, &tour->length_mm, &tour->bound_mm);
    }
    if (status == HF_OK) {
        put_in_order(tour, cost, order, sorted);
        tour->shortest = tour->length_mm - tour->bound_mm < 1e-6;
    }
    free(cost);
    free(order);
    free(sorted);
    return status == HF_OK ? HF_OK : hf_fail(diag, status, "out of memory");
}

enum hf_status hf_tour_find(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                            const struct hf_shape *held, const struct hf_completion *completions,
                            int count, struct hf_tour *out, struct hf_diag *diag)
{
    struct hf_tour tour = {.shortest = true};
    enum hf_status status = collect(board, ask, held, completions, count, &tour, diag);
    if (status == HF_OK && tour.count)
        status = walk(board, &tour, diag);
    if (status != HF_OK) {
        hf_tour_free(&tour);
        return status;
    }
    *out = tour;
    return HF_OK;
}

void hf_tour_free(struct hf_tour *tour)
{
    if (!tour)
        return;
    free(tour->stop);
    *tour = (struct hf_tour){0};
}
