/* SPDX-License-Identifier: MIT */
/* The bytes of a digest. Invariant: what is read back adds exactly what was written. */
#include "review_parts.h"

#include <stdlib.h>
#include <string.h>

/* ---- writing --------------------------------------------------------------------------------- */

static void put_lists(struct review_writer *w, const struct hf_review_cell *cell)
{
    uint64_t distinct = 0;
    int before = 0;
    for (int i = 0; i < cell->tenths_room; i++)
        distinct += cell->tenths[i] > 0;
    review_put(w, distinct);
    for (int i = 0; i < cell->tenths_room; i++)
        if (cell->tenths[i] > 0) {
            review_put(w, (uint64_t)(i - before));
            review_put(w, cell->tenths[i]);
            before = i;
        }
    review_put(w, cell->shape_count);
    for (size_t i = 0; i < cell->shape_count; i++) {
        const struct hf_review_shape *shape = &cell->shapes[i];
        review_put(w, shape->cued);
        review_put(w, (uint64_t)shape->strings);
        for (int string = 0; string < shape->strings; string++)
            review_put(w, (uint64_t)(shape->frets[string] + 1));
    }
}

static void put_cell(struct review_writer *w, const struct hf_review_cell *cell)
{
    unsigned ways = 0;
    review_put(w, cell->held);
    review_put(w, cell->pcs);
    review_put(w, cell->cued);
    review_put(w, cell->got);
    review_put(w, cell->missed);
    review_put(w, cell->found);
    review_put(w, (uint64_t)cell->roam_ms);
    review_put(w, cell->recent);
    review_put(w, (uint64_t)cell->recent_count);
    for (int way = 0; way < HF_REVIEW_WAYS; way++)
        ways |= (unsigned)(cell->ways[way] > 0) << way;
    review_put(w, ways);
    for (int way = 0; way < HF_REVIEW_WAYS; way++)
        if (cell->ways[way] > 0)
            review_put(w, cell->ways[way]);
    for (int where = 0; where < HF_REVIEW_REGISTERS; where++)
        review_put(w, cell->registers[where]);
    put_lists(w, cell);
}

static void put_text(struct review_writer *w, const char *text)
{
    size_t length = strlen(text);
    review_put(w, length);
    review_put_bytes(w, text, length);
}

static void put_given(struct review_writer *w, const struct hf_review_given *given)
{
    review_put(w, given->held);
    review_put(w, given->pcs);
}

static void put_cells(struct review_writer *w, const struct hf_review *sum)
{
    review_put(w, sum->cell_count);
    for (size_t i = 0; i < sum->cell_count; i++)
        put_cell(w, &sum->cells[i]);
}

void review_put_digest(struct review_writer *w, const struct review_journal *journal,
                       const struct hf_review *sum, const struct hf_review *cut)
{
    review_put(w, REVIEW_FORMAT);
    review_put_fixed(w, journal->head);
    review_put_fixed(w, journal->whole);
    review_put(w, journal->length);
    review_put_signed(w, journal->started);
    review_put_signed(w, journal->day);
    put_text(w, journal->label);
    put_text(w, journal->continues);
    put_given(w, &journal->first);
    put_given(w, &journal->cut);
    review_put(w, (uint64_t)journal->ms);
    review_put(w, (uint64_t)journal->level_last);
    review_put(w, (uint64_t)journal->level_top);
    review_put(w, sum->near_right);
    review_put(w, sum->near_wrong);
    put_cells(w, sum);
    put_cells(w, cut);
}

/* ---- reading --------------------------------------------------------------------------------- */

static struct hf_review_given get_given(struct review_source *s)
{
    hf_pcset held = (hf_pcset)review_get(s, HF_SETS - 1);
    return (struct hf_review_given){held, (hf_pcset)review_get(s, HF_SETS - 1)};
}

static void get_about(struct review_source *s, struct hf_review_about *about)
{
    if (review_get(s, UINT64_MAX) != REVIEW_FORMAT)
        s->failed = true;
    about->head = review_get_fixed(s);
    about->whole = review_get_fixed(s);
    about->length = review_get(s, INT64_MAX);
    about->started = review_get_signed(s);
    about->day = (int32_t)review_get_signed(s);
    about->label_length = review_get(s, HF_REQUEST_TEXT);
    about->label = review_get_bytes(s, about->label_length);
    about->continues_length = review_get(s, REVIEW_NAME_BYTES);
    about->continues = review_get_bytes(s, about->continues_length);
    about->first = get_given(s);
    about->cut = get_given(s);
}

