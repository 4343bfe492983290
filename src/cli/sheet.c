/* SPDX-License-Identifier: MIT */
/* sheet: pages for player and student. Invariant: what a page holds follows from the options or the
 * journal alone, so that the same command gives the same bytes. */
#include "session.h"

#include <string.h>
#include <strings.h>

#include <holdfast/lesson.h>

#include "progress.h"
#include "terminal.h"
#include "weak.h"

enum { PROGRESS_STEPS = 1000, VOICINGS = 4 };

const struct hf_cli_option hf_cli_sheet_options[] = {
    {"output-file", 'o', "FILE", "the page to write: .html", CODE_OUTPUT_FILE},
    {"synth", 0, NULL,
     "no sound inside: the browser makes it from the same numbers,\n"
     "and the page is small",
     CODE_SYNTH},
    {"journal", 0, "FILE", "a page of this recorded session", CODE_JOURNAL},
    {NULL, 0, NULL, NULL, 0},
};

/* The forms of a sheet, and those that are known but not made yet. */
static bool ends_in(const char *path, const char *extension)
{
    size_t length = strlen(path), size = strlen(extension);
    return length > size && strcasecmp(path + length - size, extension) == 0;
}

static enum hf_status check_file(const char *path, struct hf_diag *diag)
{
    static const char *const later[] = {".pdf", ".svg", ".musicxml", ".mid"};
    if (!path) {
        hf_fail(diag, HF_E_USAGE, "sheet needs a file to write");
        hf_advise(diag, "name it with -o FILE.html");
        return HF_E_USAGE;
    }
    if (ends_in(path, ".html") || ends_in(path, ".htm"))
        return HF_OK;
    for (size_t i = 0; i < sizeof later / sizeof later[0]; i++)
        if (ends_in(path, later[i]))
            return hf_fail(diag, HF_E_USAGE, "sheets in the form %s are not built yet", later[i]);
    return hf_fail(diag, HF_E_USAGE, "cannot write %.200s: unknown extension (known: .html)", path);
}

/* What a page can't do is refused, not left out. */
static enum hf_status check_request(const struct hf_request *request, struct hf_diag *diag)
{
    if (request->practice != HF_PRACTICE_IMPROVISE && !hf_request_chooses(request)) {
        hf_fail(diag, HF_E_USAGE, "a page of %s is not built yet", request->text[HF_OPT_PRACTICE]);
        hf_advise(diag, request->practice == HF_PRACTICE_EAR
                            ? "for cues by ear, which the student marks: sheet --cue ear"
                            : "choose one of: improvise, roam, hunt");
        return HF_E_USAGE;
    }
    if (request->unfold.size > 0 || request->fading || request->tick)
        return hf_fail(diag, HF_E_USAGE, "a page does not %s",
                       request->unfold.size > 0 ? "unfold a chord: leave out --unfold"
                       : request->fading        ? "let go of the drone: leave out --support"
                                                : "keep the beat: leave out --tick");
    if (request->speak != HF_SPEAK_OFF)
        return hf_fail(diag, HF_E_USAGE, "a page does not speak: leave out --speak");
    return weak_refuse(request, "sheet", diag);
}

static enum hf_status no_record(void *self, const struct hf_record *record, struct hf_diag *diag)
{
    (void)self;
    (void)record;
    (void)diag;
    return HF_OK;
}

struct writing {
    struct hf_progress progress;
};

static bool hear_progress(void *self, double done)
{
    const struct hf_progress *progress = &((struct writing *)self)->progress;
    return progress->done(progress->self, (int64_t)(done * PROGRESS_STEPS));
}

static enum hf_status write_page(struct session *s, const struct hf_timeline *timeline,
                                 struct hf_diag *diag)
{
    struct hf_wholefile *file = NULL;
    struct progress bar;
    struct writing writing = {progress_begin(&bar, PROGRESS_STEPS)};
    struct hf_lesson lesson = {.head = &s->head,
                               .held_patch = &s->held_patch,
                               .added_patch = &s->added_patch,
                               .timeline = timeline,
                               .synth = s->synth,
                               .progress = hear_progress,
                               .self = &writing};
    terminal_catch_signals(); /* so that no temporary file is left */
    enum hf_status status = hf_wholefile_open(&file, s->file, diag);
    if (status == HF_OK)
        status = hf_lesson_write(&lesson, file, diag);
    progress_end(&bar);
    if (status == HF_OK)
        return hf_wholefile_commit(file, diag);
    hf_wholefile_discard(file);
    return status;
}

/* ---- from options ---------------------------------------------------------------------------- */

/* Asks for a completion: in roam for the next, in hunt for one after another by its notes. */
static enum hf_status choose(struct session *s, int turn, struct hf_diag *diag)
{
    struct hf_conductor *c = &s->conductor;
    struct hf_verdict verdict;
    if (s->head.request.practice == HF_PRACTICE_ROAM)
        return hf_conductor_key(c, HF_KEY_NEXT, 0, diag);
    return hf_conductor_answer(c, s->schedule.completions[turn % s->schedule.count].pcs, 0,
                               &verdict, diag);
}

