/* SPDX-License-Identifier: MIT */
/* The loop of a live session. Invariants: it wakes a hundred times a second and waits between; what
 * it shows follows the sample that is heard, not the wall clock. */
#include "session.h"

#include <inttypes.h>
#include <poll.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <holdfast/live.h>

#include "keys.h"
#include "terminal.h"

enum { TICK_MS = 10 };

struct live_show {
    bool terminal;      /* stdout is one: a line may be written over */
    bool line_open;     /* such a line stands there */
    size_t begun, named, heard; /* cues said so far */
    bool staying, paused, ending;
    int64_t last_second;
};

struct loop_state {
    struct live_loop *loop;
    struct live_show show;
    struct key_reader keys;
    bool has_keys, asked_to_end, replay_paused, lost;
    enum hf_status failed; /* of the record: the session is let out without it */
    struct hf_diag why;
};

static double seconds_now(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

/* ---- showing --------------------------------------------------------------------------------- */

static void close_line(struct live_show *show)
{
    if (show->line_open)
        printf("\r\033[K");
    show->line_open = false;
}

static void say_line(struct live_show *show, const char *line)
{
    close_line(show);
    printf("%s\n", line);
    fflush(stdout);
}

static void show_cue(struct loop_state *s, size_t index, const char *what, const char *notes,
                     int64_t at)
{
    const struct hf_timeline_cue *cue = &s->loop->timeline->cues[index];
    char clock[CLOCK_TEXT], line[400];
    char frets[NOTES_TEXT] = "";
    if (notes[0] && cue->tell != HF_NEVER && at >= cue->tell)
        say_frets(&cue->record, frets);
    const char *makes = notes[0] ? say_result(cue, s->loop->held, s->loop->varied) : "";
    snprintf(line, sizeof line, "%6s  cue %zu  %-5s %s%s%s%s%s",
             say_clock(at, s->loop->timeline_hz, clock), index + 1, what, notes,
             frets[0] ? "   " : "", frets, makes[0] ? "  makes " : "", makes);
    say_line(&s->show, line);
}

static void show_hold(struct loop_state *s, size_t index, const char *what)
{
    const struct hf_record *hold = &s->loop->timeline->cues[index].hold;
    char notes[NOTES_TEXT], frets[NOTES_TEXT], line[400];
    snprintf(line, sizeof line, "        cue %zu  %-5s hold %s   %s", index + 1, what,
             say_pitches(hold, notes), say_frets(hold, frets));
    say_line(&s->show, line);
}

/* What is known of a cue from its beginning. */
static void show_beginning(struct loop_state *s, size_t index)
{
    const struct hf_timeline_cue *cue = &s->loop->timeline->cues[index];
    char notes[NOTES_TEXT];
    if (cue->has_hold)
        show_hold(s, index, "held");
    /* A new grip is told one cue before it is needed. */
    if (index + 1 < s->loop->timeline->count &&
        s->loop->timeline->cues[index + 1].hold.strings > 0 &&
        s->loop->timeline->cues[index + 1].has_hold)
        show_hold(s, index + 1, "soon");
    if (s->loop->timeline->way == HF_CUE_GAP)
        show_cue(s, index, "gap", say_perfect(&cue->record, notes), cue->at);
    if (s->loop->timeline->way == HF_CUE_REVERSE)
        show_cue(s, index, "find", "the triad that completes it", cue->at);
}

static void show_name(struct loop_state *s, size_t index)
{
    const struct hf_timeline_cue *cue = &s->loop->timeline->cues[index];
    char notes[NOTES_TEXT];
    if (cue->hear == cue->tell) {
        show_cue(s, index, cue->tell == cue->at ? "play" : "hear",
                 say_pitches(&cue->record, notes), cue->tell);
        s->show.heard = index + 1;
    } else if (s->loop->timeline->way == HF_CUE_EAR) {
        show_cue(s, index, "is", say_pitches(&cue->record, notes), cue->tell);
    } else {
        show_cue(s, index, s->loop->timeline->way == HF_CUE_SILENT ? "play" : "find",
                 say_names(&cue->record, notes), cue->tell);
    }
}

static void show_sound(struct loop_state *s, size_t index)
{
    const struct hf_timeline_cue *cue = &s->loop->timeline->cues[index];
    char notes[NOTES_TEXT];
    if (s->loop->timeline->way == HF_CUE_EAR)
        show_cue(s, index, "listen", "", cue->hear);
    else
        show_cue(s, index, "hear", say_pitches(&cue->record, notes), cue->hear);
}

static void show_cues(struct loop_state *s, int64_t now)
{
    const struct hf_timeline *t = s->loop->timeline;
    for (size_t i = s->show.begun; i < t->count; i++) {
        const struct hf_timeline_cue *cue = &t->cues[i];
        if (!hf_timeline_reached(t, cue->at, now) || !hf_timeline_given(t, cue))
            break;
        show_beginning(s, i);
        s->show.begun = i + 1;
    }
    for (size_t i = s->show.named; i < s->show.begun; i++)
        if (hf_timeline_reached(t, t->cues[i].tell, now)) {
            show_name(s, i);
            s->show.named = i + 1;
        }
    for (size_t i = s->show.heard; i < s->show.begun; i++)
        if (hf_timeline_reached(t, t->cues[i].hear, now)) {
            show_sound(s, i);
            s->show.heard = i + 1;
        }
}

static void show_states(struct loop_state *s)
{
    const struct hf_timeline *t = s->loop->timeline;
    bool staying = t->stay_at != HF_NEVER, paused = t->pause_at != HF_NEVER;
    bool ending = t->end_at != HF_NEVER;
    if (!s->loop->conductor) /* a replay's timeline is whole from the start */
        return;
    if (staying != s->show.staying)
        say_line(&s->show, staying ? "        stay: the cues wait, Space goes on" : "        on");
    if (paused != s->show.paused)
        say_line(&s->show, paused ? "        pause: p resumes" : "        resumed");
    if (ending && !s->show.ending)
        say_line(&s->show, "        end: the sound fades");
    s->show.staying = staying;
    s->show.paused = paused;
    s->show.ending = ending;
}

/* The next thing to happen, for the line that counts down. */
static int64_t next_change(const struct hf_timeline *t, int64_t now, const char **what)
{
    int64_t next = HF_NEVER;
    for (size_t i = 0; i < t->count; i++) {
        const struct hf_timeline_cue *cue = &t->cues[i];
        int64_t times[] = {cue->tell, cue->hear, cue->end};
        static const char *const words[] = {"next cue", "sound", "end of the cue"};
        for (int j = 0; j < 3; j++)
            if (times[j] != HF_NEVER && times[j] > now && times[j] < next) {
                next = times[j];
                *what = words[j];
            }
    }
    return next;
}

static void show_countdown(struct loop_state *s, int64_t now)
{
    const struct hf_timeline *t = s->loop->timeline;
    const char *what = "";
    char clock[CLOCK_TEXT];
    if (!s->show.terminal || s->show.ending)
        return;
    int64_t next = next_change(t, now, &what);
    int64_t second = s->show.staying || s->show.paused ? -2
                     : next == HF_NEVER                ? -1
                                                       : (next - now) / s->loop->timeline_hz;
    if (second == s->show.last_second && s->show.line_open)
        return;
    s->show.last_second = second;
    if (second == -2)
        printf("\r\033[K        %s", s->show.paused ? "paused" : "staying");
    else if (second == -1)
        printf("\r\033[K        Enter goes on");
    else
        printf("\r\033[K        %s in %s", what,
               say_clock(next - now + s->loop->timeline_hz - 1, s->loop->timeline_hz, clock));
    s->show.line_open = true;
    fflush(stdout);
}

/* ---- keys ------------------------------------------------------------------------------------ */

static void end_sound(struct loop_state *s, enum hf_why why)
{
    struct hf_event end = {.kind = HF_EVENT_END,
                           .at = HF_AT_ONCE,
                           .fade = hf_conductor_fade(why, s->loop->rate_hz)};
    if (!s->asked_to_end && hf_engine_send(s->loop->performance->engine, &end))
        s->asked_to_end = true;
}

static void replay_key(struct loop_state *s, enum hf_key key)
{
    struct hf_event event = {.at = HF_AT_ONCE, .after = HF_AT_ONCE};
    if (key == HF_KEY_QUIT || key == HF_KEY_SIGNAL) {
        end_sound(s, key == HF_KEY_QUIT ? HF_WHY_QUIT : HF_WHY_SIGNAL);
    } else if (key == HF_KEY_PAUSE) {
        event.kind = s->replay_paused ? HF_EVENT_RESUME : HF_EVENT_PAUSE;
        if (hf_engine_send(s->loop->performance->engine, &event))
            s->replay_paused = !s->replay_paused;
    } else {
        say_line(&s->show, "        in a replay: p pauses and resumes, q leaves");
    }
}

static void act_on_key(struct loop_state *s, enum hf_key key, int64_t now)
{
    struct hf_diag diag;
    if (!s->loop->conductor) {
        replay_key(s, key);
        return;
    }
    enum hf_status status = hf_conductor_key(s->loop->conductor, key, now, &diag);
    if (status == HF_E_USAGE && diag.message[0] && key != HF_KEY_SIGNAL) {
        char line[400];
        snprintf(line, sizeof line, "        %s", diag.message);
        say_line(&s->show, line);
    } else if (status == HF_OK && (key == HF_KEY_GOT || key == HF_KEY_MISSED)) {
        say_line(&s->show, key == HF_KEY_GOT ? "        got" : "        missed");
    }
}

/* The terminal went away: play on without it (and don't spin), unless only a key could go on. */
static void lose_keys(struct loop_state *s, int64_t now)
{
    const struct hf_timeline *t = s->loop->timeline;
    s->has_keys = false;
    bool waits = s->loop->conductor ? t->wait || s->loop->conductor->staying ||
                                          s->loop->conductor->paused
                                    : s->replay_paused;
    if (waits)
        act_on_key(s, HF_KEY_QUIT, now);
}

static void read_keys(struct loop_state *s, int64_t now)
{
    struct pollfd input = {.fd = STDIN_FILENO, .events = POLLIN};
    unsigned char bytes[64];
    bool has_keys = s->has_keys && terminal_has_keys();
    if (poll(&input, has_keys ? 1 : 0, TICK_MS) <= 0 || !has_keys)
        return;
    ssize_t count = read(STDIN_FILENO, bytes, sizeof bytes);
    if (count <= 0) {
        lose_keys(s, now);
        return;
    }
    for (ssize_t i = 0; i < count; i++) {
        enum hf_key key = HF_KEY_STAY;
        enum press press = key_feed(&s->keys, bytes[i], &key);
        if (press == PRESS_KEY)
            act_on_key(s, key, now);
        else if (press == PRESS_HELP)
            say_line(&s->show, key_help);
    }
}

/* ---- the loop -------------------------------------------------------------------------------- */

static void render(void *context, long frames, float *stereo)
{
    hf_engine_render(context, frames, stereo);
}

static int64_t heard_now(const struct loop_state *s)
{
    const struct live_loop *loop = s->loop;
    int64_t rendered = hf_engine_now(loop->performance->engine);
    int64_t late = (int64_t)(hf_live_latency_s(loop->live) * loop->rate_hz);
    int64_t heard = rendered > late ? rendered - late : 0;
    return loop->timeline_hz == loop->rate_hz
               ? heard
               : (int64_t)((double)heard * loop->timeline_hz / loop->rate_hz);
}

static void tend(struct loop_state *s)
{
    if (s->failed != HF_OK)
        return;
    s->failed = hf_performance_tend(s->loop->performance, &s->why);
}

static void lose(struct loop_state *s)
{
    s->lost = true;
    if (s->loop->conductor && s->failed == HF_OK) {
        int64_t now = hf_engine_now(s->loop->performance->engine);
        s->failed = hf_conductor_lost(s->loop->conductor, now, &s->why);
        tend(s);
    }
}

static void run(struct loop_state *s)
{
    struct live_loop *loop = s->loop;
    while (!hf_engine_over(loop->performance->engine)) {
        int64_t now = heard_now(s);
        int signal_number = terminal_signal();
        if (signal_number && !loop->signal_number) {
            loop->signal_number = signal_number;
            act_on_key(s, HF_KEY_SIGNAL, now);
        }
        read_keys(s, now);
        tend(s);
        if (s->failed != HF_OK)
            end_sound(s, HF_WHY_QUIT); /* nothing may sound that is not in the journal */
        show_cues(s, now);
        show_states(s);
        show_countdown(s, now);
        if (!hf_live_alive(loop->live, seconds_now())) {
            lose(s);
            return;
        }
    }
    tend(s);
    show_states(s);
}

static enum hf_status leave(struct loop_state *s, struct hf_diag *diag)
{
    struct live_loop *loop = s->loop;
    close_line(&s->show);
    fflush(stdout);
    terminal_restore();
    enum hf_status status = HF_OK;
    if (s->lost) {
        hf_live_abandon(loop->live);
        status = hf_fail(diag, HF_E_LOST, "the sound output went away");
    } else {
        status = hf_live_stop(loop->live, diag);
    }
    loop->live = NULL;
    if (s->failed != HF_OK) {
        *diag = s->why;
        return s->failed;
    }
    return status;
}

enum hf_status live_loop_run(struct live_loop *loop, struct hf_diag *diag)
{
    struct loop_state s;
    memset(&s, 0, sizeof s);
    s.loop = loop;
    s.show.terminal = !loop->plain && isatty(STDOUT_FILENO) == 1;
    s.show.last_second = -3;
    enum hf_status status = hf_performance_tend(loop->performance, diag);
    if (status == HF_OK)
        status = hf_live_start(loop->live, render, loop->performance->engine, diag);
    if (status != HF_OK) {
        hf_live_abandon(loop->live);
        return status;
    }
    terminal_catch_signals();
    s.has_keys = terminal_begin();
    if (s.has_keys)
        say_line(&s.show, key_help);
    if (loop->timeline->count && loop->timeline->cues[0].has_hold &&
        loop->timeline->cues[0].hold.strings > 0)
        show_hold(&s, 0, "soon");
    run(&s);
    return leave(&s, diag);
}
