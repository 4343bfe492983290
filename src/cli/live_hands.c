/* SPDX-License-Identifier: MIT */
/* What the player does. Invariants: input that has ended is never read again; with one pedal the
 * mark and the key that a gesture asks for come together; a mark is in the journal before it is
 * shown. */
#include <poll.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "live_parts.h"
#include "terminal.h"

enum { MIDI_AT_ONCE = 64 };

/* ---- keys ------------------------------------------------------------------------------------ */

void live_end_sound(struct loop_state *s, enum hf_why why)
{
    struct hf_event end = {
        .kind = HF_EVENT_END, .at = HF_AT_ONCE, .fade = hf_conductor_fade(why, s->loop->rate_hz)};
    if (!s->asked_to_end && hf_engine_send(s->loop->performance->engine, &end))
        s->asked_to_end = true;
}

static void replay_key(struct loop_state *s, enum hf_key key, int64_t now)
{
    struct hf_event event = {.at = HF_AT_ONCE, .after = HF_AT_ONCE};
    if (key == HF_KEY_QUIT || key == HF_KEY_SIGNAL) {
        live_end_sound(s, key == HF_KEY_QUIT ? HF_WHY_QUIT : HF_WHY_SIGNAL);
        if (s->asked_to_end && now < s->replayed.end_at)
            s->replayed.end_at = now; /* what the journal has after it isn't heard */
    } else if (key == HF_KEY_PAUSE) {
        event.kind = s->replay_paused ? HF_EVENT_RESUME : HF_EVENT_PAUSE;
        if (hf_engine_send(s->loop->performance->engine, &event))
            s->replay_paused = !s->replay_paused;
    } else {
        show_line(&s->show, "        in a replay: p pauses and resumes, q leaves");
    }
}

unsigned live_picked(const struct loop_state *s)
{
    const struct hf_conductor *c = s->loop->conductor;
    return c && c->picks_of == c->running ? c->picked : 0;
}

/* What was picked of a chord, as long as it is no answer yet. */
static void show_picks(struct loop_state *s, int64_t now)
{
    char picks[QUIZ_TEXT], line[QUIZ_TEXT + 8];
    long index = scene_cue(s->loop->timeline, now);
    s->show.of.picked = live_picked(s);
    if (index < 0 || s->loop->timeline->cues[index].answered || s->show.terminal)
        return;
    snprintf(line, sizeof line, "        %s", quiz_picks(&s->show.of, (size_t)index, picks));
    show_line(&s->show, picks[0] ? line : "        picked none");
}

/* A key may be refused; what else keeps it from its effect is the session's end. */
static void fail_unless_refused(struct loop_state *s, enum hf_status status,
                                const struct hf_diag *diag)
{
    if (status != HF_OK && status != HF_E_USAGE)
        live_fail(s, status, diag->message);
}

void live_key(struct loop_state *s, enum hf_key key, int64_t now)
{
    struct hf_diag diag;
    if (!s->loop->conductor) {
        replay_key(s, key, now);
        return;
    }
    if (breaks_swallow(&s->breaks, key))
        return;
    bool goes_on = s->breaks.on; /* and means nothing else */
    enum hf_status status = hf_conductor_key(s->loop->conductor, key, now, &diag);
    if (status == HF_E_USAGE && diag.message[0] && key != HF_KEY_SIGNAL) {
        char line[400];
        snprintf(line, sizeof line, "        %s", diag.message);
        show_line(&s->show, line);
        return;
    }
    fail_unless_refused(s, status, &diag);
    live_tend(s); /* so that a mark is in the journal, and in the timeline, before it is shown */
    if (goes_on)
        return;
    const struct hf_timeline_cue *told = hf_timeline_told(s->loop->timeline, now);
    if (status == HF_OK && told && (key == HF_KEY_GOT || key == HF_KEY_MISSED))
        show_mark(&s->show, told->record.n, told->mark);
    if (status == HF_OK && key == HF_KEY_AGAIN)
        show_again(&s->show, now);
    if (status == HF_OK && s->loop->timeline->way == HF_CUE_CHORD && key >= HF_KEY_CHOICE_1 &&
        key <= HF_KEY_CHOICE_9)
        show_picks(s, now);
}

