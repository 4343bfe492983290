/* SPDX-License-Identifier: MIT */
/* The loop of a live session. Invariants: it wakes a hundred times a second and waits between; what
 * it shows follows the sample that is heard, not the wall clock. */
#include "session.h"

#include <inttypes.h>
#include <poll.h>
#include <string.h>
#include <unistd.h>

#include <holdfast/live.h>

#include "chooser.h"
#include "breaks.h"
#include "keys.h"
#include "show.h"
#include "terminal.h"

enum { TICK_MS = 10 };

static const char replay_help[] = "p pause / resume   q leave";

struct loop_state {
    struct live_loop *loop;
    struct show show;
    struct hf_timeline replayed; /* of a replay, as far as it has come */
    size_t applied;              /* records of it */
    struct key_reader keys;
    struct chooser chooser;
    struct breaks breaks;
    bool has_keys, asked_to_end, replay_paused, lost;
    enum hf_status failed; /* of the record: the session is let out without it */
    struct hf_diag why;
};

/* ---- a replay's timeline ----------------------------------------------------------------------
 */

static bool is_written_ahead(const struct hf_record *record)
{
    return record->type == HF_RECORD_CUE || record->type == HF_RECORD_HOLD;
}

/* Applies the records whose time has come, so that a replay shows what happened when it happens. */
static void follow_journal(struct loop_state *s, int64_t now)
{
    const struct hf_journal *journal = s->loop->journal;
    for (; s->applied < journal->count; s->applied++) {
        const struct hf_record *record = &journal->records[s->applied];
        if (!is_written_ahead(record) && record->at > now)
            return;
        if (hf_timeline_apply(&s->replayed, record, &s->why) != HF_OK)
            continue; /* it was sound when the replay was made, so only memory can fail here */
        show_update(&s->show, record->at < now && !is_written_ahead(record) ? record->at : now);
        show_choice(&s->show, record, s->loop->tell);
        if (record->type == HF_RECORD_MARK)
            show_mark(&s->show, record->cue, record->as);
        if (record->type == HF_RECORD_AGAIN)
            show_again(&s->show, record->at);
    }
    hf_timeline_close(&s->replayed, hf_conductor_fade(HF_WHY_FINISHED, s->loop->timeline_hz));
}

static void tend(struct loop_state *s)
{
    if (s->failed != HF_OK)
        return;
    s->failed = hf_performance_tend(s->loop->performance, &s->why);
}

/* ---- keys ------------------------------------------------------------------------------------ */

static void end_sound(struct loop_state *s, enum hf_why why)
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
        end_sound(s, key == HF_KEY_QUIT ? HF_WHY_QUIT : HF_WHY_SIGNAL);
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

static void act_on_key(struct loop_state *s, enum hf_key key, int64_t now)
{
    struct hf_diag diag;
    if (!s->loop->conductor) {
        replay_key(s, key, now);
        return;
    }
    if (breaks_swallow(&s->breaks, key))
        return;
    enum hf_status status = hf_conductor_key(s->loop->conductor, key, now, &diag);
    if (status == HF_E_USAGE && diag.message[0] && key != HF_KEY_SIGNAL) {
        char line[400];
        snprintf(line, sizeof line, "        %s", diag.message);
        show_line(&s->show, line);
        return;
    }
    tend(s); /* so that a mark is in the journal, and in the timeline, before it is shown */
    const struct hf_timeline_cue *told = hf_timeline_told(s->loop->timeline, now);
    if (status == HF_OK && told && (key == HF_KEY_GOT || key == HF_KEY_MISSED))
        show_mark(&s->show, told->record.n, told->mark);
    if (status == HF_OK && key == HF_KEY_AGAIN)
        show_again(&s->show, now);
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
        act_on_key(s, HF_KEY_QUIT, now);
}

static const char *help_of(const struct loop_state *s)
{
    const char *help = s->loop->conductor ? chooser_help(s->loop->request) : replay_help;
    return help ? help : key_help;
}

/* Where the player chooses, a byte may be part of notes that are typed. */
static bool choose(struct loop_state *s, unsigned char byte, int64_t now)
{
    char reply[CHOOSER_TEXT], line[CHOOSER_TEXT + 16];
    if (s->keys.length > 0) /* in an escape sequence */
        return false;
    enum chooser_press press = chooser_feed(&s->chooser, byte, now, reply);
    if (press == CHOOSER_SAYS) {
        tend(s); /* so that it is in the journal before it is shown */
        snprintf(line, sizeof line, "        %s", reply);
        show_line(&s->show, line);
    }
    return press != CHOOSER_LEFT;
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
        if (!s->breaks.on && choose(s, bytes[i], now))
            continue;
        enum press press = key_feed(&s->keys, bytes[i], &key);
        if (press == PRESS_KEY)
            act_on_key(s, key, now);
        else if (s->breaks.on && s->keys.length == 0)
            act_on_key(s, HF_KEY_PAUSE, now); /* any key goes on */
        else if (press == PRESS_HELP)
            show_line(&s->show, help_of(s));
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
        if (signal_number && (!loop->signal_number || (!loop->conductor && !s->asked_to_end))) {
            loop->signal_number = signal_number;
            act_on_key(s, HF_KEY_SIGNAL, now);
        }
        if (loop->conductor && s->has_keys)
            breaks_tend(&s->breaks, loop->conductor, now);
        s->show.of.break_s = breaks_seconds(&s->breaks);
        read_keys(s, now);
        tend(s);
        if (s->failed != HF_OK)
            end_sound(s, HF_WHY_QUIT); /* nothing may sound that is not in the journal */
        if (loop->journal)
            follow_journal(s, now);
        show_update(&s->show, now);
        if (!hf_live_alive(loop->live, hf_cli_seconds())) {
            lose(s);
            return;
        }
    }
    tend(s);
}

static enum hf_status leave(struct loop_state *s, struct hf_diag *diag)
{
    struct live_loop *loop = s->loop;
    show_close(&s->show);
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
    s.show = (struct show){.of = {.timeline = loop->journal ? &s.replayed : loop->timeline,
                                  .request = loop->request,
                                  .rate_hz = loop->timeline_hz,
                                  .held = loop->held,
                                  .varied = loop->varied,
                                  .total = loop->total,
                                  .per_round = loop->per_round,
                                  .replay = loop->journal != NULL,
                                  .typed = s.chooser.line},
                           .terminal = !loop->plain && isatty(STDOUT_FILENO) == 1};
    s.chooser = (struct chooser){
        .request = loop->request, .conductor = loop->conductor, .tell = loop->tell};
    if (loop->journal)
        hf_timeline_init(&s.replayed, &loop->journal->head.request);
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
        show_line(&s.show, help_of(&s));
    if (loop->conductor)
        chooser_say_list(loop->request, loop->timeline);
    show_first_grip(&s.show);
    run(&s);
    status = leave(&s, diag);
    if (loop->conductor)
        show_marks(loop->timeline);
    if (loop->conductor)
        chooser_say_end(loop->request, loop->timeline, loop->timeline_hz);
    hf_timeline_deinit(&s.replayed);
    return status;
}
