/* SPDX-License-Identifier: MIT */
/* The loop of a live session. Invariants: it wakes a hundred times a second and waits between; what
 * it shows follows the sample that is heard, not the wall clock. */
#include <math.h>
#include <string.h>
#include <unistd.h>

#include <holdfast/live.h>

#include "live_parts.h"
#include "preface.h"
#include "terminal.h"

enum { TICK_MS = 10, SILENCE_DB = -120 };

/* ---- a replay's timeline ----------------------------------------------------------------------
 */

static bool is_written_ahead(const struct hf_record *record)
{
    return record->type == HF_RECORD_CUE || record->type == HF_RECORD_STEP ||
           record->type == HF_RECORD_HOLD || record->type == HF_RECORD_DRONE;
}

/* Applies the records whose time has come, so that a replay shows what happened when it happens;
 * none once its player has left it. */
static void follow_journal(struct loop_state *s, int64_t now)
{
    const struct hf_journal *journal = s->loop->journal;
    if (s->asked_to_end)
        return;
    for (; s->applied < journal->count; s->applied++) {
        const struct hf_record *record = &journal->records[s->applied];
        if (!is_written_ahead(record) && record->at > now)
            return;
        enum hf_status status = hf_timeline_apply(&s->replayed, record, &s->why);
        if (status != HF_OK) { /* it was sound when the replay was made: for want of memory */
            s->failed = s->failed == HF_OK ? status : s->failed;
            return;
        }
        show_update(&s->show, record->at < now && !is_written_ahead(record) ? record->at : now);
        show_choice(&s->show, record, s->loop->tell);
        if (record->type == HF_RECORD_MARK)
            show_mark(&s->show, record->cue, record->as);
        if (record->type == HF_RECORD_AGAIN)
            show_again(&s->show, record->at);
    }
    hf_timeline_close(&s->replayed, hf_conductor_fade(HF_WHY_FINISHED, s->loop->timeline_hz));
}

void live_fail(struct loop_state *s, enum hf_status status, const char *why)
{
    if (s->failed == HF_OK)
        s->failed = hf_fail(&s->why, status, "%s", why);
}

void live_tend(struct loop_state *s)
{
    if (s->failed != HF_OK)
        return;
    s->failed = hf_performance_tend(s->loop->performance, &s->why);
}

/* ---- the loop -------------------------------------------------------------------------------- */

enum hf_status live_start(struct loop_state *s, struct hf_diag *diag)
{
    return hf_live_start(s->loop->live, live_stage_render, s->loop->stage, diag);
}

/* The peak since the last look, falling by no more than a decibel at a time. */
static void watch_level(struct loop_state *s)
{
    uint32_t bits = atomic_exchange_explicit(&s->loop->stage->peak, 0, memory_order_relaxed);
    float peak;
    memcpy(&peak, &bits, sizeof peak);
    double db = peak > 1e-6F ? 20 * log10((double)peak) : SILENCE_DB;
    s->level_db = db > s->level_db - 1 ? db : s->level_db - 1;
    s->show.of.has_level = true;
    s->show.of.level_db = s->level_db;
}

/* The session sample that is heard now: the last one rendered, less what is still on its way. */
static int64_t heard_now(struct loop_state *s)
{
    const struct live_loop *loop = s->loop;
    int64_t rendered = 0;
    double until_s = 0, rate = loop->rate_hz;
    for (int tries = 0; tries < 100; tries++) { /* between two turns of the audio thread */
        uint64_t turn = hf_live_turn(loop->live);
        rendered = hf_engine_now(loop->performance->engine);
        until_s = hf_live_until_heard_s(loop->live);
        if (turn % 2 == 0 && turn == hf_live_turn(loop->live))
            break;
    }
    until_s += loop->display->offset_ms / 1000;
    int64_t heard = rendered - (int64_t)(until_s * rate);
    heard = heard > rendered ? rendered : heard;
    if (loop->timeline_hz != loop->rate_hz)
        heard = (int64_t)((double)heard * loop->timeline_hz / loop->rate_hz);
    s->heard = heard > s->heard ? heard : s->heard;
    return s->heard;
}

static void lose(struct loop_state *s)
{
    s->lost = true;
    if (s->loop->conductor && s->failed == HF_OK) {
        int64_t now = hf_engine_now(s->loop->performance->engine);
        s->failed = hf_conductor_lost(s->loop->conductor, now, &s->why);
        live_tend(s);
    }
}

static void run(struct loop_state *s)
{
    struct live_loop *loop = s->loop;
    while (!hf_engine_over(loop->performance->engine)) {
        int64_t now = heard_now(s);
        s->tick_ms = show_rest_ms(&s->show, now, TICK_MS);
        int signal_number = terminal_signal();
        if (signal_number && (!loop->signal_number || (!loop->conductor && !s->asked_to_end))) {
            loop->signal_number = signal_number;
            live_key(s, HF_KEY_SIGNAL, now);
        }
        if (loop->narrator && s->has_keys)
            hf_narrator_tend(loop->narrator, now);
        if (loop->conductor && s->has_keys)
            breaks_tend(&s->breaks, loop->conductor, now);
        s->show.of.break_s = breaks_seconds(&s->breaks);
        s->show.of.picked = live_picked(s);
        live_hands(s, now);
        live_tend(s);
        if (s->failed != HF_OK)
            live_end_sound(s, HF_WHY_QUIT); /* nothing may sound that is not in the journal */
        if (loop->journal)
            follow_journal(s, now);
        watch_level(s);
        show_update(&s->show, heard_now(s));
        if (!hf_live_alive(loop->live, hf_cli_seconds()) && !live_wait(s)) {
            lose(s);
            return;
        }
    }
    live_tend(s);
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
    s.level_db = SILENCE_DB;
    s.show = (struct show){.of = {.timeline = loop->journal ? &s.replayed : loop->timeline,
                                  .request = loop->request,
                                  .rate_hz = loop->timeline_hz,
                                  .held = loop->held,
                                  .varied = loop->varied,
                                  .total = loop->total,
                                  .per_round = loop->per_round,
                                  .replay = loop->journal != NULL,
                                  .preview = loop->display->preview,
                                  .typed = s.chooser.line},
                           .theme = loop->display->theme,
                           .stream = loop->display->stream,
                           .plain = loop->display->plain,
                           .terminal = !loop->display->plain && isatty(STDOUT_FILENO) == 1};
    s.chooser = (struct chooser){
        .request = loop->request, .conductor = loop->conductor, .tell = loop->tell};
    if (loop->journal)
        hf_timeline_init(&s.replayed, &loop->journal->head.request);
    enum hf_status status = hf_performance_tend(loop->performance, diag);
    atomic_store(&loop->stage->engine, loop->performance->engine); /* its first events are there */
    if (status == HF_OK && !loop->stage->started)
        status = live_start(&s, diag);
    if (status != HF_OK) {
        hf_live_abandon(loop->live);
        return status;
    }
    terminal_catch_signals();
    s.has_keys = terminal_begin(); /* before a screen: its own modes come on top */
    show_open(&s.show);
    live_hands_begin(&s);
    if (loop->conductor && s.show.kind == SHOW_PLAIN) /* else it is in the scene */
        chooser_say_list(loop->request, loop->timeline);
    show_first_grip(&s.show);
    run(&s);
    status = leave(&s, diag);
    if (loop->conductor)
        show_marks(loop->timeline);
    if (loop->conductor)
        chooser_say_end(loop->request, loop->timeline, loop->timeline_hz);
    if (loop->conductor)
        quiz_say_end(loop->request, loop->timeline);
    hf_timeline_deinit(&s.replayed);
    return status;
}
