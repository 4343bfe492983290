/* SPDX-License-Identifier: MIT */
/* Invariants: every piece is a session of its own in an engine of its own, prepared before anything
 * sounds, since the output's thread only moves on from one to the next. */
#include "audition.h"

#include <poll.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>

#include <holdfast/engine.h>
#include <holdfast/live.h>
#include <holdfast/soundfile.h>

#include "session.h"
#include "terminal.h"

/* A piece lasts 6 s and fades for 1 s; a struck triad is heard twice. */
static const double piece_s = 6, fade_s = 1, stop_s = 0.040;
enum { SEED = 1, BLOCK = 1024, TICK_MS = 50, LOWEST = 48, OCTAVE = 12 };

static const char *const triad_text[AUDITION_TRIADS] = {"C E G#", "Db F A", "D F# A#", "Eb G B"};

struct player {
    struct hf_engine *engines[AUDITION_PIECES];
    int count;
    _Atomic int at;      /* the piece that sounds */
    _Atomic bool leaves; /* no piece comes after it */
};

void audition_add(struct audition *a, const char *name, const struct hf_patch *patch, int triad)
{
    a->pieces[a->count].name = name;
    a->pieces[a->count].patch = patch;
    a->pieces[a->count].triad = triad;
    a->count++;
}

static int64_t samples(double seconds, int rate_hz)
{
    return (int64_t)(seconds * rate_hz + 0.5);
}

static struct hf_event on_triad(enum hf_event_kind kind, int lowest)
{
    struct hf_event event = {.kind = kind, .count = 3};
    for (int i = 0; i < 3; i++)
        event.notes[i] = (uint8_t)(lowest + 4 * i);
    return event;
}

/* The whole of a piece, sent before its first sample. */
static bool send_piece(struct hf_engine *engine, const struct hf_patch *patch, int triad,
                       int rate_hz)
{
    int64_t length = samples(piece_s, rate_hz);
    struct hf_event finish = {
        .kind = HF_EVENT_FINISH, .at = length, .fade = samples(fade_s, rate_hz)};
    if (patch->kind == HF_PATCH_DRONE) {
        struct hf_event hold = on_triad(HF_EVENT_HOLD, LOWEST + triad);
        return hf_engine_send(engine, &hold) && hf_engine_send(engine, &finish);
    }
    for (uint32_t i = 0; i < 2; i++) {
        struct hf_event cue = on_triad(HF_EVENT_CUE, LOWEST + OCTAVE + triad);
        cue.cue = i + 1;
        cue.more = true;
        cue.at = cue.hear = length / 2 * i;
        cue.end = length / 2 * (i + 1);
        if (!hf_engine_send(engine, &cue))
            return false;
    }
    return hf_engine_send(engine, &finish);
}

static enum hf_status make_piece(struct hf_engine **out, const struct hf_patch *patch, int triad,
                                 int rate_hz, struct hf_diag *diag)
{
    bool drone = patch->kind == HF_PATCH_DRONE;
    struct hf_engine_setting setting = {.rate_hz = rate_hz,
                                        .a4_mhz = 440000,
                                        .held = {.way = drone ? HF_HELD_SUSTAINED : HF_HELD_OFF,
                                                 .patch = *patch,
                                                 .rate_hz = rate_hz,
                                                 .a4_mhz = 440000,
                                                 .seed = SEED},
                                        .added_patch = *patch};
    enum hf_status status = hf_engine_new(out, &setting, diag);
    if (status == HF_OK && !send_piece(*out, patch, triad, rate_hz))
        status = hf_fail(diag, HF_E_BUG, "the engine took no piece of an audition");
    return status;
}

static void free_pieces(struct player *player)
{
    for (int i = 0; i < player->count; i++)
        hf_engine_free(player->engines[i]);
}

static enum hf_status make_pieces(struct player *player, const struct audition *a, int rate_hz,
                                  struct hf_diag *diag)
{
    for (int i = 0; i < a->count; i++) {
        enum hf_status status =
            make_piece(&player->engines[i], a->pieces[i].patch, a->pieces[i].triad, rate_hz, diag);
        player->count = i + 1;
        if (status != HF_OK)
            return status;
    }
    return HF_OK;
}