static enum hf_status refuse(struct hf_diag *diag)
{
    return hf_fail(diag, HF_E_DATA, "these bytes are no digest of a journal, nor of several");
}

enum hf_status hf_review_about(const void *digest, size_t length, struct hf_review_about *out,
                               struct hf_diag *diag)
{
    const unsigned char *bytes = digest;
    struct review_source source = {.at = bytes, .end = bytes + length};
    struct hf_review_about about = {0};
    get_about(&source, &about);
    if (source.failed)
        return refuse(diag);
    *out = about;
    return HF_OK;
}

static void add_recent(struct hf_review_cell *cell, uint32_t recent, int count)
{
    cell->recent = (cell->recent << count | recent) & ((1u << HF_REVIEW_RECENT) - 1);
    cell->recent_count += count;
    if (cell->recent_count > HF_REVIEW_RECENT)
        cell->recent_count = HF_REVIEW_RECENT;
}

static bool add_lists(struct review_source *s, struct hf_review_cell *cell)
{
    bool fine = true;
    uint64_t tenths = 0;
    for (uint64_t left = review_get(s, HF_REVIEW_TENTHS_MOST + 1); left > 0 && fine; left--) {
        tenths += review_get(s, HF_REVIEW_TENTHS_MOST);
        if (tenths > HF_REVIEW_TENTHS_MOST)
            s->failed = true;
        uint32_t count = (uint32_t)review_get(s, UINT32_MAX);
        fine = s->failed || review_count_tenths(cell, (int)tenths, count);
        if (s->failed)
            return true;
    }
    for (uint64_t left = review_get(s, REVIEW_SHAPES_MOST + 1); left > 0 && fine; left--) {
        struct hf_review_shape shape = {.cued = (uint32_t)review_get(s, UINT32_MAX)};
        shape.strings = (int)review_get(s, HF_STRINGS_MOST);
        for (int i = 0; i < shape.strings; i++)
            shape.frets[i] = (int8_t)((int)review_get(s, HF_FRETS_MOST + 1) - 1);
        if (s->failed)
            return true;
        fine = review_count_shape(cell, &shape);
    }
    return fine;
}

/* Adds one cell of a digest; false when memory ran out. */
static bool add_cell(struct hf_review *r, struct review_source *s, int32_t day)
{
    hf_pcset held = (hf_pcset)review_get(s, HF_SETS - 1);
    hf_pcset pcs = (hf_pcset)review_get(s, HF_SETS - 1);
    struct hf_review_cell *cell = s->failed ? NULL : review_cell(r, held, pcs);
    if (!cell)
        return s->failed;
    uint32_t cued = (uint32_t)review_get(s, UINT32_MAX);
    uint32_t got = (uint32_t)review_get(s, UINT32_MAX);
    uint32_t missed = (uint32_t)review_get(s, UINT32_MAX);
    uint32_t found = (uint32_t)review_get(s, UINT32_MAX);
    if (cued + found > 0 && (!review_came(cell) || day > cell->last_day))
        cell->last_day = day;
    cell->cued += cued;
    cell->got += got;
    cell->missed += missed;
    cell->found += found;
    cell->roam_ms += (int64_t)review_get(s, INT64_MAX >> 16);
    uint32_t recent = (uint32_t)review_get(s, (1u << HF_REVIEW_RECENT) - 1);
    add_recent(cell, recent, (int)review_get(s, HF_REVIEW_RECENT));
    uint64_t ways = review_get(s, (1u << HF_REVIEW_WAYS) - 1);
    for (int way = 0; way < HF_REVIEW_WAYS; way++)
        if (ways >> way & 1)
            cell->ways[way] += (uint32_t)review_get(s, UINT32_MAX);
    for (int where = 0; where < HF_REVIEW_REGISTERS; where++)
        cell->registers[where] += (uint32_t)review_get(s, UINT32_MAX);
    return add_lists(s, cell);
}

