/* SPDX-License-Identifier: MIT */
/*
 * Invariants:
 *   session time of a plan time t = t + offset, unless staying;
 *   every event taken leaves exactly once as an action (HOLD, SOUND, AGAIN, DROP) if it has voices;
 *   a stay that the transport makes itself begins strictly before the time that it holds back, so
 *   that "times later than the stay's move by the shift" is true of the record as well.
 */
#include <holdfast/transport.h>

#include <stddef.h>
#include <string.h>

#include "queue.h"
#include "transport_parts.h"

int64_t hf_transport_pause_fade(int rate)
{
    int64_t samples = ((int64_t)rate * 3 + 9) / 10;
    return (samples + HF_GRID - 1) / HF_GRID * HF_GRID;
}

void hf_transport_init(struct hf_transport *t, int rate)
{
    memset(t, 0, sizeof *t);
    t->pause_fade = hf_transport_pause_fade(rate);
    t->out_at = t->in_at = t->end_at = t->finish_at = HF_NEVER;
}

void transport_report(struct hf_transport *t, struct hf_report what)
{
    if (t->report_count < HF_TRANSPORT_REPORTS)
        t->reports[t->report_count++] = what;
}

void transport_act(struct hf_transport *t, enum hf_action_kind kind, int64_t at,
                   const struct hf_event *event)
{
    if (t->action_count == HF_TRANSPORT_ACTIONS)
        return;
    struct hf_action *action = &t->actions[t->action_count++];
    action->kind = kind;
    action->offset = (int)(at - t->now);
    action->event = event ? *event : (struct hf_event){0};
}

void transport_refuse(struct hf_transport *t, const struct hf_event *command)
{
    transport_report(
        t, (struct hf_report){.kind = HF_REPORT_VOID, .command = command->kind, .at = t->now});
    if (command->count)
        transport_act(t, HF_ACTION_DROP, t->now, command);
}

bool hf_transport_take(struct hf_transport *t, const struct hf_event *event)
{
    switch (event->kind) {
    case HF_EVENT_HOLD:
    case HF_EVENT_CUE:
    case HF_EVENT_DRONE:
    case HF_EVENT_TICK:
        return hf_queue_push(&t->plan, event);
    case HF_EVENT_SPEAK:
    case HF_EVENT_SAY:
        return hf_prompter_take(&t->prompter, event);
    case HF_EVENT_FINISH:
        t->finish_known = true;
        t->finish_at = event->at;
        t->finish_fade = event->fade;
        return true;
    case HF_EVENT_END:
        /* A signal may follow a quit: the first one that has no time of its own stands. */
        if (!t->end_asked || event->at == HF_AT_ONCE) {
            t->end_asked = true;
            t->end_command = *event;
        }
        return true;
    case HF_EVENT_STAY:
    case HF_EVENT_GO:
    case HF_EVENT_PAUSE:
    case HF_EVENT_RESUME:
    case HF_EVENT_NEXT:
    case HF_EVENT_AGAIN:
    case HF_EVENT_REVEAL:
    case HF_EVENT_VOLUME:
        return event->at == HF_AT_ONCE ? hf_queue_push(&t->once, event)
                                       : hf_queue_insert(&t->timed, event);
    }
    return true;
}

/* ---- the plan -------------------------------------------------------------------------------- */

void transport_begin_end(struct hf_transport *t, int64_t at, int64_t fade, int why)
{
    t->end_at = at;
    t->end_fade = fade;
    transport_report(
        t, (struct hf_report){.kind = HF_REPORT_END, .at = at, .after = fade, .why = why});
}

static void sound_cue(struct hf_transport *t, int64_t at)
{
    transport_act(t, HF_ACTION_SOUND, at, &t->cue);
    t->sounded = true;
    transport_report(t, (struct hf_report){.kind = HF_REPORT_HEARD, .at = at, .cue = t->cue.cue});
}

static void end_rest(struct hf_transport *t, int64_t at)
{
    if (t->rests)
        transport_act(t, HF_ACTION_RETURN, at, NULL);
    t->rests = false;
}

static void end_cue(struct hf_transport *t, int64_t at)
{
    end_rest(t, at);
    if (!t->sounded && t->cue.count)
        transport_act(t, HF_ACTION_DROP, at, &t->cue);
    transport_act(t, HF_ACTION_DAMP, at, NULL);
    t->running = false;
}

