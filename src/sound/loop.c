/* SPDX-License-Identifier: MIT */
/* Invariants: every step of a phase is the whole number that brings it round nearest to a whole
 * number of turns a period, so that the end meets the beginning to a thousandth of a turn; whole
 * multiples of the fundamental stay such. */
#include <holdfast/loop.h>

#include <stdlib.h>
#include <string.h>

#include <holdfast/engine.h>
#include <holdfast/room.h>
#include <holdfast/sine.h>

/* Long enough for the attack (3 s) and then for the room (2.45 s a fall of 60 dB). */
static const double settle_s = 9, send_db = -20;

struct loop_sound {
    struct hf_held held;
    struct hf_room room;
};

struct hf_loop {
    struct hf_loop_setting setting;
    struct loop_sound *sound;
    int64_t period, now;
    float send, volume;
};

/* ---- the period ------------------------------------------------------------------------------ */

static double cents_of(const struct hf_loop_setting *s, int index)
{
    return s->held.pure ? hf_held_pure_cents(s->notes[index] - s->notes[0]) : 0;
}

static uint64_t increment_of(const struct hf_loop_setting *s, int index)
{
    return hf_pitch_increment_cents(s->notes[index], cents_of(s, index), (long)s->held.a4_mhz,
                                    s->held.rate_hz);
}

/* How far the worst note would move, as a part of its frequency. */
static double error_of(const struct hf_loop_setting *s, const uint64_t *increment, int64_t period)
{
    double worst = 0;
    for (int i = 0; i < s->count; i++) {
        int64_t left = (int32_t)(uint32_t)(increment[i] * (uint64_t)period);
        double error = (double)(left < 0 ? -left : left) / ((double)increment[i] * (double)period);
        worst = error > worst ? error : worst;
    }
    return worst;
}

static int64_t whole_chunks(double seconds, int rate_hz)
{
    int64_t chunks = (int64_t)(seconds * rate_hz / HF_CHUNK + 0.5);
    return (chunks < 1 ? 1 : chunks) * HF_CHUNK;
}

static int64_t choose_period(const struct hf_loop_setting *s)
{
    uint64_t increment[HF_EVENT_NOTES];
    if (s->held.way == HF_HELD_STRUCK)
        return whole_chunks((double)s->held.restrike / s->held.rate_hz, s->held.rate_hz);
    for (int i = 0; i < s->count; i++)
        increment[i] = increment_of(s, i);
    int64_t best = whole_chunks(s->shortest_s, s->held.rate_hz);
    int64_t last = whole_chunks(s->longest_s, s->held.rate_hz);
    double least = error_of(s, increment, best);
    for (int64_t period = best + HF_CHUNK; period <= last; period += HF_CHUNK) {
        double error = error_of(s, increment, period);
        if (error < least) {
            least = error;
            best = period;
        }
    }
    return best;
}

/* ---- whole turns ----------------------------------------------------------------------------- */

/* The step that makes `turns` turns in `count`. */
static uint32_t step_of(uint64_t turns, int64_t count)
{
    return (uint32_t)(((turns << 32) + (uint64_t)count / 2) / (uint64_t)count);
}

static uint64_t nearest_turns(uint64_t step, int64_t count)
{
    return (step * (uint64_t)count + (UINT64_C(1) << 31)) >> 32;
}

static void round_off(const struct hf_loop *loop, struct hf_drone *drone, uint64_t fundamental)
{
    int64_t period = loop->period, chunks = period / HF_CHUNK;
    uint64_t first = nearest_turns(fundamental, period);
    for (int n = 0; n < drone->count; n++) {
        struct hf_drone_control *control = &drone->control[n];
        uint64_t step = drone->partial[n].step;
        bool whole = step % fundamental == 0;
        uint64_t turns = whole ? step / fundamental * first : nearest_turns(step, period);
        drone->partial[n].step = step_of(turns, period);
        for (int i = 0; i < 2; i++)
            control->step[i] = step_of(nearest_turns(control->step[i], chunks), chunks);
    }
    drone->beat_step = step_of(nearest_turns(drone->beat_step, chunks), chunks);
}

/* ---- making ---------------------------------------------------------------------------------- */

