/* SPDX-License-Identifier: MIT */
/* The numbers of the sounds, for a browser to make them from. Invariant: they are read from the
 * very structs that the engine plays, so that the two can't drift apart. */
#include "lesson_parts.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/engine.h>
#include <holdfast/loudness.h>
#include <holdfast/room.h>
#include <holdfast/sine.h>

static bool add(json_t *list, json_t *value)
{
    return json_array_append_new(list, value) == 0;
}

/* A row of whole numbers and others, in their order. */
static json_t *row_of(const char *kinds, ...)
{
    va_list numbers;
    json_t *row = json_array();
    va_start(numbers, kinds);
    for (const char *kind = kinds; *kind; kind++)
        add(row, *kind == 'i' ? json_integer(va_arg(numbers, uint32_t))
                              : json_real(va_arg(numbers, double)));
    va_end(numbers);
    return hf_lesson_whole(row, strlen(kinds));
}

/* Of a struck note: a partial's step, gain, and fall a second as an exponent. */
static json_t *struck_numbers(const struct hf_struck *struck, const struct hf_patch *patch,
                              int rate_hz, double f0_hz)
{
    double frequency[HF_PATCH_PARTIALS_MOST], amplitude[HF_PATCH_PARTIALS_MOST];
    json_t *o = json_object(), *partials = json_array();
    size_t at = 0;
    hf_patch_spectrum(patch, f0_hz, rate_hz, frequency, amplitude);
    for (int n = 0; n < patch->count; n++) {
        if (amplitude[n] <= 0)
            continue;
        const struct hf_vector_partial *partial = &struck->partial[at++];
        add(partials, row_of("irr", partial->step, (double)partial->gain,
                             hf_patch_damping(patch, n, f0_hz, frequency[n])));
    }
    hf_lesson_put(o, "partials", hf_lesson_whole(partials, at));
    hf_lesson_put(o, "attack", json_integer(struck->attack));
    return hf_lesson_whole(o, 2);
}

/* Of a lasting note: a partial's step, level and phase; the steps and phases of its two slow drifts
 * and the phase of its beat, which move once a chunk. */
static json_t *partials_of(const struct hf_drone *drone)
{
    json_t *partials = json_array();
    for (int n = 0; n < drone->count; n++) {
        const struct hf_drone_control *c = &drone->control[n];
        add(partials,
            row_of("iriiiiii", drone->partial[n].step, (double)drone->level[n], drone->start[n],
                   c->step[0], c->start[0], c->step[1], c->start[1], c->beat));
    }
    return hf_lesson_whole(partials, (size_t)drone->count);
}

static json_t *drone_numbers(const struct hf_drone *drone)
{
    json_t *o = json_object();
    hf_lesson_put(o, "partials", partials_of(drone));
    hf_lesson_put(o, "depth", json_real((double)drone->drift_depth));
    hf_lesson_put(o, "beatDepth", json_real((double)drone->beat_depth));
    hf_lesson_put(o, "beatStep", json_integer(drone->beat_step));
    hf_lesson_put(o, "breath", json_real((double)drone->breath_gain));
    hf_lesson_put(o, "high", json_real((double)drone->breath_keep[0][0]));
    hf_lesson_put(o, "low", json_real((double)drone->breath_keep[1][0]));
    return hf_lesson_whole(o, 7);
}

static double f0_of(int midi, double cents, const struct hf_request *request)
{
    uint64_t increment =
        hf_pitch_increment_cents(midi, cents, (long)hf_request_a4_mhz(request), request->rate_hz);
    return (double)increment * request->rate_hz / 4294967296.0;
}

