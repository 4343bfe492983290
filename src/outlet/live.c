/* SPDX-License-Identifier: MIT */
/* Invariants: the audio thread touches the atomic members and those of its block below only, and no
 * other thread touches that block while the stream runs. `silenced` goes from false
 * to true once; after that and once `inside` was seen false, `render` is never called again.
 * Closing a lost device may hang, so every stream that has run is closed by a thread of its own,
 * which frees the memory if nobody waits for it any more (`orphaned`). */
#include <holdfast/live.h>

#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <holdfast/signals.h>

#include "live_system.h"

enum {
    PIECE = 512,         /* frames of a mono output rendered at a time */
    SETTLE_CALLBACKS = 4 /* see settle */
};

static const double SETTLE_S = 0.05;
static const double STALE_S = 1.0;   /* so long without a heartbeat: lost */
static const double STEP_S = 0.25;   /* the most that one look at the clock counts for */
static const double ABANDON_S = 1.5; /* the longest wait for a lost device */
static const double CYCLE_S = 0.3;   /* a server that lives has closed a stream by then */
static const double LOOK_S = 0.01;

/* Outputs that were given up and are still closing: until they have, there can be no other. */
static atomic_int closing;

struct hf_live {
    PaStream *stream;
    char name[HF_LIVE_NAME_LENGTH];
    char address[HF_LIVE_ADDRESS];
    int rate_hz;
    double latency_s;

    hf_live_render render; /* the audio thread's block: from here to `stereo`, and the rate */
    void *context;
    int settled_callbacks;
    unsigned long settled_frames;
    int channels;            /* 1 or 2 */
    float stereo[PIECE * 2]; /* what a mono output is made from */
    atomic_bool silenced;    /* write silence, don't render */
    atomic_bool inside;      /* the audio thread may be in `render` */
    atomic_ullong turn;      /* begun and ended, counted together */
    atomic_llong
        heard_at_us; /* the end of the last turn's sound, on the stream's clock; 0 unknown */
    atomic_ullong callbacks;
    atomic_ullong underflows;
    atomic_ulong silent_frames; /* written since `silenced` */
    atomic_ulong longest;       /* frames of the longest callback */

    bool started;
    struct hf_live_hush
        hush; /* while started: threads of the backends write there when it is lost */
    bool lost;
    bool watched;
    uint64_t seen;      /* heartbeat at the last look */
    double looked_s;    /* when that was */
    double unchanged_s; /* for how long it has not moved */

    pthread_mutex_t mutex; /* of the four below */
    pthread_cond_t over;
    bool stream_closed;
    bool closed;
    bool orphaned;
    bool at_once; /* drop what is not heard yet */
};

/* ---- the audio thread ---- */

/* Real-time safe. */
static void render_mono(struct hf_live *live, unsigned long frames, float *out)
{
    while (frames > 0) {
        unsigned long piece = frames < PIECE ? frames : PIECE;
        live->render(live->context, (long)piece, live->stereo);
        for (unsigned long i = 0; i < piece; i++)
            *out++ = 0.5f * (live->stereo[2 * i] + live->stereo[2 * i + 1]);
        frames -= piece;
    }
}

/* Real-time safe. Is the output still settling? What is written in the first moments may go
 * nowhere: on a busy machine JACK connects a period or two after it has begun to ask for sound. So
 * silence comes first, and not a frame of what is rendered is lost. */
static bool settle(struct hf_live *live, unsigned long frames)
{
    if (live->settled_callbacks >= SETTLE_CALLBACKS &&
        (double)live->settled_frames >= SETTLE_S * live->rate_hz)
        return false;
    live->settled_callbacks++;
    live->settled_frames += frames;
    return true;
}

/* Real-time safe. When the end of what this turn renders will be heard, on the stream's clock; some
 * systems give no time for it. */
static void note_heard(struct hf_live *live, unsigned long frames,
                       const PaStreamCallbackTimeInfo *time)
{
    double from_s = time && time->outputBufferDacTime > 0 ? time->outputBufferDacTime
                    : time                                ? time->currentTime + live->latency_s
                                                          : 0;
    double at_us = (from_s + (double)frames / live->rate_hz) * 1e6;
    atomic_store(&live->heard_at_us, from_s > 0 ? (long long)at_us : 0);
}

