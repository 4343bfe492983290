/* SPDX-License-Identifier: MIT */
/* Invariants: nothing that sounds here is louder than the session will be, nor begins or ends
 * without a fade; the engine of the preface is freed only when the audio thread has left it. */
#include "preface.h"

#include <poll.h>
#include <string.h>
#include <unistd.h>

#include <holdfast/live.h>

#include "terminal.h"

enum { TICK_MS = 10, TONES_AHEAD = 8 };

static const double TONE_S = 2.5, FADE_S = 0.3, SOON_S = 0.05;

struct preface {
    struct session *session;
    struct hf_live *live;
    struct hf_engine *engine;
    struct key_reader reader;
    double volume_db;
    struct hf_fretboard board; /* whose open strings sound; 0 strings: none */
    int string;                /* the next one */
    uint32_t tones;
    int64_t tone_end; /* of the last one asked for */
    bool leaves, begins;
};

/* Samples are never negative zero or worse, so that their bits are in order as they are. */
void live_stage_render(void *stage, long frames, float *stereo)
{
    struct live_stage *s = stage;
    struct hf_engine *engine = atomic_load_explicit(&s->engine, memory_order_acquire);
    float peak = 0;
    uint32_t bits;
    if (engine)
        hf_engine_render(engine, frames, stereo);
    else
        memset(stereo, 0, (size_t)frames * 2 * sizeof *stereo);
    for (long i = 0; i < 2 * frames; i++) {
        float size = stereo[i] < 0 ? -stereo[i] : stereo[i];
        peak = size > peak ? size : peak;
    }
    memcpy(&bits, &peak, sizeof bits);
    if (bits > atomic_load_explicit(&s->peak, memory_order_relaxed))
        atomic_store_explicit(&s->peak, bits, memory_order_relaxed);
}

bool preface_wanted(const struct session *s)
{
    if (s->start != START_UNSAID)
        return s->start == START_CHECK;
    return !s->display.plain && !s->display.json && isatty(STDIN_FILENO) == 1 &&
           isatty(STDOUT_FILENO) == 1;
}

/* ---- sound ----------------------------------------------------------------------------------- */

static bool send_hold(struct preface *p)
{
    const struct hf_record *hold = &p->session->conductor.timeline.hold;
    struct hf_event event = {.kind = HF_EVENT_HOLD, .count = (uint8_t)hold->count};
    memcpy(event.notes, hold->notes, sizeof event.notes);
    return hf_engine_send(p->engine, &event);
}

static void turn(struct preface *p, int by)
{
    int db = (int)p->volume_db + by; /* onto a whole number, as in a session */
    if (by > 0 && (int)p->volume_db > p->volume_db)
        db = (int)p->volume_db;
    struct hf_event event = {.kind = HF_EVENT_VOLUME, .at = HF_AT_ONCE, .db = db};
    if (db < HF_VOLUME_LOW || db > HF_VOLUME_HIGH || !hf_engine_send(p->engine, &event))
        return;
    p->volume_db = db;
    printf("        volume %d dB\n", db);
    fflush(stdout);
}

/* The next open string; those pressed before it are heard first. */
static void sound_string(struct preface *p)
{
    if (p->board.strings == 0)
        return;
    int rate_hz = p->session->head.request.rate_hz;
    int64_t at = hf_engine_now(p->engine) + (int64_t)(SOON_S * rate_hz);
    int64_t length = (int64_t)(TONE_S * rate_hz);
    at = at > p->tone_end ? at : p->tone_end;
    if (at - hf_engine_now(p->engine) > TONES_AHEAD * length)
        return;
    int midi = p->board.midi[p->string] + p->board.capo;
    struct hf_event event = {.kind = HF_EVENT_CUE,
                             .cue = ++p->tones,
                             .at = at,
                             .hear = at,
                             .end = at + length,
                             .count = 1,
                             .notes = {(uint8_t)midi}};
    if (!hf_engine_send(p->engine, &event))
        return;
    p->tone_end = at + length;
    p->string = (p->string + 1) % p->board.strings;
    enum hf_names names = p->session->head.request.names;
    char name[HF_SPELLED_TEXT];
    printf("        %s\n",
           hf_spelled_format_pitch(hf_spelling_pc(midi % HF_PCS, names), midi, names, name));
    fflush(stdout);
}

static void end(struct preface *p, double fade_s)
{
    struct hf_event event = {.kind = HF_EVENT_END,
                             .at = HF_AT_ONCE,
                             .fade = (int64_t)(fade_s * p->session->head.request.rate_hz)};
    while (!hf_engine_send(p->engine, &event))
        poll(NULL, 0, TICK_MS);
    p->begins = true;
}

/* ---- keys ------------------------------------------------------------------------------------ */

static void say_keys(const struct preface *p)
{
    printf("Set your level now, while the held notes fade in: Up and Down turn the volume.\n");
    if (p->board.strings)
        printf(
            "t sounds the open strings, one a press: tune to the drone, not the drone to you.\n");
    printf("Any other key begins   q leaves\n");
    fflush(stdout);
}

