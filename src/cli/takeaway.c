/* SPDX-License-Identifier: MIT */
/* Invariant: a file's time is the session's, and the silences of the pauses before it. */
#include "session.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include <holdfast/still.h>
#include <holdfast/track.h>

#include "steps.h"
#include "terminal.h"

enum { PATH_BYTES = 4096 };

const struct hf_cli_option hf_cli_takeaway_options[] = {
    {"times", 0, "FILE", "also a table of the cues and their times (CSV)", CODE_TIMES},
    {"captions", 0, "FILE", "also the cues as captions for a film (WebVTT)", CODE_CAPTIONS},
    {"tracks", 0, "DIR", "also a file for each cue, which can go round for ever", CODE_TRACKS},
    {"stems", 0, "DIR", "also held and added notes, ticks and speech apart", CODE_STEMS},
    {"stills", 0, "DIR", "also a picture of each cue, for a film", CODE_STILLS},
    {"stills-as", 0, "FORM", "svg (default) or png", CODE_STILLS_AS},
    {"formats", 0, NULL, "list the formats of sound files", CODE_FORMATS},
    {NULL, 0, NULL, NULL, 0},
};

enum hf_status takeaway_option(struct takeaway *takeaway, int code, const char *text,
                               struct hf_diag *diag)
{
    switch (code) {
    case CODE_STEMS:
        takeaway->stems = text;
        break;
    case CODE_TRACKS:
        takeaway->tracks = text;
        break;
    case CODE_CAPTIONS:
        takeaway->captions = text;
        break;
    case CODE_TIMES:
        takeaway->times = text;
        break;
    case CODE_STILLS:
        takeaway->stills = text;
        break;
    case CODE_STILLS_AS:
        takeaway->stills_as_said = true;
        takeaway->png = strcmp(text, "png") == 0;
        if (!takeaway->png && strcmp(text, "svg") != 0)
            return hf_fail(diag, HF_E_USAGE, "stills-as \"%.60s\" is not svg or png", text);
        break;
    default:
        takeaway->formats = true;
    }
    return HF_OK;
}

bool takeaway_wanted(const struct takeaway *takeaway)
{
    return takeaway->stems || takeaway->tracks || takeaway->stills || takeaway->captions ||
           takeaway->times;
}

enum hf_status takeaway_check(const struct session *s, struct hf_diag *diag)
{
    enum hf_status status = session_check_file_idle(s, diag);
    if (status != HF_OK)
        return status;
    if (s->dry_run && takeaway_wanted(&s->takeaway))
        return hf_fail(diag, HF_E_USAGE, "--dry-run writes no file but the journal");
    if (s->takeaway.stems && !s->file) {
        hf_fail(diag, HF_E_USAGE, "--stems goes with the mix that they are parts of");
        hf_advise(diag, "name it with -o FILE.wav");
        return HF_E_USAGE;
    }
    if (s->takeaway.stills)
        return hf_still_check(diag);
    return HF_OK;
}

void takeaway_say_formats(void)
{
    const struct hf_soundfile_format *format;
    for (size_t i = 0; (format = hf_soundfile_format(i)); i++)
        printf("%-6s %s\n", format->extension, format->about);
}

enum hf_status takeaway_directory(const char *path, struct hf_diag *diag)
{
    struct stat there;
    if (mkdir(path, 0777) == 0)
        return HF_OK;
    int error = errno;
    if (error == EEXIST && stat(path, &there) == 0 && S_ISDIR(there.st_mode))
        return HF_OK;
    return hf_fail(diag, HF_E_CREATE, "cannot create the directory %.240s: %s", path,
                   strerror(error == EEXIST ? ENOTDIR : error));
}

/* ---- the rows -------------------------------------------------------------------------------- */

/* A session's time as a frame of its file. */
static int64_t file_frame(const struct hf_journal *journal, int64_t at, int rate_hz)
{
    int64_t silence = 0;
    if (at == HF_NEVER)
        return HF_CUESHEET_NEVER;
    for (size_t i = 0; i < journal->count; i++)
        if (journal->records[i].type == HF_RECORD_RESUME && journal->records[i].at <= at)
            silence += journal->records[i].after;
    int recorded_hz = journal->head.request.rate_hz;
    return rate_hz == recorded_hz ? at + silence
                                  : (int64_t)((double)(at + silence) * rate_hz / recorded_hz + 0.5);
}

static const char *before_word(const struct hf_timeline *timeline, const struct hf_record *cue,
                               char text[NOTES_TEXT])
{
    snprintf(text, NOTES_TEXT, "listen");
    if (timeline->way == HF_CUE_GAP) {
        char pair[NOTES_TEXT];
        snprintf(text, NOTES_TEXT, "find %.100s and one more", say_perfect(cue, pair));
    }
    if (timeline->way == HF_CUE_REVERSE)
        snprintf(text, NOTES_TEXT, "find the triad");
    return text;
}

