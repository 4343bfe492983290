/* SPDX-License-Identifier: MIT */
/*
 * Invariants: the records have gone through the timeline, which refuses what contradicts itself;
 * events stand in the order of their records; a cue's plan time is its recorded time less the
 * shifts recorded before it, so that the transport, given the same commands at the same samples,
 * comes to the same shifts by itself. At another rate a command has to move to that rate's steps,
 * and then keeps its order among the times of the plan: else a next could end the wrong cue.
 */
#include <holdfast/replay.h>

#include <stdlib.h>
#include <string.h>

#include <holdfast/transport.h>

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
    int rate_hz = journal->head.request.rate_hz;
    hf_timeline_close(&timeline, hf_conductor_fade(HF_WHY_FINISHED, rate_hz));
    if (hf_timeline_length(&timeline) / rate_hz >= HF_SESSION_MOST_S) {
        hf_timeline_deinit(&timeline);
        return hf_fail(diag, HF_E_DATA, "the session of the journal lasts longer than %d days",
                       HF_SESSION_MOST_DAYS);
    }
    *out = timeline;
    return HF_OK;
}

/* ---- events ---------------------------------------------------------------------------------- */

/* A cue as it is laid on the plan. */
struct span {
    int64_t at, hear, end;
    int64_t tell; /* HF_NEVER where nothing is heard of it */
};

/* The clockwork at one of the two rates, as far as the records have come. */
struct side {
    int64_t offset;     /* session time less plan time */
    int64_t stay_at;    /* of an open stay */
    struct span cue[2]; /* the last cue recorded, and before it the one that may still run */
};

struct builder {
    struct hf_replay *replay;
    const struct hf_request *request;
    int from_hz, to_hz;
    struct side from, to; /* as recorded; as asked for */
    bool stays;
    int64_t command_at; /* of the last command, at the rate asked for */
    bool pauses;
    int64_t from_pause_at, pause_at; /* of an open pause, at either rate */
    int64_t silence;                 /* samples of all pauses, at the rate asked for */
    uint32_t cues;
    size_t cue_event[2];          /* which events lay the two cues */
    const struct hf_record *hold; /* of the cue that is recorded next, or NULL */
    long cue_n[2];                /* and their records */
};

/* A length at the rate asked for, to the nearest sample. Lengths are under 2^53 and rates under
 * 2^18, so the whole and the remainder are scaled apart. */
static int64_t scale(const struct builder *b, int64_t length)
{
    if (b->from_hz == b->to_hz)
        return length;
    int64_t seconds = length / b->from_hz, rest = length % b->from_hz;
    return seconds * b->to_hz + (rest * b->to_hz + b->from_hz / 2) / b->from_hz;
}

static int64_t scale_to_grid(const struct builder *b, int64_t length)
{
    return b->from_hz == b->to_hz ? length : (scale(b, length) + HF_GRID / 2) / HF_GRID * HF_GRID;
}

/* Which of the two cues had begun last at a session time of the record; -1 for none. */
static int begun(const struct builder *b, int64_t at)
{
    int64_t reached = b->stays ? b->from.stay_at : at;
    for (int i = 1; i >= 0 && (uint32_t)(1 - i) < b->cues; i--)
        if (b->from.cue[i].at + b->from.offset <= reached)
            return i;
    return -1;
}

/* Narrows the room for a session time `at` of the record by one time of the plan, so that the two
 * come in the same order at either rate. */
static void narrow(const struct builder *b, int64_t at, int64_t from, int64_t to, int64_t *low,
                   int64_t *high)
{
    if (from == HF_NEVER || (b->stays && from + b->from.offset > b->from.stay_at))
        return;
    int64_t there = to + b->to.offset;
    if (from + b->from.offset <= at)
        *low = there > *low ? there : *low;
    else
        *high = there - 1 < *high ? there - 1 : *high;
}

/* The session time at the rate asked for that stands for `at`: the nearest to `ideal` that comes
 * after the same things and before the same things. */