/* Real-time safe. */
static int on_audio(const void *input, void *output, unsigned long frames,
                    const PaStreamCallbackTimeInfo *time, PaStreamCallbackFlags flags, void *user)
{
    struct hf_live *live = user;
    (void)input;
    atomic_fetch_add(&live->turn, 1);
    atomic_store(&live->inside, true);
    bool silenced = atomic_load(&live->silenced);
    if (silenced || settle(live, frames)) {
        memset(output, 0, frames * (size_t)live->channels * sizeof(float));
        atomic_fetch_add(&live->silent_frames, silenced ? frames : 0);
    } else if (live->channels == 1) {
        render_mono(live, frames, output);
    } else {
        live->render(live->context, (long)frames, output);
    }
    note_heard(live, frames, time);
    atomic_store(&live->inside, false);
    atomic_fetch_add(&live->turn, 1);
    if (flags & paOutputUnderflow)
        atomic_fetch_add(&live->underflows, 1);
    if (frames > atomic_load(&live->longest))
        atomic_store(&live->longest, frames);
    atomic_fetch_add(&live->callbacks, 1);
    return paContinue;
}

/* ---- opening ---- */

static enum hf_status refuse_rate(PaDeviceIndex device, const char *name, int rate_hz,
                                  struct hf_diag *diag)
{
    int rates_hz[HF_LIVE_MOST_RATES];
    int count = hf_live_rates(device, rates_hz);
    char list[160] = "";
    size_t at = 0;
    for (int i = 0; i < count && at < sizeof list; i++)
        at += (size_t)snprintf(list + at, sizeof list - at, "%s%d", i ? ", " : "", rates_hz[i]);
    return hf_fail(diag, HF_E_DEVICE, "'%s' can't be opened at %d Hz; it can at %s", name, rate_hz,
                   count ? list : "none of the common rates");
}

static enum hf_status open_output(struct hf_live *live, const char *output_name, int rate_hz,
                                  double latency_ms, struct hf_diag *diag)
{
    PaDeviceIndex device = paNoDevice;
    enum hf_status status = hf_live_choose(output_name, &device, diag);
    if (status != HF_OK)
        return status;
    const PaDeviceInfo *info = Pa_GetDeviceInfo(device);
    hf_live_name_of(device, live->name);
    hf_live_address_of(device, live->address);
    live->rate_hz = rate_hz > 0 ? rate_hz : (int)info->defaultSampleRate;
    PaStreamParameters parameters = hf_live_parameters(device, latency_ms / 1000);
    live->channels = parameters.channelCount;
    sigset_t mask;
    struct hf_live_hush hush = hf_live_hush_begin();
    hf_signals_hold(&mask);
    PaError error =
        Pa_OpenStream(&live->stream, NULL, &parameters, live->rate_hz, paFramesPerBufferUnspecified,
                      paClipOff | paDitherOff, on_audio, live);
    hf_signals_let(&mask);
    hf_live_hush_end(hush);
    if (error == paInvalidSampleRate)
        return refuse_rate(device, live->name, live->rate_hz, diag);
    if (error != paNoError)
        return hf_fail(diag, HF_E_DEVICE, "'%s' can't be opened: %s", live->name,
                       hf_live_system_text(error));
    const PaStreamInfo *opened = Pa_GetStreamInfo(live->stream);
    live->latency_s = opened ? opened->outputLatency : 0;
    return HF_OK;
}

/* Memory with its mutex and condition, the latter on the monotonic clock. */
static struct hf_live *new_live(void)
{
    pthread_condattr_t attributes;
    struct hf_live *live = calloc(1, sizeof *live);
    if (!live || pthread_condattr_init(&attributes) != 0) {
        free(live);
        return NULL;
    }
    pthread_condattr_setclock(&attributes, CLOCK_MONOTONIC);
    pthread_mutex_init(&live->mutex, NULL);
    pthread_cond_init(&live->over, &attributes);
    pthread_condattr_destroy(&attributes);
    return live;
}

