/* SPDX-License-Identifier: MIT */
/* A session's records into files: the sound, its stems, and what is taken away beside them.
 * Invariant: each file is whole or not there. */
#include "session.h"

#include <stdlib.h>
#include <string.h>

#include <holdfast/stems.h>

#include "progress.h"

enum { BLOCK = 64, DATE_LENGTH = 10 };

static enum hf_status no_record(void *self, const struct hf_record *record, struct hf_diag *diag)
{
    (void)self;
    (void)record;
    (void)diag;
    return HF_OK;
}

/* Everything about the file that is to be, but its points. */
struct described {
    struct hf_soundfile_form form;
    char title[TAKEAWAY_TITLE], date[DATE_LENGTH + 1];
};

static void describe(const struct session *s, const struct hf_journal *journal, int64_t length,
                     struct described *d)
{
    const struct hf_request *request = &s->head.request;
    bool dated = !s->has_conductor || s->journal; /* the date is that of a journal */
    snprintf(d->date, sizeof d->date, "%.10s", dated ? journal->head.started : "");
    d->form = (struct hf_soundfile_form){.rate_hz = request->rate_hz,
                                         .bits = request->bits,
                                         .bits_asked = s->request.given[HF_OPT_BITS],
                                         .frames = length,
                                         .seed = request->seed,
                                         .title = takeaway_title(journal, d->title),
                                         .comment = request->text[HF_OPT_LABEL],
                                         .date = d->date};
}

static enum hf_status make_points(const struct hf_cuesheet *sheet, struct described *d,
                                  struct hf_soundfile_point **points, struct hf_diag *diag)
{
    *points = calloc(sheet->count + 1, sizeof **points);
    if (!*points)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    for (size_t i = 0; i < sheet->count; i++) {
        (*points)[i].frame = sheet->rows[i].at;
        snprintf((*points)[i].label, sizeof(*points)[i].label, "%ld  %.50s", sheet->rows[i].number,
                 sheet->rows[i].names);
    }
    d->form.points = *points;
    d->form.point_count = sheet->count;
    return HF_OK;
}

static void warn_of_points(const struct session *s, const struct described *d)
{
    if (s->takeaway.times)
        return;
    if (!hf_soundfile_holds_points(s->file, &d->form))
        hf_cli_warn("this file can hold no cue points; --times FILE.csv keeps where the cues are");
    else if (d->form.point_count > HF_SOUNDFILE_POINTS_MOST)
        hf_cli_warn("a file holds %d cue points, the first of %zu; --times FILE.csv keeps all",
                    HF_SOUNDFILE_POINTS_MOST, d->form.point_count);
}

/* Renders into the open files and puts them into place. */
static enum hf_status fill(struct session *s, struct hf_replay *replay, struct hf_soundfile *file,
                           struct hf_stems *stems, struct hf_diag *diag)
{
    struct hf_performance performance = {
        .source = hf_replay_source(replay), .sink = {no_record, NULL}, .engine = s->engine};
    struct progress bar;
    struct hf_progress progress = progress_begin(&bar, replay->length);
    int64_t frames = 0;
    if (stems)
        hf_engine_set_tap(s->engine, hf_stems_tap(stems));
    enum hf_status status =
        hf_performance_bounce(&performance, file, BLOCK, &progress, &frames, diag);
    progress_end(&bar);
    if (status == HF_OK)
        status = hf_soundfile_commit(file, diag);
    else
        hf_soundfile_discard(file);
    if (status == HF_OK)
        say_wrote(s->file, frames, s->head.request.rate_hz);
    if (status != HF_OK || !stems) {
        hf_stems_discard(stems);
        return status;
    }
    status = hf_stems_commit(stems, frames, diag);
    if (status == HF_OK) {
        printf("Wrote its stems in ");
        hf_cli_print_file(s->takeaway.stems);
        putchar('\n');
    }
    return status;
}

static enum hf_status bounce(struct session *s, struct hf_replay *replay, const struct described *d,
                             struct hf_diag *diag)
{
    struct hf_soundfile *file = NULL;
    struct hf_stems *stems = NULL;
    enum hf_status status = hf_soundfile_open(&file, s->file, &d->form, diag);
    if (status == HF_OK && s->takeaway.stems)
        status = takeaway_directory(s->takeaway.stems, diag);
    if (status == HF_OK && s->takeaway.stems)
        status = hf_stems_open(&stems, s->takeaway.stems, &d->form, diag);
    if (status == HF_OK && !s->engine)
        status = session_engine(s, diag);
    if (status == HF_OK)
        return fill(s, replay, file, stems, diag);
    hf_soundfile_discard(file);
    hf_stems_discard(stems);
    return status;
}

enum hf_status session_bounce(struct session *s, const struct hf_journal *journal,
                              const struct hf_timeline *timeline, struct hf_replay *replay,
                              struct hf_diag *diag)
{
    struct described described = {0};
    struct hf_cuesheet_row *rows = NULL;
    struct hf_soundfile_point *points = NULL;
    struct hf_cuesheet sheet = {.rate_hz = s->head.request.rate_hz};
    describe(s, journal, replay->length, &described);
    enum hf_status status =
        takeaway_rows(journal, timeline, sheet.rate_hz, &rows, &sheet.count, diag);
    sheet.title = described.title;
    sheet.rows = rows;
    if (status == HF_OK)
        status = make_points(&sheet, &described, &points, diag);
    if (status == HF_OK && s->file)
        status = bounce(s, replay, &described, diag);
    if (status == HF_OK && s->file)
        warn_of_points(s, &described);
    if (status == HF_OK)
        status = takeaway_write(s, journal, timeline, &sheet, diag);
    free(points);
    free(rows);
    return status;
}