static void make_row(const struct hf_journal *journal, const struct hf_timeline *timeline, size_t i,
                     int rate_hz, struct hf_cuesheet_row *row)
{
    const struct hf_timeline_cue *cue = &timeline->cues[i];
    int64_t end = cue->end < timeline->end_at ? cue->end : timeline->end_at;
    int64_t tell = cue->tell < end ? cue->tell : HF_NEVER;
    int64_t hear = cue->hear < end ? cue->hear : HF_NEVER;
    row->id = cue->record.id;
    row->at = file_frame(journal, cue->at, rate_hz);
    row->tell = file_frame(journal, tell, rate_hz);
    row->hear = file_frame(journal, hear, rate_hz);
    row->end = file_frame(journal, end, rate_hz);
    if (steps_is(cue)) /* named by its class, until it sounds */
        snprintf(row->names, sizeof row->names, "%s", hf_setclass_of(cue->record.pcs)->name);
    else
        say_names(&cue->record, row->names);
    say_pitches(&cue->record, row->pitches);
    say_pitches(hf_timeline_held(timeline, (long)i), row->held);
    say_frets(&cue->record, row->frets);
    before_word(timeline, &cue->record, row->before);
    row->mark = cue->marked ? hf_mark_word(cue->mark) : "";
}

enum hf_status takeaway_rows(const struct hf_journal *journal, const struct hf_timeline *timeline,
                             int rate_hz, struct hf_cuesheet_row **rows, size_t *count,
                             struct hf_diag *diag)
{
    struct hf_cuesheet_row *made = calloc(timeline->count + 1, sizeof *made);
    size_t given = 0;
    if (!made)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    for (size_t i = 0; i < timeline->count; i++)
        if (hf_timeline_given(timeline, &timeline->cues[i])) {
            make_row(journal, timeline, i, rate_hz, &made[given]);
            made[given].number = (long)given + 1;
            given++;
        }
    *rows = made;
    *count = given;
    return HF_OK;
}

char *takeaway_title(const struct hf_journal *journal, char text[TAKEAWAY_TITLE])
{
    const struct hf_request *request = &journal->head.request;
    char names[NOTES_TEXT];
    snprintf(text, TAKEAWAY_TITLE, "%.40s on %.150s", request->text[HF_OPT_PRACTICE],
             say_pitches(&journal->records[0], names));
    return text;
}

/* ---- files ----------------------------------------------------------------------------------- */

static void say_file(const char *path)
{
    printf("Wrote ");
    hf_cli_print_file(path);
    putchar('\n');
}

static enum hf_status write_text(const char *path, const char *text, size_t length,
                                 struct hf_diag *diag)
{
    struct hf_wholefile *file = NULL;
    enum hf_status status = hf_wholefile_open(&file, path, diag);
    if (status != HF_OK)
        return status;
    status = hf_wholefile_write(file, text, length, diag);
    if (status == HF_OK)
        status = hf_wholefile_commit(file, diag);
    else
        hf_wholefile_discard(file);
    if (status == HF_OK)
        say_file(path);
    return status;
}

static enum hf_status write_sheet(const struct hf_cuesheet *sheet, const char *path,
                                  enum hf_status (*lay)(const struct hf_cuesheet *, char **,
                                                        size_t *, struct hf_diag *),
                                  struct hf_diag *diag)
{
    char *text = NULL;
    size_t length = 0;
    if (!path)
        return HF_OK;
    enum hf_status status = lay(sheet, &text, &length, diag);
    if (status == HF_OK)
        status = write_text(path, text, length, diag);
    free(text);
    return status;
}

/* "03-Csharp-D-G": what every file system and shell takes as it is. */
static void cue_name(const struct hf_cuesheet_row *row, size_t count, char *out, size_t size)
{
    int digits = count < 100 ? 2 : count < 1000 ? 3 : 7;
    size_t used = (size_t)snprintf(out, size, "%0*ld-", digits, row->number);
    for (const char *c = row->names; *c && used + 8 < size; c++) {
        const char *word = *c == ' ' ? "-" : *c == '#' ? "sharp" : NULL;
        used += word ? (size_t)snprintf(out + used, size - used, "%s", word)
                     : (size_t)snprintf(out + used, size - used, "%c", *c);
    }
}

/* The file of a row in a directory; not after a signal. */
static enum hf_status cue_path(const char *directory, const struct hf_cuesheet *sheet, size_t row,
                               const char *extension, char path[PATH_BYTES], struct hf_diag *diag)
{
    char name[HF_CUESHEET_TEXT];
    cue_name(&sheet->rows[row], sheet->count, name, sizeof name);
    int length = snprintf(path, PATH_BYTES, "%s/%s%s", directory, name, extension);
    if (length < 0 || length >= PATH_BYTES)
        return hf_fail(diag, HF_E_CREATE, "the name of the directory is too long");
    return terminal_signal() ? hf_fail(diag, HF_E_IO, "interrupted") : HF_OK;
}

static void say_files(size_t count, const char *what, const char *directory)
{
    printf("Wrote %zu %s in ", count, what);
    hf_cli_print_file(directory);
    putchar('\n');
}

