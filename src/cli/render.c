/* SPDX-License-Identifier: MIT */
/* render: a session into a sound file; and the rehearsal that --dry-run is. */
#include "session.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "chooser.h"
#include "record.h"
#include "terminal.h"
#include "weak.h"

const struct hf_cli_option hf_cli_render_options[] = {
    {"output-file", 'o', "FILE", "the sound file to write, in the format of its extension",
     CODE_OUTPUT_FILE},
    {"bits", 0, "DEPTH", "16, 24 (default) or float", HF_OPT_BITS + 1},
    {NULL, 0, NULL, NULL, 0},
};

static enum hf_status check(const struct session *s, struct hf_diag *diag)
{
    if (hf_request_chooses(&s->request)) {
        hf_fail(diag, HF_E_USAGE,
                "%s is for a player: render makes improvise, ear, sight and warmup",
                s->request.text[HF_OPT_PRACTICE]);
        hf_advise(diag, "play it: play %s", s->request.text[HF_OPT_PRACTICE]);
        return HF_E_USAGE;
    }
    if (s->request.every.wait) {
        hf_fail(diag, HF_E_USAGE, "--every wait needs a player: it goes with play");
        hf_advise(diag, "give the cues a length, as in --every 25s");
        return HF_E_USAGE;
    }
    if (s->request.given[HF_OPT_BREAK_EVERY])
        return hf_fail(diag, HF_E_USAGE, "--break-every goes with play: a file has no breaks");
    if (s->file && s->journal && strcmp(s->file, s->journal) == 0)
        return hf_fail(diag, HF_E_USAGE, "the sound and the journal can't be the same file");
    enum hf_status status = takeaway_check(s, diag);
    if (status != HF_OK)
        return status;
    if (!s->file && !s->dry_run && !takeaway_wanted(&s->takeaway)) {
        hf_fail(diag, HF_E_USAGE, "render needs a file to write");
        hf_advise(diag, "name it with -o FILE.wav, or see the timeline with --dry-run");
        return HF_E_USAGE;
    }
    return HF_OK;
}

enum hf_status session_list_waited(struct session *s, struct hf_sink sink, struct hf_diag *diag)
{
    struct hf_step step;
    enum hf_status status = HF_OK;
    while (status == HF_OK && !s->conductor.exhausted) {
        while (status == HF_OK && hf_conductor_step(&s->conductor, &step))
            if (step.is_record)
                status = sink.record(sink.self, &step.record, diag);
        struct hf_report began = {.kind = HF_REPORT_BEGAN, .cue = s->conductor.serial};
        if (hf_request_chooses(&s->head.request))
            break;
        if (status == HF_OK)
            status = hf_conductor_report(&s->conductor, &began, diag);
        struct hf_report wants = {.kind = HF_REPORT_WANTS, .cue = s->conductor.serial};
        if (status == HF_OK)
            status = hf_conductor_report(&s->conductor, &wants, diag);
    }
    return status;
}

static enum hf_status rehearse(struct session *s, struct recorder *recorder, struct hf_diag *diag)
{
    say_session(s);
    fflush(stdout);
    if (s->request.every.wait)
        return session_list_waited(s, recorder_sink(recorder), diag);
    return hf_source_rehearse(session_source(s), recorder_sink(recorder), s->head.request.rate_hz,
                              diag);
}

/* Keeps the records as well as the recorder's own place for them. */
struct keeper {
    struct hf_sink recorder;
    struct hf_journal journal;
    size_t room;
};

static enum hf_status keep(void *self, const struct hf_record *record, struct hf_diag *diag)
{
    struct keeper *k = self;
    struct hf_journal *journal = &k->journal;
    if (journal->count == k->room) {
        size_t room = k->room ? 2 * k->room : 64;
        struct hf_record *grown = realloc(journal->records, room * sizeof *grown);
        if (!grown)
            return hf_fail(diag, HF_E_MEMORY, "out of memory");
        journal->records = grown;
        k->room = room;
    }
    journal->records[journal->count++] = *record;
    return k->recorder.record(k->recorder.self, record, diag);
}

