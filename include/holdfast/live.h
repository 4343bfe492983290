/* SPDX-License-Identifier: MIT */
/*
 * live: sound to a sound output (PortAudio), and the notice when that output goes away. It moves
 * samples only: what they are is decided by the function given to hf_live_start.
 *
 * The module owns what hf_live_open makes until stop or abandon. All functions belong to one thread
 * (the one that opened), except that the render function is called on the audio thread. One output
 * at a time in a process.
 */
#ifndef HOLDFAST_LIVE_H
#define HOLDFAST_LIVE_H

#include <stdbool.h>
#include <stdint.h>

#include <holdfast/status.h>

enum {
    HF_LIVE_NAME_LENGTH = 256,
    HF_LIVE_HOST_LENGTH = 64,
    HF_LIVE_ADDRESS = HF_LIVE_HOST_LENGTH + HF_LIVE_NAME_LENGTH + 2,
    HF_LIVE_MOST_RATES = 16,
    HF_LIVE_MOST_OUTPUTS = 256
};

/* One sound output as the system describes it. */
struct hf_live_output {
    char name[HF_LIVE_NAME_LENGTH];
    char host[HF_LIVE_HOST_LENGTH]; /* the host API: ALSA, JACK Audio Connection Kit, ... */
    int index;                      /* PortAudio's */
    bool is_default;
    int channels; /* the most it has */
    int rate_hz;  /* its own */
    double latency_s;
    int rates_hz[HF_LIVE_MOST_RATES]; /* of the common ones, 8000 to 192000, those that open */
    int rate_count;
};

/* Lists the outputs, at most `max` of them (HF_LIVE_MOST_OUTPUTS are enough), the default first.
 * None is no error. HF_E_DEVICE when the sound system can't be started. Must not be called while an
 * output is open. */
enum hf_status hf_live_list(struct hf_live_output *outputs, int max, int *count,
                            struct hf_diag *diag) HF_CHECKED;

/* Writes `frames` frames (1 or more, of any number from call to call) of interleaved stereo to
 * `stereo`: all of them, always. Called on the audio thread: it must not allocate, lock, wait, make
 * a system call or take unbounded time. */
typedef void (*hf_live_render)(void *context, long frames, float *stereo);

struct hf_live;

/* Opens an output for stereo; nothing sounds yet. A mono output gets (L+R)/2, one with more
 * channels the sound on its first two.
 *
 * - output_name: NULL = the system's default; else a whole name, `HOST: NAME`, or a part of that
 *   which only one output has.
 * - rate_hz: 0 = the output's own.
 * - latency_ms: wished for; 0 = the output's default for uninterrupted sound.
 *
 * A sound system that says nothing is waited for for 12 s, and for 6 s when there was an output
 * before.
 *
 * Errors: HF_E_DEVICE: no output, none or several of that name, not at that rate (the message lists
 * the rates that it can open), or no answer; HF_E_MEMORY. */
enum hf_status hf_live_open(struct hf_live **out, const char *output_name, int rate_hz,
                            double latency_ms, struct hf_diag *diag) HF_CHECKED;

/* What was opened. The name is valid until stop or abandon. */
int hf_live_rate_hz(const struct hf_live *live);
const char *hf_live_name(const struct hf_live *live);

/* The same as `HOST: NAME`, which opens this output and no other; of HF_LIVE_ADDRESS bytes. */
const char *hf_live_address(const struct hf_live *live);

/* From a sample's being rendered to its being heard, in seconds, as the system reports it; some
 * systems say 0. */
double hf_live_latency_s(const struct hf_live *live);

/* Starts: from now on `render` is called with `context`, after some 50 ms of silence in which the
 * output settles. HF_E_DEVICE when the output refuses.
 * From here to the return of stop or abandon stderr leads nowhere, since threads of the sound
 * system write to it when an output is lost: messages wait until then. */
enum hf_status hf_live_start(struct hf_live *live, hf_live_render render, void *context,
                             struct hf_diag *diag) HF_CHECKED;

/* How often the output has asked for sound since the start: the heartbeat. */
uint64_t hf_live_callbacks(const struct hf_live *live);

/* Grows by one whenever a turn of the audio thread begins or ends: odd within one. Between two
 * calls that give the same even number the audio thread was not at work. */
uint64_t hf_live_turn(const struct hf_live *live);

/* How long it takes until the end of all that was rendered is heard, in seconds, now: by what the
 * system says about each turn, or by its latency where it says nothing. May be negative when the
 * output has stopped asking. */
double hf_live_until_heard_s(const struct hf_live *live);

/* How often the output told that it had run out of sound. */
uint64_t hf_live_underflows(const struct hf_live *live);

/* Is the output still there? False when its stream has stopped by itself, or when the heartbeat has
 * not moved for 1 s; false stays false. `now_s` is a monotonic clock in seconds; call it ten times
 * a second or so after the start. */
bool hf_live_alive(struct hf_live *live, double now_s);

/* Lets what was rendered be heard (silence follows it), then stops, closes and frees. HF_E_LOST
 * when the output went away meanwhile: then it is abandoned. `render` isn't called any more after
 * the return. `live` may be NULL. */
enum hf_status hf_live_stop(struct hf_live *live, struct hf_diag *diag) HF_CHECKED;

/* Leaves an output that is lost: gives it up in a thread of its own, since closing it may hang, and
 * waits 1.5 s at most. `render` isn't called any more after the return. After a false return
 * hf_live_open fails until that thread is done, which may never be. `live` may be NULL. */
bool hf_live_abandon(struct hf_live *live);

#endif
