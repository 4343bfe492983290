/* SPDX-License-Identifier: MIT */
/* Invariants: every sound is the engine's own, without its ceiling's having to act; the same
 * session makes the same sounds in the same order, each with a serial number of its own. */
#include "lesson_parts.h"

#include <stdlib.h>
#include <string.h>

#include <holdfast/engine.h>
#include <holdfast/sine.h>
#include <holdfast/vorbis.h>

/* Measured: at 0.5 a page of 20 minutes has 3 MB, and noise of coding 40 dB under the sound. */
#define QUALITY 0.5

/* What a page may spend on its loops, in seconds of sound: one held set has a long period, in which
 * the drift of its partials has room; many share. */
#define LOOPS_S 160.0
#define LOOP_LONGEST_S 36.0
#define LOOP_LONGEST_MADE_S 16.0 /* where a telephone has to make it */
#define LOOP_SHORTEST_S 3.0

/* Added notes ring until they have fallen by 80 dB, or for so long; then they fade. */
#define RING_DB (-80.0)
enum { RING_MOST_S = 12, FADE_MS = 300, WINDOW_MS = 100, CLIP_SERIALS = 100000 };

int64_t hf_lesson_lead(int rate_hz)
{
    return rate_hz / 4 / HF_CHUNK * HF_CHUNK;
}

/* ---- which sounds ---------------------------------------------------------------------------- */

int hf_lesson_list_find(const struct hf_lesson_list *list, const uint8_t *notes, int count)
{
    for (int i = 0; i < list->count; i++)
        if (list->item[i].count == count && memcmp(list->item[i].notes, notes, (size_t)count) == 0)
            return i;
    return -1;
}

static void note(struct hf_lesson_list *list, const struct hf_record *record)
{
    if (hf_lesson_list_find(list, record->notes, record->count) >= 0)
        return;
    struct hf_lesson_notes *to = &list->item[list->count++];
    to->count = record->count;
    memcpy(to->notes, record->notes, (size_t)record->count);
}

enum hf_status hf_lesson_sounds_find(const struct hf_lesson *lesson, struct hf_lesson_sounds *out,
                                     struct hf_diag *diag)
{
    const struct hf_timeline *t = lesson->timeline;
    struct hf_lesson_sounds sounds = {0};
    bool silent = lesson->head->request.drone == HF_DRONE_OFF;
    sounds.loops.item = calloc(t->count + 1, sizeof *sounds.loops.item);
    sounds.clips.item = calloc(t->count + 1, sizeof *sounds.clips.item);
    if (!sounds.loops.item || !sounds.clips.item) {
        hf_lesson_sounds_free(&sounds);
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    }
    if (!silent)
        note(&sounds.loops, &t->hold);
    for (size_t i = 0; i < t->count; i++) {
        if (t->cues[i].has_hold && !silent)
            note(&sounds.loops, &t->cues[i].hold);
        note(&sounds.clips, &t->cues[i].record);
    }
    *out = sounds;
    return HF_OK;
}

void hf_lesson_sounds_free(struct hf_lesson_sounds *sounds)
{
    free(sounds->loops.item);
    free(sounds->clips.item);
    memset(sounds, 0, sizeof *sounds);
}

/* ---- loops ----------------------------------------------------------------------------------- */

static struct hf_held_setting held_setting(const struct hf_lesson *lesson)
{
    const struct hf_request *request = &lesson->head->request;
    bool struck = request->drone == HF_DRONE_STRUCK;
    return (struct hf_held_setting){.way = struck ? HF_HELD_STRUCK : HF_HELD_SUSTAINED,
                                    .patch = *lesson->held_patch,
                                    .pure = request->tuning == HF_TUNING_PURE,
                                    .rate_hz = request->rate_hz,
                                    .a4_mhz = hf_request_a4_mhz(request),
                                    .seed = request->seed,
                                    .restrike = hf_request_samples(request, request->restrike)};
}

enum hf_status hf_lesson_loop(const struct hf_lesson *lesson, const struct hf_lesson_sounds *sounds,
                              int index, struct hf_loop **out, struct hf_diag *diag)
{
    const struct hf_request *request = &lesson->head->request;
    const struct hf_lesson_notes *notes = &sounds->loops.item[index];
    double longest = LOOPS_S / sounds->loops.count;
    double most = lesson->synth ? LOOP_LONGEST_MADE_S : LOOP_LONGEST_S;
    longest = longest > most ? most : longest;
    longest = longest < 1.5 * LOOP_SHORTEST_S ? 1.5 * LOOP_SHORTEST_S : longest;
    struct hf_loop_setting setting = {.held = held_setting(lesson),
                                      .room_db = request->room_db,
                                      .volume_db = request->volume_db,
                                      .count = notes->count,
                                      .shortest_s = longest / 1.5,
                                      .longest_s = longest};
    memcpy(setting.notes, notes->notes, sizeof setting.notes);
    return hf_loop_new(out, &setting, diag);
}

