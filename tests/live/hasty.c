/* SPDX-License-Identifier: MIT */
/*
 * hasty: holdfast on a virtual clock, for long sessions with a player. Its sound goes nowhere, as
 * fast as it can be made; each look for keys lets 10 ms of it pass. The keys come from the file
 * that HASTY_KEYS names, a line a press: SECONDS KEYS, in ascending order, where \e is Escape, \r
 * Enter, \s Space, \b Backspace; and three that are no keys: \x the sound output goes away, \o it
 * is there again, \t the program gets SIGTERM. A session that goes on for an hour after its last
 * key is given up. With HASTY_SOUND what would be heard goes to the file of that name, as bare
 * 32-bit floats; with HASTY_TERMINAL its output counts as a terminal too. The Makefile links it
 * from the program's own objects, with --wrap for the calls below.
 */
#include <poll.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <holdfast/live.h>
#include <holdfast/number.h>

#include "live/no_terminal.h"

enum { TICK_MS = 10, FRAMES_MOST = 2048, KEYS_MOST = 256, PATIENCE_S = 3600 };
/* In the place of keys; no text in UTF-8 has these bytes. */
enum { OUTPUT_GOES = 0xf8, OUTPUT_COMES, SIGNAL_COMES, INPUT_ENDS };

struct hf_live {
    int rate_hz;
};

static struct {
    struct hf_live live;
    hf_live_render render;
    void *context;
    long frames;
    uint64_t callbacks;
    FILE *script, *sound;
    double due_s; /* of the keys that wait */
    bool lost;    /* the output */
    unsigned char keys[KEYS_MOST];
    size_t count, taken;
} h;

/* ---- the script ------------------------------------------------------------------------------ */

static void unescape(const char *text)
{
    static const char marks[] = "ersb\\xotd";
    static const unsigned char means[] = {'\033',      '\r',         ' ',          '\b',      '\\',
                                          OUTPUT_GOES, OUTPUT_COMES, SIGNAL_COMES, INPUT_ENDS};
    h.count = h.taken = 0;
    for (; *text && *text != '\n' && h.count < KEYS_MOST; text++) {
        const char *mark = *text == '\\' && text[1] ? strchr(marks, text[1]) : NULL;
        h.keys[h.count++] = mark ? means[mark - marks] : (unsigned char)*text;
        text += mark != NULL;
    }
}

/* The next line's keys; false when there are no more. */
static bool next_keys(void)
{
    char line[KEYS_MOST + 32];
    if (!h.script && getenv("HASTY_KEYS"))
        h.script = fopen(getenv("HASTY_KEYS"), "r");
    if (!h.script || !fgets(line, sizeof line, h.script))
        return false;
    size_t digits = strcspn(line, " ");
    if (line[digits] != ' ' || hf_number_real(line, digits, 0, 1e6, &h.due_s) != HF_NUMBER_FINE) {
        fprintf(stderr, "hasty: no line of keys: %s", line);
        exit(2);
    }
    unescape(line + digits + 1);
    return h.count > 0;
}

/* ---- the clock ------------------------------------------------------------------------------- */

static double now_s(void)
{
    return h.live.rate_hz ? (double)h.frames / h.live.rate_hz : 0;
}

/* The program's own clock: it stands still until something sounds. */
double __wrap_hf_cli_seconds(void);
double __wrap_hf_cli_seconds(void)
{
    return now_s();
}

static void pass(int ms)
{
    static float stereo[2 * FRAMES_MOST];
    long frames = (long)h.live.rate_hz * ms / 1000;
    if (frames > FRAMES_MOST)
        frames = FRAMES_MOST;
    h.frames += frames;
    if (!h.render || h.lost)
        return;
    h.render(h.context, frames, stereo);
    h.callbacks++;
    if (!h.sound && getenv("HASTY_SOUND") && (h.sound = fopen(getenv("HASTY_SOUND"), "wb")))
        setvbuf(h.sound, NULL, _IONBF, 0); /* what was rendered was heard, should this be killed */
    if (h.sound && fwrite(stereo, 2 * sizeof *stereo, (size_t)frames, h.sound) != (size_t)frames)
        exit(2);
}

int __wrap_poll(struct pollfd *which, nfds_t count, int timeout);
ssize_t __real_read(int descriptor, void *out, size_t size);
ssize_t __wrap_read(int descriptor, void *out, size_t size);
pid_t __wrap_tcgetpgrp(int descriptor);

