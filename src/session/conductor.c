/* SPDX-License-Identifier: MIT */
/*
 * Invariants:
 *   the record of a cue stands before its event in the steps, and both a whole cue early;
 *   records are numbered without gaps, and every one goes to the timeline too;
 *   no step gets lost: keys leave room for what the reports bring;
 *   a record's times hold every shift that was recorded before it and none that comes after.
 */
#include <holdfast/conductor.h>

#include <string.h>

#include "conductor_parts.h"

_Static_assert(HF_WHY_FINISHED == 0, "a finish reports no reason of its own");

int64_t hf_conductor_fade(enum hf_why why, int rate_hz)
{
    switch (why) {
    case HF_WHY_FINISHED:
        return (int64_t)rate_hz * 5;
    case HF_WHY_QUIT:
        return (int64_t)rate_hz * 2;
    case HF_WHY_LOST:
        return 0;
    case HF_WHY_SIGNAL:
        return (int64_t)rate_hz / 25;
    }
    return 0;
}

/* ---- steps ----------------------------------------------------------------------------------- */

static struct hf_step *add_step(struct hf_conductor *c)
{
    int index = (c->first_step + c->step_count++) % HF_CONDUCTOR_STEPS;
    memset(&c->steps[index], 0, sizeof c->steps[index]);
    return &c->steps[index];
}

bool hf_conductor_step(struct hf_conductor *c, struct hf_step *out)
{
    if (c->step_count == 0)
        return false;
    *out = c->steps[c->first_step];
    c->first_step = (c->first_step + 1) % HF_CONDUCTOR_STEPS;
    c->step_count--;
    return true;
}

enum hf_status conductor_record(struct hf_conductor *c, struct hf_record record,
                                struct hf_diag *diag)
{
    record.n = c->next_n;
    /* Of the two steps that one call may add, the record is the first. */
    if (c->step_count > HF_CONDUCTOR_STEPS - 2)
        return hf_fail(diag, HF_E_BUG, "more is to be recorded than is taken");
    enum hf_status status = hf_timeline_apply(&c->timeline, &record, diag);
    if (status != HF_OK)
        return status;
    c->next_n++;
    struct hf_step *step = add_step(c);
    step->is_record = true;
    step->record = record;
    return HF_OK;
}

void conductor_event(struct hf_conductor *c, struct hf_event event)
{
    add_step(c)->event = event;
}

enum hf_status hf_conductor_init(struct hf_conductor *c, const struct hf_request *request,
                                 struct hf_schedule *schedule, struct hf_diag *diag)
{
    return hf_conductor_init_naming(c, request, schedule, (struct hf_naming){0}, diag);
}

enum hf_status hf_conductor_record(struct hf_conductor *c, const struct hf_record *record,
                                   struct hf_diag *diag)
{
    return c->lost ? HF_OK : conductor_record(c, *record, diag);
}

enum hf_status hf_conductor_init_naming(struct hf_conductor *c, const struct hf_request *request,
                                        struct hf_schedule *schedule, struct hf_naming naming,
                                        struct hf_diag *diag)
{
    memset(c, 0, sizeof *c);
    c->request = request;
    c->schedule = schedule;
    c->naming = naming;
    c->next_n = 1; /* 0 is the head */
    c->volume_db = request->volume_db;
    hf_timeline_init(&c->timeline, request);
    c->next_at = hf_request_samples(request, request->lead_in);
    enum hf_status status = conductor_lay_first_hold(c, diag);
    if (status != HF_OK)
        return status;
    if (hf_request_chooses(request)) {
        conductor_start_choice(c);
        return HF_OK;
    }
    conductor_start_levels(c);
    hf_breath_init(&c->breath, request);
    conductor_lay_count_in(c);
    return conductor_lay_next(c, diag);
}

void hf_conductor_deinit(struct hf_conductor *c)
{
    if (c)
        hf_timeline_deinit(&c->timeline);
}

/* ---- reports --------------------------------------------------------------------------------- */

