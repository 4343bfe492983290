/* SPDX-License-Identifier: MIT */
/* play: a session to the sound output, recorded as it goes. Invariant: the head, the hold and the
 * first cue are on the disk before the output starts. */
#include "session.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include <holdfast/live.h>

#include "breaks.h"
#include "play_list.h"
#include "preface.h"
#include "record.h"
#include "resume.h"
#include "show.h"
#include "terminal.h"
#include "weak.h"

enum { PATH_BYTES = 1024, NAMES_TRIED = 100 };

const struct hf_cli_option hf_cli_output_options[] = {
    {"output", 0, "NAME", "the sound output (the system's); holdfast outputs lists them",
     CODE_OUTPUT},
    {"latency", 0, "MS", "wished delay of the output, 1 to 5000 (its own)", CODE_LATENCY},
    {NULL, 0, NULL, NULL, 0},
};

const struct hf_cli_option hf_cli_play_options[] = {
    {"why", 0, NULL, "say why this triad, and the weights of order weak", CODE_WHY},
    {"tell", 0, NULL, "in hunt: say which class notes are that complete nothing", CODE_TELL},
    {NULL, 0, NULL, NULL, 0},
};

/* Makes an empty file of that name, so that no other session takes it; false when it is there. */
static bool reserve(const char *path)
{
    int descriptor = open(path, O_CREAT | O_EXCL | O_WRONLY, 0666);
    if (descriptor < 0)
        return false;
    close(descriptor);
    return true;
}

/* The journal's name from the clock; a number is added where that is taken. */
static enum hf_status default_journal(char path[PATH_BYTES], struct hf_diag *diag)
{
    char directory[PATH_BYTES - 64], stamp[32];
    time_t now = time(NULL);
    struct tm local;
    if (!hf_cli_state_path("", directory, sizeof directory)) {
        hf_fail(diag, HF_E_CREATE,
                "no place for the journal: neither HOME nor XDG_STATE_HOME is set");
        hf_advise(diag, "name a file with --journal FILE");
        return HF_E_CREATE;
    }
    enum hf_status status = hf_store_make_directories(directory, diag);
    if (status != HF_OK)
        return status;
    localtime_r(&now, &local);
    strftime(stamp, sizeof stamp, "%Y-%m-%d-%H%M%S", &local);
    snprintf(path, PATH_BYTES, "%s/%s.jsonl", directory, stamp);
    for (int i = 2; !reserve(path); i++) {
        if (errno != EEXIST || i == NAMES_TRIED)
            return hf_fail(diag, HF_E_CREATE, "cannot create %.240s: %s", path, strerror(errno));
        snprintf(path, PATH_BYTES, "%s/%s-%d.jsonl", directory, stamp, i);
    }
    return HF_OK;
}

/* A record is not written over: it may be the only one of a lesson. */
static enum hf_status check_own_journal(const char *name, struct hf_diag *diag)
{
    struct stat found;
    errno = 0;
    bool is_there = stat(name, &found) == 0;
    if (!is_there && errno != ENOENT)
        return hf_fail(diag, HF_E_CREATE, "cannot create %.240s: %s", name, strerror(errno));
    if (is_there && S_ISREG(found.st_mode) && found.st_size > 0) {
        hf_fail(diag, HF_E_CREATE, "%.240s is there already, and a record is not written over",
                name);
        hf_advise(diag, "choose another name, or leave out --journal");
        return HF_E_CREATE;
    }
    return HF_OK;
}

/* Fills the first lines and starts the journal; the events wait in the engine until then. */
static enum hf_status open_journal(struct session *s, struct recorder *recorder,
                                   struct hf_performance *performance, const char *path,
                                   struct hf_diag *diag)
{
    recorder->gathering = true;
    enum hf_status status = recorder_head(recorder, &s->head, diag);
    if (status == HF_OK)
        status = hf_performance_tend(performance, diag);
    return status == HF_OK ? recorder_open_store(recorder, path, diag) : status;
}

/* Is there something left of a session that has ended? */
static bool ended_early(const struct session *s)
{
    return s->conductor.timeline.why != HF_WHY_FINISHED;
}

static void say_record(const struct session *s, const char *path)
{
    const struct hf_timeline *t = &s->conductor.timeline;
    char clock[CLOCK_TEXT];
    uint32_t cues = say_cues_given(t);
    if (t->end_at != HF_NEVER)
        printf("Played: %s, %" PRIu32 " cue%s\n",
               say_clock(t->end_at, s->head.request.rate_hz, clock), cues, cues == 1 ? "" : "s");
    printf("Record: ");
    hf_cli_print_file(path);
    printf("\nAgain:  ");
    hf_cli_print_file(hf_cli_called());
    printf(" replay ");
    hf_cli_print_file(path);
    if (ended_early(s)) {
        printf("\nGo on:  ");
        hf_cli_print_file(hf_cli_called());
        printf(" play --resume ");
        hf_cli_print_file(path);
    }
    printf("\n");
}

