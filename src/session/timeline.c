/* SPDX-License-Identifier: MIT */
/* Invariants: cues stand in the order they were written, one after another in time; all but the
 * last two are over and a time that has passed never changes, so that a record costs the same
 * however many came before it. A record that breaks the rules of the journal is refused before it
 * changes anything: what is laid out here is what the transport does. */
#include <holdfast/timeline.h>

#include <stdlib.h>
#include <string.h>

#include <holdfast/transport.h>

#include "timeline_parts.h"

struct hf_laid hf_timeline_lay(enum hf_cue_way way, bool wait, int64_t at, int64_t length)
{
    int64_t whole = wait ? HF_WAIT_LENGTH : length;
    int64_t later = at + (2 * whole + 1) / 3; /* two thirds of the way, to the nearest sample */
    struct hf_laid laid = {.at = at, .tell = at, .hear = later, .end = at + whole};
    switch (way) {
    case HF_CUE_LEAD:
        laid.hear = at;
        break;
    case HF_CUE_CONFIRM:
        break;
    case HF_CUE_SILENT:
        laid.hear = HF_NEVER;
        break;
    case HF_CUE_EAR:
        laid.hear = at;
        laid.tell = later;
        break;
    case HF_CUE_GAP:
    case HF_CUE_REVERSE:
    case HF_CUE_CHORD:
        laid.tell = later;
        break;
    }
    return laid;
}

enum hf_cue_way hf_timeline_way(enum hf_cue_way way, enum hf_record_type type)
{
    return type == HF_RECORD_STEP ? HF_CUE_CONFIRM : way;
}

static void sort(uint8_t *notes, int count)
{
    for (int i = 1; i < count; i++)
        for (int j = i; j > 0 && notes[j] < notes[j - 1]; j--) {
            uint8_t note = notes[j];
            notes[j] = notes[j - 1];
            notes[j - 1] = note;
        }
}

void hf_timeline_sound(const struct hf_record *hold, const struct hf_record *cue,
                       struct hf_event *out)
{
    int half = hold ? hold->count + cue->count : 0;
    out->manner = cue->manner;
    out->manner.first = 0;
    if (cue->manner.apart == 0 || half == 0 || 2 * half > HF_EVENT_NOTES) {
        out->count = (uint8_t)cue->count;
        memcpy(out->notes, cue->notes, (size_t)cue->count);
        return;
    }
    out->manner.first = (uint8_t)hold->count;
    out->count = (uint8_t)(2 * half);
    memcpy(out->notes, hold->notes, (size_t)hold->count);
    memcpy(out->notes + hold->count, cue->notes, (size_t)cue->count);
    memcpy(out->notes + half, out->notes, (size_t)half);
    sort(out->notes + half, half);
}

void hf_timeline_init(struct hf_timeline *t, const struct hf_request *request)
{
    memset(t, 0, sizeof *t);
    t->practice = request->practice;
    t->wait = request->every.wait;
    t->chosen = hf_request_chooses(request);
    if (request->practice == HF_PRACTICE_HUNT)
        hf_hunt_init(&t->hunt, request);
    t->way = request->cue;
    t->volume_db = request->volume_db;
    t->pause_fade = hf_transport_pause_fade(request->rate_hz);
    t->stay_at = t->shown_at = t->pause_at = t->end_at = HF_NEVER;
}

void hf_timeline_deinit(struct hf_timeline *t)
{
    if (!t)
        return;
    free(t->cues);
    memset(t, 0, sizeof *t);
}

/* ---- looking up ------------------------------------------------------------------------------ */

bool hf_timeline_reached(const struct hf_timeline *t, int64_t time, int64_t now)
{
    return time <= now && time <= t->stay_at && time <= t->end_at && time != HF_NEVER;
}

bool hf_timeline_shown(const struct hf_timeline *t, int64_t time, int64_t now)
{
    bool in_stay = time != HF_NEVER && time == t->shown_at && time <= now;
    return in_stay || hf_timeline_reached(t, time, now);
}

/* Index of the last cue that began at or before `now`, -1 for none. */
long timeline_begun(const struct hf_timeline *t, int64_t now)
{
    for (size_t i = t->count; i-- > 0;)
        if (hf_timeline_reached(t, t->cues[i].at, now))
            return (long)i;
    return -1;
}

long timeline_running(const struct hf_timeline *t, int64_t now)
{
    long index = timeline_begun(t, now);
    return index >= 0 && !hf_timeline_reached(t, t->cues[index].end, now) ? index : -1;
}

const struct hf_timeline_cue *hf_timeline_running(const struct hf_timeline *t, int64_t now)
{
    long index = timeline_running(t, now);
    return index >= 0 ? &t->cues[index] : NULL;
}

const struct hf_record *hf_timeline_held(const struct hf_timeline *t, long index)
{
    for (long i = index; i >= 0; i--)
        if (t->cues[i].has_hold)
            return &t->cues[i].hold;
    return &t->hold;
}

