/* SPDX-License-Identifier: MIT */
/* Laying cues and what belongs to them on the plan. Invariant: the record of what is laid stands
 * before its event. */
#include <string.h>

#include "conductor_parts.h"

/* `spelled` are the members of `in`, ascending; the record's notes are among them. */
static void name_notes(struct hf_record *record, enum hf_names names, hf_pcset in,
                       const struct hf_spelled *spelled)
{
    int pcs[HF_PCS];
    int size = hf_pcset_list(in, pcs);
    for (int i = 0; i < record->count; i++)
        for (int j = 0; j < size; j++)
            if (pcs[j] == hf_pc(record->notes[i]))
                hf_spelled_format(spelled[j], names, record->names[i]);
}

void conductor_put_notes(struct hf_event *event, const uint8_t *notes, int count)
{
    event->count = (uint8_t)count;
    memcpy(event->notes, notes, (size_t)count);
}

/* The spelling of a held set: the player's own where it is the one asked for. */
static void name_held(const struct hf_conductor *c, struct hf_record *record)
{
    struct hf_spelled spelled[HF_PCS];
    if (record->pcs == c->request->held.set)
        hf_notes_spelling(&c->request->held, c->request->names, spelled);
    else
        hf_spelling_of(record->pcs, c->request->names, spelled);
    name_notes(record, c->request->names, record->pcs, spelled);
}

static void put_shape(struct hf_record *record, int strings, const struct hf_shape *shape)
{
    record->strings = strings;
    if (strings > 0)
        memcpy(record->frets, shape->fret, sizeof record->frets);
}

/* `recorded_at` for the journal, `at` on the plan. */
static enum hf_status lay_hold(struct hf_conductor *c, const struct hf_cue *cue,
                               int64_t recorded_at, int64_t at, struct hf_diag *diag)
{
    hf_pcset pcs = cue->hold_pcs;
    const struct hf_voicing *voicing = &cue->hold;
    struct hf_record record = {
        .type = HF_RECORD_HOLD, .at = recorded_at, .pcs = pcs, .count = voicing->count};
    memcpy(record.notes, voicing->notes, voicing->count);
    put_shape(&record, cue->strings, &cue->hold_shape);
    name_held(c, &record);
    enum hf_status status = conductor_record(c, record, diag);
    if (status != HF_OK)
        return status;
    struct hf_event event = {.kind = HF_EVENT_HOLD, .at = at};
    conductor_put_notes(&event, record.notes, record.count);
    conductor_event(c, event);
    return HF_OK;
}

/* `length` of the cue, 0 where the player ends it. */
static enum hf_status lay_drone(struct hf_conductor *c, const struct hf_cue *cue,
                                int64_t recorded_at, int64_t at, int64_t length,
                                struct hf_diag *diag)
{
    struct hf_support_times times = hf_support_times(length, c->request->rate_hz);
    struct hf_record record = {.type = HF_RECORD_DRONE,
                               .at = recorded_at,
                               .gain_db = cue->drone.db,
                               .over = times.over,
                               .held_for = cue->drone.stage == HF_SUPPORT_START ? times.hold : 0};
    enum hf_status status = conductor_record(c, record, diag);
    if (status == HF_OK)
        conductor_event(c, (struct hf_event){.kind = HF_EVENT_DRONE,
                                             .at = at,
                                             .db = record.gain_db,
                                             .fade = record.over,
                                             .after = record.held_for});
    return status;
}

enum hf_status conductor_lay_first_hold(struct hf_conductor *c, struct hf_diag *diag)
{
    struct hf_cue first = {0};
    hf_schedule_first_hold(c->schedule, &first.hold_pcs, &first.hold);
    if (hf_schedule_first_grip(c->schedule, &first.hold_shape))
        first.strings = c->request->board.strings;
    return lay_hold(c, &first, 0, 0, diag);
}

/* Plan time to session time, as known; null where the player decides. */
static int64_t recorded(const struct hf_conductor *c, int64_t plan, bool open)
{
    return open || plan == HF_NEVER ? HF_NEVER : plan + c->offset;
}

static void lay_finish(struct hf_conductor *c)
{
    if (c->exhausted)
        return;
    c->exhausted = true;
    conductor_event(
        c, (struct hf_event){.kind = HF_EVENT_FINISH,
                             .at = c->next_at,
                             .fade = hf_conductor_fade(HF_WHY_FINISHED, c->request->rate_hz)});
}

/* The cue that was laid last, by index: steps may stand behind it. */
static size_t last_cue(const struct hf_timeline *t)
{
    size_t last = t->count - 1;
    while (last > 0 && t->cues[last].record.type != HF_RECORD_CUE)
        last--;
    return last;
}

static void take_names(struct hf_record *to, const struct hf_record *from)
{
    for (int i = 0; i < to->count; i++)
        for (int j = 0; j < from->count; j++)
            if (hf_pc(to->notes[i]) == hf_pc(from->notes[j]))
                memcpy(to->names[i], from->names[j], sizeof to->names[i]);
}

/* Each note keeps the name that it has in the chord. */
static void name_step(const struct hf_conductor *c, struct hf_record *record)
{
    size_t last = last_cue(&c->timeline);
    take_names(record, hf_timeline_held(&c->timeline, (long)last));
    take_names(record, &c->timeline.cues[last].record);
}

