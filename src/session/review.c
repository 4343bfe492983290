/* SPDX-License-Identifier: MIT */
/* Adding digests up. Invariants: a slot holds 1 + the index of a cell, 0 for none, and fewer than
 * half of the slots are taken; shapes of a cell ascend; all counts are sums, so that only the last
 * marks depend on the order of adding. */
#include "review_parts.h"

#include <stdlib.h>
#include <string.h>

static const char *const way_words[] = {
#define HF_REVIEW_WORD(name, word) word,
    HF_REVIEW_WAY_LIST(HF_REVIEW_WORD)
#undef HF_REVIEW_WORD
};

const char *hf_review_way_word(enum hf_review_way way)
{
    return way_words[way];
}

const char *hf_review_register_word(enum hf_review_register where)
{
    static const char *const words[] = {"above", "through", "below"};
    return words[where];
}

/* ---- cells ----------------------------------------------------------------------------------- */

static uint32_t hash_of(hf_pcset held, hf_pcset pcs)
{
    return (((uint32_t)held << 12 | pcs) * UINT32_C(2654435761)) >> 8; /* Knuth's multiplier */
}

/* Where a completion's slot is, or would be. */
static size_t slot_of(const struct hf_review *r, hf_pcset held, hf_pcset pcs)
{
    size_t at = hash_of(held, pcs) & (r->slot_count - 1);
    while (r->slots[at]) {
        const struct hf_review_cell *cell = &r->cells[r->slots[at] - 1];
        if (cell->held == held && cell->pcs == pcs)
            break;
        at = (at + 1) & (r->slot_count - 1);
    }
    return at;
}

static void fill_slots(struct hf_review *r)
{
    if (!r->slots)
        return;
    memset(r->slots, 0, r->slot_count * sizeof *r->slots);
    for (size_t i = 0; i < r->cell_count; i++)
        r->slots[slot_of(r, r->cells[i].held, r->cells[i].pcs)] = (uint32_t)(i + 1);
}

static bool grow_cells(struct hf_review *r)
{
    size_t room = r->cell_room ? r->cell_room * 2 : 32;
    struct hf_review_cell *cells = realloc(r->cells, room * sizeof *cells);
    if (!cells)
        return false;
    memset(cells + r->cell_room, 0, (room - r->cell_room) * sizeof *cells);
    r->cells = cells;
    r->cell_room = room;
    uint32_t *slots = realloc(r->slots, 2 * room * sizeof *slots);
    if (!slots)
        return false;
    r->slots = slots;
    r->slot_count = 2 * room;
    fill_slots(r);
    return true;
}

struct hf_review_cell *review_cell(struct hf_review *r, hf_pcset held, hf_pcset pcs)
{
    if (r->cell_count == r->cell_room && !grow_cells(r))
        return NULL;
    size_t slot = slot_of(r, held, pcs);
    if (!r->slots[slot]) {
        struct hf_review_cell *cell = &r->cells[r->cell_count++];
        r->slots[slot] = (uint32_t)r->cell_count;
        cell->held = held;
        cell->pcs = pcs;
    }
    return &r->cells[r->slots[slot] - 1];
}

const struct hf_review_cell *hf_review_find(const struct hf_review *r, hf_pcset held, hf_pcset pcs)
{
    if (r->cell_count == 0)
        return NULL;
    size_t slot = slot_of(r, held, pcs);
    return r->slots[slot] ? &r->cells[r->slots[slot] - 1] : NULL;
}

bool review_count_tenths(struct hf_review_cell *cell, int tenths, uint32_t count)
{
    tenths = tenths > HF_REVIEW_TENTHS_MOST ? HF_REVIEW_TENTHS_MOST : tenths;
    if (tenths >= cell->tenths_room) {
        int room = cell->tenths_room ? cell->tenths_room : 256;
        while (room <= tenths)
            room *= 2;
        uint32_t *grown = realloc(cell->tenths, (size_t)room * sizeof *grown);
        if (!grown)
            return false;
        memset(grown + cell->tenths_room, 0, (size_t)(room - cell->tenths_room) * sizeof *grown);
        cell->tenths = grown;
        cell->tenths_room = room;
    }
    cell->tenths[tenths] += count;
    return true;
}

/* The rows, moved where there was no room for one more. NULL without memory: they are as they were.
 */
