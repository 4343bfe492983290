/* SPDX-License-Identifier: MIT */
/*
 * engine: makes every sample of a session, live or for a file, by the one function
 * hf_engine_render. It turns the transport's actions into notes, mixes them by buses, adds the room
 * and keeps everything under the ceiling; the samples depend on the events and their times alone,
 * not on how the frames are asked for.
 *
 * The module owns the engine (new, free). Two threads: the control thread sends events and receives
 * reports, the audio thread renders; they may be the same. Notes are prepared on the control thread
 * in slots that the engine owns, and handed over through a ring.
 */
#ifndef HOLDFAST_ENGINE_H
#define HOLDFAST_ENGINE_H

#include <stdbool.h>
#include <stdint.h>

#include <holdfast/event.h>
#include <holdfast/held.h>
#include <holdfast/utterance.h>

/* The buses that the mix is the sum of, in this order, before the ceiling. Each has its own share
 * of the room; to what is spoken the others give way. */
enum hf_stem { HF_STEM_HELD, HF_STEM_ADDED, HF_STEM_TICK, HF_STEM_SPEECH, HF_STEMS };

/* A room level from which on there is none. */
#define HF_ENGINE_NO_ROOM_DB (-60.0)

struct hf_engine_setting {
    int rate_hz;                 /* HF_RATE_LOW to HF_RATE_HIGH */
    int64_t a4_mhz;              /* 380000 to 480000 */
    double volume_db;            /* -40 to 0 */
    double room_db;              /* on top of the specified sends; HF_ENGINE_NO_ROOM_DB: none */
    struct hf_held_setting held; /* with the same rate and pitch */
    struct hf_patch added_patch; /* a struck one */
    struct hf_speaker speaker;   /* whose words are said; all NULL: the music gives way to none */
};

struct hf_engine;

/* Hears every chunk of sound before the ceiling, on the audio thread: the stems with their rooms,
 * volume and fades in them, and their sum, which is the mix to the bit. Chunk n of all is frames
 * 64 n and on of what hf_engine_render gives, a pause's silence among them. */
struct hf_engine_tap {
    void (*chunk)(void *self, const struct hf_bus stems[HF_STEMS], const struct hf_bus *sum);
    void *self;
};

/* HF_E_MEMORY. */
enum hf_status hf_engine_new(struct hf_engine **out, const struct hf_engine_setting *setting,
                             struct hf_diag *diag) HF_CHECKED;
void hf_engine_free(struct hf_engine *engine);

/* Before the first render: a tap, or one with a NULL function for none. */
void hf_engine_set_tap(struct hf_engine *engine, struct hf_engine_tap tap);

/* Control thread: prepares the event's notes and sends it. False when there is no room now: offer
 * it again when something was rendered. */
bool hf_engine_send(struct hf_engine *engine, const struct hf_event *event);

/* Control thread: takes the oldest report; false when there is none. */
bool hf_engine_receive(struct hf_engine *engine, struct hf_report *out);

/* Audio thread, real-time safe: writes `frames` frames of interleaved stereo, all of them. Returns
 * how many belong to the session; fewer than asked once it is over (the rest is silence). The
 * ceiling's latency is taken out: frame n of all that is rendered is session sample n, plus the
 * silences of pauses. */
long hf_engine_render(struct hf_engine *engine, long frames, float *stereo);

/* Any thread: the session sample that the next frame rendered will hold. */
int64_t hf_engine_now(const struct hf_engine *engine);

/* Any thread: true once every frame of the session has been rendered. */
bool hf_engine_over(const struct hf_engine *engine);

/* Off the audio thread, between renders: samples that were no numbers and became silence. */
uint64_t hf_engine_faults(const struct hf_engine *engine);

#endif
