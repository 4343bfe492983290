/* SPDX-License-Identifier: MIT */
/* Invariants: notes are rendered in the order in which they began; a strike lies at the note's
 * start plus a whole number of restrikes, on the session's clock, so that a stay does not stop it
 * and a pause does. */
#include <holdfast/held.h>

#include <string.h>

#include <holdfast/loudness.h>
#include <holdfast/sine.h>

/* After the specification of the sound: attack 3 s, held notes across +-.35 of the width, notes
 * that are struck together 60 ms apart from low to high. */
static const double attack_s = 3, change_s = HF_HOLD_CHANGE_S, stagger_s = 0.060, width = 0.35;

void hf_bus_add(struct hf_bus *bus, const float note[HF_CHUNK], float left, float right)
{
    for (int i = 0; i < HF_CHUNK; i++) {
        bus->left[i] += note[i] * left;
        bus->right[i] += note[i] * right;
    }
}

void hf_bus_pan(double wide, int index, int count, float *left, float *right)
{
    /* Position -1 to 1 is an eighth of a turn on either side of the middle. */
    double place = count > 1 ? wide * (2.0 * index / (count - 1) - 1) : 0;
    uint32_t angle = (uint32_t)((place + 1) * 0x1p29 + 0.5);
    *left = hf_sine(angle + (1u << 30));
    *right = hf_sine(angle);
}

double hf_held_pure_cents(int semitones)
{
    /* 1200 log2(5/4) = 386.313714 cents, 1200 - 386.313714 = 813.686286 */
    static const double cents[12] = {[4] = -13.686286, [8] = 13.686286};
    return cents[semitones % 12];
}

void hf_held_init(struct hf_held *h, const struct hf_held_setting *setting)
{
    h->setting = *setting;
    h->count = 0;
    h->attack = (int64_t)(attack_s * setting->rate_hz + 0.5);
    h->change = (int64_t)(change_s * setting->rate_hz + 0.5);
    h->stagger = (int64_t)(stagger_s * setting->rate_hz + 0.5);
}

void hf_held_prepare(struct hf_held *h, int slot, const uint8_t *notes, int count, int index)
{
    const struct hf_held_setting *s = &h->setting;
    struct hf_held_slot *to = &h->slots[slot];
    long a4_mhz = (long)s->a4_mhz;
    double cents = s->pure ? hf_held_pure_cents(notes[index] - notes[0]) : 0;
    int midi[HF_EVENT_NOTES];
    for (int i = 0; i < count; i++)
        midi[i] = notes[i];
    if (s->way == HF_HELD_SUSTAINED) {
        double gain = hf_loudness_drone_gain(&s->patch, midi, count, a4_mhz, s->rate_hz);
        hf_drone_init(&to->drone, &s->patch, midi[index], cents, a4_mhz, s->rate_hz, s->seed, index,
                      gain);
    } else if (s->way == HF_HELD_STRUCK) {
        /* Each note has its share of the loudness of the set. */
        double share = HF_LOUDNESS_HELD_LUFS - 10 * 0.30102999566398120 * hf_log2(count);
        double gain = hf_loudness_struck_gain(&s->patch, midi[index], a4_mhz, s->rate_hz, share);
        hf_struck_init(&to->ready, &s->patch, midi[index], cents, a4_mhz, s->rate_hz, gain);
    }
}

int hf_held_begin(struct hf_held *h, const struct hf_event *event, int64_t at,
                  uint16_t returned[HF_EVENT_NOTES])
{
    int refused = 0;
    for (int i = 0; i < h->count; i++)
        if (h->notes[i].release_at > at)
            h->notes[i].release_at = at;
    for (int i = 0; i < event->count; i++) {
        if (h->count == HF_HELD_SLOTS || h->setting.way == HF_HELD_OFF) {
            returned[refused++] = event->voices[i];
            continue;
        }
        struct hf_held_note *note = &h->notes[h->count++];
        *note = (struct hf_held_note){.slot = event->voices[i],
                                      .start_at = at,
                                      .release_at = HF_NEVER,
                                      .strike_at = at + i * h->stagger};
        hf_bus_pan(width, i, event->count, &note->left, &note->right);
    }
    return refused;
}

