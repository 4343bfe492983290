/* SPDX-License-Identifier: MIT */
/* Families of grips and pairs of them. Invariant: every member of a family that is listed was
 * built, measured and found within the wishes. */
#include <holdfast/grip.h>

#include <stdlib.h>
#include <string.h>

enum { ROOM_FIRST = 64, KINDS_OF_A_PAIR = 2 };

/* The least transposition that keeps the held set; 12 where only the octave does. */
static int step_of(hf_pcset held)
{
    hf_pcset keeps = hf_pcset_maps_tn(held, held);
    int step = 1;
    while (step < HF_PCS && !hf_pcset_has(keeps, step))
        step++;
    return step;
}

struct hf_shape hf_family_member(const struct hf_fretboard *board, const struct hf_family *family,
                                 int position)
{
    struct hf_shape shape = family->base;
    for (int s = 0; s < board->strings; s++)
        if (shape.fret[s] != HF_SILENT)
            shape.fret[s] = (int8_t)(shape.fret[s] + position * family->step);
    hf_shape_measure(board, &shape);
    return shape;
}

static enum hf_relation relation_of(const struct hf_fretboard *board, const struct hf_shape *shape,
                                    hf_pcset held)
{
    int notes[HF_STRINGS_MOST], stay[HF_STRINGS_MOST], added[HF_STRINGS_MOST];
    int count = hf_shape_notes(board, shape, notes), staying = 0, adding = 0;
    for (int i = 0; i < count; i++)
        if (hf_pcset_has(held, hf_pc(notes[i])))
            stay[staying++] = notes[i];
        else
            added[adding++] = notes[i];
    struct hf_voicing held_notes = hf_voicing_of(stay, staying);
    struct hf_voicing added_notes = hf_voicing_of(added, adding);
    return hf_voicing_relation(&held_notes, &added_notes);
}

static int id_of(const struct hf_completion *completions, int count, hf_pcset pcs)
{
    for (int i = 0; i < count; i++)
        if (completions[i].pcs == pcs)
            return completions[i].id;
    return 0;
}

/* Fills in a family from its base; false where a member is outside the wishes. */
static bool make_family(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                        hf_pcset held, const struct hf_completion *completions, int count,
                        struct hf_family *family)
{
    for (int i = 0; i < family->positions; i++) {
        struct hf_shape shape = family->base;
        for (int s = 0; s < board->strings; s++)
            if (shape.fret[s] != HF_SILENT && shape.fret[s] + i * family->step > ask->fret_high)
                return false;
        shape = hf_family_member(board, family, i);
        if (shape.reach_mm > ask->reach_mm) /* up the neck the strings are farther apart */
            return false;
        hf_pcset added = (hf_pcset)(hf_shape_set(board, &shape) & ~(unsigned)held);
        family->id[i] = id_of(completions, count, added);
    }
    family->relation = relation_of(board, &family->base, held);
    return true;
}

static enum hf_status keep(struct hf_families *list, size_t *room, const struct hf_family *family,
                           struct hf_diag *diag)
{
    if (list->count == *room) {
        size_t more = *room ? 2 * *room : ROOM_FIRST;
        struct hf_family *grown = realloc(list->family, more * sizeof *grown);
        if (!grown)
            return hf_fail(diag, HF_E_MEMORY, "out of memory");
        list->family = grown;
        *room = more;
    }
    list->family[list->count++] = *family;
    return HF_OK;
}

/* The grips of held set and completion that lie as low on the neck as they can. */
static struct hf_shapes_ask ask_of(const struct hf_shapes_ask *ask, hf_pcset united, int step)
{
    struct hf_shapes_ask of = *ask;
    of.set = united;
    of.count = 0;
    of.held = NULL;
    of.from = NULL;
    of.doubled = false;
    of.no_open = true;
    of.position_low = 1;
    of.position_high = step;
    return of;
}

static int positions_of(const struct hf_completion *completions, int count, int kind)
{
    int positions = 0;
    for (int i = 0; i < count; i++)
        positions += completions[i].kind == kind;
    return positions;
}

static enum hf_status add_families(const struct hf_fretboard *board,
                                   const struct hf_shapes_ask *ask, hf_pcset held,
                                   const struct hf_completion *completions, int count, int index,
                                   struct hf_families *list, size_t *room, struct hf_diag *diag)
{
    const struct hf_completion *one = &completions[index];
    struct hf_family family = {.kind = one->kind,
                               .positions = positions_of(completions, count, one->kind),
                               .step = step_of(held)};
    struct hf_shapes_ask of = ask_of(ask, (hf_pcset)(held | one->pcs), family.step);
    struct hf_shapes bases;
    enum hf_status status = hf_shapes_find(board, &of, &bases, diag);
    if (status != HF_OK)
        return status;
    for (size_t i = 0; i < bases.count && status == HF_OK; i++) {
        family.base = bases.shape[i];
        if (make_family(board, ask, held, completions, count, &family))
            status = keep(list, room, &family, diag);
    }
    hf_shapes_free(&bases);
    return status;
}

static int compare_families(const void *left, const void *right)
{
    const struct hf_family *a = left, *b = right;
    return a->kind != b->kind ? a->kind - b->kind : hf_shape_compare(&a->base, &b->base);
}