static void put_step(const struct hf_conductor *c, const struct hf_cue *cue,
                     struct hf_record *record)
{
    record->type = HF_RECORD_STEP;
    record->cue = c->timeline.cues[last_cue(&c->timeline)].record.n;
    record->step = cue->step;
    record->steps = cue->steps;
    record->which = cue->which;
    record->of = cue->of;
}

/* The record of a cue that is laid so. */
static struct hf_record cue_record(const struct hf_conductor *c, const struct hf_cue *cue,
                                   const struct hf_laid *laid)
{
    bool wait = c->request->every.wait;
    bool open = wait && (cue->serial > 1 || c->timeline.chosen); /* its beginning is the player's */
    struct hf_record record = {
        .type = HF_RECORD_CUE,
        .id = cue->id,
        .pcs = cue->pcs,
        .count = cue->voicing.count,
        .at = recorded(c, laid->at, open),
        .tell = recorded(c, laid->tell, open || (wait && laid->tell > laid->at)),
        .hear = recorded(c, laid->hear, open || (wait && laid->hear > laid->at)),
        .end = recorded(c, laid->end, wait),
        .manner = cue->manner};
    if (cue->step > 0)
        put_step(c, cue, &record);
    memcpy(record.notes, cue->voicing.notes, cue->voicing.count);
    put_shape(&record, cue->strings, &cue->shape);
    struct hf_spelled spelled[HF_PCS];
    hf_pcset in = cue->spelled_in ? cue->spelled_in : cue->pcs;
    hf_spelling_of(in, c->request->names, spelled);
    name_notes(&record, c->request->names, in, spelled);
    if (cue->step > 0)
        name_step(c, &record);
    return record;
}

/* What is spoken takes time, and is over before the notes that it names: it begins so much earlier.
 */
static void take_naming_time(const struct hf_conductor *c, const struct hf_laid *laid,
                             struct hf_record *record)
{
    if (!c->naming.length || record->manner.rests || record->tell == HF_NEVER ||
        record->tell != record->hear || laid->tell == laid->at)
        return;
    int64_t length = c->naming.length(c->naming.self, record);
    if (length <= laid->tell - laid->at)
        record->tell -= length;
}

enum hf_status conductor_lay(struct hf_conductor *c, const struct hf_cue *cue, struct hf_diag *diag)
{
    const struct hf_request *request = c->request;
    bool wait = request->every.wait;
    int64_t length = cue->length;
    if (!wait && length == 0)
        length = hf_request_samples(request, request->every);
    enum hf_cue_way way =
        hf_timeline_way(request->cue, cue->step > 0 ? HF_RECORD_STEP : HF_RECORD_CUE);
    struct hf_laid laid = hf_timeline_lay(way, wait, c->next_at, length);
    struct hf_record record = cue_record(c, cue, &laid);
    enum hf_status status = HF_OK;
    if (cue->has_hold)
        status = lay_hold(c, cue, record.at, laid.at, diag);
    if (status == HF_OK && cue->has_drone)
        status = lay_drone(c, cue, record.at, laid.at, wait ? 0 : length, diag);
    take_naming_time(c, &laid, &record);
    if (status == HF_OK)
        status = conductor_record(c, record, diag);
    if (status != HF_OK)
        return status;
    struct hf_event event = {.kind = HF_EVENT_CUE,
                             .more = true,
                             .cue = cue->serial,
                             .at = laid.at,
                             .hear = laid.hear,
                             .tell = laid.tell,
                             .end = laid.end,
                             .beat = hf_request_beat(request, request->rate_hz),
                             .meter = (uint8_t)request->meter};
    hf_timeline_sound(hf_timeline_held(&c->timeline, (long)c->timeline.count - 1), &record, &event);
    conductor_event(c, event);
    c->serial = cue->serial;
    c->next_at = laid.end + cue->rest;
    return HF_OK;
}

static void take_breath(struct hf_conductor *c, struct hf_cue *cue)
{
    if (c->request->longest.amount <= 0)
        return;
    cue->length = hf_request_samples(c->request, hf_breath_next(&c->breath, c->missed != 0));
    c->missed = 0;
}

enum hf_status conductor_lay_next(struct hf_conductor *c, struct hf_diag *diag)
{
    struct hf_cue cue;
    if (c->serial < hf_schedule_cues(c->schedule)) {
        enum hf_status status = conductor_take_round(c, diag);
        if (status != HF_OK)
            return status;
    }
    if (hf_schedule_next(c->schedule, &cue)) {
        take_breath(c, &cue);
        return conductor_lay(c, &cue, diag);
    }
    lay_finish(c);
    return HF_OK;
}

int hf_conductor_count_in(const struct hf_request *request, int64_t first_at,
                          struct hf_event out[HF_COUNT_IN_MOST])
{
    int count = 0;
    if (!request->every.in_beats)
        return 0;
    for (long beat = request->meter; beat > 0; beat--) {
        struct hf_span before = {.in_beats = true, .amount = (double)beat};
        int64_t at = first_at - hf_request_samples(request, before);
        if (at >= 0)
            out[count++] = (struct hf_event){
                .kind = HF_EVENT_TICK, .at = at, .accent = beat == request->meter};
    }
    return count;
}

void conductor_lay_count_in(struct hf_conductor *c)
{
    struct hf_event ticks[HF_COUNT_IN_MOST];
    int count = hf_conductor_count_in(c->request, c->next_at, ticks);
    for (int i = 0; i < count; i++)
        conductor_event(c, ticks[i]);
}