static void *with_room(void *rows, size_t count, size_t *room, size_t first, size_t size)
{
    if (count < *room)
        return rows;
    size_t more = *room ? *room * 2 : first;
    void *grown = realloc(rows, more * size);
    if (grown)
        *room = more;
    return grown;
}

static int compare_shapes(const struct hf_review_shape *a, const struct hf_review_shape *b)
{
    return a->strings != b->strings ? a->strings - b->strings
                                    : memcmp(a->frets, b->frets, sizeof a->frets);
}

/* The place of a shape: where it is, or would be. */
static size_t shape_place(const struct hf_review_cell *cell, const struct hf_review_shape *shape,
                          bool *there)
{
    size_t low = 0, high = cell->shape_count;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (compare_shapes(&cell->shapes[middle], shape) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    *there = low < cell->shape_count && compare_shapes(&cell->shapes[low], shape) == 0;
    return low;
}

bool review_count_shape(struct hf_review_cell *cell, const struct hf_review_shape *shape)
{
    struct hf_review_shape one = *shape;
    bool there = false;
    size_t place = shape_place(cell, &one, &there);
    if (!there && cell->shape_count >= REVIEW_SHAPES_MOST) {
        one = (struct hf_review_shape){.cued = shape->cued};
        place = shape_place(cell, &one, &there);
    }
    if (there) {
        cell->shapes[place].cued += one.cued;
        return true;
    }
    struct hf_review_shape *shapes =
        with_room(cell->shapes, cell->shape_count, &cell->shape_room, 8, sizeof *shapes);
    if (!shapes)
        return false;
    cell->shapes = shapes;
    memmove(cell->shapes + place + 1, cell->shapes + place,
            (cell->shape_count - place) * sizeof *cell->shapes);
    cell->shapes[place] = one;
    cell->shape_count++;
    return true;
}

void review_note_mark(struct hf_review_cell *cell, bool got)
{
    cell->got += got;
    cell->missed += !got;
    cell->recent = (cell->recent << 1 | got) & ((1u << HF_REVIEW_RECENT) - 1);
    cell->recent_count += cell->recent_count < HF_REVIEW_RECENT;
}

/* ---- days ------------------------------------------------------------------------------------ */

struct hf_review_day *review_day(struct hf_review *r, int32_t day)
{
    size_t at = r->day_count; /* most come in order */
    while (at > 0 && r->days[at - 1].day > day)
        at--;
    if (at > 0 && r->days[at - 1].day == day)
        return &r->days[at - 1];
    struct hf_review_day *days = with_room(r->days, r->day_count, &r->day_room, 32, sizeof *days);
    if (!days)
        return NULL;
    r->days = days;
    memmove(r->days + at + 1, r->days + at, (r->day_count - at) * sizeof *r->days);
    r->days[at] = (struct hf_review_day){.day = day};
    r->day_count++;
    return &r->days[at];
}

/* ---- the whole ------------------------------------------------------------------------------- */

void hf_review_init(struct hf_review *r)
{
    memset(r, 0, sizeof *r);
}

void review_clear(struct hf_review *r)
{
    for (size_t i = 0; i < r->cell_count; i++) {
        free(r->cells[i].tenths);
        free(r->cells[i].shapes);
    }
    if (r->cell_count > 0) {
        memset(r->cells, 0, r->cell_count * sizeof *r->cells);
        memset(r->slots, 0, r->slot_count * sizeof *r->slots);
    }
    r->cell_count = r->day_count = 0;
    r->sessions = r->near_right = r->near_wrong = 0;
}

void hf_review_deinit(struct hf_review *r)
{
    if (!r)
        return;
    review_clear(r);
    free(r->cells);
    free(r->slots);
    free(r->days);
    memset(r, 0, sizeof *r);
}

static int compare_cells(const void *a, const void *b)
{
    const struct hf_review_cell *one = a, *other = b;
    return one->held != other->held ? (one->held < other->held ? -1 : 1)
           : one->pcs == other->pcs ? 0
           : one->pcs < other->pcs  ? -1
                                    : 1;
}

void hf_review_finish(struct hf_review *r)
{
    if (r->cell_count == 0)
        return;
    qsort(r->cells, r->cell_count, sizeof *r->cells, compare_cells);
    fill_slots(r);
}