/* ---- sustained ------------------------------------------------------------------------------- */

/* A note rises over the attack and falls over the change, as raised cosines. */
static void shape(const struct hf_held *h, const struct hf_held_note *note, int64_t chunk_at,
                  float out[HF_CHUNK])
{
    float gain[HF_CHUNK];
    if (chunk_at < note->start_at + h->attack) {
        hf_fade_chunk(chunk_at - note->start_at, h->attack, gain);
        for (int i = 0; i < HF_CHUNK; i++)
            out[i] *= gain[i];
    }
    if (note->release_at != HF_NEVER) {
        hf_fade_chunk(chunk_at - note->release_at, h->change, gain);
        for (int i = 0; i < HF_CHUNK; i++)
            out[i] *= 1 - gain[i];
    }
}

/* False once the note has faded out. */
static bool render_sustained(struct hf_held *h, struct hf_held_note *note, int64_t chunk_at,
                             struct hf_bus *bus)
{
    float out[HF_CHUNK];
    hf_drone_render(&h->slots[note->slot].drone, chunk_at, out);
    shape(h, note, chunk_at, out);
    hf_bus_add(bus, out, note->left, note->right);
    return note->release_at == HF_NEVER || chunk_at + HF_CHUNK < note->release_at + h->change;
}

/* ---- struck ---------------------------------------------------------------------------------- */

/* What is left of one strike, from out[from] on. */
static void render_strike(struct hf_held *h, struct hf_held_note *note, int turn, int from,
                          struct hf_bus *bus)
{
    struct hf_struck *struck = &h->slots[note->slot].ringing[turn];
    float out[HF_CHUNK];
    if (!note->rings[turn])
        return;
    hf_struck_render(struck, from, out);
    hf_bus_add(bus, out, note->left, note->right);
    note->rings[turn] = !hf_struck_silent(struck);
}

static void damp(struct hf_held *h, struct hf_held_note *note, int turn, int64_t from)
{
    if (note->rings[turn])
        hf_struck_damp(&h->slots[note->slot].ringing[turn], from > 0 ? (int)from : 0);
}

/* False once the note was released and its strikes have died away. */
static bool render_struck(struct hf_held *h, struct hf_held_note *note, int64_t chunk_at,
                          struct hf_bus *bus)
{
    int from = 0;
    bool released = note->release_at < chunk_at + HF_CHUNK;
    bool strikes = note->strike_at < chunk_at + HF_CHUNK && note->strike_at < note->release_at;
    if (strikes) {
        from = (int)(note->strike_at - chunk_at);
        damp(h, note, note->turn, from);
        note->turn ^= 1;
        h->slots[note->slot].ringing[note->turn] = h->slots[note->slot].ready;
        note->rings[note->turn] = true;
        note->strike_at += h->setting.restrike;
    }
    if (released) {
        damp(h, note, 0, note->release_at - chunk_at);
        damp(h, note, 1, note->release_at - chunk_at);
    }
    render_strike(h, note, note->turn ^ 1, 0, bus);
    render_strike(h, note, note->turn, from, bus);
    return !released || note->rings[0] || note->rings[1];
}

int hf_held_render(struct hf_held *h, int64_t chunk_at, struct hf_bus *bus,
                   uint16_t returned[HF_HELD_SLOTS])
{
    int kept = 0, gone = 0;
    for (int i = 0; i < h->count; i++) {
        struct hf_held_note note = h->notes[i];
        bool lasts = h->setting.way == HF_HELD_SUSTAINED ? render_sustained(h, &note, chunk_at, bus)
                                                         : render_struck(h, &note, chunk_at, bus);
        if (lasts)
            h->notes[kept++] = note;
        else
            returned[gone++] = note.slot;
    }
    h->count = kept;
    return gone;
}