static int64_t place(const struct builder *b, int64_t at, int64_t ideal, int64_t step)
{
    if (b->from_hz == b->to_hz)
        return at;
    int64_t low = b->command_at, high = HF_NEVER - HF_GRID;
    for (int i = 1; i >= 0 && (uint32_t)(1 - i) < b->cues; i--) {
        const struct span *from = &b->from.cue[i], *to = &b->to.cue[i];
        narrow(b, at, from->at, to->at, &low, &high);
        narrow(b, at, from->hear, to->hear, &low, &high);
        narrow(b, at, from->tell, to->tell, &low, &high);
        narrow(b, at, from->end, to->end, &low, &high);
    }
    low = (low + step - 1) / step * step;
    high = high / step * step;
    if (b->pauses && at - b->from_pause_at < hf_transport_pause_fade(b->from_hz)) {
        int64_t last = b->pause_at + hf_transport_pause_fade(b->to_hz) - step;
        low = low < last ? low : last; /* after that the clock stands */
        high = high < last ? high : last;
    }
    int64_t nearest = (ideal + step / 2) / step * step;
    nearest = nearest > high ? high : nearest;
    return nearest < low ? low : nearest;
}

static void add(struct builder *b, struct hf_event event)
{
    b->replay->events[b->replay->count++] = event;
}

static void put_notes(struct hf_event *event, const uint8_t *notes, int count)
{
    event->count = (uint8_t)count;
    memcpy(event->notes, notes, (size_t)count);
}

static void add_hold(struct builder *b, const struct hf_record *r)
{
    /* Where the player ends the cue before, the next set comes with the next cue. */
    int64_t at = r->at == HF_NEVER ? b->to.cue[1].end : scale(b, r->at - b->from.offset);
    struct hf_event hold = {.kind = HF_EVENT_HOLD, .at = at};
    put_notes(&hold, r->notes, r->count);
    add(b, hold);
}