/* Where the student chooses: every completion, each in several voicings. */
static enum hf_status lay_choices(struct session *s, struct hf_diag *diag)
{
    struct hf_step step;
    enum hf_status status = HF_OK;
    for (int turn = 0; status == HF_OK && turn < VOICINGS * s->schedule.count; turn++) {
        status = choose(s, turn, diag);
        while (hf_conductor_step(&s->conductor, &step))
            continue;
        struct hf_report reports[] = {{.kind = HF_REPORT_NEXT, .at = (turn + 1) * HF_GRID},
                                      {.kind = HF_REPORT_BEGAN, .cue = s->conductor.serial},
                                      {.kind = HF_REPORT_ANSWER, .command = HF_EVENT_NEXT}};
        for (int i = 0; status == HF_OK && i < 3; i++)
            status = hf_conductor_report(&s->conductor, &reports[i], diag);
    }
    return status;
}

static enum hf_status plan(struct session *s, struct hf_diag *diag)
{
    struct hf_sink nowhere = {no_record, NULL};
    enum hf_status status = check_request(&s->request, diag);
    if (status == HF_OK)
        status = session_resolve(s, 0, diag);
    if (status == HF_OK)
        status = session_prepare(s, diag);
    if (status != HF_OK)
        return status;
    if (hf_request_chooses(&s->head.request))
        return lay_choices(s, diag);
    if (s->request.every.wait)
        return session_list_waited(s, nowhere, diag);
    return hf_source_rehearse(hf_conductor_source(&s->conductor), nowhere, s->head.request.rate_hz,
                              diag);
}

static enum hf_status from_options(struct session *s, struct hf_diag *diag)
{
    enum hf_status status = plan(s, diag);
    if (status == HF_OK) {
        say_session(s);
        fflush(stdout);
        status = write_page(s, &s->conductor.timeline, diag);
    }
    return status;
}

/* ---- from a journal -------------------------------------------------------------------------- */

static enum hf_status check_alone(const struct session *s, struct hf_diag *diag)
{
    for (int key = 0; key < HF_OPTIONS; key++)
        if (s->request.given[key])
            return hf_fail(diag, HF_E_USAGE,
                           "--journal has the whole session in it: leave out %s%s",
                           key == HF_OPT_PRACTICE ? "the practice " : "--",
                           key == HF_OPT_PRACTICE ? s->request.text[key]
                                                  : hf_option_name((enum hf_option)key));
    return HF_OK;
}

/* For the frames; a journal of an instrument that is not there any more goes without. */
static void take_board(struct session *s)
{
    struct hf_fretboard board;
    struct hf_request *request = &s->head.request;
    if (request->text[HF_OPT_HAND][0] && !request->keys &&
        hf_cli_load_instrument(request->text[HF_OPT_HAND], &board, NULL) == HF_OK)
        hf_request_take_board(request, &board);
}

/* Who chose then may choose otherwise now: the page has everything to choose from. */
static enum hf_status choose_anew(struct session *s, struct hf_diag *diag)
{
    const struct hf_request *request = &s->head.request;
    if (request->text[HF_OPT_HAND][0] && !request->keys && !request->has_board)
        return hf_fail(diag, HF_E_INPUT, "the journal's instrument %.60s is not here",
                       request->text[HF_OPT_HAND]);
    enum hf_status status = hf_schedule_init(&s->schedule, request, diag);
    if (status == HF_OK) {
        status = hf_conductor_init(&s->conductor, request, &s->schedule, diag);
        s->has_conductor = true;
    }
    if (status == HF_OK)
        status = lay_choices(s, diag);
    return status == HF_OK ? write_page(s, &s->conductor.timeline, diag) : status;
}

static enum hf_status from_journal(struct session *s, struct hf_diag *diag)
{
    struct hf_journal journal;
    struct hf_timeline timeline;
    enum hf_status status = check_alone(s, diag);
    if (status == HF_OK)
        status = session_read_journal(s->journal, &journal, diag);
    if (status != HF_OK)
        return status;
    journal.head.request.speak = HF_SPEAK_OFF; /* the sound without the words */
    status = check_request(&journal.head.request, diag);
    if (status == HF_OK)
        status = hf_replay_timeline(&journal, &timeline, diag);
    if (status == HF_OK) {
        status = session_adopt(s, &journal, journal.head.request.rate_hz, diag);
        take_board(s);
        if (status == HF_OK && hf_request_chooses(&s->head.request))
            status = choose_anew(s, diag);
        else if (status == HF_OK)
            status = write_page(s, &timeline, diag);
        hf_timeline_deinit(&timeline);
    }
    hf_journal_deinit(&journal);
    return status;
}

static void say_wrote_page(const struct session *s)
{
    printf("Wrote: ");
    hf_cli_print_file(s->file);
    putchar('\n');
}

int hf_cli_sheet(const struct hf_cli_command *command, int argc, char **argv)
{
    static struct session s; /* large: not on the stack */
    struct hf_diag diag = {0};
    bool stop = false;
    enum hf_status status = session_read(&s, command, argc, argv, &stop, &diag);
    if (stop)
        return hf_cli_finish();
    if (status == HF_OK)
        status = check_file(s.file, &diag);
    if (status == HF_OK)
        status = s.journal ? from_journal(&s, &diag) : from_options(&s, &diag);
    session_deinit(&s);
    if (terminal_signal())
        terminal_die(terminal_signal());
    if (status == HF_OK)
        say_wrote_page(&s);
    return status == HF_OK ? hf_cli_finish() : hf_cli_fail(status, &diag);
}
