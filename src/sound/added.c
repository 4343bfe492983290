/* SPDX-License-Identifier: MIT */
/* Invariants: notes are summed in the order in which they were started; a slot that was begun comes
 * back exactly once. */
#include "added.h"

#include <string.h>

/* After the specification of the sound: across +-.5 of the width, 60 ms apart from low to high. */
static const double added_width = 0.5, stagger_s = 0.060;

void hf_added_init(struct hf_added *a, struct hf_struck *slots, int rate_hz)
{
    memset(a, 0, sizeof *a);
    a->slots = slots;
    a->stagger = (int64_t)(stagger_s * rate_hz + 0.5);
}

/* Some of an event's notes, low to high; `until` they are damped. */
static void sound_part(struct hf_added *a, const struct hf_event *event, int from, int count,
                       int64_t stagger, int64_t at, int64_t until)
{
    for (int i = 0; i < count; i++) {
        struct hf_added_note *note = &a->notes[a->count++];
        *note = (struct hf_added_note){
            .slot = event->voices[from + i], .start_at = at + i * stagger, .damp_at = until};
        hf_bus_pan(added_width, i, count, &note->left, &note->right);
    }
}

void hf_added_begin(struct hf_added *a, const struct hf_event *event, int64_t at)
{
    const struct hf_manner *manner = &event->manner;
    int64_t stagger = manner->staggered ? manner->stagger : a->stagger, apart = manner->apart;
    int first = manner->first, half = event->count / 2;
    if (event->kind == HF_EVENT_CUE) {
        int64_t room = (event->end - event->hear) / (2 * event->count);
        stagger = room < stagger ? room : stagger;
        room = (event->end - event->hear) / 4;
        apart = room < apart ? room : apart;
    }
    if (first == 0) {
        sound_part(a, event, 0, event->count, stagger, at, HF_NEVER);
        return;
    }
    sound_part(a, event, 0, first, stagger, at, at + apart);
    sound_part(a, event, first, half - first, stagger, at + apart, at + 2 * apart);
    sound_part(a, event, half, event->count - half, stagger, at + 2 * apart, HF_NEVER);
}

void hf_added_damp(struct hf_added *a, int64_t at)
{
    for (int i = 0; i < a->count; i++)
        if (a->notes[i].damp_at > at)
            a->notes[i].damp_at = at;
}

/* One added note's part of the chunk; false when its slot is free again. */
static bool render_note(struct hf_added *a, struct hf_added_note *note, int64_t chunk_at,
                        struct hf_bus *bus)
{
    struct hf_struck *struck = &a->slots[note->slot];
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
    hf_bus_add(bus, out, note->left, note->right);
    return !hf_struck_silent(struck);
}

int hf_added_render(struct hf_added *a, int64_t chunk_at, struct hf_bus *bus,
                    uint16_t returned[HF_ADDED_SLOTS])
{
    int kept = 0, gone = 0;
    for (int i = 0; i < a->count; i++) {
        struct hf_added_note note = a->notes[i];
        if (render_note(a, &note, chunk_at, bus))
            a->notes[kept++] = note;
        else
            returned[gone++] = note.slot;
    }
    a->count = kept;
    return gone;
}
