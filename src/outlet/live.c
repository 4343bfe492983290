/* SPDX-License-Identifier: MIT */
/* Invariants: the audio thread touches the atomic members and those of its block below only, and no
 * other thread touches that block while the stream runs. `silenced` goes from false
 * to true once; after that and once `inside` was seen false, `render` is never called again.
 * Opening, starting and closing may hang, so each is done aside (live_aside); what is late there
 * owns the memory from then on. */
#include <holdfast/live.h>

#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "deadline.h"
#include "live_aside.h"
#include "live_system.h"

enum {
    PIECE = 512,         /* frames of a mono output rendered at a time */
    SETTLE_CALLBACKS = 4 /* see settle */
};

static const double SETTLE_S = 0.05;
static const double STALE_S = 1.0;   /* so long without a heartbeat: lost */
static const double STEP_S = 0.25;   /* the most that one look at the clock counts for */
static const double ABANDON_S = 1.5; /* the longest wait for a lost device */
static const double LEAST_S = 0.01;
static const double CYCLE_S = 0.3; /* a server that lives has closed a stream by then */

/* Until a server that says nothing is helped out, and until it is given up. At first it may be busy
 * with a player that has crashed, for which a synchronous server waits for ten seconds. */
static const struct hf_aside_patience first_patience = {11, 12}, next_patience = {3, 6};
static bool opened_once;

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

    char wanted[HF_LIVE_ADDRESS]; /* the output's name; "" for the default */
    double latency_ms;
    enum hf_status status; /* of opening */
    struct hf_diag diag;
    PaError error;   /* of starting */
    bool unanswered; /* a cycle was given to it in place of the server's */
    atomic_bool stream_closed;
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

/* The rest is what live_aside calls. */
static enum hf_status open_output(struct hf_live *live, struct hf_diag *diag)
{
    PaDeviceIndex device = paNoDevice;
    enum hf_status status = hf_live_choose(live->wanted[0] ? live->wanted : NULL, &device, diag);
    if (status != HF_OK)
        return status;
    const PaDeviceInfo *info = Pa_GetDeviceInfo(device);
    hf_live_name_of(device, live->name);
    hf_live_address_of(device, live->address);
    live->rate_hz = live->rate_hz > 0 ? live->rate_hz : (int)info->defaultSampleRate;
    PaStreamParameters parameters = hf_live_parameters(device, live->latency_ms / 1000);
    live->channels = parameters.channelCount;
    PaError error =
        Pa_OpenStream(&live->stream, NULL, &parameters, live->rate_hz, paFramesPerBufferUnspecified,
                      paClipOff | paDitherOff, on_audio, live);
    if (error == paInvalidSampleRate)
        return refuse_rate(device, live->name, live->rate_hz, diag);
    if (error != paNoError)
        return hf_fail(diag, HF_E_DEVICE, "'%s' can't be opened: %s", live->name,
                       hf_live_system_text(error));
    const PaStreamInfo *opened = Pa_GetStreamInfo(live->stream);
    live->latency_s = opened ? opened->outputLatency : 0;
    return HF_OK;
}

static void open_aside(void *subject)
{
    struct hf_live *live = subject;
    live->status = hf_live_system_start(&live->diag);
    if (live->status != HF_OK)
        return;
    live->status = open_output(live, &live->diag);
    if (live->status != HF_OK)
        hf_live_system_stop();
}

static void start_aside(void *subject)
{
    struct hf_live *live = subject;
    live->error = Pa_StartStream(live->stream);
}

/* PortAudio's part for JACK would wait for ten minutes. */
static void look_at_opening(void *subject)
{
    struct hf_live *live = subject;
    live->unanswered = true;
    hf_live_jack_cycle();
}

static void opened_late(void *subject)
{
    struct hf_live *live = subject;
    if (live->status == HF_OK) {
        Pa_CloseStream(live->stream);
        Pa_Terminate();
    }
    free(live);
}

static enum hf_status refuse_silence(struct hf_diag *diag)
{
    return hf_fail(diag, HF_E_DEVICE, "the sound system does not answer");
}

/* What came of it; `live` is gone when it is no success. */
static enum hf_status opened(struct hf_live *live, enum hf_aside_end end, struct hf_diag *diag)
{
    if (end == HF_ASIDE_LATE)
        return refuse_silence(diag);
    if (end == HF_ASIDE_NOT_BEGUN) {
        free(live);
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    }
    if (live->status == HF_OK && live->unanswered) {
        (void)hf_live_abandon(live);
        return refuse_silence(diag);
    }
    enum hf_status status = live->status;
    if (status != HF_OK) {
        if (diag)
            *diag = live->diag;
        free(live);
    }
    return status;
}