static void begin_cue(struct hf_transport *t, int64_t at, const struct hf_event *cue)
{
    t->cue = *cue;
    t->running = true;
    t->wanted = false;
    t->follows = cue->more;
    t->sounded = cue->count == 0 || cue->hear == HF_NEVER;
    t->ticks = cue->beat > 0;
    t->beats = 0;
    t->rests = cue->manner.rests;
    if (t->rests)
        transport_act(t, HF_ACTION_REST, at, NULL);
    if (t->sounded && cue->count)
        transport_act(t, HF_ACTION_DROP, at, cue);
    transport_report(t, (struct hf_report){.kind = HF_REPORT_BEGAN, .at = at, .cue = cue->cue});
}

/* The plan time of the running cue's next beat. */
static int64_t next_beat(const struct hf_transport *t)
{
    return t->ticks ? t->cue.at + (int64_t)(t->beats * t->cue.beat + 0.5) : HF_NEVER;
}

static void beat(struct hf_transport *t, int64_t at)
{
    struct hf_event tick = {.kind = HF_EVENT_TICK,
                            .accent = t->cue.meter > 0 && t->beats % t->cue.meter == 0};
    transport_act(t, HF_ACTION_TICK, at, &tick);
    t->beats++;
}

/* The plan time of what the running cue still does before its end, HF_NEVER for nothing. */
static int64_t cue_next(const struct hf_transport *t)
{
    int64_t next = t->sounded ? HF_NEVER : t->cue.hear;
    if (next_beat(t) < next)
        next = next_beat(t);
    if (t->rests && t->cue.tell < next)
        next = t->cue.tell;
    return next < t->cue.end ? next : HF_NEVER;
}

/* The plan time of what comes next on the plan, HF_NEVER when nothing is known. */
static int64_t plan_next(struct hf_transport *t)
{
    const struct hf_event *head = hf_queue_head(&t->plan);
    if (t->running) {
        if (cue_next(t) != HF_NEVER)
            return cue_next(t);
        if (!head || head->at >= t->cue.end || head->kind == HF_EVENT_CUE)
            return t->cue.end;
    }
    if (head)
        return head->at;
    return t->finish_known ? t->finish_at : HF_NEVER;
}

/* Does the first thing that plan_next speaks of, at session sample `at`. */
static void plan_step(struct hf_transport *t, int64_t at)
{
    const struct hf_event *head = hf_queue_head(&t->plan);
    if (t->running) {
        if (cue_next(t) != HF_NEVER) {
            if (next_beat(t) == cue_next(t))
                beat(t, at);
            else if (!t->sounded && t->cue.hear == cue_next(t))
                sound_cue(t, at);
            else
                end_rest(t, at);
            return;
        }
        if (!head || head->at >= t->cue.end || head->kind == HF_EVENT_CUE) {
            end_cue(t, at);
            return;
        }
    }
    if (!head) {
        transport_begin_end(t, at, t->finish_fade, 0);
        return;
    }
    if (head->kind == HF_EVENT_HOLD)
        transport_act(t, HF_ACTION_HOLD, at, head);
    else if (head->kind == HF_EVENT_DRONE)
        transport_act(t, HF_ACTION_DRONE, at, head);
    else if (head->kind == HF_EVENT_TICK)
        transport_act(t, HF_ACTION_TICK, at, head);
    else
        begin_cue(t, at, head);
    hf_queue_pop(&t->plan);
}

/* Session time of the next plan event, HF_NEVER while staying, after the end, or if unknown. */
static int64_t plan_due(struct hf_transport *t)
{
    if (t->staying || t->end_at != HF_NEVER)
        return HF_NEVER;
    int64_t next = plan_next(t);
    return next == HF_NEVER ? HF_NEVER : next + t->offset;
}

/* The first cue on the plan that has not begun, or NULL. */
static const struct hf_event *next_cue(const struct hf_transport *t)
{
    int capacity = (int)(sizeof t->plan.items / sizeof t->plan.items[0]);
    for (int i = 0; i < t->plan.count; i++) {
        const struct hf_event *event = &t->plan.items[(t->plan.first + i) % capacity];
        if (event->kind == HF_EVENT_CUE)
            return event;
    }
    return NULL;
}

/* What follows the running cue is not known yet. */
static bool starving(struct hf_transport *t)
{
    return t->running && t->follows && !t->finish_known && !next_cue(t);
}

