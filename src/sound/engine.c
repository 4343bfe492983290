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
#include <holdfast/drone.h>
#include <holdfast/loudness.h>
#include <holdfast/ring.h>
#include <holdfast/room.h>
#include <holdfast/sine.h>
#include <holdfast/struck.h>
#include <holdfast/transport.h>

_Static_assert(HF_CHUNK == HF_GRID, "a chunk is a step of the transport");

enum {
    HELD_SLOTS = 2 * HF_EVENT_NOTES, /* one set that goes, one that comes */
    ADDED_SLOTS = 128,
    EVENTS = 64,
    REPORTS = 512,
    RETURNED = 256 /* a power of two that holds every slot */
};

/* Sends of the room and the spread of the notes, after the specification of the sound: drone -20 dB,
 * added notes -12 dB; held notes across +-.35, added across +-.5 of the width, at equal power. */
static const double held_send_db = -20, added_send_db = -12;
static const double held_width = 0.35, added_width = 0.5;
static const double attack_s = 3, change_s = 3;
static const double stagger_s = 0.060;

struct held_note {
    uint16_t slot;
    float left, right;
    int64_t start_at, release_at;
};

struct added_note {
    uint16_t slot;
    bool begun;
    float left, right;
    int64_t start_at, damp_at;
};

struct bus {
    float left[HF_CHUNK], right[HF_CHUNK];
};

struct engine_slots {
    struct hf_drone held[HELD_SLOTS];
    struct hf_struck added[ADDED_SLOTS];
    struct hf_room rooms[HF_STEMS];
    struct hf_ceiling ceiling;
};

struct hf_engine {
    struct engine_slots *slots;
    struct hf_engine_setting setting;

    /* control thread */
    uint16_t free_held[HELD_SLOTS], free_added[ADDED_SLOTS];
    int free_held_count, free_added_count;

    /* between the threads */
    struct hf_ring events, reports, returned;
    struct hf_event event_items[EVENTS];
    struct hf_report report_items[REPORTS];
    uint16_t returned_items[RETURNED];
    _Atomic int64_t now;
    _Atomic bool over;