json_t *hf_lesson_loop_numbers(struct hf_loop *loop, const struct hf_lesson *lesson,
                               const struct hf_lesson_notes *notes)
{
    const struct hf_request *request = &lesson->head->request;
    bool struck = request->drone == HF_DRONE_STRUCK;
    json_t *o = json_object(), *list = json_array();
    for (int i = 0; i < notes->count; i++) {
        float left, right;
        const struct hf_held_slot *slot = hf_loop_note(loop, i, &left, &right);
        int above = notes->notes[i] - notes->notes[0];
        double cents = request->tuning == HF_TUNING_PURE ? hf_held_pure_cents(above) : 0;
        double f0_hz = f0_of(notes->notes[i], cents, request);
        json_t *one =
            struck ? struck_numbers(&slot->ready, lesson->held_patch, request->rate_hz, f0_hz)
                   : drone_numbers(&slot->drone);
        size_t members = json_object_size(one);
        hf_lesson_put(one, "left", json_real((double)left));
        hf_lesson_put(one, "right", json_real((double)right));
        add(list, hf_lesson_whole(one, members + 2));
    }
    hf_lesson_put(o, "struck", json_boolean(struck));
    hf_lesson_put(o, "period", json_integer(hf_loop_period(loop)));
    hf_lesson_put(o, "lead", json_integer(hf_lesson_lead(request->rate_hz)));
    hf_lesson_put(o, "notes", hf_lesson_whole(list, (size_t)notes->count));
    return hf_lesson_whole(o, 4);
}

json_t *hf_lesson_struck_numbers(const struct hf_lesson *lesson,
                                 const struct hf_lesson_sounds *sounds)
{
    const struct hf_request *request = &lesson->head->request;
    long a4_mhz = (long)hf_request_a4_mhz(request);
    struct hf_struck *struck = aligned_alloc(HF_ALIGNMENT, (sizeof *struck + HF_ALIGNMENT - 1) /
                                                               HF_ALIGNMENT * HF_ALIGNMENT);
    json_t *o = struck ? json_object() : NULL;
    bool done[128] = {false};
    size_t members = 0;
    for (int i = 0; o && i < sounds->clips.count; i++) {
        const struct hf_lesson_notes *notes = &sounds->clips.item[i];
        for (int j = 0; j < notes->count; j++) {
            char key[8];
            int midi = notes->notes[j];
            if (done[midi])
                continue;
            done[midi] = true;
            members++;
            double gain = hf_loudness_struck_gain(lesson->added_patch, midi, a4_mhz,
                                                  request->rate_hz, HF_LOUDNESS_ADDED_LUFS);
            hf_struck_init(struck, lesson->added_patch, midi, 0, a4_mhz, request->rate_hz, gain);
            snprintf(key, sizeof key, "%d", midi);
            hf_lesson_put(o, key,
                          struck_numbers(struck, lesson->added_patch, request->rate_hz,
                                         f0_of(midi, 0, request)));
        }
    }
    free(struck);
    return hf_lesson_whole(o, members);
}

/* What the room does to one impulse a side is all that a linear room is: the script makes it anew
 * from these. */
json_t *hf_lesson_room_numbers(const struct hf_lesson *lesson)
{
    const struct hf_request *request = &lesson->head->request;
    struct hf_room *room = aligned_alloc(HF_ALIGNMENT, (sizeof *room + HF_ALIGNMENT - 1) /
                                                           HF_ALIGNMENT * HF_ALIGNMENT);
    if (!room)
        return NULL;
    hf_room_init(room, request->rate_hz);
    bool none = request->room_db <= HF_ENGINE_NO_ROOM_DB;
    json_t *o = json_object(), *lines = json_array(), *diffusers = json_array();
    for (int n = 0; n < HF_ROOM_LINES; n++) {
        add(lines, row_of("irrr", (uint32_t)room->delay[n], (double)room->take[n],
                          (double)room->keep[n], (double)hf_room_sign[n]));
    }
    for (int side = 0; side < 2; side++) {
        const int32_t *delay = room->diffuser_delay[side];
        add(diffusers, row_of("iiii", (uint32_t)delay[0], (uint32_t)delay[1], (uint32_t)delay[2],
                              (uint32_t)delay[3]));
    }
    hf_lesson_put(o, "lines", hf_lesson_whole(lines, HF_ROOM_LINES));
    hf_lesson_put(o, "diffusers", hf_lesson_whole(diffusers, 2));
    hf_lesson_put(o, "highPass", json_real((double)room->high_pass_keep));
    hf_lesson_put(o, "out", json_real((double)room->out_gain));
    hf_lesson_put(o, "held", json_real(none ? 0 : hf_gain(-20 + request->room_db)));
    hf_lesson_put(o, "added", json_real(none ? 0 : hf_gain(-12 + request->room_db)));
    free(room);
    return hf_lesson_whole(o, 6);
}