/* A path and a warm-up have no rounds; a tour's is its walk. */
static uint32_t cues_a_round(const struct hf_schedule *schedule)
{
    if (schedule->legs || schedule->steps)
        return 0;
    return schedule->stop_count ? (uint32_t)schedule->stop_count
                                : (uint32_t)hf_schedule_round(schedule);
}

static enum hf_status perform(struct session *s, struct hf_live *live, struct live_stage *stage,
                              int *signal_number, struct hf_diag *diag)
{
    struct recorder recorder = {0};
    char own_path[PATH_BYTES] = "";
    const char *path = s->journal ? s->journal : own_path;
    struct hf_performance performance = {.source = session_source(s),
                                         .sink = recorder_sink(&recorder)};
    struct live_loop loop = {.live = live,
                             .stage = stage,
                             .performance = &performance,
                             .conductor = &s->conductor,
                             .narrator = s->speech ? &s->narrator : NULL,
                             .timeline = &s->conductor.timeline,
                             .request = &s->head.request,
                             .held = s->head.request.held.set,
                             .total = hf_schedule_cues(&s->schedule),
                             .per_round = cues_a_round(&s->schedule),
                             .varied = !s->schedule.steps && say_several_results(&s->schedule),
                             .rate_hz = s->head.request.rate_hz,
                             .tell = s->tell,
                             .latency_ms = s->latency_ms,
                             .display = &s->display,
                             .keys = s->keys,
                             .one_pedal = s->one_pedal,
                             .midi = s->midi,
                             .timeline_hz = s->head.request.rate_hz};
    enum hf_status status = stage->started ? HF_OK : session_engine(s, diag);
    performance.engine = s->engine;
    if (status == HF_OK)
        status = s->journal ? check_own_journal(s->journal, diag) : default_journal(own_path, diag);
    if (status == HF_OK)
        status = open_journal(s, &recorder, &performance, path, diag);
    bool recorded = status == HF_OK;
    if (!recorded && !s->journal && own_path[0])
        unlink(own_path); /* it was only reserved */
    if (status == HF_OK)
        status = live_loop_run(&loop, diag);
    else
        hf_live_abandon(live);
    recorder_deinit(&recorder);
    *signal_number = loop.signal_number;
    if (recorded)
        say_record(s, path);
    if (s->display.stream)
        show_json_end(s->display.stream, recorded ? path : NULL);
    if (recorded)
        breaks_say_day(path, &s->conductor.timeline, s->head.request.rate_hz);
    return status;
}

/* Without keys it would never go on. */
static enum hf_status check_keys(const struct session *s, struct hf_diag *diag)
{
    if (!s->request.every.wait || isatty(STDIN_FILENO) == 1 || s->midi)
        return HF_OK;
    if (hf_request_chooses(&s->request))
        return hf_fail(diag, HF_E_USAGE, "%s needs a terminal for its keys",
                       s->request.text[HF_OPT_PRACTICE]);
    hf_fail(diag, HF_E_USAGE, "--every wait needs a terminal for its keys");
    hf_advise(diag, "give the cues a length, as in --every 25s");
    return HF_E_USAGE;
}

/* Whose turn it is among the kinds of a warm-up. */
static enum hf_status note_day(struct hf_request *request, struct hf_diag *diag)
{
    char today[16];
    time_t now = time(NULL);
    struct tm local;
    if (request->practice != HF_PRACTICE_WARMUP || request->given[HF_OPT_DAY])
        return HF_OK;
    localtime_r(&now, &local);
    strftime(today, sizeof today, "%Y-%m-%d", &local);
    return hf_request_set(request, HF_OPT_DAY, today, diag);
}

/* The level, the tuning, the session. */
static enum hf_status introduce(struct session *s, struct hf_live *live, int *signal_number,
                                struct hf_diag *diag)
{
    struct live_stage stage = {.started = false};
    enum preface_end end = PREFACE_BEGIN;
    enum hf_status status = HF_OK;
    if (preface_wanted(s))
        status = preface_run(s, live, &stage, &end, signal_number, diag);
    if (status == HF_OK && end == PREFACE_BEGIN)
        return perform(s, live, &stage, signal_number, diag);
    if (status == HF_OK)
        status = hf_live_stop(live, diag);
    else
        hf_live_abandon(live);
    terminal_restore();
    s->conductor.timeline.why = HF_WHY_QUIT;
    if (status == HF_OK)
        printf("Nothing was played, and nothing is recorded.\n");
    return status;
}

