/* SPDX-License-Identifier: MIT */
/*
 * Invariants:
 *   a slot belongs to the control thread until its event is sent, then to the audio thread, until
 *   its number comes back through the ring of returned slots;
 *   notes are summed in the order in which they were started, buses in the order of enum hf_stem;
 *   everything is rendered in chunks of HF_CHUNK on the session's clock and handed out in slices,
 *   so that the frames asked for at a time leave no trace.
 */
#include <holdfast/engine.h>

#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/ceiling.h>
#include <holdfast/held.h>
#include <holdfast/loudness.h>
#include <holdfast/ring.h>
#include <holdfast/room.h>
#include <holdfast/sine.h>
#include <holdfast/support.h>
#include <holdfast/spoken.h>
#include <holdfast/struck.h>
#include <holdfast/tick.h>
#include <holdfast/transport.h>

#include "added.h"
#include "master.h"
#include "level.h"
#include "ramp.h"

_Static_assert(HF_CHUNK == HF_GRID, "a chunk is a step of the transport");

enum {
    ROOMS = 2, /* of the held and the added notes; a tick needs none */
    EVENTS = 64,
    AT_ONCE = 16,
    REPORTS = 512,
    RETURNED = 256 /* a power of two that holds every slot */
};

/* After the specification of the sound: sends of the room -20 dB for held notes and -12 dB for
 * added ones. */
static const double send_db[ROOMS] = {-20, -12};

/* How long the held notes take to fall silent for a rest, and to come back. */
static const double REST_S = 1.5;

struct engine_slots {
    struct hf_held held;
    struct hf_struck added[HF_ADDED_SLOTS];
    struct hf_room rooms[ROOMS];
    struct hf_ceiling ceiling;
};

struct hf_engine {
    struct engine_slots *slots;
    struct hf_engine_setting setting;
    struct hf_engine_tap tap;

    /* control thread */
    uint16_t free_held[HF_HELD_SLOTS], free_added[HF_ADDED_SLOTS];
    int free_held_count, free_added_count;

    /* between the threads */
    struct hf_ring events, reports, returned;
    struct hf_event event_items[EVENTS];
    struct hf_ring
        at_once; /* what a player asks for now must not wait behind a plan laid far ahead */
    struct hf_event at_once_items[AT_ONCE];
    struct hf_report report_items[REPORTS];
    uint16_t returned_items[RETURNED];
    _Atomic int64_t now;
    _Atomic bool over;

    /* audio thread */
    struct hf_transport transport;
    struct hf_added added;
    struct hf_tick tick;
    int tick_from; /* where it begins in this chunk */
    struct hf_master master;
    struct hf_ramp rest;          /* of the held notes, where they fall silent for a while */
    struct hf_level level, under; /* of the held notes: the session's, and while others sound */
    bool is_under;
    struct hf_spoken spoken;
    float send[ROOMS];
    struct hf_bus stems[HF_STEMS]; /* of the last chunk; their sum goes to the ceiling */
    struct hf_bus out;
    int out_used;    /* of `out`, frames handed out */
    int64_t skip;    /* frames of latency still to drop */
    int64_t given;   /* frames handed out */
    int64_t silence; /* output samples of silence so far */
};

/* ---- control thread -------------------------------------------------------------------------- */

static enum hf_status allocate(struct hf_engine **out, struct hf_diag *diag)
{
    /* The slots are vectors: aligned_alloc wants a size that is a multiple of the alignment. */
    size_t size = (sizeof(struct engine_slots) + HF_ALIGNMENT - 1) / HF_ALIGNMENT * HF_ALIGNMENT;
    struct hf_engine *engine = calloc(1, sizeof *engine);
    if (engine)
        engine->slots = aligned_alloc(HF_ALIGNMENT, size);
    if (!engine || !engine->slots) {
        free(engine);
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    }
    memset(engine->slots, 0, size);
    *out = engine;
    return HF_OK;
}