const struct hf_timeline_cue *hf_timeline_told(const struct hf_timeline *t, int64_t now)
{
    for (size_t i = t->count; i-- > 0;)
        if (hf_timeline_shown(t, t->cues[i].tell, now))
            return &t->cues[i];
    return NULL;
}

void hf_timeline_chord(const struct hf_timeline *t, size_t index, struct hf_voicing *out)
{
    const struct hf_record *held = hf_timeline_held(t, (long)index),
                           *added = &t->cues[index].record;
    int notes[HF_PCS], count = 0;
    for (int i = 0; i < held->count && count < HF_PCS; i++)
        notes[count++] = held->notes[i];
    for (int i = 0; i < added->count && count < HF_PCS; i++)
        notes[count++] = added->notes[i];
    *out = hf_voicing_of(notes, count);
}

bool hf_timeline_given(const struct hf_timeline *t, const struct hf_timeline_cue *cue)
{
    return hf_timeline_reached(t, cue->at, t->end_at);
}

int64_t hf_timeline_length(const struct hf_timeline *t)
{
    return t->end_at == HF_NEVER ? HF_NEVER : t->end_at + t->end_fade + t->silence;
}

/* ---- applying -------------------------------------------------------------------------------- */

static enum hf_status add_cue(struct hf_timeline *t, const struct hf_record *record,
                              struct hf_diag *diag)
{
    if (t->count == t->room) {
        size_t room = t->room ? t->room * 2 : 32;
        struct hf_timeline_cue *cues = realloc(t->cues, room * sizeof *cues);
        if (!cues)
            return hf_fail(diag, HF_E_MEMORY, "out of memory");
        t->cues = cues;
        t->room = room;
    }
    uint32_t before = t->count ? t->cues[t->count - 1].number : 0;
    t->cues[t->count++] =
        (struct hf_timeline_cue){.record = *record,
                                 .number = before + (record->type == HF_RECORD_CUE),
                                 .level = t->level,
                                 .at = record->at,
                                 .tell = record->tell,
                                 .hear = record->hear,
                                 .end = record->end,
                                 .has_hold = t->has_pending,
                                 .hold = t->pending,
                                 .has_drone = t->has_drone,
                                 .drone = t->drone};
    t->has_pending = t->has_drone = false;
    return HF_OK;
}

/* A hold after the first belongs to the cue that is written next. */
static void add_hold(struct hf_timeline *t, const struct hf_record *record)
{
    if (t->hold.count == 0) {
        t->hold = *record;
    } else {
        t->pending = *record;
        t->has_pending = true;
    }
}

static void move(int64_t *time, int64_t after, int64_t shift)
{
    if (*time != HF_NEVER && *time > after)
        *time += shift;
}

static void move_cue(struct hf_timeline_cue *cue, int64_t after, int64_t shift)
{
    move(&cue->at, after, shift);
    move(&cue->tell, after, shift);
    move(&cue->hear, after, shift);
    move(&cue->end, after, shift);
}

static void apply_go(struct hf_timeline *t, const struct hf_record *r)
{
    long index = timeline_running(t, r->at);
    struct hf_timeline_cue before = {0};
    if (index >= 0)
        before = t->cues[index];
    for (size_t i = t->count > 2 ? t->count - 2 : 0; i < t->count; i++)
        move_cue(&t->cues[i], t->stay_at, r->shift);
    if (index >= 0 && t->shown_at != HF_NEVER) { /* what was revealed meanwhile has come */
        if (before.tell == t->shown_at)
            t->cues[index].tell = before.tell;
        if (before.hear == t->shown_at)
            t->cues[index].hear = before.hear;
    }
    t->stay_at = t->shown_at = HF_NEVER;
}

/* The player ended a cue whose end was open, and began the one written ahead. */
static void apply_next_waited(struct hf_timeline *t, int64_t at)
{
    long index = timeline_begun(t, at);
    if (index >= 0)
        t->cues[index].end = at;
    if (index + 1 < (long)t->count) {
        struct hf_timeline_cue *cue = &t->cues[index + 1];
        enum hf_cue_way way = hf_timeline_way(t->way, cue->record.type);
        struct hf_laid laid = hf_timeline_lay(way, true, at, 0);
        cue->at = at;
        cue->tell = laid.tell == at ? at : HF_NEVER;
        cue->hear = laid.hear == at ? at : HF_NEVER;
    }
}

static void apply_next(struct hf_timeline *t, const struct hf_record *r)
{
    long index = timeline_running(t, r->at);
    if (index >= 0) {
        struct hf_timeline_cue *cue = &t->cues[index];
        if (cue->tell > r->at)
            cue->tell = HF_NEVER;
        if (cue->hear > r->at)
            cue->hear = HF_NEVER;
        cue->end = r->at;
    }
    for (size_t i = (size_t)(timeline_begun(t, r->at) + 1); i < t->count; i++)
        move_cue(&t->cues[i], r->at, r->shift);
}

static void apply_reveal(struct hf_timeline *t, int64_t at)
{
    long index = timeline_running(t, at);
    if (index < 0)
        return;
    struct hf_timeline_cue *cue = &t->cues[index];
    bool named = hf_timeline_shown(t, cue->tell, at), heard = hf_timeline_shown(t, cue->hear, at);
    if (t->stay_at != HF_NEVER)
        t->shown_at = at;
    if (!named)
        cue->tell = at;
    if (!heard && t->way != HF_CUE_SILENT)
        cue->hear = at;
}