/* What comes next, if it is no key; then nothing is pressed at this look. */
static bool no_key(void)
{
    unsigned char next = h.keys[h.taken];
    if (next < OUTPUT_GOES || next == INPUT_ENDS)
        return false;
    h.taken++;
    if (next == SIGNAL_COMES)
        raise(SIGTERM);
    else
        h.lost = next == OUTPUT_GOES;
    return true;
}

int __wrap_poll(struct pollfd *which, nfds_t count, int timeout)
{
    pass(timeout < 0 ? TICK_MS : timeout);
    bool due = (h.taken < h.count || next_keys()) && now_s() >= h.due_s && !no_key();
    bool keys = due && count > 0 && which[0].fd == STDIN_FILENO;
    if (now_s() > h.due_s + PATIENCE_S) {
        fprintf(stderr, "hasty: the session does not end\n");
        exit(2);
    }
    if (count > 0)
        which[0].revents = keys ? POLLIN : 0;
    return keys;
}

ssize_t __wrap_read(int descriptor, void *out, size_t size)
{
    if (descriptor != STDIN_FILENO)
        return __real_read(descriptor, out, size);
    if (h.keys[h.taken] == INPUT_ENDS)
        return 0;
    size_t count = h.count - h.taken < size ? h.count - h.taken : size;
    memcpy(out, h.keys + h.taken, count);
    h.taken += count;
    return (ssize_t)count;
}

/* ---- a terminal and an output that are none -------------------------------------------------- */

pid_t __wrap_tcgetpgrp(int descriptor)
{
    (void)descriptor;
    return getpgrp();
}

enum hf_status __wrap_hf_live_open(struct hf_live **out, const char *name, int rate_hz,
                                   double latency_ms, struct hf_diag *diag);
int __wrap_hf_live_rate_hz(const struct hf_live *live);
const char *__wrap_hf_live_address(const struct hf_live *live);
uint64_t __wrap_hf_live_turn(const struct hf_live *live);
double __wrap_hf_live_until_heard_s(const struct hf_live *live);
const char *__wrap_hf_live_name(const struct hf_live *live);
double __wrap_hf_live_latency_s(const struct hf_live *live);
enum hf_status __wrap_hf_live_start(struct hf_live *live, hf_live_render render, void *context,
                                    struct hf_diag *diag);
bool __wrap_hf_live_alive(struct hf_live *live, double seconds);
uint64_t __wrap_hf_live_callbacks(const struct hf_live *live);
enum hf_status __wrap_hf_live_stop(struct hf_live *live, struct hf_diag *diag);
bool __wrap_hf_live_abandon(struct hf_live *live);

enum hf_status __wrap_hf_live_open(struct hf_live **out, const char *name, int rate_hz,
                                   double latency_ms, struct hf_diag *diag)
{
    (void)name, (void)latency_ms;
    if (h.lost)
        return hf_fail(diag, HF_E_DEVICE, "no sound output");
    h.live.rate_hz = rate_hz ? rate_hz : 48000;
    *out = &h.live;
    return HF_OK;
}

int __wrap_hf_live_rate_hz(const struct hf_live *live)
{
    return live->rate_hz;
}

const char *__wrap_hf_live_name(const struct hf_live *live)
{
    (void)live;
    return "nowhere, in haste";
}

const char *__wrap_hf_live_address(const struct hf_live *live)
{
    static char address[HF_LIVE_ADDRESS] = "Virtual: nowhere, in haste";
    (void)live;
    return address;
}

double __wrap_hf_live_latency_s(const struct hf_live *live)
{
    (void)live;
    return 0.02;
}

uint64_t __wrap_hf_live_turn(const struct hf_live *live)
{
    (void)live;
    return 2 * h.callbacks;
}

double __wrap_hf_live_until_heard_s(const struct hf_live *live)
{
    (void)live;
    return 0.02;
}

enum hf_status __wrap_hf_live_start(struct hf_live *live, hf_live_render render, void *context,
                                    struct hf_diag *diag)
{
    (void)live, (void)diag;
    h.render = render;
    h.context = context;
    return HF_OK;
}

bool __wrap_hf_live_alive(struct hf_live *live, double seconds)
{
    (void)live, (void)seconds;
    return !h.lost;
}

uint64_t __wrap_hf_live_callbacks(const struct hf_live *live)
{
    (void)live;
    return h.callbacks;
}

enum hf_status __wrap_hf_live_stop(struct hf_live *live, struct hf_diag *diag)
{
    (void)live, (void)diag;
    h.render = NULL;
    return HF_OK;
}

bool __wrap_hf_live_abandon(struct hf_live *live)
{
    (void)live;
    h.render = NULL;
    return true;
}
