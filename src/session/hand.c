/* SPDX-License-Identifier: MIT */
/* Invariants: a list holds the shapes that the present grip allows; `come` marks those given since
 * the last time that all which could be chosen had come. */
#include <holdfast/hand.h>

#include <stdlib.h>
#include <string.h>

enum { MERITS = 4, FEW = 4 };

static struct hf_shapes_ask ask_of(const struct hf_hand *h, hf_pcset added)
{
    struct hf_shapes_ask ask;
    hf_shapes_ask_init(&ask, &h->ask.board);
    if (h->ask.holds)
        return hf_grip_ask(&ask, &h->grip, added);
    ask.set = added;
    return ask;
}

static void empty_list(struct hf_hand_list *list)
{
    hf_shapes_free(&list->shapes);
    free(list->come);
    list->come = NULL;
}

static enum hf_status fill_list(struct hf_hand *h, int index, struct hf_diag *diag)
{
    struct hf_shapes_ask ask = ask_of(h, h->added[index]);
    struct hf_hand_list *list = &h->lists[index];
    empty_list(list);
    enum hf_status status = hf_shapes_find(&h->ask.board, &ask, &list->shapes, diag);
    if (status != HF_OK)
        return status;
    list->come = calloc(list->shapes.count ? list->shapes.count : 1, sizeof *list->come);
    if (!list->come)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    h->can[index] = list->shapes.count > 0;
    return HF_OK;
}

/* ---- the grip -------------------------------------------------------------------------------- */

static enum hf_status choose_grip(struct hf_hand *h, const struct hf_voicing *held, bool placed,
                                  const struct hf_completion *completions, struct hf_diag *diag)
{
    struct hf_shapes_ask ask;
    struct hf_shapes grips;
    if (h->ask.has_grip) {
        h->grip = h->ask.grip;
        return HF_OK;
    }
    hf_shapes_ask_init(&ask, &h->ask.board);
    for (int i = 0; i < held->count; i++) {
        ask.set = (hf_pcset)(ask.set | 1u << held->notes[i] % HF_PCS);
        if (placed && i < HF_STRINGS_MOST)
            ask.midi[ask.count++] = held->notes[i];
    }
    enum hf_status status = hf_shapes_find(&h->ask.board, &ask, &grips, diag);
    if (status != HF_OK)
        return status;
    if (grips.count == 0) {
        status = hf_shapes_explain(&h->ask.board, &ask, diag);
    } else {
        struct hf_shapes_ask add;
        size_t best = 0;
        int playable = 0;
        hf_shapes_ask_init(&add, &h->ask.board);
        status = hf_grip_best(&h->ask.board, &add, &grips, completions, h->count, &best, &playable,
                              diag);
        if (status == HF_OK)
            h->grip = grips.shape[best];
    }
    hf_shapes_free(&grips);
    return status;
}

/* Another grip from which the completion can be played; the lists are made anew for it. */
static bool change_grip(struct hf_hand *h, int index)
{
    struct hf_shapes_ask ask;
    struct hf_shape grip;
    bool found = false, same_pitches = false;
    hf_shapes_ask_init(&ask, &h->ask.board);
    enum hf_status status = hf_grip_nearest(&h->ask.board, &ask, &h->grip, h->added[index], &found,
                                            &grip, &same_pitches, NULL);
    if (found)
        h->grip = grip;
    for (int i = 0; found && i < h->count && status == HF_OK; i++)
        status = fill_list(h, i, NULL);
    h->in_want |= status == HF_E_MEMORY;
    return found && status == HF_OK;
}

/* ---- start ----------------------------------------------------------------------------------- */

static enum hf_status check_lists(struct hf_hand *h, struct hf_diag *diag)
{
    int playable = 0;
    for (int i = 0; i < h->count; i++) {
        playable += h->can[i];
        if (h->can[i] || h->ask.holds)
            continue;
        struct hf_shapes_ask ask = ask_of(h, h->added[i]);
        enum hf_status status = hf_shapes_explain(&h->ask.board, &ask, diag);
        return status == HF_OK ? HF_E_BUG : status;
    }
    if (h->ask.fixed && playable == 0)
        return hf_fail(diag, HF_E_USAGE,
                       "no completion can be played while the held notes stay in the hand");
    return HF_OK;
}

enum hf_status hf_hand_init(struct hf_hand *h, const struct hf_hand_ask *ask,
                            const struct hf_voicing *held, bool placed,
                            const struct hf_completion *completions, int count,
                            struct hf_diag *diag)
{
    memset(h, 0, sizeof *h);
    h->ask = *ask;
    h->count = count;
    for (int i = 0; i < count; i++)
        h->added[i] = completions[i].pcs;
    enum hf_status status = HF_OK;
    if (ask->holds)
        status = choose_grip(h, held, placed, completions, diag);
    for (int i = 0; i < count && status == HF_OK; i++)
        status = fill_list(h, i, diag);
    if (status == HF_OK)
        status = check_lists(h, diag);
    if (status != HF_OK)
        hf_hand_deinit(h);
    return status;
}

void hf_hand_deinit(struct hf_hand *h)
{
    if (!h)
        return;
    for (int i = 0; i < h->count; i++)
        empty_list(&h->lists[i]);
    h->count = 0;
}