enum hf_status hf_engine_new(struct hf_engine **out, const struct hf_engine_setting *setting,
                             struct hf_diag *diag)
{
    struct hf_engine *e = NULL;
    enum hf_status status = allocate(&e, diag);
    if (status != HF_OK)
        return status;
    e->setting = *setting;
    hf_ring_init(&e->events, e->event_items, sizeof e->event_items[0], EVENTS);
    hf_ring_init(&e->at_once, e->at_once_items, sizeof e->at_once_items[0], AT_ONCE);
    hf_ring_init(&e->reports, e->report_items, sizeof e->report_items[0], REPORTS);
    hf_ring_init(&e->returned, e->returned_items, sizeof e->returned_items[0], RETURNED);
    for (int i = 0; i < HF_HELD_SLOTS; i++)
        e->free_held[e->free_held_count++] = (uint16_t)i;
    for (int i = 0; i < HF_ADDED_SLOTS; i++)
        e->free_added[e->free_added_count++] = (uint16_t)i;
    hf_transport_init(&e->transport, setting->rate_hz);
    hf_held_init(&e->slots->held, &setting->held);
    hf_tick_init(&e->tick, setting->rate_hz);
    for (int room = 0; room < ROOMS; room++) {
        hf_room_init(&e->slots->rooms[room], setting->rate_hz);
        bool none = setting->room_db <= HF_ENGINE_NO_ROOM_DB;
        e->send[room] = none ? 0 : (float)hf_gain(send_db[room] + setting->room_db);
    }
    hf_ceiling_init(&e->slots->ceiling, setting->rate_hz, (float)hf_gain(HF_CEILING_INNER_DB));
    hf_master_init(&e->master, setting->volume_db, setting->rate_hz);
    hf_ramp_init(&e->rest, 1);
    hf_level_init(&e->level);
    hf_level_init(&e->under);
    hf_spoken_init(&e->spoken, setting->rate_hz);
    hf_added_init(&e->added, e->slots->added, setting->rate_hz);
    e->skip = hf_ceiling_latency(&e->slots->ceiling);
    e->out_used = HF_CHUNK;
    *out = e;
    return HF_OK;
}

void hf_engine_free(struct hf_engine *e)
{
    if (!e)
        return;
    free(e->slots);
    free(e);
}

void hf_engine_set_tap(struct hf_engine *e, struct hf_engine_tap tap)
{
    e->tap = tap;
}

/* Slots of both kinds come back by one ring; those of added notes are numbered after the held. */
static void take_returned(struct hf_engine *e)
{
    uint16_t slot;
    while (hf_ring_pop(&e->returned, &slot)) {
        if (slot < HF_HELD_SLOTS)
            e->free_held[e->free_held_count++] = slot;
        else
            e->free_added[e->free_added_count++] = (uint16_t)(slot - HF_HELD_SLOTS);
    }
}

static void prepare_held(struct hf_engine *e, struct hf_event *event)
{
    for (int i = 0; i < event->count; i++) {
        uint16_t slot = e->free_held[--e->free_held_count];
        hf_held_prepare(&e->slots->held, slot, event->notes, event->count, i);
        event->voices[i] = slot;
    }
}

static void prepare_added(struct hf_engine *e, struct hf_event *event)
{
    const struct hf_engine_setting *s = &e->setting;
    for (int i = 0; i < event->count; i++) {
        uint16_t slot = e->free_added[--e->free_added_count];
        double gain = hf_loudness_struck_gain(&s->added_patch, event->notes[i], (long)s->a4_mhz,
                                              s->rate_hz, HF_LOUDNESS_ADDED_LUFS);
        hf_struck_init(&e->slots->added[slot], &s->added_patch, event->notes[i], 0, (long)s->a4_mhz,
                       s->rate_hz, gain);
        event->voices[i] = slot;
    }
}

static struct hf_ring *ring_of(struct hf_engine *e, const struct hf_event *event)
{
    bool plan = event->kind == HF_EVENT_HOLD || event->kind == HF_EVENT_CUE ||
                event->kind == HF_EVENT_TICK || event->kind == HF_EVENT_DRONE ||
                event->kind == HF_EVENT_SPEAK || event->kind == HF_EVENT_FINISH;
    return !plan && event->at == HF_AT_ONCE ? &e->at_once : &e->events;
}

bool hf_engine_send(struct hf_engine *e, const struct hf_event *event)
{
    struct hf_event ready = *event;
    struct hf_ring *ring = ring_of(e, event);
    take_returned(e);
    if (hf_ring_space(ring) == 0)
        return false;
    if (event->kind == HF_EVENT_HOLD) {
        if (e->free_held_count < event->count)
            return false;
        prepare_held(e, &ready);
    } else if (event->count > 0) {
        if (e->free_added_count < event->count)
            return false;
        prepare_added(e, &ready);
    }
    return hf_ring_push(ring, &ready);
}

bool hf_engine_receive(struct hf_engine *e, struct hf_report *out)
{
    return hf_ring_pop(&e->reports, out);
}

int64_t hf_engine_now(const struct hf_engine *e)
{
    return atomic_load_explicit(&e->now, memory_order_relaxed);
}

bool hf_engine_over(const struct hf_engine *e)
{
    return atomic_load_explicit(&e->over, memory_order_acquire);
}

