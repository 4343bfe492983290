/* SPDX-License-Identifier: MIT */
/*
 * Invariants: events stand in the order of their records; a cue's plan time is its recorded time
 * less the shifts recorded before it, so that the transport, given the same commands at the same
 * samples, comes to the same shifts by itself.
 */
#include <holdfast/replay.h>

#include <stdlib.h>
#include <string.h>

enum hf_status hf_replay_timeline(const struct hf_journal *journal, struct hf_timeline *out,
                                  struct hf_diag *diag)
{
    struct hf_timeline timeline;
    hf_timeline_init(&timeline, &journal->head.request);
    for (size_t i = 0; i < journal->count; i++) {
        enum hf_status status = hf_timeline_apply(&timeline, &journal->records[i], diag);
        if (status != HF_OK) {
            hf_timeline_deinit(&timeline);
            return status;
        }
    }
    hf_timeline_close(&timeline,
                      hf_conductor_fade(HF_WHY_FINISHED, journal->head.request.rate_hz));
    *out = timeline;
    return HF_OK;
}

/* ---- events ---------------------------------------------------------------------------------- */

struct builder {
    struct hf_replay *replay;
    const struct hf_request *request;
    int from_hz, to_hz;
    int64_t offset;   /* shifts recorded so far, in samples of the journal's rate */
    int64_t next_at;  /* plan time of a cue whose beginning is the player's */
    uint32_t cues;
};

/* A time at the rate asked for, to the nearest sample. Times are under 2^53 and rates under 2^18,
 * so the whole and the remainder are scaled apart. */
static int64_t scale(const struct builder *b, int64_t at)
{
    if (b->from_hz == b->to_hz)
        return at;
    int64_t seconds = at / b->from_hz, rest = at % b->from_hz;
    return seconds * b->to_hz + (rest * b->to_hz + b->from_hz / 2) / b->from_hz;
}

static int64_t scale_to_grid(const struct builder *b, int64_t at)
{
    return b->from_hz == b->to_hz ? at : (scale(b, at) + HF_GRID / 2) / HF_GRID * HF_GRID;
}

static void add(struct builder *b, struct hf_event event)
{
    b->replay->events[b->replay->count++] = event;
}

static void put_notes(struct hf_event *event, const struct hf_record *record)
{
    event->count = (uint8_t)record->count;
    memcpy(event->notes, record->notes, (size_t)record->count);
}

/* Laid by the same rule as when it was played; at another rate the beats are the nearest. */
static void add_count_in(struct builder *b, int64_t first_at)
{
    struct hf_request request = *b->request;
    struct hf_event ticks[HF_COUNT_IN_MOST];
    request.rate_hz = b->to_hz;
    int count = hf_conductor_count_in(&request, first_at, ticks);
    for (int i = 0; i < count; i++)
        add(b, ticks[i]);
}

static void add_cue(struct builder *b, const struct hf_record *r)
{
    bool wait = b->request->every.wait;
    struct hf_event event = {.kind = HF_EVENT_CUE, .cue = ++b->cues};
    put_notes(&event, r);
    if (wait) {
        int64_t at = r->at == HF_NEVER ? b->next_at : scale(b, r->at - b->offset);
        struct hf_laid laid = hf_timeline_lay(b->request->cue, true, at, 0);
        event.at = laid.at;
        event.hear = laid.hear;
        event.end = laid.end;
    } else {
        event.at = scale(b, r->at - b->offset);
        event.hear = r->hear == HF_NEVER ? HF_NEVER : scale(b, r->hear - b->offset);
        event.end = scale(b, r->end - b->offset);
    }
    if (b->cues == 1)
        add_count_in(b, event.at);
    b->next_at = event.end;
    add(b, event);
}

static enum hf_status check_cue(const struct builder *b, const struct hf_record *r,
                                struct hf_diag *diag)
{
    bool wait = b->request->every.wait;
    bool times = wait ? (r->at != HF_NEVER || b->cues > 0)
                      : r->at != HF_NEVER && r->end != HF_NEVER && r->end > r->at &&
                            r->at - b->offset >= b->next_at;
    return times ? HF_OK
                 : hf_fail(diag, HF_E_DATA, "record %ld of the journal is a cue out of its time",
                           r->n);
}

/* Which cue runs at a command, as the timeline has it: its record and its serial number. */
static uint32_t cue_at(const struct hf_timeline *timeline, int64_t at)
{
    for (size_t i = timeline->count; i-- > 0;)
        if (hf_timeline_reached(timeline, timeline->cues[i].at, at))
            return (uint32_t)i + 1;
    return 0;
}

