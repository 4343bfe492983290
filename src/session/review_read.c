/* SPDX-License-Identifier: MIT */
/* A journal into its digest. Invariants: what a cue came to be is what the timeline says; the
 * timeline holds the last cues only, since the commands of a journal reach no farther back than the
 * one before the last, and those that went before lie in `cues`, in parallel. */
#include "review_parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/journal_scan.h>
#include <holdfast/timeline.h>

enum { WINDOW_MOST = 128, WINDOW_KEPT = 16, HEADS_KEPT = 32, CRC_TAIL = 18 };

/* A cue of the journal, as far as it counts. */
struct lean_cue {
    int32_t n;
    hf_pcset held, pcs; /* pcs 0: a near miss */
    int64_t at, end;    /* final once it left the timeline */
    int64_t marked_at;  /* by its first mark; HF_NEVER without */
    bool marked, got;   /* by its last */
    bool step;          /* of a chord that unfolds */
    uint8_t where, strings;
    int8_t frets[HF_STRINGS_MOST];
};

/* A head that was read, from its request on: sessions of the same options have the same. */
struct kept_head {
    char *rest;
    size_t length;
    long rate_hz;
    struct hf_request request;
};

struct hf_review_reader {
    struct hf_crc32_tables tables;
    struct kept_head heads[HEADS_KEPT];
    int next_head;

    long n;           /* lines taken */
    bool broken;      /* the last line was not whole */
    bool other_first; /* no hold came first */
    struct review_journal about;
    struct hf_request request;
    struct hf_timeline timeline;
    struct lean_cue *cues;
    size_t count, room, base; /* base: of the timeline's first cue */
    size_t begun, cut_at;     /* so many began; the one that the end cut off, or `count` */
    hf_pcset held;            /* what is held where the next cue is written */
    int held_low, held_high;
    struct hf_review sum, cut; /* what counts; the cue that the end cut off */
    struct review_writer digest;
};

enum hf_status hf_review_reader_new(struct hf_review_reader **out, struct hf_diag *diag)
{
    struct hf_review_reader *r = calloc(1, sizeof *r);
    if (!r)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    hf_crc32_tables_init(&r->tables);
    hf_review_init(&r->sum);
    hf_review_init(&r->cut);
    *out = r;
    return HF_OK;
}

void hf_review_reader_free(struct hf_review_reader *r)
{
    if (!r)
        return;
    for (int i = 0; i < HEADS_KEPT; i++)
        free(r->heads[i].rest);
    hf_timeline_deinit(&r->timeline);
    hf_review_deinit(&r->sum);
    hf_review_deinit(&r->cut);
    free(r->cues);
    free(r->digest.bytes);
    free(r);
}

void hf_review_reader_begin(struct hf_review_reader *r)
{
    hf_timeline_deinit(&r->timeline);
    review_clear(&r->sum);
    review_clear(&r->cut);
    r->n = 0;
    r->broken = r->other_first = false;
    memset(&r->about, 0, sizeof r->about);
    r->count = r->base = 0;
    r->held = 0;
    r->digest.length = 0;
    r->digest.failed = false;
}

/* ---- the head -------------------------------------------------------------------------------- */

/* FNV-1a (G. Fowler, L. C. Noll, K.-P. Vo), 64 bits. */
static uint64_t hash_on(uint64_t hash, const char *bytes, size_t length)
{
    for (size_t i = 0; i < length; i++)
        hash = (hash ^ (unsigned char)bytes[i]) * UINT64_C(0x100000001b3);
    return hash;
}
#define HASH_START UINT64_C(0xcbf29ce484222325)

static enum hf_status take_start(struct hf_review_reader *r, const char *started, size_t length,
                                 struct hf_diag *diag)
{
    if (hf_review_parse_started(started, length, &r->about.day, &r->about.started))
        return HF_OK;
    return hf_fail(diag, HF_E_DATA, "the journal does not say when it started");
}

static const struct hf_request *find_head(const struct hf_review_reader *r, const char *rest,
                                          size_t length, long rate_hz)
{
    for (int i = 0; i < HEADS_KEPT; i++) {
        const struct kept_head *kept = &r->heads[i];
        if (kept->rest && kept->length == length && kept->rate_hz == rate_hz &&
            memcmp(kept->rest, rest, length) == 0)
            return &kept->request;
    }
    return NULL;
}

/* Not to find room is no failure. */
static void keep_head(struct hf_review_reader *r, const char *rest, size_t length, long rate_hz,
                      const struct hf_request *request)
{
    struct kept_head *kept = &r->heads[r->next_head];
    char *copy = malloc(length);
    if (!copy)
        return;
    memcpy(copy, rest, length);
    free(kept->rest);
    kept->rest = copy;
    kept->length = length;
    kept->rate_hz = rate_hz;
    kept->request = *request;
    r->next_head = (r->next_head + 1) % HEADS_KEPT;
}