/* What was asked for last is still on its way: what the sound reports was asked for before it. */
static bool is_newer_asked(const struct hf_conductor *c, enum hf_event_kind kind, int but)
{
    return (kind == HF_EVENT_PAUSE ? c->pauses_asked : c->stays_asked) > but;
}

/* It did nothing: unless it was changed since, it is as the sound has it. */
static void take_back(struct hf_conductor *c, enum hf_event_kind kind)
{
    if (kind == HF_EVENT_STAY && !is_newer_asked(c, kind, 1))
        c->staying = c->timeline.stay_at != HF_NEVER;
    if (kind == HF_EVENT_PAUSE) {
        c->on_break = c->breaking = c->away_pauses = false;
        if (!is_newer_asked(c, kind, 1))
            c->paused = c->timeline.pause_at != HF_NEVER;
    }
    if (kind == HF_EVENT_REVEAL)
        c->shown = 0;
    if (kind == HF_EVENT_NEXT && hf_request_chooses(c->request))
        conductor_choose_again(c);
    if (kind == HF_EVENT_VOLUME)
        c->volume_db = c->timeline.volume_db;
}

/* One command more, or less, that the sound has not answered. */
static void count_asked(struct hf_conductor *c, enum hf_event_kind kind, int by)
{
    c->asked += by;
    c->nexts_asked += kind == HF_EVENT_NEXT ? by : 0;
    c->stays_asked += kind == HF_EVENT_STAY || kind == HF_EVENT_GO ? by : 0;
    c->pauses_asked += kind == HF_EVENT_PAUSE || kind == HF_EVENT_RESUME ? by : 0;
}

void conductor_ask(struct hf_conductor *c, enum hf_event_kind kind)
{
    count_asked(c, kind, 1);
}

static void answered(struct hf_conductor *c, enum hf_event_kind kind)
{
    count_asked(c, kind, -1);
    if (kind == HF_EVENT_AGAIN)
        c->asked_again = false;
    conductor_settle_away(c);
}

/* A stay that the transport made itself waits for what is withheld. */
static bool waits_for_us(const struct hf_conductor *c, const struct hf_report *r)
{
    const struct hf_timeline *t = &c->timeline;
    return r->kind == HF_REPORT_STAY && c->withheld && t->cues[t->count - 1].end <= r->at + HF_GRID;
}

enum hf_status hf_conductor_report(struct hf_conductor *c, const struct hf_report *r,
                                   struct hf_diag *diag)
{
    struct hf_record record = {.at = r->at};
    if (c->lost)
        return HF_OK;
    c->now = r->at;
    switch (r->kind) {
    case HF_REPORT_BEGAN:
        c->running = r->cue;
        if (r->cue != c->serial || hf_request_chooses(c->request))
            return HF_OK;
        return conductor_follow(c, diag);
    case HF_REPORT_WANTS:
        return conductor_release(c, diag);
    case HF_REPORT_HEARD:
    case HF_REPORT_SPOKE: /* the narrator's */
        return HF_OK;
    case HF_REPORT_VOID:
        take_back(c, r->command);
        return HF_OK;
    case HF_REPORT_ANSWER:
        answered(c, r->command);
        return HF_OK;
    case HF_REPORT_STAY:
        record.type = HF_RECORD_STAY;
        break;
    case HF_REPORT_GO:
        record.type = HF_RECORD_GO;
        record.shifted = true;
        record.shift = r->shift;
        c->offset += r->shift;
        if (!is_newer_asked(c, HF_EVENT_STAY, 0))
            c->staying = false;
        break;
    case HF_REPORT_PAUSE:
        record.type = r->why == (int)HF_WHY_LOST ? HF_RECORD_LOST : HF_RECORD_PAUSE;
        break;
    case HF_REPORT_RESUME:
        record.type = HF_RECORD_RESUME;
        record.after = r->after;
        if (!is_newer_asked(c, HF_EVENT_PAUSE, 0))
            c->paused = false;
        conductor_end_pause(c, r);
        break;
    case HF_REPORT_NEXT:
        record.type = HF_RECORD_NEXT;
        record.shifted =
            !hf_request_chooses(c->request) && (!c->request->every.wait || c->running == 0);
        record.shift = r->shift;
        c->offset += r->shift;
        break;
    case HF_REPORT_AGAIN:
        record.type = HF_RECORD_AGAIN;
        break;
    case HF_REPORT_REVEAL:
        record.type = HF_RECORD_REVEAL;
        break;
    case HF_REPORT_VOLUME:
        record.type = HF_RECORD_VOLUME;
        record.db = r->db;
        break;
    case HF_REPORT_END:
        if (r->why == HF_WHY_FINISHED && conductor_take_round(c, diag) != HF_OK)
            return HF_E_MEMORY;
        record.type = HF_RECORD_END;
        record.why = (enum hf_why)r->why;
        record.fade = r->after;
        c->began_end = true;
        break;
    }
    enum hf_status status = conductor_record(c, record, diag);
    if (status == HF_OK && r->kind == HF_REPORT_PAUSE)
        return conductor_note_break(c, r->at, diag);
    return status == HF_OK && waits_for_us(c, r) ? conductor_release(c, diag) : status;
}

