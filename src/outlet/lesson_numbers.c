/* SPDX-License-Identifier: MIT */
/* The numbers of the sounds, for a browser to make them from. Invariant: they are read from the
 * very structs that the engine plays, so that the two can't drift apart. */
#include "lesson_parts.h"

#include <stdlib.h>

#include <holdfast/engine.h>
#include <holdfast/loudness.h>
#include <holdfast/room.h>
#include <holdfast/sine.h>

static bool add(json_t *list, json_t *value)
{
    return json_array_append_new(list, value) == 0;
}

static bool add_number(json_t *list, double value)
{
    return add(list, json_real(value));
}

static bool add_whole(json_t *list, uint32_t value)
{
    return add(list, json_integer(value));
}

/* Of a struck note: a partial's step, gain, and fall a second as an exponent. */
static json_t *struck_numbers(const struct hf_struck *struck, const struct hf_patch *patch,
                              int rate_hz, double f0_hz)
{
    double frequency[HF_PATCH_PARTIALS_MOST], amplitude[HF_PATCH_PARTIALS_MOST];
    json_t *o = json_object(), *partials = json_array();
    int at = 0;
    bool fine = true;
    hf_patch_spectrum(patch, f0_hz, rate_hz, frequency, amplitude);
    for (int n = 0; n < patch->count; n++) {
        if (amplitude[n] <= 0)
            continue;
        json_t *row = json_array();
        fine = add_whole(row, struck->partial[at].step) && fine;
        fine = add_number(row, (double)struck->partial[at].gain) && fine;
        fine = add_number(row, hf_patch_damping(patch, n, f0_hz, frequency[n])) && fine;
        fine = add(partials, row) && fine;
        at++;
    }
    fine = hf_lesson_put(o, "partials", partials) && fine;
    fine = hf_lesson_put(o, "attack", json_integer(struck->attack)) && fine;
    if (fine)
        return o;
    json_decref(o);
    return NULL;
}

/* Of a lasting note: a partial's step, level and phase; the steps and phases of its two slow drifts
 * and the phase of its beat, which move once a chunk. */
static json_t *partials_of(const struct hf_drone *drone)
{
    json_t *partials = json_array();
    for (int n = 0; n < drone->count; n++) {
        const struct hf_drone_control *control = &drone->control[n];
        json_t *row = json_array();
        bool fine = add_whole(row, drone->partial[n].step) &&
                    add_number(row, (double)drone->level[n]) && add_whole(row, drone->start[n]) &&
                    add_whole(row, control->step[0]) && add_whole(row, control->start[0]) &&
                    add_whole(row, control->step[1]) && add_whole(row, control->start[1]) &&
                    add_whole(row, control->beat);
        if (!add(partials, row) || !fine)
            break;
    }
    return partials;
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
    return o;
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
        hf_lesson_put(one, "left", json_real((double)left));
        hf_lesson_put(one, "right", json_real((double)right));
        add(list, one);
    }
    hf_lesson_put(o, "struck", json_boolean(struck));
    hf_lesson_put(o, "period", json_integer(hf_loop_period(loop)));
    hf_lesson_put(o, "lead", json_integer(hf_lesson_lead(request->rate_hz)));
    hf_lesson_put(o, "notes", list);
    return o;
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
    for (int i = 0; o && i < sounds->clips.count; i++) {
        const struct hf_lesson_notes *notes = &sounds->clips.item[i];
        for (int j = 0; j < notes->count; j++) {
            char key[8];
            int midi = notes->notes[j];
            if (done[midi])
                continue;
            done[midi] = true;
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
    return o;
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
        json_t *row = json_array();
        add_whole(row, (uint32_t)room->delay[n]);
        add_number(row, (double)room->take[n]);
        add_number(row, (double)room->keep[n]);
        add_number(row, (double)hf_room_sign[n]);
        add(lines, row);
    }
    for (int side = 0; side < 2; side++) {
        json_t *row = json_array();
        for (int n = 0; n < HF_ROOM_DIFFUSERS; n++)
            add_whole(row, (uint32_t)room->diffuser_delay[side][n]);
        add(diffusers, row);
    }
    hf_lesson_put(o, "lines", lines);
    hf_lesson_put(o, "diffusers", diffusers);
    hf_lesson_put(o, "highPass", json_real((double)room->high_pass_keep));
    hf_lesson_put(o, "out", json_real((double)room->out_gain));
    hf_lesson_put(o, "held", json_real(none ? 0 : hf_gain(-20 + request->room_db)));
    hf_lesson_put(o, "added", json_real(none ? 0 : hf_gain(-12 + request->room_db)));
    free(room);
    return o;
}