static enum hf_status read_head(struct hf_review_reader *r, const char *line, size_t length,
                                struct hf_diag *diag)
{
    struct hf_head head;
    enum hf_status status = hf_journal_read_line(line, length, 0, &head, NULL, diag);
    if (status == HF_E_INPUT)
        return HF_E_DATA;
    if (status != HF_OK)
        return status;
    r->request = head.request;
    memcpy(r->about.label, head.request.text[HF_OPT_LABEL], sizeof r->about.label);
    snprintf(r->about.continues, sizeof r->about.continues, "%s", head.continues);
    status = take_start(r, head.started, strlen(head.started), diag);
    hf_head_deinit(&head);
    return status;
}

static enum hf_status take_head(struct hf_review_reader *r, const char *line, size_t length,
                                struct hf_diag *diag)
{
    struct hf_journal_opening opening;
    bool known = hf_journal_scan_opening(&r->tables, line, length, &opening);
    const char *rest = known ? line + opening.rest : NULL;
    size_t rest_length = known ? length - opening.rest - CRC_TAIL : 0;
    const struct hf_request *request =
        known ? find_head(r, rest, rest_length, opening.rate_hz) : NULL;
    enum hf_status status;
    if (request) {
        r->request = *request;
        memcpy(r->about.label, opening.label, opening.label_length);
        r->about.label[opening.label_length] = 0;
        status = take_start(r, opening.started, opening.started_length, diag);
    } else {
        status = read_head(r, line, length, diag);
        if (status == HF_OK && known)
            keep_head(r, rest, rest_length, opening.rate_hz, &r->request);
    }
    if (status != HF_OK)
        return status;
    r->about.head = r->about.whole = hash_on(HASH_START, line, length);
    hf_timeline_init(&r->timeline, &r->request);
    return HF_OK;
}

/* ---- cues ------------------------------------------------------------------------------------ */

static void take_hold(struct hf_review_reader *r, const struct hf_record *record)
{
    r->held = record->pcs;
    r->held_low = 127;
    r->held_high = 0;
    for (int i = 0; i < record->count; i++) {
        r->held_low = record->notes[i] < r->held_low ? record->notes[i] : r->held_low;
        r->held_high = record->notes[i] > r->held_high ? record->notes[i] : r->held_high;
    }
}

static enum hf_review_register register_of(const struct hf_review_reader *r,
                                           const struct hf_record *record)
{
    bool above = true, below = true;
    for (int i = 0; i < record->count; i++) {
        above = above && record->notes[i] > r->held_high;
        below = below && record->notes[i] < r->held_low;
    }
    return above ? HF_REVIEW_ABOVE : below ? HF_REVIEW_BELOW : HF_REVIEW_THROUGH;
}

static enum hf_status add_cue(struct hf_review_reader *r, const struct hf_record *record,
                              struct hf_diag *diag)
{
    if (r->count == r->room) {
        size_t room = r->room ? r->room * 2 : 1024;
        struct lean_cue *cues = realloc(r->cues, room * sizeof *cues);
        if (!cues)
            return hf_fail(diag, HF_E_MEMORY, "out of memory");
        r->cues = cues;
        r->room = room;
    }
    bool reversed = r->request.cue == HF_CUE_REVERSE;
    struct lean_cue *cue = &r->cues[r->count++];
    *cue = (struct lean_cue){.n = (int32_t)record->n,
                             .held = reversed ? record->pcs : r->held,
                             .pcs = reversed ? r->held : record->pcs,
                             .marked_at = HF_NEVER,
                             .where = (uint8_t)register_of(r, record),
                             .strings = (uint8_t)record->strings};
    if (record->id == 0)
        cue->pcs = 0;
    cue->step = record->type == HF_RECORD_STEP;
    memcpy(cue->frets, record->frets, sizeof cue->frets);
    return HF_OK;
}

/* The cue of a number: they ascend. */
static struct lean_cue *find_cue(struct hf_review_reader *r, long n)
{
    size_t low = 0, high = r->count;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (r->cues[middle].n < n)
            low = middle + 1;
        else
            high = middle;
    }
    return low < r->count && r->cues[low].n == n ? &r->cues[low] : NULL;
}

static void take_mark(struct hf_review_reader *r, const struct hf_record *record)
{
    struct lean_cue *cue = find_cue(r, record->cue);
    if (!cue)
        return;
    if (!cue->marked)
        cue->marked_at = record->at;
    cue->marked = true;
    cue->got = record->as == HF_MARK_GOT;
}

