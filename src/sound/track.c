/* SPDX-License-Identifier: MIT */
/* Invariant: the piece is a whole number of chunks, and of the held notes' periods. */
#include <holdfast/track.h>

#include <stdlib.h>
#include <string.h>

#include <holdfast/ceiling.h>
#include <holdfast/loop.h>
#include <holdfast/sine.h>

enum { CHANNELS = 2 };

/* After the end of a cue its notes are damped and their room dies away (2.45 s a fall of 60 dB). */
static const double tail_s = 6, longer_s = 1;

/* What the added notes come to, folded onto the piece. */
struct folded {
    float *stereo;
    int64_t frames, at;
};

static void fold(void *self, const struct hf_bus stems[HF_STEMS], const struct hf_bus *sum)
{
    struct folded *f = self;
    (void)sum;
    for (int i = 0; i < HF_CHUNK; i++) {
        f->stereo[CHANNELS * f->at] += stems[HF_STEM_ADDED].left[i];
        f->stereo[CHANNELS * f->at + 1] += stems[HF_STEM_ADDED].right[i];
        f->at = (f->at + 1) % f->frames;
    }
}

/* Adds the cue's notes, by an engine in which nothing is held. */
static enum hf_status add_cue(const struct hf_track_setting *setting, float *stereo, int64_t frames,
                              struct hf_diag *diag)
{
    struct hf_engine_setting alone = setting->engine;
    struct hf_engine *engine = NULL;
    struct folded folded = {stereo, frames, 0};
    float dropped[CHANNELS * HF_CHUNK];
    int64_t tail = (int64_t)(tail_s * alone.rate_hz);
    struct hf_event finish = {
        .kind = HF_EVENT_FINISH, .at = setting->cue.end + tail, .fade = alone.rate_hz};
    alone.held.way = HF_HELD_OFF;
    enum hf_status status = hf_engine_new(&engine, &alone, diag);
    if (status != HF_OK)
        return status;
    hf_engine_set_tap(engine, (struct hf_engine_tap){fold, &folded});
    if (!hf_engine_send(engine, &setting->cue) || !hf_engine_send(engine, &finish))
        status = hf_fail(diag, HF_E_BUG, "a new engine has no room for a cue");
    while (status == HF_OK && !hf_engine_over(engine))
        hf_engine_render(engine, HF_CHUNK, dropped);
    hf_engine_free(engine);
    return status;
}

/* Brings the piece under the ceiling as it is when it goes round: of two rounds the second is kept,
 * shifted by what the ceiling is late. */
static enum hf_status lower(const struct hf_track_setting *setting, float *stereo, int64_t frames,
                            struct hf_diag *diag)
{
    size_t size = (sizeof(struct hf_ceiling) + HF_ALIGNMENT - 1) / HF_ALIGNMENT * HF_ALIGNMENT;
    struct hf_ceiling *ceiling = aligned_alloc(HF_ALIGNMENT, size);
    float *under = malloc((size_t)frames * CHANNELS * sizeof *under);
    enum hf_status status = HF_OK;
    if (!ceiling || !under)
        status = hf_fail(diag, HF_E_MEMORY, "out of memory");
    if (status == HF_OK) {
        float left[HF_CHUNK], right[HF_CHUNK];
        hf_ceiling_init(ceiling, setting->engine.rate_hz, (float)hf_gain(HF_CEILING_INNER_DB));
        int64_t late = hf_ceiling_latency(ceiling);
        for (int64_t at = 0; at < 2 * frames + HF_CHUNK * (late / HF_CHUNK + 1); at += HF_CHUNK) {
            for (int i = 0; i < HF_CHUNK; i++) {
                left[i] = stereo[CHANNELS * ((at + i) % frames)];
                right[i] = stereo[CHANNELS * ((at + i) % frames) + 1];
            }
            hf_ceiling_render(ceiling, left, right, HF_CHUNK);
            for (int i = 0; i < HF_CHUNK; i++) {
                int64_t to = at + i - late - frames;
                if (to >= 0 && to < frames) {
                    under[CHANNELS * to] = left[i];
                    under[CHANNELS * to + 1] = right[i];
                }
            }
        }
        memcpy(stereo, under, (size_t)frames * CHANNELS * sizeof *under);
    }
    free(under);
    free(ceiling);
    return status;
}

/* The held notes as they go round, or NULL where nothing is held. */
static enum hf_status open_loop(const struct hf_track_setting *setting, double length_s,
                                struct hf_loop **loop, struct hf_diag *diag)
{
    struct hf_loop_setting held = {.held = setting->engine.held,
                                   .room_db = setting->engine.room_db,
                                   .volume_db = setting->engine.volume_db,
                                   .count = setting->held_count,
                                   .shortest_s = length_s,
                                   .longest_s = length_s + longer_s};
    if (setting->held_count == 0 || held.held.way == HF_HELD_OFF)
        return HF_OK;
    memcpy(held.notes, setting->held, (size_t)setting->held_count);
    return hf_loop_new(loop, &held, diag);
}

/* A whole number of periods, no fewer frames than `least`. */
static int64_t round_up(int64_t least, int64_t period)
{
    return (least + period - 1) / period * period;
}

enum hf_status hf_track_make(const struct hf_track_setting *setting, float **stereo,
                             int64_t *frames, struct hf_diag *diag)
{
    struct hf_loop *loop = NULL;
    int64_t shortest = (int64_t)(HF_TRACK_SHORTEST_S * setting->engine.rate_hz);
    int64_t least = setting->cue.end > shortest ? setting->cue.end : shortest;
    enum hf_status status =
        open_loop(setting, (double)least / setting->engine.rate_hz, &loop, diag);
    if (status != HF_OK)
        return status;
    int64_t length = round_up(least, loop ? hf_loop_period(loop) : HF_CHUNK);
    float *made = calloc((size_t)length * CHANNELS, sizeof *made);
    if (!made)
        status = hf_fail(diag, HF_E_MEMORY, "out of memory");
    else if (loop)
        hf_loop_render(loop, length / HF_CHUNK, made);
    if (status == HF_OK && setting->cue.hear != HF_NEVER)
        status = add_cue(setting, made, length, diag);
    if (status == HF_OK)
        status = lower(setting, made, length, diag);
    hf_loop_free(loop);
    if (status != HF_OK) {
        free(made);
        return status;
    }
    *stereo = made;
    *frames = length;
    return HF_OK;
}