static enum hf_status play(struct session *s, int *signal_number, struct hf_diag *diag)
{
    struct hf_live *live = NULL;
    enum hf_status status = HF_OK;
    if (s->midi_name)
        status = hf_midi_open(&s->midi, hf_midi_portmidi(), s->midi_name, diag);
    if (status == HF_OK)
        status = check_keys(s, diag);
    if (status == HF_OK)
        status =
            hf_live_open(&live, s->output, s->request.given[HF_OPT_RATE] ? s->request.rate_hz : 0,
                         s->latency_ms, diag);
    if (status != HF_OK)
        return status;
    status = session_resolve(s, hf_live_rate_hz(live), diag);
    if (status == HF_OK)
        status = session_prepare(s, diag);
    if (status != HF_OK) {
        hf_live_abandon(live);
        return status;
    }
    if (s->resume)
        resume_say(s);
    say_session(s);
    breaks_say_plan(s);
    printf("Sound: %s at %d Hz\n", hf_live_name(live), hf_live_rate_hz(live));
    if (s->midi)
        printf("MIDI:  %s\n", hf_midi_name(s->midi));
    say_cautions();
    fflush(stdout);
    return introduce(s, live, signal_number, diag);
}

static enum hf_status read_one(struct session *s, const struct play_list *list, int place,
                               struct hf_diag *diag)
{
    const char *name = list->count ? list->names[place] : NULL;
    enum hf_status status = session_read_as(s, list->command, list->argc, list->argv, name, diag);
    if (status == HF_OK && list->count > 1 && s->journal)
        status = hf_fail(diag, HF_E_USAGE, "--journal names one record, and these are %d sessions",
                         list->count);
    if (status == HF_OK && s->tell && s->request.practice != HF_PRACTICE_HUNT)
        status = hf_fail(diag, HF_E_USAGE, "--tell goes with the practice hunt");
    if (status == HF_OK && s->why && list->count <= 1 && !weak_chooses(&s->request)) {
        status = hf_fail(diag, HF_E_USAGE,
                         "--why tells what was chosen by the journals, and here nothing is");
        hf_advise(diag, "leave it out, or add --order weak");
    }
    if (status == HF_OK && !s->resume)
        status = note_day(&s->request, diag);
    if (status == HF_OK)
        status = session_keys(s, diag);
    return status == HF_OK ? session_resolve(s, 0, diag) : status;
}

static enum hf_status play_one(struct session *s, const struct play_list *list, int place,
                               struct hf_diag *diag)
{
    enum hf_status status = read_one(s, list, place, diag);
    if (status == HF_OK && list->count > 1)
        printf("%sSession %d of %d: %s\n", place ? "\n" : "", place + 1, list->count,
               list->names[place]);
    if (status == HF_OK)
        status = weak_take(s, diag);
    if (place > 0)
        s->start = START_NOW; /* the level is set */
    if (status == HF_OK)
        status = s->dry_run ? session_make(s, diag) : play(s, list->signal_number, diag);
    return status;
}

/* A mistake in the last of several is told before the first one sounds. */
static enum hf_status check_all(struct session *s, const struct play_list *list,
                                struct hf_diag *diag)
{
    enum hf_status status = HF_OK;
    for (int i = 0; status == HF_OK && list->count > 1 && i < list->count; i++) {
        status = read_one(s, list, i, diag);
        session_deinit(s);
    }
    return status;
}

/* In turn, each with a record of its own; whoever leaves one leaves them all. */
static enum hf_status play_all(struct session *s, const struct play_list *list,
                               struct hf_diag *diag)
{
    enum hf_status status = check_all(s, list, diag);
    bool left = status != HF_OK;
    for (int i = 0; !left && (i == 0 || i < list->count); i++) {
        status = play_one(s, list, i, diag);
        left = status != HF_OK || *list->signal_number || terminal_signal() ||
               (s->has_conductor && s->conductor.timeline.why == HF_WHY_QUIT);
        session_deinit(s);
    }
    return status;
}

int hf_cli_play(const struct hf_cli_command *command, int argc, char **argv)
{
    static struct session s; /* large: not on the stack */
    struct hf_diag diag = {0};
    bool stop = false;
    int first = 0, signal_number = 0;
    enum hf_status status = session_operands(&s, command, argc, argv, &first, &stop, &diag);
    if (stop)
        return hf_cli_finish();
    struct play_list list = {command, argc, argv, argv + first, argc - first, &signal_number};
    if (status == HF_OK && s.resuming && (s.save || list.count > 1))
        status = hf_fail(&diag, HF_E_USAGE, "--resume takes one journal, or none for the newest");
    if (status == HF_OK)
        status = play_list_check(&s, &list, &diag);
    if (status == HF_OK && s.save)
        status = play_list_save(&s, &list, &diag);
    else if (status == HF_OK)
        status = play_all(&s, &list, &diag);
    if (s.dry_run)
        signal_number = terminal_signal();
    status = display_end(status, &diag);
    if (signal_number)
        terminal_die(signal_number);
    return status == HF_OK ? hf_cli_finish() : hf_cli_fail(status, &diag);
}