enum hf_status hf_live_open(struct hf_live **out, const char *output_name, int rate_hz,
                            double latency_ms, struct hf_diag *diag)
{
    if (hf_aside_is_busy())
        return hf_fail(diag, HF_E_DEVICE, "the sound output that was lost is still closing");
    struct hf_live *live = calloc(1, sizeof *live);
    if (!live)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    snprintf(live->wanted, sizeof live->wanted, "%s", output_name ? output_name : "");
    live->rate_hz = rate_hz;
    live->latency_ms = latency_ms;
    live->hush.saved = -1;
    struct hf_live_hush hush = hf_live_hush_begin();
    enum hf_aside_end end = hf_aside_do(live, open_aside, look_at_opening, opened_late,
                                        opened_once ? next_patience : first_patience);
    hf_live_hush_end(hush);
    enum hf_status status = opened(live, end, diag);
    if (status != HF_OK)
        return status;
    *out = live;
    opened_once = true;
    return HF_OK;
}

enum hf_status hf_live_start(struct hf_live *live, hf_live_render render, void *context,
                             struct hf_diag *diag)
{
    const struct hf_aside_patience patience = {first_patience.look_s, 0};
    live->render = render;
    live->context = context;
    struct hf_live_hush hush = hf_live_hush_begin();
    enum hf_aside_end end = hf_aside_do(live, start_aside, look_at_opening, NULL, patience);
    if (end == HF_ASIDE_DONE && live->error == paNoError && !live->unanswered) {
        live->hush = hush;
        live->started = true;
        return HF_OK;
    }
    hf_live_hush_end(hush);
    live->started = end == HF_ASIDE_DONE && live->error == paNoError;
    if (end != HF_ASIDE_DONE)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    return live->unanswered ? refuse_silence(diag)
                            : hf_fail(diag, HF_E_DEVICE, "'%s' can't be started: %s", live->name,
                                      hf_live_system_text(live->error));
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

static void wait_a_little(void)
{
    nanosleep(&(struct timespec){.tv_nsec = 2000000}, NULL);
}

static void close_aside(void *subject)
{
    struct hf_live *live = subject;
    if (live->started && live->at_once)
        Pa_AbortStream(live->stream);
    else if (live->started)
        Pa_StopStream(live->stream);
    Pa_CloseStream(live->stream);
    atomic_store(&live->stream_closed, true);
    Pa_Terminate();
}

static void look_at_closing(void *subject)
{
    struct hf_live *live = subject;
    if (live->at_once && !atomic_load(&live->stream_closed))
        hf_live_jack_cycle();
}

/* Closes within `seconds`, or leaves it to the thread and returns false: then the memory is the
 * thread's, since the audio thread may still write to it. */
static bool close_within(struct hf_live *live, bool at_once, double seconds)
{
    struct timespec deadline = hf_deadline_in_s(seconds);
    struct hf_live_hush hush = live->hush.saved >= 0 ? live->hush : hf_live_hush_begin();
    atomic_store(&live->silenced, true);
    while (atomic_load(&live->inside) && hf_deadline_left_s(deadline) > 0)
        wait_a_little();
    live->at_once = at_once;
    double left_s = hf_deadline_left_s(deadline);
    struct hf_aside_patience patience = {CYCLE_S, left_s > LEAST_S ? left_s : LEAST_S};
    enum hf_aside_end end = hf_aside_do(live, close_aside, look_at_closing, free, patience);
    if (end == HF_ASIDE_DONE)
        free(live);
    hf_live_hush_end(hush);
    return end == HF_ASIDE_DONE;
}

/* Waits until silence has followed what was rendered, for as long as it takes to be heard: not all
 * systems play their buffers to the end when they are stopped. */
static bool drain(struct hf_live *live)
{
    struct timespec deadline = hf_deadline_in_s(STALE_S + 3 * live->latency_s);
    atomic_store(&live->silenced, true);
    unsigned long needed = (unsigned long)(1.5 * live->latency_s * live->rate_hz);
    needed += 2 * atomic_load(&live->longest);
    while (atomic_load(&live->silent_frames) < needed || atomic_load(&live->callbacks) == 0) {
        if (hf_deadline_left_s(deadline) <= 0 || Pa_IsStreamActive(live->stream) != 1)
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