static void add_drone(struct builder *b, const struct hf_record *r)
{
    int64_t at = r->at == HF_NEVER ? b->to.cue[1].end : scale(b, r->at - b->from.offset);
    add(b, (struct hf_event){.kind = HF_EVENT_DRONE,
                             .at = at,
                             .db = r->gain_db,
                             .fade = scale(b, r->over),
                             .after = scale(b, r->held_for)});
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

static struct span span_of_wait(const struct builder *b, const struct hf_record *r, int64_t at)
{
    struct hf_laid laid = hf_timeline_lay(hf_timeline_way(b->request->cue, r->type), true, at, 0);
    return (struct span){laid.at, laid.hear, laid.end, r->manner.rests ? laid.tell : HF_NEVER};
}

static void lay(struct builder *b, const struct hf_record *r)
{
    struct span *from = &b->from.cue[1], *to = &b->to.cue[1];
    bool follows = r->at == HF_NEVER; /* where the player ends the one before it */
    b->from.cue[0] = *from;
    b->to.cue[0] = *to;
    if (b->request->every.wait) {
        *from = span_of_wait(b, r, follows ? from->end : r->at - b->from.offset);
        *to = span_of_wait(b, r, follows ? to->end : scale(b, from->at));
        return;
    }
    bool silent = r->hear == HF_NEVER, rests = r->manner.rests;
    *from = (struct span){r->at - b->from.offset, silent ? HF_NEVER : r->hear - b->from.offset,
                          r->end - b->from.offset, rests ? r->tell - b->from.offset : HF_NEVER};
    *to = (struct span){scale(b, from->at), silent ? HF_NEVER : scale(b, from->hear),
                        scale(b, from->end), rests ? scale(b, from->tell) : HF_NEVER};
}

static void add_cue(struct builder *b, const struct hf_record *r)
{
    lay(b, r);
    const struct span *laid = &b->to.cue[1];
    struct hf_event event = {.kind = HF_EVENT_CUE,
                             .cue = ++b->cues,
                             .at = laid->at,
                             .hear = laid->hear,
                             .tell = laid->tell,
                             .end = laid->end,
                             .beat = hf_request_beat(b->request, b->to_hz),
                             .meter = (uint8_t)b->request->meter};
    hf_timeline_sound(b->hold, r, &event);
    event.manner.stagger = scale(b, event.manner.stagger);
    event.manner.apart = scale(b, event.manner.apart);
    if (b->cues == 1)
        add_count_in(b, event.at);
    b->cue_event[0] = b->cue_event[1];
    b->cue_event[1] = b->replay->count;
    b->cue_n[0] = b->cue_n[1];
    b->cue_n[1] = r->n;
    add(b, event);
}

/* ---- commands -------------------------------------------------------------------------------- */

/* As the transport does it: later plan times move to where the command brings its target, the end
 * of the cue that runs, or in the lead-in and in a rest the beginning of the next one. */
static void leap(struct builder *b, const struct hf_record *r, int64_t at)
{
    int index = begun(b, r->at);
    int64_t reached = b->stays ? b->from.stay_at : r->at;
    bool runs = index >= 0 && b->from.cue[index].end + b->from.offset > reached;
    const struct span *from = &b->from.cue[runs ? index : 1];
    const struct span *to = &b->to.cue[runs ? index : 1];
    b->from.offset = r->at - (runs ? from->end : from->at);
    b->to.offset = at - (runs ? to->end : to->at);
}

/* A stay may last a little longer or shorter for the steps' sake; the next one makes up for it. */
static int64_t ideal(const struct builder *b, const struct hf_record *r)
{
    if (r->type != HF_RECORD_GO || b->request->every.wait)
        return scale(b, r->at);
    int64_t offset = scale(b, b->from.offset + r->at - b->from.stay_at);
    return b->to.stay_at + offset - b->to.offset;
}

static void go_on(struct builder *b, const struct hf_record *r, int64_t at)
{
    b->from.offset += r->at - b->from.stay_at;
    b->to.offset += at - b->to.stay_at;
    b->stays = false;
}

static void add_command(struct builder *b, const struct hf_record *r, enum hf_event_kind kind)
{
    struct hf_event event = {.kind = kind,
                             .db = r->db,
                             .at = place(b, r->at, ideal(b, r), HF_GRID),
                             .after = scale_to_grid(b, r->after)};
    if (kind == HF_EVENT_AGAIN) {
        const struct hf_event *cue = &b->replay->events[b->cue_event[begun(b, r->at) == 0 ? 0 : 1]];
        event.cue = cue->cue;
        event.manner = cue->manner;
        put_notes(&event, cue->notes, cue->count);
    }
    if (kind == HF_EVENT_RESUME) /* its place follows from that of the pause */
        event.at = b->pause_at + hf_transport_pause_fade(b->to_hz);
    add(b, event);
    b->command_at = event.at;
    b->silence += event.after;
    if (kind == HF_EVENT_STAY) {
        b->from.stay_at = r->at;
        b->to.stay_at = event.at;
        b->stays = true;
    } else if (kind == HF_EVENT_GO) {
        go_on(b, r, event.at);
    } else if (kind == HF_EVENT_NEXT) {
        leap(b, r, event.at);
    } else if (kind == HF_EVENT_PAUSE) {
        b->from_pause_at = r->at;
        b->pause_at = event.at;
        b->pauses = true;
    } else if (kind == HF_EVENT_RESUME) {
        b->pauses = false;
    }
}

/* It moves nothing, so that the nearest sample will do at another rate. */
static void add_speech(struct builder *b, const struct hf_record *r)
{
    struct hf_event say = {
        .kind = HF_EVENT_SAY, .at = scale(b, r->at), .length = scale(b, r->length)};
    for (uint32_t i = 0; r->cue > 0 && i < 2 && i < b->cues; i++)
        if (b->cue_n[1 - i] == r->cue)
            say.cue = b->cues - i;
    say.length = say.length > 0 ? say.length : 1;
    add(b, say);
}

static void add_record(struct builder *b, const struct hf_record *r)
{
    static const enum hf_event_kind commands[] = {
        [HF_RECORD_STAY] = HF_EVENT_STAY,     [HF_RECORD_GO] = HF_EVENT_GO,
        [HF_RECORD_PAUSE] = HF_EVENT_PAUSE,   [HF_RECORD_LOST] = HF_EVENT_PAUSE,
        [HF_RECORD_RESUME] = HF_EVENT_RESUME, [HF_RECORD_NEXT] = HF_EVENT_NEXT,
        [HF_RECORD_AGAIN] = HF_EVENT_AGAIN,   [HF_RECORD_REVEAL] = HF_EVENT_REVEAL,
        [HF_RECORD_VOLUME] = HF_EVENT_VOLUME,
    };
    switch (r->type) {
    case HF_RECORD_HOLD:
        add_hold(b, r);
        b->hold = r;
        return;
    case HF_RECORD_DRONE:
        add_drone(b, r);
        return;
    case HF_RECORD_CUE:
    case HF_RECORD_STEP:
        add_cue(b, r);
        return;
    case HF_RECORD_STAY:
    case HF_RECORD_GO:
    case HF_RECORD_PAUSE:
    case HF_RECORD_LOST:
    case HF_RECORD_RESUME:
    case HF_RECORD_NEXT:
    case HF_RECORD_AGAIN:
    case HF_RECORD_REVEAL:
    case HF_RECORD_VOLUME:
        add_command(b, r, commands[r->type]);
        return;
    case HF_RECORD_SPEECH:
        add_speech(b, r);
        return;
    case HF_RECORD_END:
        b->replay->cut = false;
        return;
    case HF_RECORD_SESSION:
    case HF_RECORD_BREAK:
    case HF_RECORD_MARK:
    case HF_RECORD_ANSWER:
    case HF_RECORD_HINT:
    case HF_RECORD_LEVEL:
    case HF_RECORD_OTHER:
        return;
    }
}

static void add_end(struct builder *b, const struct hf_timeline *timeline)
{
    struct hf_event end = {.kind = HF_EVENT_END,
                           .at = place(b, timeline->end_at, scale(b, timeline->end_at), 1),
                           .fade = scale(b, timeline->end_fade)};
    add(b, end);
    b->replay->length = end.at + end.fade + b->silence;
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
    if (hf_request_chooses(b.request)) /* the first cue lies where it does not come by itself */
        b.from.cue[1].end = b.to.cue[1].end = HF_WAIT_LENGTH;
    made.events = calloc(journal->count + 1 + HF_COUNT_IN_MOST, sizeof *made.events);
    if (!made.events)
        status = hf_fail(diag, HF_E_MEMORY, "out of memory");
    for (size_t i = 0; status == HF_OK && i < journal->count; i++)
        add_record(&b, &journal->records[i]);
    if (status == HF_OK) {
        add_end(&b, &timeline);
        *replay = made;
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

/* ---- speech ---------------------------------------------------------------------------------- */

struct hf_replay_speech hf_replay_speak(struct hf_replay *replay, const struct hf_journal *journal,
                                        const struct hf_speaker *speaker)
{
    struct hf_replay_speech result = {0};
    size_t record = 0;
    for (size_t i = 0; i < replay->count; i++) { /* both stand in the same order */
        struct hf_event *event = &replay->events[i];
        if (event->kind != HF_EVENT_SAY)
            continue;
        while (journal->records[record].type != HF_RECORD_SPEECH)
            record++;
        const struct hf_record *r = &journal->records[record++];
        event->words = speaker->prepare ? speaker->prepare(speaker->self, r->text) : 0;
        const struct hf_utterance *words =
            event->words ? speaker->get(speaker->self, event->words) : NULL;
        result.said += words != NULL;
        result.missing += words == NULL;
        result.changed += words && words->sum != r->sum;
    }
    return result;
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