uint64_t hf_engine_faults(const struct hf_engine *e)
{
    return e->slots->ceiling.not_numbers;
}

/* ---- audio thread: notes --------------------------------------------------------------------- */

static void give_back_held(struct hf_engine *e, uint16_t slot)
{
    hf_ring_push(&e->returned, &slot);
}

static void give_back_added(struct hf_engine *e, uint16_t slot)
{
    uint16_t number = (uint16_t)(slot + HF_HELD_SLOTS);
    hf_ring_push(&e->returned, &number);
}

static void hold(struct hf_engine *e, const struct hf_event *event, int64_t at)
{
    uint16_t refused[HF_EVENT_NOTES];
    int count = hf_held_begin(&e->slots->held, event, at, refused);
    for (int i = 0; i < count; i++)
        give_back_held(e, refused[i]);
}

static void drop(struct hf_engine *e, const struct hf_event *event)
{
    for (int i = 0; i < event->count; i++) {
        if (event->kind == HF_EVENT_HOLD)
            give_back_held(e, event->voices[i]);
        else
            give_back_added(e, event->voices[i]);
    }
}

/* The held notes go under what sounds now, or come back. */
static void set_under(struct hf_engine *e, int db, int64_t chunk_at)
{
    if (db == 0 && !e->is_under)
        return;
    e->is_under = db < 0;
    hf_level_set(&e->under, (float)hf_gain(db), e->setting.rate_hz, 0, chunk_at);
}

static void set_level(struct hf_engine *e, const struct hf_event *event, int64_t chunk_at)
{
    float gain = event->db <= HF_DRONE_NONE_DB ? 0 : (float)hf_gain(event->db);
    hf_level_set(&e->level, gain, event->fade, event->after, chunk_at);
}

static void act(struct hf_engine *e, const struct hf_action *action, int64_t chunk_at)
{
    int64_t at = chunk_at + action->offset;
    switch (action->kind) {
    case HF_ACTION_HOLD:
        hold(e, &action->event, at);
        break;
    case HF_ACTION_SOUND:
        set_under(e, action->event.manner.under_db, chunk_at);
        hf_added_begin(&e->added, &action->event, at);
        break;
    case HF_ACTION_AGAIN:
        hf_added_damp(&e->added, at);
        hf_added_begin(&e->added, &action->event, at);
        break;
    case HF_ACTION_DAMP:
        set_under(e, 0, chunk_at);
        hf_added_damp(&e->added, at);
        break;
    case HF_ACTION_DROP:
        drop(e, &action->event);
        break;
    case HF_ACTION_DRONE:
        set_level(e, &action->event, chunk_at);
        break;
    case HF_ACTION_REST:
    case HF_ACTION_RETURN:
        hf_ramp_set(&e->rest, action->kind == HF_ACTION_REST ? 0 : 1,
                    (int64_t)(REST_S * e->setting.rate_hz), chunk_at);
        break;
    case HF_ACTION_VOLUME:
        hf_master_set(&e->master, action->event.db, at);
        break;
    case HF_ACTION_SPEAK:
        hf_spoken_begin(&e->spoken, action->offset, &e->setting.speaker, action->event.words,
                        action->event.length);
        break;
    case HF_ACTION_HUSH:
        hf_spoken_hush(&e->spoken, action->offset);
        break;
    case HF_ACTION_TICK:
        hf_tick_strike(&e->tick, action->event.accent);
        e->tick_from = action->offset;
        break;
    }
}

static void render_held(struct hf_engine *e, int64_t chunk_at, struct hf_bus *bus)
{
    uint16_t gone[HF_HELD_SLOTS];
    int count = hf_held_render(&e->slots->held, chunk_at, bus, gone);
    for (int i = 0; i < count; i++)
        give_back_held(e, gone[i]);
}

static void render_added(struct hf_engine *e, int64_t chunk_at, struct hf_bus *bus)
{
    uint16_t gone[HF_ADDED_SLOTS];
    int count = hf_added_render(&e->added, chunk_at, bus, gone);
    for (int i = 0; i < count; i++)
        give_back_added(e, gone[i]);
}

/* ---- audio thread: chunks -------------------------------------------------------------------- */

static void render_tick(struct hf_engine *e, struct hf_bus *bus)
{
    float out[HF_CHUNK] = {0};
    hf_tick_render(&e->tick, e->tick_from, out);
    e->tick_from = 0;
    hf_bus_add(bus, out, 1, 1);
}