/* ---- keys ------------------------------------------------------------------------------------ */

void conductor_command(struct hf_conductor *c, enum hf_event_kind kind)
{
    conductor_ask(c, kind);
    conductor_event(c, (struct hf_event){.kind = kind, .at = HF_AT_ONCE, .after = HF_AT_ONCE});
}

/* A step onto the next whole number, whatever --volume began with. */
static enum hf_status change_volume(struct hf_conductor *c, bool louder, struct hf_diag *diag)
{
    int whole = (int)c->volume_db; /* toward 0, so never softer than it is */
    int db = !louder ? whole - 1 : whole > c->volume_db ? whole : whole + 1;
    if (db > HF_VOLUME_HIGH)
        return hf_fail(diag, HF_E_USAGE, "the volume is at its highest, %d dB", HF_VOLUME_HIGH);
    if (db < HF_VOLUME_LOW)
        return hf_fail(diag, HF_E_USAGE, "the volume is at its lowest, %d dB", HF_VOLUME_LOW);
    c->volume_db = db;
    c->asked++;
    conductor_event(c, (struct hf_event){.kind = HF_EVENT_VOLUME, .at = HF_AT_ONCE, .db = db});
    return HF_OK;
}

static enum hf_status mark(struct hf_conductor *c, enum hf_mark as, int64_t now,
                           struct hf_diag *diag)
{
    const struct hf_timeline_cue *told = hf_timeline_told(&c->timeline, now);
    if (!told)
        return hf_fail(diag, HF_E_USAGE, "no cue has been named yet: nothing to mark");
    return conductor_mark(c, told->record.n, as, now, diag);
}

/* The cue that runs, or NULL. Cues stand in the timeline by their serial numbers. */
static const struct hf_timeline_cue *current(const struct hf_conductor *c, int64_t now)
{
    if (c->running == 0)
        return NULL;
    const struct hf_timeline_cue *cue = &c->timeline.cues[c->running - 1];
    return hf_timeline_reached(&c->timeline, cue->end, now) ? NULL : cue;
}

static enum hf_status again(struct hf_conductor *c, int64_t now, struct hf_diag *diag)
{
    const struct hf_timeline_cue *cue = current(c, now);
    if (!cue)
        return hf_fail(diag, HF_E_USAGE, "no cue is running: nothing to hear again");
    if (c->request->cue == HF_CUE_SILENT)
        return hf_fail(diag, HF_E_USAGE, "cue silent never sounds");
    if (!hf_timeline_shown(&c->timeline, cue->hear, now))
        return hf_fail(diag, HF_E_USAGE, "it has not sounded yet: r reveals it");
    struct hf_event event = {.kind = HF_EVENT_AGAIN, .at = HF_AT_ONCE, .cue = c->running};
    hf_timeline_sound(hf_timeline_held(&c->timeline, (long)c->running - 1), &cue->record, &event);
    conductor_event(c, event);
    c->asked++;
    c->asked_again = true;
    return HF_OK;
}