static struct hf_vorbis_form form_of(const struct hf_lesson *lesson, int serial)
{
    return (struct hf_vorbis_form){
        .rate_hz = lesson->head->request.rate_hz, .quality = QUALITY, .serial = (uint32_t)serial};
}

enum hf_status hf_lesson_encode_loop(const struct hf_lesson *lesson, struct hf_loop *loop,
                                     int index, unsigned char **bytes, size_t *length,
                                     struct hf_diag *diag)
{
    struct hf_vorbis_form form = form_of(lesson, index);
    int64_t frames = hf_loop_period(loop) + 2 * hf_lesson_lead(form.rate_hz);
    float *stereo = malloc((size_t)frames * 2 * sizeof *stereo);
    if (!stereo)
        return hf_fail(diag, HF_E_MEMORY, "out of memory for the sound");
    hf_loop_render(loop, frames / HF_CHUNK, stereo);
    enum hf_status status = hf_vorbis_encode(stereo, frames, &form, bytes, length, diag);
    free(stereo);
    return status;
}

/* ---- what is added --------------------------------------------------------------------------- */

static double loudest(const float *stereo, int64_t frames)
{
    double most = 0;
    for (int64_t i = 0; i < 2 * frames; i++) {
        double x = stereo[i] < 0 ? -(double)stereo[i] : (double)stereo[i];
        most = x > most ? x : most;
    }
    return most;
}

static void fade(float *stereo, int64_t frames)
{
    for (int64_t i = 0; i < frames; i++) {
        float gain = hf_fade(frames - i, frames);
        stereo[2 * i] *= gain;
        stereo[2 * i + 1] *= gain;
    }
}

/* Renders until the notes have died away; returns the frames. */
static int64_t ring_out(struct hf_engine *engine, int rate_hz, float *stereo)
{
    int64_t window = (int64_t)rate_hz * WINDOW_MS / 1000, frames = 0;
    int64_t most = (int64_t)rate_hz * RING_MOST_S;
    double peak = 0, here = 1;
    while (frames + window <= most && (frames < rate_hz || here > peak * hf_gain(RING_DB))) {
        hf_engine_render(engine, (long)window, stereo + 2 * frames);
        here = loudest(stereo + 2 * frames, window);
        peak = here > peak ? here : peak;
        frames += window;
    }
    int64_t faded = (int64_t)rate_hz * FADE_MS / 1000;
    fade(stereo + 2 * (frames - faded), faded);
    return frames;
}

static enum hf_status added_engine(const struct hf_lesson *lesson,
                                   const struct hf_lesson_notes *notes, struct hf_engine **out,
                                   struct hf_diag *diag)
{
    const struct hf_request *request = &lesson->head->request;
    struct hf_engine_setting setting = {.rate_hz = request->rate_hz,
                                        .a4_mhz = hf_request_a4_mhz(request),
                                        .volume_db = request->volume_db,
                                        .room_db = request->room_db,
                                        .held = held_setting(lesson),
                                        .added_patch = *lesson->added_patch};
    struct hf_event cue = {.kind = HF_EVENT_CUE,
                           .more = true,
                           .cue = 1,
                           .end = (int64_t)request->rate_hz * 3600,
                           .count = (uint8_t)notes->count};
    setting.held.way = HF_HELD_OFF;
    memcpy(cue.notes, notes->notes, sizeof cue.notes);
    enum hf_status status = hf_engine_new(out, &setting, diag);
    if (status == HF_OK && !hf_engine_send(*out, &cue))
        status = hf_fail(diag, HF_E_BUG, "the engine takes no first cue");
    return status;
}

enum hf_status hf_lesson_encode_clip(const struct hf_lesson *lesson,
                                     const struct hf_lesson_notes *notes, int index,
                                     unsigned char **bytes, size_t *length, struct hf_diag *diag)
{
    struct hf_vorbis_form form = form_of(lesson, CLIP_SERIALS + index);
    struct hf_engine *engine = NULL;
    float *stereo = malloc((size_t)form.rate_hz * RING_MOST_S * 2 * sizeof *stereo);
    enum hf_status status =
        stereo ? HF_OK : hf_fail(diag, HF_E_MEMORY, "out of memory for the sound");
    if (status == HF_OK)
        status = added_engine(lesson, notes, &engine, diag);
    if (status == HF_OK) {
        int64_t frames = ring_out(engine, form.rate_hz, stereo);
        status = hf_vorbis_encode(stereo, frames, &form, bytes, length, diag);
    }
    hf_engine_free(engine);
    free(stereo);
    return status;
}