/* The terminal went away: play on without it (and don't spin), unless only a key could go on. */
static void lose_keys(struct loop_state *s, int64_t now)
{
    const struct hf_timeline *t = s->loop->timeline;
    s->has_keys = false;
    bool waits = s->loop->conductor
                     ? t->wait || s->loop->conductor->staying || s->loop->conductor->paused
                     : s->replay_paused;
    if (waits)
        live_key(s, HF_KEY_QUIT, now);
}

/* ---- one pedal ------------------------------------------------------------------------------- */

static int64_t now_ms(void)
{
    return (int64_t)(hf_cli_seconds() * 1000);
}

static void mark(struct loop_state *s, long cue, enum hf_mark as, int64_t at)
{
    struct hf_diag diag;
    enum hf_status status = hf_conductor_mark(s->loop->conductor, cue, as, at, &diag);
    fail_unless_refused(s, status, &diag);
    if (status != HF_OK)
        return;
    live_tend(s);
    show_mark(&s->show, cue, as);
}

static void tend_pedal(struct loop_state *s, int64_t now)
{
    const struct live_loop *loop = s->loop;
    bool marks = hf_pedal_marks(loop->request->practice);
    struct hf_press press;
    for (enum hf_gesture gesture;
         (gesture = hf_pedal_gesture(&s->pedal, now_ms(), &press)) != HF_GESTURE_NONE;) {
        struct hf_pedal_wish wish = hf_pedal_wish(loop->timeline, marks, gesture, press.at, now);
        if (wish.marks)
            mark(s, wish.cue, wish.as, press.at);
        if (wish.presses)
            live_key(s, wish.key, now);
    }
    for (long cue; marks && (cue = hf_pedal_missed(&s->pedal, loop->timeline, now)) != 0;)
        mark(s, cue, HF_MARK_MISSED, now);
}

/* ---- input ----------------------------------------------------------------------------------- */

/* The next line of a text, which begins anew after the last: a screen has room for one. */
static void say_next_line(struct loop_state *s, const char *text)
{
    char line[SHOW_TEXT];
    const char *at = text;
    for (int i = 0; i < s->help_line && at; i++) {
        at = strchr(at, '\n');
        at = at ? at + 1 : NULL;
    }
    s->help_line = at ? s->help_line + 1 : 1;
    at = at ? at : text;
    snprintf(line, sizeof line, "%.*s", (int)strcspn(at, "\n"), at);
    show_line(&s->show, line);
}

static void say_keys(struct loop_state *s)
{
    char keys[KEYMAP_HELP], asked[QUIZ_TEXT], text[QUIZ_TEXT + CHOOSER_TEXT + KEYMAP_HELP];
    const char *chooses = s->loop->conductor ? chooser_help(s->loop->request) : NULL;
    const char *answers = s->loop->conductor ? quiz_help(s->loop->request, asked) : NULL;
    keymap_help(&s->loop->keys, !s->loop->conductor, keys);
    snprintf(text, sizeof text, "%s%s%s", answers ? answers : "", answers ? "\n" : "",
             chooses ? chooses : keys);
    if (s->show.kind == SHOW_SCREEN)
        say_next_line(s, text);
    else
        show_line(&s->show, text);
}

/* Eyes closed: what is asked now, and what the one pedal does, which no file can change. */
static void speak_help(struct loop_state *s, int64_t now)
{
    const struct live_loop *loop = s->loop;
    const char *pedal = hf_pedal_marks(loop->request->practice)
                            ? "press for the answer. press again if you got it. twice quickly, "
                              "again. held, stay"
                            : "press for the next. twice quickly, again";
    if (loop->narrator && loop->conductor)
        hf_narrator_help(loop->narrator, now, loop->one_pedal ? pedal : "");
}