/* Rehearses first: what is to sound, and where, is known before the file is begun. The sound is
 * then that of a replay, which is the same to the bit. */
static enum hf_status bounce(struct session *s, struct recorder *recorder, struct hf_diag *diag)
{
    struct keeper keeper = {.recorder = recorder_sink(recorder), .journal = {.head = s->head}};
    struct hf_replay replay = {0};
    say_session(s);
    fflush(stdout);
    enum hf_status status = hf_source_rehearse(session_source(s), (struct hf_sink){keep, &keeper},
                                               s->head.request.rate_hz, diag);
    if (status == HF_OK)
        status = hf_replay_init(&replay, &keeper.journal, s->head.request.rate_hz, diag);
    if (status == HF_OK) {
        session_replay_speech(s, &keeper.journal, &replay);
        status = session_bounce(s, &keeper.journal, &s->conductor.timeline, &replay, diag);
    }
    hf_replay_deinit(&replay);
    free(keeper.journal.records);
    return status;
}

/* With a file: renders. Dry: rehearses. Either way the records go to the journal, if there is to be
 * one, and the timeline is the conductor's. */
static enum hf_status make(struct session *s, struct hf_diag *diag)
{
    struct recorder recorder = {0};
    enum hf_status status = HF_OK;
    if (s->journal)
        status = hf_store_refuse_in_use(s->journal, diag);
    if (status == HF_OK && s->journal)
        status = hf_wholefile_open(&recorder.whole, s->journal, diag);
    if (status == HF_OK)
        status = recorder_head(&recorder, &s->head, diag);
    if (status == HF_OK && s->dry_run)
        status = rehearse(s, &recorder, diag);
    else if (status == HF_OK)
        status = bounce(s, &recorder, diag);
    if (status == HF_OK && recorder.whole) {
        struct hf_wholefile *whole = recorder.whole;
        recorder.whole = NULL; /* the commit frees it in every case */
        status = hf_wholefile_commit(whole, diag);
    }
    recorder_deinit(&recorder);
    return status;
}

static void say_made(const struct session *s)
{
    int rate_hz = s->head.request.rate_hz;
    if (s->dry_run && hf_request_chooses(&s->head.request))
        chooser_say_list(&s->head.request, &s->conductor.timeline);
    else if (s->dry_run)
        say_timeline(&s->conductor.timeline, s->head.request.held.set, rate_hz);
    if (s->journal) {
        printf("Record: ");
        hf_cli_print_file(s->journal);
        putchar('\n');
    }
}

/* What render does, and play --dry-run. */
enum hf_status session_make(struct session *s, struct hf_diag *diag)
{
    enum hf_status status = session_prepare(s, diag);
    if (status != HF_OK)
        return status;
    terminal_catch_signals(); /* so that no temporary file is left */
    status = make(s, diag);
    if (status == HF_OK)
        say_made(s);
    return status;
}

int hf_cli_render(const struct hf_cli_command *command, int argc, char **argv)
{
    static struct session s; /* large: not on the stack */
    struct hf_diag diag = {0};
    bool stop = false;
    enum hf_status status = session_read(&s, command, argc, argv, &stop, &diag);
    if (stop)
        return hf_cli_finish();
    if (status == HF_OK && s.takeaway.formats) {
        takeaway_say_formats();
        return hf_cli_finish();
    }
    if (status == HF_OK)
        status = check(&s, &diag);
    if (status == HF_OK)
        status = weak_refuse(&s.request, "render", &diag);
    if (status == HF_OK)
        status = session_resolve(&s, 0, &diag);
    if (status == HF_OK)
        status = session_make(&s, &diag);
    session_deinit(&s);
    if (terminal_signal())
        terminal_die(terminal_signal());
    return status == HF_OK ? hf_cli_finish() : hf_cli_fail(status, &diag);
}