/* The audio thread's: moves on by itself, and writes silence in the end. */
static void render(void *context, long frames, float *stereo)
{
    struct player *player = context;
    int at = atomic_load(&player->at);
    long done = 0;
    while (done < frames && at < player->count) {
        done += hf_engine_render(player->engines[at], frames - done, stereo + 2 * done);
        if (!hf_engine_over(player->engines[at]))
            continue;
        at = atomic_load(&player->leaves) ? player->count : at + 1;
        atomic_store(&player->at, at);
    }
    for (long i = 2 * done; i < 2 * frames; i++)
        stereo[i] = 0;
}

static void say_piece(const struct audition *a, int i, const char *before)
{
    printf("%s%s on %s\n", before, a->pieces[i].name, triad_text[a->pieces[i].triad]);
}

enum hf_status audition_render(const struct audition *a, const char *path, int rate_hz,
                               struct hf_diag *diag)
{
    struct player player = {.count = 0};
    struct hf_soundfile *file = NULL;
    float stereo[2 * BLOCK];
    int64_t each = samples(piece_s, rate_hz) + samples(fade_s, rate_hz), left = each * a->count;
    struct hf_soundfile_form form = {.rate_hz = rate_hz, .bits = 24, .frames = left, .seed = SEED};
    terminal_catch_signals(); /* so that no temporary file is left */
    enum hf_status status = hf_soundfile_open(&file, path, &form, diag);
    if (status == HF_OK)
        status = make_pieces(&player, a, rate_hz, diag);
    while (status == HF_OK && left > 0) {
        long frames = left < BLOCK ? (long)left : BLOCK;
        render(&player, frames, stereo);
        status = hf_soundfile_write(file, stereo, frames, diag);
        if (status == HF_OK && terminal_signal())
            status = hf_fail(diag, HF_E_IO, "the rendering was interrupted");
        left -= frames;
    }
    free_pieces(&player);
    if (status != HF_OK) {
        hf_soundfile_discard(file);
        return status;
    }
    status = hf_soundfile_commit(file, diag);
    for (int i = 0; status == HF_OK && i < a->count; i++) {
        char when[32];
        snprintf(when, sizeof when, "%3.0f s  ", i * (piece_s + fade_s));
        say_piece(a, i, when);
    }
    if (status == HF_OK) {
        printf("Wrote ");
        hf_cli_print_file(path);
        putchar('\n');
    }
    return status;
}

/* The piece that sounds now ends, and none comes after it. */
static void leave(struct player *player, int rate_hz)
{
    struct hf_event end = {
        .kind = HF_EVENT_END, .at = HF_AT_ONCE, .fade = samples(stop_s, rate_hz)};
    int at = atomic_load(&player->at);
    atomic_store(&player->leaves, true);
    if (at < player->count && !hf_engine_send(player->engines[at], &end))
        atomic_store(&player->at, player->count);
}

static bool run(const struct audition *a, struct player *player, struct hf_live *live,
                int *signal_number)
{
    int said = -1;
    while (atomic_load(&player->at) < player->count) {
        int at = atomic_load(&player->at);
        if (at != said && at < a->count) {
            say_piece(a, at, "");
            fflush(stdout);
            said = at;
        }
        if (terminal_signal() && !*signal_number) {
            *signal_number = terminal_signal();
            leave(player, hf_live_rate_hz(live));
        }
        poll(NULL, 0, TICK_MS);
        if (!hf_live_alive(live, hf_cli_seconds()))
            return false;
    }
    return true;
}

enum hf_status audition_play(const struct audition *a, const char *output, int *signal_number,
                             struct hf_diag *diag)
{
    struct player player = {.count = 0};
    struct hf_live *live = NULL;
    enum hf_status status = hf_live_open(&live, output, 0, 0, diag);
    if (status == HF_OK)
        status = make_pieces(&player, a, hf_live_rate_hz(live), diag);
    if (status == HF_OK)
        status = hf_live_start(live, render, &player, diag);
    if (status != HF_OK) {
        hf_live_abandon(live);
        free_pieces(&player);
        return status;
    }
    printf("Sound: %s at %d Hz\n", hf_live_name(live), hf_live_rate_hz(live));
    say_cautions();
    terminal_catch_signals();
    if (run(a, &player, live, signal_number)) {
        status = hf_live_stop(live, diag);
    } else {
        hf_live_abandon(live);
        status = hf_fail(diag, HF_E_LOST, "the sound output went away");
    }
    free_pieces(&player);
    return status;
}