/* With cues that the player ends: something of the cue is still to come. */
static bool is_hiding(const struct hf_conductor *c, const struct hf_timeline_cue *cue)
{
    return cue->tell == HF_NEVER || (cue->hear == HF_NEVER && c->request->cue != HF_CUE_SILENT);
}

static enum hf_status next(struct hf_conductor *c, int64_t now, struct hf_diag *diag)
{
    const struct hf_timeline_cue *cue = current(c, now);
    if (c->request->every.wait && cue && is_hiding(c, cue) && c->shown != c->running) {
        c->shown = c->running;
        conductor_command(c, HF_EVENT_REVEAL);
    } else {
        conductor_command(c, HF_EVENT_NEXT);
        return conductor_release(c, diag); /* the cue is left: nobody will mark it */
    }
    return HF_OK;
}

/* In roam a cue that waits to be asked for: hearing it again is hearing it. */
static bool is_unheard(const struct hf_conductor *c, int64_t now)
{
    const struct hf_timeline_cue *cue = current(c, now);
    return hf_request_chooses(c->request) && c->request->cue == HF_CUE_CONFIRM && cue &&
           cue->hear == HF_NEVER && c->shown != c->running;
}

static enum hf_status reveal(struct hf_conductor *c, int64_t now, struct hf_diag *diag)
{
    const struct hf_timeline_cue *cue = current(c, now);
    if (!cue)
        return hf_fail(diag, HF_E_USAGE, "no cue is running: nothing to reveal");
    const struct hf_timeline *t = &c->timeline;
    bool silent = c->request->cue == HF_CUE_SILENT;
    bool told = hf_timeline_shown(t, cue->tell, now), heard = hf_timeline_shown(t, cue->hear, now);
    if (c->shown == c->running || (told && (silent || heard)))
        return hf_fail(diag, HF_E_USAGE,
                       silent ? "it is named already, and cue silent never sounds"
                              : "the cue has been named and heard already");
    c->shown = c->running;
    conductor_command(c, HF_EVENT_REVEAL);
    return HF_OK;
}

static void end(struct hf_conductor *c, enum hf_why why)
{
    conductor_event(c, (struct hf_event){.kind = HF_EVENT_END,
                                         .why = (int)why,
                                         .at = HF_AT_ONCE,
                                         .fade = hf_conductor_fade(why, c->request->rate_hz)});
}

static enum hf_status in_pause(const struct hf_conductor *c, struct hf_diag *diag)
{
    return c->paused ? hf_fail(diag, HF_E_USAGE, "paused: p goes on") : HF_OK;
}

static bool too_soon(const struct hf_conductor *c, enum hf_key key)
{
    if (key == HF_KEY_SIGNAL) /* an end is heard at any time, once each */
        return c->asked_signal;
    if (key == HF_KEY_QUIT)
        return c->asked_quit || c->asked_signal;
    bool is_command = key != HF_KEY_GOT && key != HF_KEY_MISSED;
    return c->step_count >= HF_CONDUCTOR_STEPS / 2 ||
           (is_command && c->asked >= HF_CONDUCTOR_ASKED) ||
           (key == HF_KEY_AGAIN && c->asked_again);
}

enum hf_status conductor_may(const struct hf_conductor *c, enum hf_key key, struct hf_diag *diag)
{
    if (c->began_end || c->lost)
        return hf_fail(diag, HF_E_USAGE, "the session is ending");
    if (too_soon(c, key))
        return hf_fail(diag, HF_E_USAGE, "%s", "");
    if (key == HF_KEY_PAUSE && c->away)
        return hf_fail(diag, HF_E_USAGE, "there is no sound output now: waiting for it");
    bool free_in_pause = key == HF_KEY_PAUSE || key == HF_KEY_GOT || key == HF_KEY_MISSED ||
                         key == HF_KEY_QUIT || key == HF_KEY_SIGNAL;
    return free_in_pause ? HF_OK : in_pause(c, diag);
}