static void add_again(struct builder *b, const struct hf_record *r,
                      const struct hf_timeline *timeline)
{
    uint32_t serial = cue_at(timeline, r->at);
    if (serial == 0)
        return;
    struct hf_event event = {
        .kind = HF_EVENT_AGAIN, .at = scale_to_grid(b, r->at), .cue = serial};
    put_notes(&event, &timeline->cues[serial - 1].record);
    add(b, event);
}

static void add_command(struct builder *b, const struct hf_record *r, enum hf_event_kind kind)
{
    int64_t after = scale_to_grid(b, r->after);
    add(b, (struct hf_event){.kind = kind, .at = scale_to_grid(b, r->at), .after = after});
    b->offset += r->shift;
}

static enum hf_status add_record(struct builder *b, const struct hf_record *r,
                                 const struct hf_timeline *timeline, struct hf_diag *diag)
{
    struct hf_event hold = {.kind = HF_EVENT_HOLD};
    switch (r->type) {
    case HF_RECORD_HOLD:
        hold.at = r->at == HF_NEVER ? b->next_at : scale(b, r->at - b->offset);
        put_notes(&hold, r);
        add(b, hold);
        return HF_OK;
    case HF_RECORD_CUE:
        if (check_cue(b, r, diag) != HF_OK)
            return HF_E_DATA;
        add_cue(b, r);
        return HF_OK;
    case HF_RECORD_STAY:
        add_command(b, r, HF_EVENT_STAY);
        return HF_OK;
    case HF_RECORD_GO:
        add_command(b, r, HF_EVENT_GO);
        return HF_OK;
    case HF_RECORD_PAUSE:
        add_command(b, r, HF_EVENT_PAUSE);
        return HF_OK;
    case HF_RECORD_RESUME:
        add_command(b, r, HF_EVENT_RESUME);
        return HF_OK;
    case HF_RECORD_NEXT:
        add_command(b, r, HF_EVENT_NEXT);
        return HF_OK;
    case HF_RECORD_REVEAL:
        add_command(b, r, HF_EVENT_REVEAL);
        return HF_OK;
    case HF_RECORD_AGAIN:
        add_again(b, r, timeline);
        return HF_OK;
    case HF_RECORD_SESSION:
    case HF_RECORD_MARK:
    case HF_RECORD_END:
    case HF_RECORD_OTHER:
        break;
    }
    return HF_OK;
}

enum hf_status hf_replay_init(struct hf_replay *replay, const struct hf_journal *journal,
                              int rate_hz, struct hf_diag *diag)
{
    struct hf_timeline timeline;
    enum hf_status status = hf_replay_timeline(journal, &timeline, diag);
    if (status != HF_OK)
        return status;
    struct hf_replay made = {.cut = true};
    struct builder b = {.replay = &made,
                        .request = &journal->head.request,
                        .from_hz = journal->head.request.rate_hz,
                        .to_hz = rate_hz};
    made.events = calloc(journal->count + 1 + HF_COUNT_IN_MOST, sizeof *made.events);
    if (!made.events)
        status = hf_fail(diag, HF_E_MEMORY, "out of memory");
    for (size_t i = 0; status == HF_OK && i < journal->count; i++) {
        status = add_record(&b, &journal->records[i], &timeline, diag);
        if (journal->records[i].type == HF_RECORD_END)
            made.cut = false;
    }
    if (status == HF_OK) {
        struct hf_event end = {.kind = HF_EVENT_END,
                               .at = scale(&b, timeline.end_at),
                               .fade = scale(&b, timeline.end_fade)};
        add(&b, end);
        made.length = end.at + end.fade + scale_to_grid(&b, timeline.silence);
        *replay = made;
    } else {
        hf_replay_deinit(&made);
    }
    hf_timeline_deinit(&timeline);
    return status;
}

void hf_replay_deinit(struct hf_replay *replay)
{
    if (!replay)
        return;
    free(replay->events);
    memset(replay, 0, sizeof *replay);
}

/* ---- source ---------------------------------------------------------------------------------- */

static bool replay_step(void *self, struct hf_step *out)
{
    struct hf_replay *replay = self;
    if (replay->next == replay->count)
        return false;
    memset(out, 0, sizeof *out);
    out->event = replay->events[replay->next++];
    return true;
}

static enum hf_status replay_report(void *self, const struct hf_report *report,
                                    struct hf_diag *diag)
{
    (void)self;
    (void)report;
    (void)diag;
    return HF_OK;
}

struct hf_source hf_replay_source(struct hf_replay *replay)
{
    return (struct hf_source){replay_step, replay_report, replay};
}