/* Where the player chooses, a byte may be part of notes that are typed. */
static bool choose(struct loop_state *s, unsigned char byte, int64_t now)
{
    char reply[CHOOSER_TEXT], line[CHOOSER_TEXT + 16];
    if (s->breaks.on || s->keys.length > 0) /* in an escape sequence */
        return false;
    enum chooser_press press = chooser_feed(&s->chooser, byte, now, reply);
    if (s->chooser.failed != HF_OK)
        live_fail(s, s->chooser.failed, reply);
    if (press == CHOOSER_SAYS) {
        live_tend(s); /* so that it is in the journal before it is shown */
        snprintf(line, sizeof line, "        %s", reply);
        show_line(&s->show, line);
    }
    return press != CHOOSER_LEFT;
}

static void press(struct loop_state *s, const char *name, int64_t now, bool releases)
{
    enum control control = keymap_look(&s->loop->keys, name);
    if (s->breaks.on && (control == CONTROL_NONE || control == CONTROL_HELP)) {
        live_key(s, HF_KEY_PAUSE, now); /* any key goes on */
        return;
    }
    switch (control) {
    case CONTROL_NONE:
        break;
    case CONTROL_HELP:
        say_keys(s);
        speak_help(s, now);
        break;
    case CONTROL_PEDAL:
        hf_pedal_press(&s->pedal, (struct hf_press){now_ms(), now}, releases);
        break;
    default:
        live_key(s, control_key(control), now);
    }
}

static void read_terminal(struct loop_state *s, int64_t now)
{
    struct pollfd input = {.fd = STDIN_FILENO, .events = POLLIN};
    unsigned char bytes[64];
    char name[KEY_NAME];
    bool has_keys = s->has_keys && terminal_has_keys();
    if (poll(&input, has_keys ? 1 : 0, s->tick_ms) <= 0 || !has_keys)
        return;
    ssize_t count = read(STDIN_FILENO, bytes, sizeof bytes);
    if (count <= 0)
        lose_keys(s, now);
    for (ssize_t i = 0; i < count; i++)
        if (!choose(s, bytes[i], now) && key_feed(&s->keys, bytes[i], name))
            press(s, name, now, false);
}

/* A pedal that has gone leaves the keyboard; without one nothing else could go on. */
static void lose_midi(struct loop_state *s, int64_t now)
{
    show_line(&s->show, "        the MIDI input went away: the keyboard goes on");
    s->loop->midi = NULL;
    hf_pedal_release(&s->pedal, now_ms());
    if (!s->has_keys)
        lose_keys(s, now);
}

static void read_midi(struct loop_state *s, int64_t now)
{
    struct hf_midi_message message;
    char name[KEY_NAME];
    for (int i = 0; i < MIDI_AT_ONCE && hf_midi_read(s->loop->midi, &message); i++) {
        enum midi_press what = key_midi(message.status, message.data_1, message.data_2, name);
        if (what == MIDI_PRESS || what == MIDI_PRESS_ONLY)
            press(s, name, now, what == MIDI_PRESS);
        else if (what == MIDI_RELEASE && keymap_look(&s->loop->keys, name) == CONTROL_PEDAL)
            hf_pedal_release(&s->pedal, now_ms());
    }
    if (!hf_midi_alive(s->loop->midi))
        lose_midi(s, now);
}

void live_hands_begin(struct loop_state *s)
{
    hf_pedal_init(&s->pedal);
    if (s->has_keys)
        say_keys(s);
}

void live_hands(struct loop_state *s, int64_t now)
{
    read_terminal(s, now);
    if (s->loop->midi)
        read_midi(s, now);
    if (s->loop->one_pedal && s->loop->conductor)
        tend_pedal(s, now);
}