static void free_live(struct hf_live *live)
{
    pthread_cond_destroy(&live->over);
    pthread_mutex_destroy(&live->mutex);
    free(live);
}

enum hf_status hf_live_open(struct hf_live **out, const char *output_name, int rate_hz,
                            double latency_ms, struct hf_diag *diag)
{
    if (atomic_load(&closing) > 0)
        return hf_fail(diag, HF_E_DEVICE, "the sound output that was lost is still closing");
    struct hf_live *live = new_live();
    if (!live)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    enum hf_status status = hf_live_system_start(diag);
    if (status == HF_OK) {
        status = open_output(live, output_name, rate_hz, latency_ms, diag);
        if (status != HF_OK)
            hf_live_system_stop();
    }
    if (status == HF_OK)
        *out = live;
    else
        free_live(live);
    return status;
}

enum hf_status hf_live_start(struct hf_live *live, hf_live_render render, void *context,
                             struct hf_diag *diag)
{
    live->render = render;
    live->context = context;
    sigset_t mask;
    struct hf_live_hush hush = hf_live_hush_begin();
    hf_signals_hold(&mask);
    PaError error = Pa_StartStream(live->stream);
    hf_signals_let(&mask);
    if (error != paNoError) {
        hf_live_hush_end(hush);
        return hf_fail(diag, HF_E_DEVICE, "'%s' can't be started: %s", live->name,
                       hf_live_system_text(error));
    }
    live->hush = hush;
    live->started = true;
    return HF_OK;
}

/* ---- while it runs ---- */

int hf_live_rate_hz(const struct hf_live *live)
{
    return live->rate_hz;
}

const char *hf_live_name(const struct hf_live *live)
{
    return live->name;
}

const char *hf_live_address(const struct hf_live *live)
{
    return live->address;
}

double hf_live_latency_s(const struct hf_live *live)
{
    return live->latency_s;
}

uint64_t hf_live_callbacks(const struct hf_live *live)
{
    return atomic_load(&live->callbacks);
}

uint64_t hf_live_turn(const struct hf_live *live)
{
    return atomic_load(&live->turn);
}

double hf_live_until_heard_s(const struct hf_live *live)
{
    long long at_us = atomic_load(&live->heard_at_us);
    double now_s = Pa_GetStreamTime(live->stream);
    return at_us && now_s > 0 ? (double)at_us * 1e-6 - now_s : live->latency_s;
}

uint64_t hf_live_underflows(const struct hf_live *live)
{
    return atomic_load(&live->underflows);
}

/* An output with a long buffer asks for sound seldom. */
static double patience_s(const struct hf_live *live)
{
    return live->latency_s > STALE_S / 2 ? 2 * live->latency_s : STALE_S;
}

bool hf_live_alive(struct hf_live *live, double now_s)
{
    uint64_t count = hf_live_callbacks(live);
    if (!live->watched || count != live->seen) {
        live->unchanged_s = 0;
    } else {
        /* If the whole program was stopped, the clock has run and the output is not to blame. */
        double step_s = now_s - live->looked_s;
        live->unchanged_s += step_s < STEP_S ? step_s : STEP_S;
    }
    live->watched = true;
    live->seen = count;
    live->looked_s = now_s;
    if (live->unchanged_s >= patience_s(live) || Pa_IsStreamActive(live->stream) != 1)
        live->lost = true;
    return !live->lost;
}

/* ---- the end ---- */

static struct timespec in_s(double seconds)
{
    struct timespec at;
    clock_gettime(CLOCK_MONOTONIC, &at);
    long nanoseconds = at.tv_nsec + (long)((seconds - (double)(time_t)seconds) * 1e9);
    at.tv_sec += (time_t)seconds + nanoseconds / 1000000000;
    at.tv_nsec = nanoseconds % 1000000000;
    return at;
}

static bool is_past(struct timespec deadline)
{
    struct timespec now = in_s(0);
    return now.tv_sec > deadline.tv_sec ||
           (now.tv_sec == deadline.tv_sec && now.tv_nsec >= deadline.tv_nsec);
}