/* ---- choosing -------------------------------------------------------------------------------- */

struct hf_voicing hf_hand_added(const struct hf_hand *h, const struct hf_shape *shape)
{
    struct hf_shape added = *shape;
    for (int i = 0; h->ask.holds && i < HF_STRINGS_MOST; i++)
        if (h->grip.fret[i] != HF_SILENT)
            added.fret[i] = HF_SILENT;
    return hf_shape_voicing(&h->ask.board, &added);
}

static bool lies(const struct hf_hand *h, const struct hf_shape *shape, int low, int high)
{
    struct hf_voicing added = hf_hand_added(h, shape);
    return added.count > 0 && added.notes[0] >= low && added.notes[added.count - 1] <= high;
}

int hf_hand_room(const struct hf_hand *h, int index, int low, int high)
{
    int room = 0;
    for (size_t i = 0; i < h->lists[index].shapes.count; i++)
        room += lies(h, &h->lists[index].shapes.shape[i], low, high);
    return room;
}

/* How well a shape meets the wish, 0 not at all. What the leap forbids is out of the question; the
 * register counts for more than a note between the held ones. */
static int merit(const struct hf_hand *h, const struct hf_shape *shape,
                 const struct hf_hand_want *want)
{
    if (h->moved && h->ask.leap_mm > 0 &&
        hf_shape_leap_mm(&h->ask.board, &h->last, shape) > h->ask.leap_mm)
        return 0;
    if (!lies(h, shape, want->low, want->high))
        return 1;
    struct hf_voicing added = hf_hand_added(h, shape);
    return want->between && !hf_voicing_between(&added, want->held_low, want->held_high) ? 2 : 3;
}

static void forget(const struct hf_hand *h, struct hf_hand_list *list,
                   const struct hf_hand_want *want, int best)
{
    for (size_t i = 0; i < list->shapes.count; i++)
        if (merit(h, &list->shapes.shape[i], want) == best &&
            !(h->moved && hf_shape_same(&h->last, &list->shapes.shape[i])))
            list->come[i] = false;
}

/* The merit to choose from, 0 for none: the best there is; but where that is of few shapes and all
 * of them have come, the best of those that have not, so that the few are not all one ever plays.
 * `*fresh` tells whether some shape of that merit has not come yet. */
static int best_merit(const struct hf_hand *h, struct hf_hand_list *list,
                      const struct hf_hand_want *want, bool *fresh)
{
    int count[MERITS] = {0}, left[MERITS] = {0}, best = MERITS - 1;
    for (size_t i = 0; i < list->shapes.count; i++) {
        int has = merit(h, &list->shapes.shape[i], want);
        count[has]++;
        left[has] += !list->come[i];
    }
    while (best > 0 && count[best] == 0)
        best--;
    *fresh = best > 0 && left[best] > 0;
    for (int other = best - 1; !*fresh && count[best] < FEW && other > 0; other--)
        if (left[other] > 0) {
            forget(h, list, want, best);
            *fresh = true;
            return other;
        }
    return best;
}

/* By distance where that is wished, else any; of equals by the random stream. */
static ptrdiff_t pick(const struct hf_hand *h, const struct hf_hand_list *list,
                      const struct hf_hand_want *want, int best, struct hf_random *random)
{
    ptrdiff_t picked = -1;
    double distance = 0;
    uint32_t equals = 0;
    for (size_t i = 0; i < list->shapes.count; i++) {
        const struct hf_shape *shape = &list->shapes.shape[i];
        if (list->come[i] || merit(h, shape, want) != best)
            continue;
        double way = !h->moved || want->way == HF_HAND_ANY
                         ? 0
                         : hf_shape_way_mm(&h->ask.board, &h->last, shape);
        bool better = picked < 0 || (want->way == HF_HAND_FAR ? way > distance : way < distance);
        equals = better ? 1 : way > distance || way < distance ? equals : equals + 1;
        bool equal = !(way > distance) && !(way < distance);
        if (better || (equal && hf_random_below(random, equals) == 0)) {
            picked = (ptrdiff_t)i;
            distance = way;
        }
    }
    return picked;
}

bool hf_hand_next(struct hf_hand *h, int index, const struct hf_hand_want *want,
                  struct hf_random *random, struct hf_shape *out, bool *new_grip)
{
    struct hf_hand_list *list = &h->lists[index];
    bool fresh = false;
    *new_grip = false;
    if (list->shapes.count == 0) {
        if (!h->ask.holds || !change_grip(h, index))
            return false;
        *new_grip = true;
    }
    int best = best_merit(h, list, want, &fresh);
    if (best == 0)
        return false;
    if (!fresh)
        forget(h, list, want, best);
    ptrdiff_t picked = pick(h, list, want, best, random);
    if (picked < 0) { /* the one of last time is all there is */
        forget(h, list, want, best);
        for (size_t i = 0; picked < 0 && i < list->shapes.count; i++)
            if (merit(h, &list->shapes.shape[i], want) == best)
                picked = (ptrdiff_t)i;
    }
    list->come[picked] = true;
    h->last = *out = list->shapes.shape[picked];
    h->moved = true;
    return true;
}