static void start(struct hf_loop *loop)
{
    const struct hf_loop_setting *s = &loop->setting;
    struct hf_event hold = {.kind = HF_EVENT_HOLD, .count = (uint8_t)s->count};
    struct hf_held_setting held = s->held;
    uint16_t refused[HF_EVENT_NOTES];
    if (held.way == HF_HELD_STRUCK)
        held.restrike = loop->period;
    hf_held_init(&loop->sound->held, &held);
    for (int i = 0; i < s->count; i++) {
        hf_held_prepare(&loop->sound->held, i, s->notes, s->count, i);
        hold.notes[i] = s->notes[i];
        hold.voices[i] = (uint16_t)i;
        if (held.way == HF_HELD_SUSTAINED)
            round_off(loop, &loop->sound->held.slots[i].drone, increment_of(s, i));
    }
    hf_held_begin(&loop->sound->held, &hold, 0, refused);
    hf_room_init(&loop->sound->room, s->held.rate_hz);
    loop->send = s->room_db <= HF_ENGINE_NO_ROOM_DB ? 0 : (float)hf_gain(send_db + s->room_db);
    loop->volume = (float)hf_gain(s->volume_db);
}

enum hf_status hf_loop_new(struct hf_loop **out, const struct hf_loop_setting *setting,
                           struct hf_diag *diag)
{
    size_t size = (sizeof(struct loop_sound) + HF_ALIGNMENT - 1) / HF_ALIGNMENT * HF_ALIGNMENT;
    struct hf_loop *loop = calloc(1, sizeof *loop);
    if (loop)
        loop->sound = aligned_alloc(HF_ALIGNMENT, size);
    if (!loop || !loop->sound) {
        free(loop);
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    }
    memset(loop->sound, 0, size);
    loop->setting = *setting;
    loop->period = choose_period(setting);
    start(loop);
    *out = loop;
    return HF_OK;
}

void hf_loop_free(struct hf_loop *loop)
{
    if (!loop)
        return;
    free(loop->sound);
    free(loop);
}

int64_t hf_loop_period(const struct hf_loop *loop)
{
    return loop->period;
}

const struct hf_held_slot *hf_loop_note(const struct hf_loop *loop, int index, float *left,
                                        float *right)
{
    *left = loop->sound->held.notes[index].left;
    *right = loop->sound->held.notes[index].right;
    return &loop->sound->held.slots[index];
}

/* ---- rendering ------------------------------------------------------------------------------- */

static void render_chunk(struct hf_loop *loop, struct hf_bus *bus)
{
    uint16_t gone[HF_HELD_SLOTS];
    struct hf_bus wet;
    memset(bus, 0, sizeof *bus);
    hf_held_render(&loop->sound->held, loop->now, bus, gone);
    loop->now += HF_CHUNK;
    if (loop->send > 0) {
        for (int i = 0; i < HF_CHUNK; i++) {
            wet.left[i] = bus->left[i] * loop->send;
            wet.right[i] = bus->right[i] * loop->send;
        }
        hf_room_render(&loop->sound->room, wet.left, wet.right, wet.left, wet.right);
        for (int i = 0; i < HF_CHUNK; i++) {
            bus->left[i] += wet.left[i];
            bus->right[i] += wet.right[i];
        }
    }
}

/* Struck notes settle over whole periods, so that what is heard begins at a strike. */
static void settle(struct hf_loop *loop)
{
    int64_t long_enough = whole_chunks(settle_s, loop->setting.held.rate_hz);
    int64_t step = loop->setting.held.way == HF_HELD_STRUCK ? loop->period : HF_CHUNK;
    int64_t until = (long_enough + step - 1) / step * step;
    struct hf_bus bus;
    while (loop->now < until)
        render_chunk(loop, &bus);
}

void hf_loop_render(struct hf_loop *loop, int64_t chunks, float *stereo)
{
    struct hf_bus bus;
    if (loop->now == 0)
        settle(loop);
    for (int64_t chunk = 0; chunk < chunks; chunk++) {
        render_chunk(loop, &bus);
        for (int i = 0; i < HF_CHUNK; i++) {
            *stereo++ = bus.left[i] * loop->volume;
            *stereo++ = bus.right[i] * loop->volume;
        }
    }
}
