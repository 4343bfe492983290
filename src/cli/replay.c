/* SPDX-License-Identifier: MIT */
/* replay: a recorded session again, live or to a file. Invariant: everything comes from the
 * journal; no patch file, default or seed of today has a part in it. */
#include "session.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/live.h>

#include "show.h"
#include "preface.h"
#include "terminal.h"

const struct hf_cli_option hf_cli_replay_options[] = {
    {"output-file", 'o', "FILE",
     "write a sound file, in the format of its extension, instead\n"
     "of playing",
     CODE_OUTPUT_FILE},
    {"bits", 0, "DEPTH", "16, 24 or float (as recorded)", HF_OPT_BITS + 1},
    {"rate", 0, "HZ", "samples a second (as recorded; live: the output's)", HF_OPT_RATE + 1},
    {"dry-run", 0, NULL, "print the timeline, make no sound", CODE_DRY_RUN},
    {"salvage", 0, NULL, "go on past what is damaged, and say how much that was", CODE_SALVAGE},
    {NULL, 0, NULL, NULL, 0},
};

static enum hf_status no_record(void *self, const struct hf_record *record, struct hf_diag *diag)
{
    (void)self;
    (void)record;
    (void)diag;
    return HF_OK;
}

static void warn_torn(void)
{
    hf_cli_warn("the last record of the journal is not whole and is left out");
}

enum hf_status session_read_journal(const char *path, struct hf_journal *journal,
                                    struct hf_diag *diag)
{
    enum hf_status status = hf_store_read_journal(path, journal, diag);
    if (status == HF_OK && journal->torn)
        warn_torn();
    return status;
}

/* The request of the journal, at the rate and bits asked for now. */
static void adopt(struct session *s, struct hf_journal *journal, int rate_hz)
{
    int bits = s->request.given[HF_OPT_BITS] ? s->request.bits : journal->head.request.bits;
    s->head = journal->head;
    journal->head.held_patch = journal->head.added_patch = NULL; /* the texts are ours now */
    s->has_head = true;
    s->head.request.bits = bits;
    s->head.request.rate_hz = rate_hz;
}

enum hf_status session_adopt(struct session *s, struct hf_journal *journal, int rate_hz,
                             struct hf_diag *diag)
{
    adopt(s, journal, rate_hz);
    return session_read_patches(s, diag);
}

static void say_what(const struct hf_journal *journal, const struct hf_timeline *timeline)
{
    const struct hf_head *head = &journal->head;
    const char *label = head->request.text[HF_OPT_LABEL];
    char pitches[NOTES_TEXT], clock[CLOCK_TEXT];
    printf("Session of %s%s%s\n", head->started, label[0] ? ", " : "", label);
    if (head->request.practice != HF_PRACTICE_SIGHT)
        printf("Held:  %s\n", say_pitches(&journal->records[0], pitches));
    printf("Cues:  %" PRIu32 ", %s in all, pauses included\n", say_cues_given(timeline),
           say_clock(hf_timeline_length(timeline), head->request.rate_hz, clock));
}

static enum hf_status sound(struct session *s, struct hf_replay *replay, struct hf_live *live,
                            const struct hf_timeline *timeline, const struct hf_journal *journal,
                            int *signal_number, struct hf_diag *diag)
{
    struct hf_performance performance = {
        .source = hf_replay_source(replay), .sink = {no_record, NULL}, .engine = s->engine};
    struct live_stage stage = {.started = false};
    struct live_loop loop = {.live = live,
                             .stage = &stage,
                             .performance = &performance,
                             .journal = journal,
                             .request = &journal->head.request,
                             .held = journal->records[0].pcs,
                             .total = say_cues_given(timeline),
                             .varied = say_varied(timeline, journal->records[0].pcs),
                             .rate_hz = s->head.request.rate_hz,
                             .display = &s->display,
                             .timeline_hz = journal->head.request.rate_hz};
    keymap_init(&loop.keys);
    printf("Sound: %s at %d Hz\n", hf_live_name(live), hf_live_rate_hz(live));
    say_cautions();
    fflush(stdout);
    enum hf_status status = live_loop_run(&loop, diag);
    *signal_number = loop.signal_number;
    return status;
}

/* Everything that a journal gives, at the rate that it is to have now. */
static enum hf_status prepare(struct session *s, struct hf_journal *journal, int rate_hz,
                              struct hf_replay *replay, struct hf_diag *diag)
{
    enum hf_status status = hf_replay_init(replay, journal, rate_hz, diag);
    if (status != HF_OK)
        return status;
    status = session_adopt(s, journal, rate_hz, diag);
    if (status == HF_OK)
        session_replay_speech(s, journal, replay);
    return status == HF_OK ? session_engine(s, diag) : status;
}