/* The extension of the sound file; without one, the table's first. */
static const char *track_extension(const struct session *s)
{
    const struct hf_soundfile_format *format = s->file ? hf_soundfile_format_of(s->file) : NULL;
    return format ? format->extension : hf_soundfile_format(0)->extension;
}

static enum hf_status write_track(const struct session *s, const struct hf_track_setting *setting,
                                  const char *path, const char *title, struct hf_diag *diag)
{
    struct hf_soundfile *file = NULL;
    float *stereo = NULL;
    int64_t frames = 0;
    enum hf_status status = hf_track_make(setting, &stereo, &frames, diag);
    struct hf_soundfile_form form = {.rate_hz = setting->engine.rate_hz,
                                     .bits = s->head.request.bits,
                                     .frames = frames,
                                     .seed = setting->engine.held.seed,
                                     .title = title,
                                     .comment = s->head.request.text[HF_OPT_LABEL]};
    if (status == HF_OK)
        status = hf_soundfile_open(&file, path, &form, diag);
    if (status == HF_OK) {
        status = hf_soundfile_write(file, stereo, (long)frames, diag);
        if (status == HF_OK)
            status = hf_soundfile_commit(file, diag);
        else
            hf_soundfile_discard(file);
    }
    free(stereo);
    return status;
}

/* The cue's sound as its own session has it, from its beginning. */
static struct hf_track_setting track_setting(const struct session *s, int recorded_hz,
                                             const struct hf_timeline *timeline, size_t i,
                                             const struct hf_cuesheet_row *row)
{
    const struct hf_timeline_cue *cue = &timeline->cues[i];
    const struct hf_record *hold = hf_timeline_held(timeline, (long)i);
    int rate_hz = s->head.request.rate_hz;
    struct hf_track_setting setting = {.engine = session_sound(s), .held_count = hold->count};
    memcpy(setting.held, hold->notes, (size_t)hold->count);
    setting.engine.speaker = (struct hf_speaker){0};
    setting.cue = (struct hf_event){.kind = HF_EVENT_CUE, .cue = 1};
    hf_timeline_sound(hold, &cue->record, &setting.cue);
    setting.cue.manner.rests = false; /* the held notes go round */
    setting.cue.manner.stagger = setting.cue.manner.stagger * rate_hz / recorded_hz;
    setting.cue.manner.apart = setting.cue.manner.apart * rate_hz / recorded_hz;
    setting.cue.hear = row->hear == HF_CUESHEET_NEVER ? HF_NEVER : row->hear - row->at;
    setting.cue.end = row->end - row->at;
    return setting;
}

static enum hf_status write_tracks(const struct session *s, int recorded_hz,
                                   const struct hf_timeline *timeline,
                                   const struct hf_cuesheet *sheet, struct hf_diag *diag)
{
    enum hf_status status = takeaway_directory(s->takeaway.tracks, diag);
    size_t row = 0;
    for (size_t i = 0; i < timeline->count && status == HF_OK; i++) {
        char path[PATH_BYTES];
        if (!hf_timeline_given(timeline, &timeline->cues[i]))
            continue;
        status = cue_path(s->takeaway.tracks, sheet, row, track_extension(s), path, diag);
        if (status != HF_OK)
            break;
        struct hf_track_setting setting =
            track_setting(s, recorded_hz, timeline, i, &sheet->rows[row]);
        status = write_track(s, &setting, path, sheet->rows[row].names, diag);
        row++;
    }
    if (status == HF_OK)
        say_files(row, "tracks", s->takeaway.tracks);
    return status;
}

static enum hf_status write_stills(const struct session *s, const struct hf_cuesheet *sheet,
                                   struct hf_diag *diag)
{
    enum hf_status status = takeaway_directory(s->takeaway.stills, diag);
    for (size_t row = 0; row < sheet->count && status == HF_OK; row++) {
        char path[PATH_BYTES];
        status =
            cue_path(s->takeaway.stills, sheet, row, s->takeaway.png ? ".png" : ".svg", path, diag);
        if (status == HF_OK)
            status = hf_still_write(sheet, row, path, diag);
    }
    if (status == HF_OK)
        say_files(sheet->count, "stills", s->takeaway.stills);
    return status;
}

enum hf_status takeaway_write(const struct session *s, const struct hf_journal *journal,
                              const struct hf_timeline *timeline, const struct hf_cuesheet *sheet,
                              struct hf_diag *diag)
{
    enum hf_status status = write_sheet(sheet, s->takeaway.captions, hf_cuesheet_captions, diag);
    if (status == HF_OK)
        status = write_sheet(sheet, s->takeaway.times, hf_cuesheet_table, diag);
    if (status == HF_OK && s->takeaway.tracks)
        status = write_tracks(s, journal->head.request.rate_hz, timeline, sheet, diag);
    return status == HF_OK && s->takeaway.stills ? write_stills(s, sheet, diag) : status;
}