/* Takes over the times of the first cues of the timeline, and lets these go. */
static void settle(struct hf_review_reader *r, size_t kept)
{
    struct hf_timeline *t = &r->timeline;
    size_t count = t->count > kept ? t->count - kept : 0;
    for (size_t i = 0; i < count; i++) {
        r->cues[r->base + i].at = t->cues[i].at;
        r->cues[r->base + i].end = t->cues[i].end;
        if (t->cues[i].has_hold)
            t->hold = t->cues[i].hold;
    }
    if (count == 0)
        return;
    memmove(t->cues, t->cues + count, (t->count - count) * sizeof *t->cues);
    t->count -= count;
    r->base += count;
}

static enum hf_status note_found(struct hf_review_reader *r, const struct hf_record *record,
                                 struct hf_diag *diag)
{
    if (record->cue != 0 || record->finding != HF_FOUND)
        return HF_OK;
    struct hf_review_cell *cell = review_cell(&r->sum, r->held, record->pcs);
    if (!cell)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    cell->found++;
    return HF_OK;
}

static enum hf_status take_record(struct hf_review_reader *r, const struct hf_record *record,
                                  struct hf_diag *diag)
{
    if (record->type == HF_RECORD_OTHER)
        return HF_OK;
    if (r->timeline.hold.count == 0 && record->type != HF_RECORD_HOLD)
        r->other_first = true;
    enum hf_status status = hf_timeline_apply(&r->timeline, record, diag);
    if (status != HF_OK)
        return status;
    switch (record->type) {
    case HF_RECORD_HOLD:
        take_hold(r, record);
        break;
    case HF_RECORD_CUE:
    case HF_RECORD_STEP: /* a part of the chord: it has its time, and is no completion */
        status = add_cue(r, record, diag);
        if (r->timeline.count >= WINDOW_MOST)
            settle(r, WINDOW_KEPT);
        break;
    case HF_RECORD_MARK:
        take_mark(r, record);
        break;
    case HF_RECORD_ANSWER:
        status = note_found(r, record, diag);
        break;
    case HF_RECORD_LEVEL:
        r->about.level_last = record->level;
        r->about.level_top =
            record->level > r->about.level_top ? record->level : r->about.level_top;
        break;
    default:
        break;
    }
    return status;
}

enum hf_status hf_review_reader_line(struct hf_review_reader *r, const char *line, size_t length,
                                     struct hf_diag *diag)
{
    struct hf_record record;
    if (r->broken)
        return hf_fail(diag, HF_E_DATA, "record %ld of the journal is damaged", r->n);
    if (r->n == HF_JOURNAL_RECORDS_MOST)
        return hf_fail(diag, HF_E_DATA, "the journal has more than %d records",
                       HF_JOURNAL_RECORDS_MOST);
    enum hf_status status = HF_OK;
    if (r->n == 0) {
        status = take_head(r, line, length, diag);
    } else {
        if (!hf_journal_scan(&r->tables, line, length, r->n, &record))
            status = hf_journal_read_line(line, length, r->n, NULL, &record, diag);
        if (status == HF_E_INPUT) {
            r->broken = true;
            return HF_OK;
        }
        if (status == HF_OK)
            status = take_record(r, &record, diag);
        if (length >= CRC_TAIL)
            r->about.whole = hash_on(r->about.whole, line + length - 10, 8);
    }
    r->n++;
    r->about.length += length + 1;
    return status;
}

/* ---- the digest ------------------------------------------------------------------------------ */

static enum hf_review_way way_of(const struct hf_request *request)
{
    switch (request->practice) {
    case HF_PRACTICE_ROAM:
        return HF_REVIEW_ROAM;
    case HF_PRACTICE_HUNT:
        return HF_REVIEW_HUNT;
    case HF_PRACTICE_EAR:
        return HF_REVIEW_EAR;
    case HF_PRACTICE_SIGHT:
        return HF_REVIEW_SIGHT;
    case HF_PRACTICE_WARMUP:
        return HF_REVIEW_WARMUP;
    case HF_PRACTICE_IMPROVISE:
        break;
    }
    return (enum hf_review_way)(HF_REVIEW_LEAD + (int)request->cue);
}

/* Began, and not after the end or in a stay that nothing ended. */
static bool given(const struct hf_review_reader *r, const struct lean_cue *cue)
{
    const struct hf_timeline *t = &r->timeline;
    return cue->at != HF_NEVER && cue->at <= t->end_at && cue->at <= t->stay_at &&
           cue < r->cues + r->begun;
}

/* A cue is written ahead, when the one before it begins: of a journal without an end the last one
 * began only where something later is told, and it ends no later than that one. */