static void add_room(struct hf_engine *e, int room, struct hf_bus *bus)
{
    struct hf_bus wet;
    if (e->send[room] <= 0)
        return;
    for (int i = 0; i < HF_CHUNK; i++) {
        wet.left[i] = bus->left[i] * e->send[room];
        wet.right[i] = bus->right[i] * e->send[room];
    }
    hf_room_render(&e->slots->rooms[room], wet.left, wet.right, wet.left, wet.right);
    for (int i = 0; i < HF_CHUNK; i++) {
        bus->left[i] += wet.left[i];
        bus->right[i] += wet.right[i];
    }
}

static void render_running(struct hf_engine *e, int64_t chunk_at)
{
    struct hf_bus *stems = e->stems;
    float gain[HF_CHUNK];
    memset(e->stems, 0, sizeof e->stems);
    memset(&e->out, 0, sizeof e->out);
    render_held(e, chunk_at, &stems[HF_STEM_HELD]);
    hf_ramp_apply(&e->rest, chunk_at, &stems[HF_STEM_HELD]);
    hf_level_apply(&e->level, chunk_at, &stems[HF_STEM_HELD]);
    hf_level_apply(&e->under, chunk_at, &stems[HF_STEM_HELD]);
    render_added(e, chunk_at, &stems[HF_STEM_ADDED]);
    render_tick(e, &stems[HF_STEM_TICK]);
    add_room(e, HF_STEM_HELD, &stems[HF_STEM_HELD]);
    add_room(e, HF_STEM_ADDED, &stems[HF_STEM_ADDED]);
    hf_spoken_mix(&e->spoken, stems, HF_STEM_SPEECH, &stems[HF_STEM_SPEECH]);
    hf_master_gain(&e->master, &e->transport, chunk_at, gain);
    for (int stem = 0; stem < HF_STEMS; stem++)
        for (int i = 0; i < HF_CHUNK; i++) {
            stems[stem].left[i] *= gain[i];
            stems[stem].right[i] *= gain[i];
            e->out.left[i] += stems[stem].left[i];
            e->out.right[i] += stems[stem].right[i];
        }
    if (e->tap.chunk)
        e->tap.chunk(e->tap.self, stems, &e->out);
}

static void take_from(struct hf_engine *e, struct hf_ring *ring)
{
    struct hf_event event;
    while (hf_ring_peek(ring, &event) && hf_transport_take(&e->transport, &event))
        hf_ring_pop(ring, &event);
}

/* A chunk of a pause. */
static void stay_silent(struct hf_engine *e)
{
    e->silence += HF_CHUNK;
    if (!e->tap.chunk)
        return;
    memset(e->stems, 0, sizeof e->stems);
    e->tap.chunk(e->tap.self, e->stems, &e->out);
}

static void render_chunk(struct hf_engine *e)
{
    struct hf_transport *t = &e->transport;
    int64_t chunk_at = t->now;
    take_from(e, &e->at_once);
    take_from(e, &e->events);
    bool was_over = hf_transport_done(t);
    bool runs = hf_transport_chunk(t);
    for (int i = 0; i < t->action_count; i++)
        act(e, &t->actions[i], chunk_at);
    for (int i = 0; i < t->report_count; i++)
        hf_ring_push(&e->reports, &t->reports[i]);
    if (runs)
        render_running(e, chunk_at);
    else
        memset(&e->out, 0, sizeof e->out);
    if (!runs && !was_over && !t->cut)
        stay_silent(e);
    hf_ceiling_render(&e->slots->ceiling, e->out.left, e->out.right, HF_CHUNK);
    e->out_used = 0;
}

/* Frames of the whole session, once its end is known. */
static int64_t whole_length(const struct hf_engine *e)
{
    const struct hf_transport *t = &e->transport;
    return t->end_at == HF_NEVER ? HF_NEVER : t->end_at + t->end_fade + e->silence;
}

long hf_engine_render(struct hf_engine *e, long frames, float *stereo)
{
    long done = 0;
    while (done < frames && e->given < whole_length(e)) {
        if (e->out_used == HF_CHUNK) {
            render_chunk(e);
            continue;
        }
        if (e->skip > 0) {
            int dropped = e->skip < HF_CHUNK ? (int)e->skip : HF_CHUNK;
            e->skip -= dropped;
            e->out_used = dropped;
            continue;
        }
        stereo[2 * done] = e->out.left[e->out_used];
        stereo[2 * done + 1] = e->out.right[e->out_used];
        e->out_used++;
        e->given++;
        done++;
    }
    for (long i = 2 * done; i < 2 * frames; i++)
        stereo[i] = 0;
    int64_t session = e->given - e->silence;
    atomic_store_explicit(&e->now, session > 0 ? session : 0, memory_order_relaxed);
    atomic_store_explicit(&e->over, e->given >= whole_length(e), memory_order_release);
    return done;
}