enum hf_status hf_conductor_key(struct hf_conductor *c, enum hf_key key, int64_t now,
                                struct hf_diag *diag)
{
    if (c->on_break && key != HF_KEY_QUIT && key != HF_KEY_SIGNAL)
        key = HF_KEY_PAUSE;
    enum hf_status status = conductor_may(c, key, diag);
    if (status != HF_OK)
        return status;
    c->now = now;
    switch (key) {
    case HF_KEY_STAY:
        if (hf_request_chooses(c->request))
            return conductor_choose_key(c, key, diag);
        conductor_command(c, c->staying ? HF_EVENT_GO : HF_EVENT_STAY);
        c->staying = !c->staying;
        return HF_OK;
    case HF_KEY_PAUSE:
        conductor_command(c, c->paused ? HF_EVENT_RESUME : HF_EVENT_PAUSE);
        c->paused = !c->paused;
        c->on_break = c->away_pauses = false; /* it is the player's from here on */
        return HF_OK;
    case HF_KEY_NEXT:
        if (hf_request_chooses(c->request))
            return conductor_choose_key(c, key, diag);
        return next(c, now, diag);
    case HF_KEY_AGAIN:
        return is_unheard(c, now) ? reveal(c, now, diag) : again(c, now, diag);
    case HF_KEY_REVEAL:
        return reveal(c, now, diag);
    case HF_KEY_GOT:
        if (hf_request_chooses(c->request))
            return conductor_choose_key(c, key, diag);
        return mark(c, HF_MARK_GOT, now, diag);
    case HF_KEY_MISSED:
        if (hf_request_chooses(c->request))
            return conductor_choose_key(c, key, diag);
        return mark(c, HF_MARK_MISSED, now, diag);
    case HF_KEY_CHOICE_1:
    case HF_KEY_CHOICE_2:
    case HF_KEY_CHOICE_3:
    case HF_KEY_CHOICE_4:
    case HF_KEY_CHOICE_5:
    case HF_KEY_CHOICE_6:
    case HF_KEY_CHOICE_7:
    case HF_KEY_CHOICE_8:
    case HF_KEY_CHOICE_9:
        if (hf_request_chooses(c->request))
            return conductor_choose_key(c, key, diag);
        return conductor_pick(c, current(c, now), (int)key - HF_KEY_CHOICE_1 + 1, now, diag);
    case HF_KEY_CHOICE_NONE:
        if (hf_request_chooses(c->request))
            return conductor_choose_key(c, key, diag);
        return conductor_pick(c, current(c, now), 0, now, diag);
    case HF_KEY_CHOICE_YES:
        if (!c->schedule->sight.on)
            return hf_fail(diag, HF_E_USAGE, "no yes is asked for here");
        return conductor_pick(c, current(c, now), HF_SIGHT_YES, now, diag);
    case HF_KEY_LOUDER:
    case HF_KEY_SOFTER:
        return change_volume(c, key == HF_KEY_LOUDER, diag);
    case HF_KEY_QUIT:
        c->asked_quit = true;
        end(c, HF_WHY_QUIT);
        return HF_OK;
    case HF_KEY_SIGNAL:
        c->asked_signal = true;
        end(c, HF_WHY_SIGNAL);
        return HF_OK;
    }
    return HF_OK;
}

enum hf_status hf_conductor_mark(struct hf_conductor *c, long cue, enum hf_mark as, int64_t at,
                                 struct hf_diag *diag)
{
    if (c->lost || c->step_count >= HF_CONDUCTOR_STEPS / 2)
        return hf_fail(diag, HF_E_USAGE, "no mark can be taken now");
    return conductor_mark(c, cue, as, at, diag);
}

enum hf_status hf_conductor_lost(struct hf_conductor *c, int64_t now, struct hf_diag *diag)
{
    if (c->lost || c->began_end)
        return HF_OK;
    c->lost = true;
    /* What the sound reported may be a little ahead of what it gave out. */
    int64_t at = now > c->timeline.command_at ? now : c->timeline.command_at;
    return conductor_record(
        c, (struct hf_record){.type = HF_RECORD_END, .at = at, .why = HF_WHY_LOST}, diag);
}