static enum hf_status to_file(struct session *s, struct hf_journal *journal,
                              const struct hf_timeline *timeline, int *signal_number,
                              struct hf_diag *diag)
{
    struct hf_replay replay = {0};
    int rate_hz =
        s->request.given[HF_OPT_RATE] ? s->request.rate_hz : journal->head.request.rate_hz;
    enum hf_status status = prepare(s, journal, rate_hz, &replay, diag);
    if (status == HF_OK) {
        terminal_catch_signals(); /* so that no temporary file is left */
        status = session_bounce(s, journal, timeline, &replay, diag);
        *signal_number = terminal_signal();
    }
    hf_replay_deinit(&replay);
    return status;
}

/* Opens the output first, since it may decide the rate. */
static enum hf_status to_output(struct session *s, struct hf_journal *journal,
                                const struct hf_timeline *timeline, int *signal_number,
                                struct hf_diag *diag)
{
    struct hf_live *live = NULL;
    struct hf_replay replay = {0};
    enum hf_status status =
        hf_live_open(&live, s->output, s->request.given[HF_OPT_RATE] ? s->request.rate_hz : 0,
                     s->latency_ms, diag);
    if (status != HF_OK)
        return status;
    status = prepare(s, journal, hf_live_rate_hz(live), &replay, diag);
    if (status == HF_OK)
        status = sound(s, &replay, live, timeline, journal, signal_number, diag);
    else
        hf_live_abandon(live);
    hf_replay_deinit(&replay);
    return status;
}

/* A journal that is damaged, as far as it goes. */
static enum hf_status salvage(const char *path, struct hf_journal *journal, struct hf_diag *diag)
{
    char *text = NULL;
    size_t length = 0;
    enum hf_status status = hf_store_read(path, &text, &length, diag);
    if (status == HF_OK)
        status = hf_journal_salvage(text, length, journal, diag);
    free(text);
    if (status != HF_OK)
        return status;
    status = hf_replay_salvage(journal, diag);
    if (status != HF_OK)
        hf_journal_deinit(journal);
    else if (journal->left_out > 0)
        hf_cli_warn("%zu record%s of the journal %s left out: damaged, missing, or of no sense "
                    "without those",
                    journal->left_out, journal->left_out == 1 ? "" : "s",
                    journal->left_out == 1 ? "is" : "are");
    if (status == HF_OK && journal->torn)
        warn_torn();
    return status;
}

/* Something can be saved where the session record is whole. */
static enum hf_status advise(enum hf_status status, struct hf_diag *diag)
{
    if (status == HF_E_DATA && !diag->advice[0] && strncmp(diag->message, "record ", 7) == 0)
        hf_advise(diag, "--salvage goes on past it");
    return status;
}

static enum hf_status replay(struct session *s, const char *path, int *signal_number,
                             struct hf_diag *diag)
{
    struct hf_journal journal;
    struct hf_timeline timeline;
    enum hf_status status =
        s->salvage ? salvage(path, &journal, diag) : session_read_journal(path, &journal, diag);
    if (status != HF_OK)
        return advise(status, diag);
    status = advise(hf_replay_timeline(&journal, &timeline, diag), diag);
    if (status == HF_OK) {
        if (s->dry_run)
            say_timeline(&timeline, journal.records[0].pcs, journal.head.request.rate_hz);
        else
            say_what(&journal, &timeline);
        if (!s->dry_run && (s->file || takeaway_wanted(&s->takeaway)))
            status = to_file(s, &journal, &timeline, signal_number, diag);
        else if (!s->dry_run)
            status = to_output(s, &journal, &timeline, signal_number, diag);
        hf_timeline_deinit(&timeline);
    }
    hf_journal_deinit(&journal);
    return status;
}

int hf_cli_replay(const struct hf_cli_command *command, int argc, char **argv)
{
    static struct session s; /* large: not on the stack */
    struct hf_diag diag = {0};
    bool stop = false;
    int first = 0, signal_number = 0;
    enum hf_status status =
        hf_cli_parse(command, argc, argv, session_option, &s, &first, &stop, &diag);
    if (stop)
        return hf_cli_finish();
    if (status == HF_OK && argc - first != 1) {
        status = hf_fail(&diag, HF_E_USAGE, "replay takes one journal");
        hf_advise(&diag, "the last line of a session names its own");
    }
    if (status == HF_OK)
        status = takeaway_check(&s, &diag);
    if (status == HF_OK)
        status = display_begin(&s.display, !s.dry_run && !s.file, &diag);
    if (status == HF_OK)
        status = replay(&s, argv[first], &signal_number, &diag);
    if (s.display.stream)
        show_json_end(s.display.stream, argv[first]);
    status = display_end(status, &diag);
    session_deinit(&s);
    if (signal_number)
        terminal_die(signal_number);
    return status == HF_OK ? hf_cli_finish() : hf_cli_fail(status, &diag);
}
