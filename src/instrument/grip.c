/* SPDX-License-Identifier: MIT */
/* Invariant: whether a completion can be added is always asked of the same search, so that what is
 * counted, chosen and shown agrees. */
#include <holdfast/grip.h>

#include <stdlib.h>

struct hf_shapes_ask hf_grip_ask(const struct hf_shapes_ask *ask, const struct hf_shape *held,
                                 hf_pcset added)
{
    struct hf_shapes_ask of = *ask;
    of.set = added;
    of.count = 0;
    of.held = held;
    of.spelled = NULL;
    return of;
}

struct hf_shapes_ask hf_grip_ask_held(const struct hf_shapes_ask *ask, hf_pcset set,
                                      const int *midi, int count)
{
    struct hf_shapes_ask of = *ask;
    of.set = set;
    of.count = count;
    for (int i = 0; i < count; i++)
        of.midi[i] = midi[i];
    of.held = NULL;
    of.from = NULL;
    of.doubled = false;
    of.string_low = 0;
    of.string_high = HF_STRINGS_MOST - 1;
    of.position_low = HF_POSITION_ANY;
    return of;
}

enum hf_status hf_grip_count(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                             const struct hf_shape *held, const struct hf_completion *completions,
                             int count, bool can[HF_COMPLETIONS_MOST], int *playable,
                             struct hf_diag *diag)
{
    int sum = 0;
    bool each[HF_COMPLETIONS_MOST] = {false};
    for (int i = 0; i < count; i++) {
        struct hf_shapes_ask of = hf_grip_ask(ask, held, completions[i].pcs);
        enum hf_status status = hf_shapes_first(board, &of, &each[i], NULL, diag);
        if (status != HF_OK)
            return status;
        sum += each[i];
    }
    for (int i = 0; can && i < count; i++)
        can[i] = each[i];
    *playable = sum;
    return HF_OK;
}

enum hf_status hf_grip_best(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                            const struct hf_shapes *grips, const struct hf_completion *completions,
                            int count, size_t *index, int *playable, struct hf_diag *diag)
{
    size_t best = 0;
    int most = -1;
    for (size_t i = 0; i < grips->count && most < count; i++) {
        int can = 0;
        enum hf_status status =
            hf_grip_count(board, ask, &grips->shape[i], completions, count, NULL, &can, diag);
        if (status != HF_OK)
            return status;
        if (can > most) {
            most = can;
            best = i;
        }
    }
    *index = best;
    *playable = most;
    return HF_OK;
}

/* ---- another grip ---------------------------------------------------------------------------- */

struct neighbour {
    double leap_mm, way_mm;
    const struct hf_shape *shape;
};

static int compare(const void *left, const void *right)
{
    const struct neighbour *a = left, *b = right;
    if (a->leap_mm < b->leap_mm || a->leap_mm > b->leap_mm)
        return a->leap_mm < b->leap_mm ? -1 : 1;
    if (a->way_mm < b->way_mm || a->way_mm > b->way_mm)
        return a->way_mm < b->way_mm ? -1 : 1;
    return hf_shape_compare(a->shape, b->shape);
}

/* The first of a list, nearest first, that has a completion. */
static enum hf_status first_able(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                                 const struct hf_shape *held, const struct hf_shapes *grips,
                                 hf_pcset added, bool *found, struct hf_shape *grip,
                                 struct hf_diag *diag)
{
    struct neighbour *near = malloc((grips->count + 1) * sizeof *near);
    enum hf_status status = HF_OK;
    size_t count = 0;
    *found = false;
    if (!near)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    for (size_t i = 0; i < grips->count; i++)
        if (!hf_shape_same(&grips->shape[i], held))
            near[count++] = (struct neighbour){hf_shape_leap_mm(board, held, &grips->shape[i]),
                                               hf_shape_way_mm(board, held, &grips->shape[i]),
                                               &grips->shape[i]};
    qsort(near, count, sizeof *near, compare);
    for (size_t i = 0; i < count && !*found && status == HF_OK; i++) {
        struct hf_shapes_ask of = hf_grip_ask(ask, near[i].shape, added);
        status = hf_shapes_first(board, &of, found, NULL, diag);
        if (status == HF_OK && *found)
            *grip = *near[i].shape;
    }
    free(near);
    return status;
}

enum hf_status hf_grip_nearest(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                               const struct hf_shape *held, hf_pcset added, bool *found,
                               struct hf_shape *grip, bool *same_pitches, struct hf_diag *diag)
{
    struct hf_voicing voicing = hf_shape_voicing(board, held);
    struct hf_shape nearest = {0};
    bool any = false, same = true;
    int midi[HF_PCS];
    for (int i = 0; i < voicing.count; i++)
        midi[i] = voicing.notes[i];
    for (int way = 0; way < 2 && !any; way++) {
        struct hf_shapes grips = {0};
        struct hf_shapes_ask of =
            hf_grip_ask_held(ask, hf_shape_set(board, held), midi, way == 0 ? voicing.count : 0);
        enum hf_status status = hf_shapes_find(board, &of, &grips, diag);
        if (status == HF_OK)
            status = first_able(board, ask, held, &grips, added, &any, &nearest, diag);
        hf_shapes_free(&grips);
        if (status != HF_OK)
            return status;
        same = way == 0;
    }
    *found = any;
    if (any) {
        *grip = nearest;
        *same_pitches = same;
    }
    return HF_OK;
}