static void close_timeline(struct hf_review_reader *r)
{
    struct hf_timeline *t = &r->timeline;
    bool ended = t->end_at != HF_NEVER;
    const struct lean_cue *last = r->count ? &r->cues[r->count - 1] : NULL;
    hf_timeline_close(t, 0);
    settle(r, 0);
    r->begun = r->count;
    if (ended || !last || last->at == HF_NEVER || last->at <= t->last_at)
        return;
    r->begun--;
    if (t->end_at > last->at)
        t->end_at = last->at > t->last_at ? last->at : t->last_at;
}

static bool is_cue(const struct hf_review_reader *r, const struct lean_cue *cue)
{
    return !cue->step && cue->pcs != 0 && given(r, cue);
}

/* The cue that came first, and the one that ran when the session ended early. */
static void find_edges(struct hf_review_reader *r)
{
    bool early = r->timeline.why != HF_WHY_FINISHED && !hf_request_chooses(&r->request);
    size_t first = 0, last = r->count;
    while (first < r->count && !is_cue(r, &r->cues[first]))
        first++;
    while (last > 0 && !is_cue(r, &r->cues[last - 1]))
        last--;
    r->cut_at = r->count;
    if (last == 0)
        return;
    r->about.first = (struct hf_review_given){r->cues[first].held, r->cues[first].pcs};
    if (!early || r->cues[last - 1].marked)
        return;
    r->cut_at = last - 1;
    r->about.cut = (struct hf_review_given){r->cues[last - 1].held, r->cues[last - 1].pcs};
}

/* Samples in units of which a second has so many, nearest. No session is as long as the limit, but
 * the shifts of a journal made up to do harm can add up to it. */
static int64_t scaled(int64_t samples, int64_t units, int64_t rate)
{
    int64_t most = INT64_C(1) << 40;
    return ((samples < most ? samples : most) * units + rate / 2) / rate;
}

/* How long a player stayed with a cue of roam: to the next, or to the end. */
static int64_t stayed(const struct hf_review_reader *r, size_t index)
{
    const struct lean_cue *cue = &r->cues[index];
    int64_t end = cue->end < r->timeline.end_at ? cue->end : r->timeline.end_at;
    if (index + 1 < r->count && r->cues[index + 1].at < end)
        end = r->cues[index + 1].at;
    return end > cue->at ? end - cue->at : 0;
}

static bool count_cue(struct hf_review_reader *r, size_t index, enum hf_review_way way)
{
    const struct lean_cue *cue = &r->cues[index];
    if (cue->step || !given(r, cue))
        return true;
    if (cue->pcs == 0) {
        r->sum.near_right += cue->marked && cue->got;
        r->sum.near_wrong += cue->marked && !cue->got;
        return true;
    }
    /* Single notes, steps to a chord: what is not of the added class, or has a held note, is no
     * completion. */
    if (!hf_review_find(&r->sum, cue->held, cue->pcs) &&
        ((cue->held & cue->pcs) != 0 || hf_setclass_of(cue->pcs) != r->request.added))
        return true;
    struct hf_review *sum = index == r->cut_at ? &r->cut : &r->sum;
    struct hf_review_cell *cell = review_cell(sum, cue->held, cue->pcs);
    struct hf_review_shape shape = {.cued = 1, .strings = cue->strings};
    memcpy(shape.frets, cue->frets, sizeof shape.frets);
    if (!cell || (cue->strings > 0 && !review_count_shape(cell, &shape)))
        return false;
    cell->cued++;
    cell->ways[way]++;
    cell->registers[cue->where]++;
    if (way == HF_REVIEW_ROAM)
        cell->roam_ms += scaled(stayed(r, index), 1000, r->request.rate_hz);
    if (!cue->marked)
        return true;
    review_note_mark(cell, cue->got);
    int64_t tenths = scaled(cue->marked_at - cue->at, 10, r->request.rate_hz);
    return cue->marked_at < cue->at ||
           review_count_tenths(
               cell, (int)(tenths < HF_REVIEW_TENTHS_MOST ? tenths : HF_REVIEW_TENTHS_MOST), 1);
}

enum hf_status hf_review_reader_end(struct hf_review_reader *r, const void **bytes, size_t *length,
                                    struct hf_diag *diag)
{
    if (r->n == 0)
        return hf_fail(diag, HF_E_DATA, "the journal is empty");
    if (r->timeline.hold.count == 0 || r->other_first)
        return hf_fail(diag, HF_E_DATA, "the journal has no hold record (1)");
    close_timeline(r);
    find_edges(r);
    r->about.ms = scaled(r->timeline.end_at, 1000, r->request.rate_hz);
    bool fine = true;
    for (size_t i = 0; i < r->count && fine; i++)
        fine = count_cue(r, i, way_of(&r->request));
    if (fine)
        review_put_digest(&r->digest, &r->about, &r->sum, &r->cut);
    if (!fine || r->digest.failed)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    *bytes = r->digest.bytes;
    *length = r->digest.length;
    return HF_OK;
}