/* What was still to come of a cue at the end did not come. */
static void apply_end(struct hf_timeline *t)
{
    for (size_t i = 0; i < t->count; i++) {
        struct hf_timeline_cue *cue = &t->cues[i];
        if (cue->tell > t->end_at)
            cue->tell = HF_NEVER;
        if (cue->hear > t->end_at)
            cue->hear = HF_NEVER;
        if (cue->at <= t->end_at && cue->end > t->end_at)
            cue->end = t->end_at;
    }
}

static struct hf_timeline_cue *cue_numbered(struct hf_timeline *t, long n)
{
    for (size_t i = t->count; i-- > 0;)
        if (t->cues[i].record.n == n)
            return &t->cues[i];
    return NULL;
}

static void apply_mark(struct hf_timeline *t, const struct hf_record *r)
{
    struct hf_timeline_cue *cue = cue_numbered(t, r->cue);
    if (!cue)
        return;
    cue->marked = true;
    cue->mark = r->as;
}

static void apply_answer(struct hf_timeline *t, const struct hf_record *r)
{
    struct hf_timeline_cue *cue = cue_numbered(t, r->cue);
    if (!cue)
        return;
    cue->answered = true;
    cue->answer = r->id;
    cue->picked = r->pcs;
    cue->right = r->right;
}

enum hf_status hf_timeline_apply(struct hf_timeline *t, const struct hf_record *r,
                                 struct hf_diag *diag)
{
    if (timeline_check(t, r, diag) != HF_OK)
        return HF_E_DATA;
    if (r->type == HF_RECORD_CUE || r->type == HF_RECORD_STEP)
        return add_cue(t, r, diag);
    if (r->type == HF_RECORD_HOLD) {
        add_hold(t, r);
        return HF_OK;
    }
    if (r->type == HF_RECORD_DRONE) {
        t->drone = *r;
        t->has_drone = true;
        return HF_OK;
    }
    if (r->at > t->last_at)
        t->last_at = r->at;
    if (!timeline_is_note(r->type))
        t->command_at = r->at;
    switch (r->type) {
    case HF_RECORD_STAY:
        t->stay_at = r->at;
        break;
    case HF_RECORD_GO:
        apply_go(t, r);
        break;
    case HF_RECORD_PAUSE:
    case HF_RECORD_LOST:
        t->pause_at = r->at;
        t->away = r->type == HF_RECORD_LOST;
        break;
    case HF_RECORD_RESUME:
        t->pause_at = HF_NEVER;
        t->silence += r->after;
        t->rested += t->on_break ? r->after : 0;
        t->on_break = t->away = false;
        break;
    case HF_RECORD_BREAK:
        t->on_break = true;
        t->sounded = r->sounded;
        t->breaks++;
        break;
    case HF_RECORD_NEXT:
        if (r->shifted)
            apply_next(t, r);
        else
            apply_next_waited(t, r->at);
        break;
    case HF_RECORD_REVEAL:
        apply_reveal(t, r->at);
        break;
    case HF_RECORD_VOLUME:
        t->volume_db = r->db;
        break;
    case HF_RECORD_END:
        t->end_at = r->at;
        t->end_fade = r->fade;
        t->why = r->why;
        apply_end(t);
        break;
    case HF_RECORD_MARK:
        apply_mark(t, r);
        break;
    case HF_RECORD_ANSWER:
        hf_hunt_apply(&t->hunt, r);
        apply_answer(t, r);
        break;
    case HF_RECORD_HINT:
        hf_hunt_apply(&t->hunt, r);
        break;
    case HF_RECORD_LEVEL:
        t->level = r->level;
        break;
    case HF_RECORD_SESSION:
    case HF_RECORD_HOLD:
    case HF_RECORD_DRONE:
    case HF_RECORD_CUE:
    case HF_RECORD_STEP:
    case HF_RECORD_AGAIN:
    case HF_RECORD_SPEECH:
    case HF_RECORD_OTHER:
        break;
    }
    return HF_OK;
}

void hf_timeline_close(struct hf_timeline *t, int64_t fade)
{
    if (t->end_at != HF_NEVER)
        return;
    const struct hf_timeline_cue *last = t->count ? &t->cues[t->count - 1] : NULL;
    t->end_fade = fade;
    t->why = HF_WHY_LOST;
    if (t->pause_at != HF_NEVER) {
        t->end_at = t->pause_at + t->pause_fade;
        t->end_fade = 0;
    } else if (t->stay_at != HF_NEVER || !last || last->end == HF_NEVER) {
        t->end_at = t->last_at;
        for (size_t i = 0; i < t->count; i++)
            if (t->stay_at == HF_NEVER && t->cues[i].at != HF_NEVER && t->cues[i].at > t->end_at)
                t->end_at = t->cues[i].at;
    } else {
        t->end_at = last->end;
    }
}