/* ---- commands -------------------------------------------------------------------------------- */

static void go_on(struct hf_transport *t)
{
    int64_t shift = t->now - t->stay_at;
    t->offset += shift;
    t->staying = t->waiting = false;
    transport_report(t, (struct hf_report){.kind = HF_REPORT_GO, .at = t->now, .shift = shift});
}

static void stay(struct hf_transport *t, bool waiting)
{
    t->staying = true;
    t->waiting = waiting;
    t->stay_at = t->now;
    transport_report(t, (struct hf_report){.kind = HF_REPORT_STAY, .at = t->now});
}

/* Where `next` leads: the end of the running cue, else the next cue, else the finish. */
static int64_t next_target(struct hf_transport *t)
{
    if (t->running)
        return t->cue.end;
    const struct hf_event *cue = next_cue(t);
    if (cue)
        return cue->at;
    return t->finish_known ? t->finish_at : HF_NEVER;
}

/* Beats that a leap to `target` passes over are not made up for. */
static void drop_ticks(struct hf_transport *t, int64_t target)
{
    t->ticks = false;
    struct hf_queue kept = {0};
    for (struct hf_event *head; (head = hf_queue_head(&t->plan)); hf_queue_pop(&t->plan))
        if (head->kind != HF_EVENT_TICK || head->at >= target)
            hf_queue_push(&kept, head);
    t->plan = kept;
}

static void next(struct hf_transport *t, const struct hf_event *command)
{
    if (next_target(t) == HF_NEVER) {
        transport_refuse(t, command);
        return;
    }
    if (t->staying)
        go_on(t);
    int64_t shift = t->now - (next_target(t) + t->offset);
    drop_ticks(t, next_target(t));
    if (t->running && !t->sounded) { /* a hear that was still to come is void */
        transport_act(t, HF_ACTION_DROP, t->now, &t->cue);
        t->sounded = true;
    }
    t->offset += shift;
    transport_report(t, (struct hf_report){.kind = HF_REPORT_NEXT, .at = t->now, .shift = shift});
}

static void again(struct hf_transport *t, const struct hf_event *command)
{
    if (!t->running || t->cue.cue != command->cue) {
        transport_refuse(t, command);
        return;
    }
    transport_act(t, HF_ACTION_AGAIN, t->now, command);
    transport_report(
        t, (struct hf_report){.kind = HF_REPORT_AGAIN, .at = t->now, .cue = command->cue});
}

static void reveal(struct hf_transport *t, const struct hf_event *command)
{
    if (!t->running) {
        transport_refuse(t, command);
        return;
    }
    transport_report(t,
                     (struct hf_report){.kind = HF_REPORT_REVEAL, .at = t->now, .cue = t->cue.cue});
    end_rest(t, t->now);
    if (!t->sounded)
        sound_cue(t, t->now);
}

static void pause_sound(struct hf_transport *t, const struct hf_event *command)
{
    if (t->out_at != HF_NEVER) {
        transport_refuse(t, command);
        return;
    }
    t->out_at = t->now;
    t->by_hand = command->at == HF_AT_ONCE;
    transport_report(
        t, (struct hf_report){.kind = HF_REPORT_PAUSE, .at = t->now, .why = command->why});
}

static void command(struct hf_transport *t, const struct hf_event *what)
{
    switch (what->kind) {
    case HF_EVENT_STAY:
        if (t->staying && !t->waiting)
            transport_refuse(t, what);
        else if (t->waiting)
            t->waiting = false; /* the stay is the player's from now on */
        else
            stay(t, false);
        break;
    case HF_EVENT_GO:
        if (t->staying)
            go_on(t);
        else
            transport_refuse(t, what);
        break;
    case HF_EVENT_PAUSE:
        pause_sound(t, what);
        break;
    case HF_EVENT_NEXT:
        next(t, what);
        break;
    case HF_EVENT_AGAIN:
        again(t, what);
        break;
    case HF_EVENT_REVEAL:
        reveal(t, what);
        break;
    case HF_EVENT_VOLUME:
        transport_act(t, HF_ACTION_VOLUME, t->now, what);
        transport_report(
            t, (struct hf_report){.kind = HF_REPORT_VOLUME, .at = t->now, .db = what->db});
        break;
    case HF_EVENT_HOLD:
    case HF_EVENT_CUE:
    case HF_EVENT_DRONE:
    case HF_EVENT_TICK:
    case HF_EVENT_SPEAK:
    case HF_EVENT_SAY:
    case HF_EVENT_FINISH:
    case HF_EVENT_RESUME:
    case HF_EVENT_END:
        transport_refuse(t, what);
        break;
    }
}