/* Adds cells up to their end; false when memory ran out. */
static bool add_cells(struct hf_review *r, struct review_source *s, int32_t day)
{
    for (uint64_t left = review_get(s, REVIEW_CELLS_MOST); left > 0 && !s->failed; left--)
        if (!add_cell(r, s, day))
            return false;
    return true;
}

enum hf_status hf_review_add(struct hf_review *r, const void *digest, size_t length,
                             bool came_again, struct hf_diag *diag)
{
    const unsigned char *bytes = digest;
    struct review_source source = {.at = bytes, .end = bytes + length};
    struct hf_review_about about = {0};
    get_about(&source, &about);
    struct hf_review_day *day = source.failed ? NULL : review_day(r, about.day);
    if (!day)
        return source.failed ? refuse(diag) : hf_fail(diag, HF_E_MEMORY, "out of memory");
    day->sessions++;
    day->ms += (int64_t)review_get(&source, INT64_MAX >> 16);
    int last = (int)review_get(&source, INT16_MAX), top = (int)review_get(&source, INT16_MAX);
    day->level_last = last ? last : day->level_last;
    day->level_top = top > day->level_top ? top : day->level_top;
    r->sessions++;
    r->near_right += (uint32_t)review_get(&source, UINT32_MAX);
    r->near_wrong += (uint32_t)review_get(&source, UINT32_MAX);
    if (!add_cells(r, &source, about.day) || (!came_again && !add_cells(r, &source, about.day)))
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    return source.failed || (!came_again && source.at != source.end) ? refuse(diag) : HF_OK;
}

/* ---- a whole review -------------------------------------------------------------------------- */

enum hf_status hf_review_pack(const struct hf_review *r, void **bytes, size_t *length,
                              struct hf_diag *diag)
{
    struct review_writer w = {0};
    review_put(&w, REVIEW_FORMAT);
    review_put(&w, r->sessions);
    review_put(&w, r->near_right);
    review_put(&w, r->near_wrong);
    review_put(&w, r->day_count);
    for (size_t i = 0; i < r->day_count; i++) {
        review_put_signed(&w, r->days[i].day);
        review_put(&w, r->days[i].sessions);
        review_put(&w, (uint64_t)r->days[i].ms);
        review_put(&w, (uint64_t)r->days[i].level_last);
        review_put(&w, (uint64_t)r->days[i].level_top);
    }
    review_put(&w, r->cell_count);
    for (size_t i = 0; i < r->cell_count; i++) {
        review_put_signed(&w, r->cells[i].last_day);
        put_cell(&w, &r->cells[i]);
    }
    if (w.failed) {
        free(w.bytes);
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    }
    *bytes = w.bytes;
    *length = w.length;
    return HF_OK;
}

/* False when memory ran out. */
static bool get_days(struct hf_review *r, struct review_source *s)
{
    for (uint64_t left = review_get(s, UINT32_MAX); left > 0 && !s->failed; left--) {
        struct hf_review_day *day = review_day(r, (int32_t)review_get_signed(s));
        if (!day)
            return false;
        day->sessions = (uint32_t)review_get(s, UINT32_MAX);
        day->ms = (int64_t)review_get(s, INT64_MAX);
        day->level_last = (int)review_get(s, INT16_MAX);
        day->level_top = (int)review_get(s, INT16_MAX);
    }
    return true;
}

enum hf_status hf_review_unpack(struct hf_review *r, const void *packed, size_t length,
                                struct hf_diag *diag)
{
    const unsigned char *bytes = packed;
    struct review_source source = {.at = bytes, .end = bytes + length};
    if (review_get(&source, UINT64_MAX) != REVIEW_FORMAT)
        return refuse(diag);
    r->sessions = (uint32_t)review_get(&source, UINT32_MAX);
    r->near_right = (uint32_t)review_get(&source, UINT32_MAX);
    r->near_wrong = (uint32_t)review_get(&source, UINT32_MAX);
    bool fine = get_days(r, &source);
    for (uint64_t left = review_get(&source, REVIEW_CELLS_MOST); left > 0 && fine && !source.failed;
         left--) {
        int32_t last_day = (int32_t)review_get_signed(&source);
        fine = add_cell(r, &source, last_day);
    }
    if (!fine)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    hf_review_finish(r);
    return source.failed || source.at != source.end ? refuse(diag) : HF_OK;
}