static void wait_a_little(void)
{
    nanosleep(&(struct timespec){.tv_nsec = 2000000}, NULL);
}

/* The thread that closes. */
static void *close_stream(void *argument)
{
    struct hf_live *live = argument;
    if (live->started && live->at_once)
        Pa_AbortStream(live->stream);
    else if (live->started)
        Pa_StopStream(live->stream);
    Pa_CloseStream(live->stream);
    pthread_mutex_lock(&live->mutex);
    live->stream_closed = true;
    pthread_mutex_unlock(&live->mutex);
    Pa_Terminate();
    atomic_fetch_sub(&closing, 1);
    pthread_mutex_lock(&live->mutex);
    live->closed = true;
    bool orphaned = live->orphaned;
    pthread_cond_signal(&live->over);
    pthread_mutex_unlock(&live->mutex);
    if (orphaned)
        free_live(live);
    return NULL;
}

/* Signals are for the caller's threads. */
static bool start_closing(struct hf_live *live)
{
    sigset_t mask;
    pthread_t thread;
    hf_signals_hold(&mask);
    atomic_fetch_add(&closing, 1);
    bool started = pthread_create(&thread, NULL, close_stream, live) == 0;
    if (!started)
        atomic_fetch_sub(&closing, 1);
    hf_signals_let(&mask);
    if (started)
        pthread_detach(thread);
    return started;
}

/* Waits for that thread; false when it takes too long: then the memory is the thread's, since the
 * audio thread may still write to it. */
static bool wait_for_closing(struct hf_live *live, const struct timespec *deadline)
{
    struct timespec cycles = in_s(CYCLE_S);
    pthread_mutex_lock(&live->mutex);
    while (!live->closed && !is_past(*deadline)) {
        struct timespec look = in_s(LOOK_S);
        pthread_cond_timedwait(&live->over, &live->mutex, &look);
        if (live->at_once && !live->stream_closed && is_past(cycles))
            hf_live_jack_cycle();
    }
    bool closed = live->closed;
    live->orphaned = !closed;
    pthread_mutex_unlock(&live->mutex);
    return closed;
}

/* Closes within `seconds`, or leaves it to the thread and returns false. */
static bool close_within(struct hf_live *live, bool at_once, double seconds)
{
    struct timespec deadline = in_s(seconds);
    bool hushed = live->started;
    struct hf_live_hush hush = live->hush;
    atomic_store(&live->silenced, true);
    while (atomic_load(&live->inside) && !is_past(deadline))
        wait_a_little();
    live->at_once = at_once;
    bool closed = start_closing(live) && wait_for_closing(live, &deadline);
    if (closed)
        free_live(live);
    if (hushed)
        hf_live_hush_end(hush);
    return closed;
}

/* Waits until silence has followed what was rendered, for as long as it takes to be heard: not all
 * systems play their buffers to the end when they are stopped. */
static bool drain(struct hf_live *live)
{
    struct timespec deadline = in_s(STALE_S + 3 * live->latency_s);
    atomic_store(&live->silenced, true);
    unsigned long needed = (unsigned long)(1.5 * live->latency_s * live->rate_hz);
    needed += 2 * atomic_load(&live->longest);
    while (atomic_load(&live->silent_frames) < needed || atomic_load(&live->callbacks) == 0) {
        if (is_past(deadline) || Pa_IsStreamActive(live->stream) != 1)
            return false;
        wait_a_little();
    }
    return true;
}

enum hf_status hf_live_stop(struct hf_live *live, struct hf_diag *diag)
{
    if (!live)
        return HF_OK;
    bool there = !live->lost && (!live->started || drain(live));
    double limit_s = there ? ABANDON_S + 2 * live->latency_s : ABANDON_S;
    bool closed = close_within(live, !there, limit_s);
    if (there && closed)
        return HF_OK;
    return hf_fail(diag, HF_E_LOST, "the sound output went away");
}

bool hf_live_abandon(struct hf_live *live)
{
    return !live || close_within(live, true, ABANDON_S);
}