/* The head of `once` has been dealt with, one way or another. */
void transport_answer(struct hf_transport *t)
{
    enum hf_event_kind kind = hf_queue_head(&t->once)->kind;
    hf_queue_pop(&t->once);
    transport_report(t,
                     (struct hf_report){.kind = HF_REPORT_ANSWER, .command = kind, .at = t->now});
}

/* A command that must wait: a next for the cue that it leads to, a resume for the silence. */
static bool must_wait(struct hf_transport *t, const struct hf_event *what)
{
    if (what->kind == HF_EVENT_NEXT)
        return starving(t);
    return what->kind == HF_EVENT_RESUME && t->out_at != HF_NEVER;
}

static void refuse_all(struct hf_transport *t)
{
    struct hf_event *head;
    for (; (head = hf_queue_head(&t->timed)); hf_queue_pop(&t->timed))
        transport_refuse(t, head);
    for (; (head = hf_queue_head(&t->once)); transport_answer(t))
        transport_refuse(t, head);
}

/* ---- a chunk --------------------------------------------------------------------------------- */

/* Session time of an end that was asked for, at or after the chunk's first sample. */
static int64_t end_due(const struct hf_transport *t)
{
    if (!t->end_asked || t->end_at != HF_NEVER)
        return HF_NEVER;
    return t->end_command.at < t->now ? t->now : t->end_command.at;
}

/* Everything from the chunk's first sample up to, not including, session sample `limit`. At one
 * sample the plan comes before an end. */
static void run_plan(struct hf_transport *t, int64_t limit)
{
    for (;;) {
        int64_t due = plan_due(t);
        int64_t end = end_due(t);
        if ((due < end ? due : end) >= limit)
            return;
        if (due <= end)
            plan_step(t, due < t->now ? t->now : due);
        else
            transport_begin_end(t, end, t->end_command.fade, t->end_command.why);
    }
}

static void run_commands(struct hf_transport *t)
{
    struct hf_event *head;
    bool resumed = t->in_at == t->now; /* that was this boundary's command */
    while ((head = hf_queue_head(&t->timed)) && head->at <= t->now && !must_wait(t, head)) {
        command(t, head);
        hf_queue_pop(&t->timed);
        run_plan(t, t->now + 1); /* two commands of one time: the first has its effect first */
    }
    if (!resumed && (head = hf_queue_head(&t->once)) && !must_wait(t, head)) {
        command(t, head);
        transport_answer(t);
    }
}

/* In time for the slowest of usual disks. */
static void want(struct hf_transport *t)
{
    t->wanted = true;
    transport_report(t,
                     (struct hf_report){.kind = HF_REPORT_WANTS, .at = t->now, .cue = t->cue.cue});
}

static void run_boundary(struct hf_transport *t)
{
    if (t->waiting && !starving(t))
        go_on(t);
    /* An end at this very sample comes last; run_plan would take it before the commands. */
    bool asked = t->end_asked;
    t->end_asked = false;
    run_plan(t, t->now + 1);
    if (t->end_at == HF_NEVER)
        run_commands(t);
    run_plan(t, t->now + 1);
    t->end_asked = t->end_asked || asked;
    if (t->staying || t->end_at != HF_NEVER || !starving(t))
        return;
    int64_t left = t->cue.end + t->offset - t->now;
    if (left <= HF_GRID)
        stay(t, true);
    else if (left <= t->pause_fade && !t->wanted)
        want(t);
}

bool hf_transport_chunk(struct hf_transport *t)
{
    t->report_count = t->action_count = 0;
    if (hf_transport_done(t) || transport_paused(t))
        return false;
    if (t->end_at == HF_NEVER) {
        run_boundary(t);
        run_plan(t, t->now + HF_GRID);
    }
    if (t->end_at != HF_NEVER)
        refuse_all(t);
    hf_prompter_chunk(&t->prompter, t);
    t->now += HF_GRID;
    return true;
}

bool hf_transport_done(const struct hf_transport *t)
{
    return t->end_at != HF_NEVER && (t->cut || t->now >= t->end_at + t->end_fade);
}