static void press(struct preface *p, const char *name)
{
    enum control control = keymap_look(&p->session->keys, name);
    if (control == CONTROL_LOUDER || control == CONTROL_SOFTER) {
        turn(p, control == CONTROL_LOUDER ? 1 : -1);
    } else if (strcmp(name, "t") == 0) {
        sound_string(p);
    } else if (control == CONTROL_HELP) {
        say_keys(p);
    } else if (!p->begins) {
        p->leaves = control == CONTROL_QUIT;
        end(p, FADE_S);
    }
}

/* Input that has ended begins the session, which knows what to do without it. */
static void read_keys(struct preface *p)
{
    struct pollfd input = {.fd = STDIN_FILENO, .events = POLLIN};
    unsigned char bytes[64];
    char name[KEY_NAME];
    bool has_keys = terminal_has_keys();
    if (poll(&input, has_keys ? 1 : 0, TICK_MS) <= 0 || !has_keys)
        return;
    ssize_t count = read(STDIN_FILENO, bytes, sizeof bytes);
    if (count <= 0 && !p->begins)
        end(p, FADE_S);
    for (ssize_t i = 0; i < count; i++)
        if (key_feed(&p->reader, bytes[i], name))
            press(p, name);
}

/* A pedal or a key of a MIDI device begins too, whatever it does later. */
static void read_midi(struct preface *p)
{
    struct hf_midi_message message;
    char name[KEY_NAME];
    for (int i = 0; i < 64 && p->session->midi && hf_midi_read(p->session->midi, &message); i++)
        if (key_midi(message.status, message.data_1, message.data_2, name) != MIDI_NOTHING &&
            message.data_2 > 0 && !p->begins)
            press(p, name);
}

/* ---- all of it ------------------------------------------------------------------------------- */

static enum hf_status run(struct preface *p, int *signal_number, struct hf_diag *diag)
{
    struct hf_report report;
    while (!hf_engine_over(p->engine)) {
        if (terminal_signal() && !*signal_number) {
            *signal_number = terminal_signal();
            p->leaves = true;
            end(p, 0.04);
        }
        read_keys(p);
        read_midi(p);
        while (hf_engine_receive(p->engine, &report))
            ;
        if (!hf_live_alive(p->live, hf_cli_seconds()))
            return hf_fail(diag, HF_E_LOST, "the sound output went away");
    }
    return HF_OK;
}

/* The player's instrument, or a guitar; with a hand at the keys nothing needs to be tuned. */
static enum hf_status take_board(struct preface *p, struct hf_diag *diag)
{
    const struct hf_request *request = &p->session->request;
    enum hf_status status = HF_OK;
    if (request->has_board)
        p->board = request->board;
    else if (!request->keys)
        status = hf_cli_load_instrument("guitar", &p->board, diag);
    return status == HF_E_MEMORY ? status : HF_OK; /* a guitar of the player's own may be faulty */
}

/* A new engine for the session itself, at the volume that was chosen; the stage is its own then. */
static enum hf_status change_engines(struct preface *p, struct live_stage *stage,
                                     struct hf_diag *diag)
{
    struct session *s = p->session;
    char text[32];
    snprintf(text, sizeof text, "%g", p->volume_db);
    enum hf_status status = hf_request_set(&s->request, HF_OPT_VOLUME, text, diag);
    if (status == HF_OK)
        status = hf_request_set(&s->head.request, HF_OPT_VOLUME, text, diag);
    s->conductor.volume_db = s->conductor.timeline.volume_db = p->volume_db;
    s->engine = NULL;
    if (status == HF_OK)
        status = session_engine(s, diag);
    if (status != HF_OK) {
        s->engine = p->engine;
        return status;
    }
    atomic_store_explicit(&stage->engine, NULL, memory_order_release);
    uint64_t then = hf_live_callbacks(p->live) + 2; /* the audio thread has left it by then */
    while (hf_live_callbacks(p->live) < then && hf_live_alive(p->live, hf_cli_seconds()))
        poll(NULL, 0, 1);
    if (hf_live_callbacks(p->live) < then)
        return hf_fail(diag, HF_E_LOST, "the sound output went away"); /* and leave it alone */
    hf_engine_free(p->engine);
    return HF_OK;
}

enum hf_status preface_run(struct session *s, struct hf_live *live, struct live_stage *stage,
                           enum preface_end *end_as, int *signal_number, struct hf_diag *diag)
{
    struct preface p = {.session = s, .live = live, .volume_db = s->head.request.volume_db};
    enum hf_status status = session_engine(s, diag);
    if (status == HF_OK)
        status = take_board(&p, diag);
    if (status != HF_OK)
        return status;
    p.engine = s->engine;
    send_hold(&p);
    atomic_store(&stage->engine, p.engine);
    say_keys(&p);
    terminal_catch_signals();
    terminal_begin();
    status = hf_live_start(live, live_stage_render, stage, diag);
    stage->started = status == HF_OK;
    if (status == HF_OK)
        status = run(&p, signal_number, diag);
    *end_as = p.leaves ? PREFACE_LEAVE : PREFACE_BEGIN;
    return status == HF_OK && !p.leaves ? change_engines(&p, stage, diag) : status;
}