enum hf_status hf_families_find(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                                hf_pcset held, const struct hf_completion *completions, int count,
                                struct hf_families *out, struct hf_diag *diag)
{
    struct hf_families list = {0};
    size_t room = 0;
    for (int i = 0; i < count && step_of(held) < HF_PCS; i++) {
        enum hf_status status =
            add_families(board, ask, held, completions, count, i, &list, &room, diag);
        if (status != HF_OK) {
            hf_families_free(&list);
            return status;
        }
    }
    if (list.count)
        qsort(list.family, list.count, sizeof *list.family, compare_families);
    *out = list;
    return HF_OK;
}

void hf_families_free(struct hf_families *families)
{
    if (!families)
        return;
    free(families->family);
    *families = (struct hf_families){0};
}

enum hf_status hf_families_explain(const struct hf_fretboard *board,
                                   const struct hf_shapes_ask *ask, hf_pcset held,
                                   const struct hf_completion *completions, int count,
                                   struct hf_diag *diag)
{
    struct hf_families list;
    enum hf_status status = hf_families_find(board, ask, held, completions, count, &list, diag);
    if (status != HF_OK)
        return status;
    size_t found = list.count;
    hf_families_free(&list);
    if (found)
        return HF_OK;
    if (count == 0)
        return hf_fail(diag, HF_E_USAGE, "nothing completes the held notes");
    if (step_of(held) == HF_PCS) {
        hf_fail(diag, HF_E_USAGE, "no move along the neck keeps the held notes but the octave");
        hf_advise(diag, "an augmented triad comes back after four frets");
        return HF_E_USAGE;
    }
    for (int i = 0; i < count; i++) {
        struct hf_shapes_ask of = ask_of(ask, completions[i].united, step_of(held));
        status = hf_shapes_explain(board, &of, diag);
        if (status != HF_OK)
            return status;
    }
    hf_fail(diag, HF_E_USAGE, "no grip finds all its places between fret 1 and fret %d",
            ask->fret_high);
    hf_advise(diag, "choose an --instrument with more frets, or a longer --reach");
    return HF_E_USAGE;
}

/* ---- pairs ----------------------------------------------------------------------------------- */

static int kinds_of(const struct hf_families *families)
{
    int kinds = 0;
    for (size_t i = 0; i < families->count; i++)
        kinds = families->family[i].kind > kinds ? families->family[i].kind : kinds;
    return kinds;
}

/* Where two families come nearest. */
static struct hf_family_pair measure_pair(const struct hf_fretboard *board,
                                          const struct hf_families *families, size_t a, size_t b)
{
    struct hf_family_pair pair = {.a = (uint32_t)a, .b = (uint32_t)b};
    const struct hf_family *first = &families->family[a], *second = &families->family[b];
    bool any = false;
    for (int i = 0; i < first->positions; i++)
        for (int j = 0; j < second->positions; j++) {
            struct hf_shape from = first->base, to = second->base;
            from.position = (uint8_t)(from.position + i * first->step);
            to.position = (uint8_t)(to.position + j * second->step);
            double leap = hf_shape_leap_mm(board, &from, &to);
            if (any && leap > pair.leap_mm)
                continue;
            from = hf_family_member(board, first, i);
            to = hf_family_member(board, second, j);
            double way = hf_shape_way_mm(board, &from, &to);
            if (any && leap >= pair.leap_mm && way >= pair.way_mm)
                continue;
            any = true;
            pair.leap_mm = leap;
            pair.way_mm = way;
        }
    return pair;
}

static int compare_pairs(const void *left, const void *right)
{
    const struct hf_family_pair *a = left, *b = right;
    if (a->leap_mm < b->leap_mm || a->leap_mm > b->leap_mm)
        return a->leap_mm < b->leap_mm ? -1 : 1;
    if (a->way_mm < b->way_mm || a->way_mm > b->way_mm)
        return a->way_mm < b->way_mm ? -1 : 1;
    if (a->a != b->a)
        return a->a < b->a ? -1 : 1;
    return a->b < b->b ? -1 : a->b > b->b;
}

static bool makes_pair(const struct hf_families *families, size_t a, size_t b)
{
    return families->family[a].kind == 1 && families->family[b].kind == KINDS_OF_A_PAIR &&
           families->family[a].relation == families->family[b].relation;
}

enum hf_status hf_family_pairs_find(const struct hf_fretboard *board,
                                    const struct hf_families *families, struct hf_family_pairs *out,
                                    struct hf_diag *diag)
{
    struct hf_family_pairs list = {0};
    size_t count = 0;
    for (size_t a = 0; a < families->count; a++)
        for (size_t b = 0; b < families->count; b++)
            count += makes_pair(families, a, b);
    if (kinds_of(families) != KINDS_OF_A_PAIR || count == 0) {
        *out = list;
        return HF_OK;
    }
    list.pair = malloc(count * sizeof *list.pair);
    if (!list.pair)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    for (size_t a = 0; a < families->count; a++)
        for (size_t b = 0; b < families->count; b++)
            if (makes_pair(families, a, b))
                list.pair[list.count++] = measure_pair(board, families, a, b);
    qsort(list.pair, list.count, sizeof *list.pair, compare_pairs);
    *out = list;
    return HF_OK;
}

void hf_family_pairs_free(struct hf_family_pairs *pairs)
{
    if (!pairs)
        return;
    free(pairs->pair);
    *pairs = (struct hf_family_pairs){0};
}
