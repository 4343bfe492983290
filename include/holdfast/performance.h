/* SPDX-License-Identifier: MIT */
/*
 * performance: joins a source of steps to an engine. Records go to the sink (the disk) before any
 * event after them reaches the engine; reports of the engine go back to the source.
 *
 * The caller owns everything named in it. Control thread only.
 */
#ifndef HOLDFAST_PERFORMANCE_H
#define HOLDFAST_PERFORMANCE_H

#include <holdfast/engine.h>
#include <holdfast/soundfile.h>
#include <holdfast/source.h>

/* Events wait here while the engine has no place for the notes of the first. Commands go by it: a
 * resume or an end that waited for it could wait for ever, and in a replay the stay that the
 * waiting once made is among them. KEPT holds what can wait while someone plays (a hold, a drone, a
 * cue, an again) and one more; PASSED leaves the transport room for the notes when they come. */
enum { HF_PERFORMANCE_KEPT = 5, HF_PERFORMANCE_PASSED = 24 };

struct hf_performance {
    struct hf_source source;
    struct hf_sink sink;
    struct hf_engine *engine;
    struct hf_event
        kept[HF_PERFORMANCE_KEPT]; /* events that the engine had no room for, in order */
    int kept_count, passed;        /* commands that went by the first of them */
};

/* Passes on all that is there now. Call it before the first frame is rendered, and then more often
 * than the shortest cue lasts. Errors: those of the sink and of the source. */
enum hf_status hf_performance_tend(struct hf_performance *performance,
                                   struct hf_diag *diag) HF_CHECKED;

/* Renders a whole performance into a file, `block` frames at a time (1 to 4096; the samples are the
 * same for any). `progress` (may be NULL) hears the frames done now and then; when it says false
 * the rendering stops with HF_E_IO. The file is neither committed nor discarded. Returns the frames
 * in
 * `*frames`. */
struct hf_progress {
    bool (*done)(void *self, int64_t frames);
    void *self;
};
enum hf_status hf_performance_bounce(struct hf_performance *performance, struct hf_soundfile *file,
                                     int block, const struct hf_progress *progress, int64_t *frames,
                                     struct hf_diag *diag) HF_CHECKED;

#endif