    /* audio thread */
    struct hf_transport transport;
    struct held_note held[HELD_SLOTS];
    struct added_note added[ADDED_SLOTS];
    int held_count, added_count;
    float volume, send[HF_STEMS];
    int64_t attack, change, stagger; /* samples */
    struct bus out;
    int out_used;   /* of `out`, frames handed out */
    int64_t skip;   /* frames of latency still to drop */
    int64_t given;  /* frames handed out */
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

static int64_t samples(double seconds, int rate_hz)
{
    return (int64_t)(seconds * rate_hz + 0.5);
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
    hf_ring_init(&e->reports, e->report_items, sizeof e->report_items[0], REPORTS);
    hf_ring_init(&e->returned, e->returned_items, sizeof e->returned_items[0], RETURNED);
    for (uint16_t i = 0; i < HELD_SLOTS; i++)
        e->free_held[e->free_held_count++] = i;
    for (uint16_t i = 0; i < ADDED_SLOTS; i++)
        e->free_added[e->free_added_count++] = i;
    hf_transport_init(&e->transport, setting->rate_hz);
    for (int stem = 0; stem < HF_STEMS; stem++)
        hf_room_init(&e->slots->rooms[stem], setting->rate_hz);
    hf_ceiling_init(&e->slots->ceiling, setting->rate_hz, (float)hf_gain(HF_CEILING_INNER_DB));
    e->volume = (float)hf_gain(setting->volume_db);
    e->send[HF_STEM_HELD] = (float)hf_gain(held_send_db);
    e->send[HF_STEM_ADDED] = (float)hf_gain(added_send_db);
    e->attack = samples(attack_s, setting->rate_hz);
    e->change = samples(change_s, setting->rate_hz);
    e->stagger = samples(stagger_s, setting->rate_hz);
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

/* Slots of both kinds come back by one ring; those of added notes are numbered after the held. */
static void take_returned(struct hf_engine *e)
{
    uint16_t slot;
    while (hf_ring_pop(&e->returned, &slot)) {
        if (slot < HELD_SLOTS)
            e->free_held[e->free_held_count++] = slot;
        else
            e->free_added[e->free_added_count++] = (uint16_t)(slot - HELD_SLOTS);
    }
}

static void prepare_held(struct hf_engine *e, struct hf_event *event)
{
    const struct hf_engine_setting *s = &e->setting;
    int midi[HF_EVENT_NOTES];
    for (int i = 0; i < event->count; i++)
        midi[i] = event->notes[i];
    double gain = hf_loudness_drone_gain(&s->held_patch, midi, event->count, (long)s->a4_mhz,
                                         s->rate_hz);
    for (int i = 0; i < event->count; i++) {
        uint16_t slot = e->free_held[--e->free_held_count];
        hf_drone_init(&e->slots->held[slot], &s->held_patch, midi[i], 0, (long)s->a4_mhz,
                      s->rate_hz, s->seed, i, gain);
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
        hf_struck_init(&e->slots->added[slot], &s->added_patch, event->notes[i], (long)s->a4_mhz,
                       s->rate_hz, gain);
        event->voices[i] = slot;
    }
}

bool hf_engine_send(struct hf_engine *e, const struct hf_event *event)
{
    struct hf_event ready = *event;
    take_returned(e);
    if (hf_ring_space(&e->events) == 0)
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
    return hf_ring_push(&e->events, &ready);
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
    uint16_t number = (uint16_t)(slot + HELD_SLOTS);
    hf_ring_push(&e->returned, &number);
}

/* Equal power: position -1 to 1 is an eighth of a turn either side of the middle. */
static void pan(double width, int index, int count, float *left, float *right)
{
    double place = count > 1 ? width * (2.0 * index / (count - 1) - 1) : 0;
    uint32_t angle = (uint32_t)((place + 1) * 0x1p29 + 0.5);
    *left = hf_sine(angle + (1u << 30));
    *right = hf_sine(angle);
}

static void hold(struct hf_engine *e, const struct hf_event *event, int64_t at)
{
    for (int i = 0; i < e->held_count; i++)
        if (e->held[i].release_at > at)
            e->held[i].release_at = at;
    for (int i = 0; i < event->count; i++) {
        if (e->held_count == HELD_SLOTS) { /* three sets within one change: the newest has no room */
            give_back_held(e, event->voices[i]);
            continue;
        }
        struct held_note *note = &e->held[e->held_count++];
        *note = (struct held_note){
            .slot = event->voices[i], .start_at = at, .release_at = HF_NEVER};
        pan(held_width, i, event->count, &note->left, &note->right);
    }
}

/* The notes of a cue start one after another, low to high; closer where the cue is short. */
static void sound_notes(struct hf_engine *e, const struct hf_event *event, int64_t at)
{
    int64_t room = (event->end - event->hear) / (2 * event->count);
    int64_t stagger = event->kind == HF_EVENT_CUE && room < e->stagger ? room : e->stagger;
    for (int i = 0; i < event->count; i++) {
        if (e->added_count == ADDED_SLOTS) {
            give_back_added(e, event->voices[i]);
            continue;
        }
        struct added_note *note = &e->added[e->added_count++];
        *note = (struct added_note){
            .slot = event->voices[i], .start_at = at + i * stagger, .damp_at = HF_NEVER};
        pan(added_width, i, event->count, &note->left, &note->right);
    }
}

static void damp_added(struct hf_engine *e, int64_t at)
{
    for (int i = 0; i < e->added_count; i++)
        if (e->added[i].damp_at > at)
            e->added[i].damp_at = at;
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

static void act(struct hf_engine *e, const struct hf_action *action, int64_t chunk_at)
{
    int64_t at = chunk_at + action->offset;
    switch (action->kind) {
    case HF_ACTION_HOLD:
        hold(e, &action->event, at);
        break;
    case HF_ACTION_SOUND:
        sound_notes(e, &action->event, at);
        break;
    case HF_ACTION_AGAIN:
        damp_added(e, at);
        sound_notes(e, &action->event, at);
        break;
    case HF_ACTION_DAMP:
        damp_added(e, at);
        break;
    case HF_ACTION_DROP:
        drop(e, &action->event);
        break;
    }
}

static void add_note(struct bus *bus, const float *note, float left, float right)
{
    for (int i = 0; i < HF_CHUNK; i++) {
        bus->left[i] += note[i] * left;
        bus->right[i] += note[i] * right;
    }
}

/* A held note rises over the attack and falls over the change, as raised cosines. */
static void shape_held(const struct hf_engine *e, const struct held_note *note, int64_t chunk_at,
                       float *note_out)
{
    float gain[HF_CHUNK];
    if (chunk_at < note->start_at + e->attack) {
        hf_fade_chunk(chunk_at - note->start_at, e->attack, gain);
        for (int i = 0; i < HF_CHUNK; i++)
            note_out[i] *= gain[i];
    }
    if (note->release_at != HF_NEVER) {
        hf_fade_chunk(chunk_at - note->release_at, e->change, gain);
        for (int i = 0; i < HF_CHUNK; i++)
            note_out[i] *= 1 - gain[i];
    }
}

static void render_held(struct hf_engine *e, int64_t chunk_at, struct bus *bus)
{
    int kept = 0;
    for (int i = 0; i < e->held_count; i++) {
        struct held_note note = e->held[i];
        float out[HF_CHUNK];
        hf_drone_render(&e->slots->held[note.slot], chunk_at, out);
        shape_held(e, &note, chunk_at, out);
        add_note(bus, out, note.left, note.right);
        bool gone = note.release_at != HF_NEVER &&
                    chunk_at + HF_CHUNK >= note.release_at + e->change;
        if (gone)
            give_back_held(e, note.slot);
        else
            e->held[kept++] = note;
    }
    e->held_count = kept;
}

/* One added note's part of the chunk; false when its slot is free again. */
static bool render_added_note(struct hf_engine *e, struct added_note *note, int64_t chunk_at,
                              struct bus *bus)
{
    struct hf_struck *struck = &e->slots->added[note->slot];
    float out[HF_CHUNK];
    if (!note->begun && note->damp_at <= note->start_at)
        return false; /* damped before it began */
    if (note->start_at >= chunk_at + HF_CHUNK)
        return true;
    if (note->damp_at != HF_NEVER && note->damp_at < chunk_at + HF_CHUNK) {
        int64_t from = note->damp_at - chunk_at;
        hf_struck_damp(struck, from > 0 ? (int)from : 0);
    }
    hf_struck_render(struck, note->begun ? 0 : (int)(note->start_at - chunk_at), out);
    note->begun = true;
    add_note(bus, out, note->left, note->right);
    return !hf_struck_silent(struck);
}

static void render_added(struct hf_engine *e, int64_t chunk_at, struct bus *bus)
{
    int kept = 0;
    for (int i = 0; i < e->added_count; i++) {
        struct added_note note = e->added[i];
        if (render_added_note(e, &note, chunk_at, bus))
            e->added[kept++] = note;
        else
            give_back_added(e, note.slot);
    }
    e->added_count = kept;
}

/* ---- audio thread: chunks -------------------------------------------------------------------- */

static void add_room(struct hf_engine *e, enum hf_stem stem, struct bus *bus)
{
    struct bus wet;
    for (int i = 0; i < HF_CHUNK; i++) {
        wet.left[i] = bus->left[i] * e->send[stem];
        wet.right[i] = bus->right[i] * e->send[stem];
    }
    hf_room_render(&e->slots->rooms[stem], wet.left, wet.right, wet.left, wet.right);
    for (int i = 0; i < HF_CHUNK; i++) {
        bus->left[i] += wet.left[i];
        bus->right[i] += wet.right[i];
    }
}

/* Volume and the fades of pause, resume and end, for each sample of the chunk. */
static void master_gain(const struct hf_engine *e, int64_t chunk_at, float gain[HF_CHUNK])
{
    const struct hf_transport *t = &e->transport;
    float fade[HF_CHUNK];
    for (int i = 0; i < HF_CHUNK; i++)
        gain[i] = e->volume;
    if (t->in_at != HF_NEVER && chunk_at < t->in_at + t->pause_fade) {
        hf_fade_chunk(chunk_at - t->in_at, t->pause_fade, fade);
        for (int i = 0; i < HF_CHUNK; i++)
            gain[i] *= fade[i];
    }
    if (t->out_at != HF_NEVER) {
        hf_fade_chunk(chunk_at - t->out_at, t->pause_fade, fade);
        for (int i = 0; i < HF_CHUNK; i++)
            gain[i] *= 1 - fade[i];
    }
    if (t->end_at != HF_NEVER) {
        hf_fade_chunk(chunk_at - t->end_at, t->end_fade, fade);
        for (int i = 0; i < HF_CHUNK; i++)
            gain[i] *= 1 - fade[i];
    }
}

static void render_running(struct hf_engine *e, int64_t chunk_at)
{
    struct bus stems[HF_STEMS];
    float gain[HF_CHUNK];
    memset(stems, 0, sizeof stems);
    render_held(e, chunk_at, &stems[HF_STEM_HELD]);
    render_added(e, chunk_at, &stems[HF_STEM_ADDED]);
    master_gain(e, chunk_at, gain);
    memset(&e->out, 0, sizeof e->out);
    for (int stem = 0; stem < HF_STEMS; stem++) {
        add_room(e, (enum hf_stem)stem, &stems[stem]);
        for (int i = 0; i < HF_CHUNK; i++) {
            e->out.left[i] += stems[stem].left[i] * gain[i];
            e->out.right[i] += stems[stem].right[i] * gain[i];
        }
    }
}

static void take_events(struct hf_engine *e)
{
    struct hf_event event;
    while (hf_ring_peek(&e->events, &event) && hf_transport_take(&e->transport, &event))
        hf_ring_pop(&e->events, &event);
}

static void render_chunk(struct hf_engine *e)
{
    struct hf_transport *t = &e->transport;
    int64_t chunk_at = t->now;
    take_events(e);
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
        e->silence += HF_CHUNK;
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
