/* SPDX-License-Identifier: MIT */
/* From a command line to an engine. Invariant: nothing is opened or written before the request has
 * been found to make sense. */
#include "session.h"

#include "quiz.h"

#include <stdlib.h>
#include <string.h>
#include <sys/random.h>
#include <time.h>

#include <holdfast/chord_page.h>
#include <holdfast/number.h>
#include <holdfast/path.h>
#include <holdfast/speech.h>
#include <holdfast/version.h>

#include "resume.h"
#include "saved.h"

const struct hf_cli_option hf_cli_record_options[] = {
    {"journal", 0, "FILE", "where the record goes", CODE_JOURNAL},
    {"dry-run", 0, NULL, "print the timeline, write the journal if asked, make no sound",
     CODE_DRY_RUN},
    {NULL, 0, NULL, NULL, 0},
};

enum hf_status session_option(void *self, int code, const char *text, struct hf_diag *diag)
{
    struct session *s = self;
    switch (code) {
    case CODE_OUTPUT_FILE:
        s->file = text;
        return HF_OK;
    case CODE_JOURNAL:
        s->journal = text;
        return HF_OK;
    case CODE_AS_WRITTEN: /* taken by look_ahead */
        return HF_OK;
    case CODE_SAVE: /* taken by look_ahead */
        return HF_OK;
    case CODE_DRY_RUN:
        s->dry_run = true;
        return HF_OK;
    case CODE_STEMS:
    case CODE_TRACKS:
    case CODE_CAPTIONS:
    case CODE_TIMES:
    case CODE_STILLS:
    case CODE_STILLS_AS:
    case CODE_FORMATS:
        return takeaway_option(&s->takeaway, code, text, diag);
    case CODE_PLAIN:
    case CODE_JSON:
    case CODE_PREVIEW:
    case CODE_THEME:
    case CODE_SCREEN_OFFSET:
        return display_option(&s->display, code, text, diag);
    case CODE_SPEAK:
        return hf_request_set(&s->request, HF_OPT_SPEAK, "names", diag);
    case CODE_SPEAK_ONLY:
        return hf_request_set(&s->request, HF_OPT_SPEAK, "all", diag);
    case CODE_SALVAGE:
        s->salvage = true;
        return HF_OK;
    case CODE_SYNTH:
        s->synth = true;
        return HF_OK;
    case CODE_OUTPUT:
        s->output = text;
        return HF_OK;
    case CODE_KEYS:
        s->keys_file = text;
        return HF_OK;
    case CODE_RESUME: /* taken by note_as_written */
        return HF_OK;
    case CODE_MIDI_IN:
        s->midi_name = text;
        return HF_OK;
    case CODE_START:
        if (strcmp(text, "check") != 0 && strcmp(text, "now") != 0)
            return hf_fail(diag, HF_E_USAGE, "start \"%.60s\" is not check or now", text);
        s->start = text[0] == 'c' ? START_CHECK : START_NOW;
        return HF_OK;
    case CODE_ONE_PEDAL:
        s->one_pedal = true;
        return HF_OK;
    case CODE_RESULT:
        return hf_setclass_parse(text, &s->result, diag);
    case CODE_SPLIT:
        if (hf_number_whole(text, strlen(text), 1, HF_CHORD_SPLITS_MOST, &s->split) ==
            HF_NUMBER_FINE)
            return HF_OK;
        return hf_fail(diag, HF_E_USAGE, "split \"%.60s\" is not a whole number from 1 to %d", text,
                       HF_CHORD_SPLITS_MOST);
    case CODE_TO:
        return hf_notes_parse(text, &(struct hf_notes_how){.as_written = s->request.as_written},
                              &s->to, diag);
    case CODE_WHY:
        s->why = true;
        return HF_OK;
    case CODE_SHARE:
        if (hf_number_whole(text, strlen(text), 3, 5, &s->share) == HF_NUMBER_FINE)
            return HF_OK;
        return hf_fail(diag, HF_E_USAGE, "share \"%.60s\" is not 3, 4 or 5", text);
    case CODE_TELL:
        s->tell = true;
        return HF_OK;
    case CODE_LATENCY:
        if (hf_number_real(text, strlen(text), 1, 5000, &s->latency_ms) == HF_NUMBER_FINE)
            return HF_OK;
        return hf_fail(diag, HF_E_USAGE, "latency \"%.60s\" is not a number from 1 to 5000 ms",
                       text);
    default:
        return hf_request_set(&s->request, (enum hf_option)(code - 1), text ? text : "yes", diag);
    }
}

/* How octaves are read must be known before the first note is, wherever --as-written stands; and
 * what the command line says of the held notes, before a saved session does. */
static enum hf_status look_ahead(void *self, int code, const char *text, struct hf_diag *diag)
{
    struct session *s = self;
    (void)diag;
    s->request.as_written = s->request.as_written || code == CODE_AS_WRITTEN;
    s->beside_held = s->beside_held || code == HF_OPT_HELD + 1;
    s->held_said = code == HF_OPT_HELD + 1 ? text : s->held_said;
    s->beside_from = s->beside_from || code == HF_OPT_FROM + 1;
    s->save = code == CODE_SAVE ? text : s->save;
    s->resuming = s->resuming || code == CODE_RESUME;
    if (code > 0 && code < CODES)
        s->asked[code] = true;
    s->asked_theme = s->asked_theme || code == CODE_THEME;
    s->asked_lines = s->asked_lines || code == CODE_PLAIN || code == CODE_JSON;
    return HF_OK;
}

/* Every chord of the path parted as the first one was. */
static enum hf_status take_path(struct session *s, const struct hf_chord_split *split,
                                struct hf_diag *diag)
{
    struct hf_request *r = &s->request;
    hf_pcset from = r->from.set, path[HF_SETCLASS_FORMS];
    if (split->rest)
        return hf_fail(diag, HF_E_USAGE,
                       "--to leads from a whole chord: its split leaves notes out");
    enum hf_status status = hf_path_explain(from, s->to.set, (enum hf_path_share)s->share, diag);
    if (status != HF_OK)
        return status;
    r->legs = hf_path_find(from, s->to.set, (enum hf_path_share)s->share, path);
    struct hf_chord_wish wish = {
        .held = hf_setclass_of(split->held), .added = hf_setclass_of(split->added), .whole = true};
    r->leg[0] = (struct hf_request_leg){split->held, split->added};
    for (int i = 1; i < r->legs; i++) {
        struct hf_chord_split splits[HF_CHORD_SPLITS_MOST];
        if (hf_chord_splits(path[i], &wish, splits) == 0)
            return hf_fail(diag, HF_E_BUG, "a chord of the path does not split as the first does");
        r->leg[i] = (struct hf_request_leg){splits[0].held, splits[0].added};
    }
    printf("Path      %d chords of %s\n", r->legs, hf_setclass_of(from)->name);
    return HF_OK;
}

/* The chord of --from parted in two, told on stdout; without one nothing. */
static enum hf_status take_chord(struct session *s, struct hf_diag *diag)
{
    struct hf_request *r = &s->request;
    if (!r->given[HF_OPT_FROM])
        return !s->result && !s->split && !s->to.count && !s->share
                   ? HF_OK
                   : hf_fail(diag, HF_E_USAGE,
                             "--result, --split, --to and --share go with --from");
    if (r->given[HF_OPT_HELD])
        return hf_fail(diag, HF_E_USAGE, "--from says what is held: leave out --held");
    enum hf_status status = hf_notes_place(&r->from, diag);
    if (status != HF_OK)
        return status;
    struct hf_chord_wish wish =
        hf_chord_wish_of(r->given[HF_OPT_ADDED] ? r->added : NULL, s->result);
    struct hf_chord_split split;
    status = hf_chord_choose(&r->from, &wish, (int)s->split, HF_NAMES_SIMPLE, &split, diag);
    if (status != HF_OK)
        return status;
    struct hf_notes held = hf_chord_part(&r->from, split.held);
    struct hf_notes added = hf_chord_part(&r->from, split.added);
    status = hf_request_split(r, &held, &added, diag);
    return status == HF_OK && s->to.count ? take_path(s, &split, diag) : status;
}

/* Notes in place of a practice: what the queries take bare has an option here. */
static void suggest_held(const char *text, struct hf_diag *diag)
{
    struct hf_notes notes;
    size_t used = diag ? strlen(diag->advice) : 0;
    if (used > 0)
        snprintf(diag->advice + used, sizeof diag->advice - used,
                 "; or a session kept with --save");
    if (hf_notes_parse(text, NULL, &notes, NULL) == HF_OK && notes.count > 0)
        hf_advise(diag, "to hold these notes: --held \"%.80s\"", text);
}

void session_suggest_held(const struct session *s, int count, char *const *words,
                          struct hf_diag *diag)
{
    char all[HF_NOTES_TEXT];
    struct hf_notes notes;
    int length = snprintf(all, sizeof all, "%s", s->held_said ? s->held_said : "");
    for (int i = 0; i < count && (size_t)length < sizeof all; i++)
        if (!hf_request_is_practice(words[i]) && !saved_exists(words[i]))
            length += snprintf(all + length, sizeof all - (size_t)length, "%s%s", length ? " " : "",
                               words[i]);
    bool fits = (size_t)length < sizeof all;
    if (fits && hf_notes_parse(all, NULL, &notes, NULL) == HF_OK && notes.count > 0)
        hf_advise(diag,
                  s->held_said ? "a list is one word: --held \"%.80s\""
                               : "to hold these notes: --held \"%.80s\"",
                  all);
}

enum hf_status session_operands(struct session *s, const struct hf_cli_command *command, int argc,
                                char **argv, int *first, bool *stop, struct hf_diag *diag)
{
    memset(s, 0, sizeof *s);
    hf_request_init(&s->request);
    return hf_cli_parse(command, argc, argv, look_ahead, s, first, stop, diag);
}

/* What the command line says of the held notes stands for all that a saved session says of them. */
bool session_overrules(const struct session *s, int code)
{
    bool of_chord = code == HF_OPT_FROM + 1 || code == CODE_SPLIT || code == CODE_RESULT ||
                    code == CODE_TO || code == CODE_SHARE;
    return (s->beside_held && of_chord) || (s->beside_from && code == HF_OPT_HELD + 1);
}

static enum hf_status take_saved(struct session *s, const char *name, struct hf_diag *diag)
{
    s->saved = calloc(1, sizeof *s->saved);
    if (!s->saved)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    enum hf_status status = saved_read(name, s->saved, diag);
    s->request.as_written |= status == HF_OK && saved_text(s->saved, CODE_AS_WRITTEN) != NULL;
    for (int i = 0; status == HF_OK && i < s->saved->count; i++) {
        const struct saved_option *option = &s->saved->options[i];
        if (session_overrules(s, option->option->code))
            continue;
        status = session_option(s, option->option->code, option->text, diag);
        if (status == HF_E_USAGE)
            status = saved_blame(s->saved, i, diag);
    }
    return status;
}

enum hf_status session_read_as(struct session *s, const struct hf_cli_command *command, int argc,
                               char **argv, const char *operand, struct hf_diag *diag)
{
    int first = 0;
    bool stop = false;
    enum hf_status status = session_operands(s, command, argc, argv, &first, &stop, diag);
    if (status == HF_OK && s->resuming) {
        status = hf_cli_parse(command, argc, argv, session_option, s, &first, &stop, diag);
        return status == HF_OK ? resume_take(s, operand, diag) : status;
    }
    if (status == HF_OK && operand && saved_exists(operand)) {
        status = take_saved(s, operand, diag);
    } else if (status == HF_OK && operand) {
        status = hf_request_set(&s->request, HF_OPT_PRACTICE, operand, diag);
        if (status == HF_E_USAGE && s->held_said)
            session_suggest_held(s, 1, &(char *){argv[first]}, diag);
        else if (status == HF_E_USAGE)
            suggest_held(operand, diag);
    }
    if (status == HF_OK)
        status = hf_cli_parse(command, argc, argv, session_option, s, &first, &stop, diag);
    if (status == HF_OK)
        status = display_begin(&s->display, !s->dry_run, diag);
    if (status == HF_OK)
        status = take_chord(s, diag);
    bool alone = argc - first <= 1; /* of several in turn each takes what it can use */
    return status == HF_OK && alone ? session_check_idle(s, diag) : status;
}

enum hf_status session_read(struct session *s, const struct hf_cli_command *command, int argc,
                            char **argv, bool *stop, struct hf_diag *diag)
{
    int first = 0;
    enum hf_status status = session_operands(s, command, argc, argv, &first, stop, diag);
    if (status != HF_OK || *stop)
        return status;
    if (argc - first > 1) {
        hf_fail(diag, HF_E_USAGE, "one practice at a time: \"%.60s\" is too many", argv[first + 1]);
        session_suggest_held(s, argc - first, argv + first, diag);
        return HF_E_USAGE;
    }
    return session_read_as(s, command, argc, argv, first < argc ? argv[first] : NULL, diag);
}

static enum hf_status take_board(struct session *s, struct hf_diag *diag)
{
    struct hf_fretboard board;
    if (!s->request.given[HF_OPT_HAND] || s->request.keys || s->request.has_board)
        return HF_OK;
    enum hf_status status = hf_cli_load_instrument(s->request.text[HF_OPT_HAND], &board, diag);
    if (status == HF_OK)
        hf_request_take_board(&s->request, &board);
    return status;
}

/* A hand may take a held set that came without octaves somewhere else: what was understood is what
 * sounds. */
static void settle_held(struct session *s)
{
    struct hf_notes *held = &s->request.held;
    struct hf_voicing voicing;
    hf_pcset pcs;
    hf_schedule_first_hold(&s->schedule, &pcs, &voicing);
    if (!s->schedule.hand || !s->request.held_free || pcs != held->set ||
        voicing.count != held->count)
        return;
    for (int i = 0; i < held->count; i++)
        for (int j = 0; j < voicing.count; j++)
            if (voicing.notes[j] % HF_PCS == held->note[i].pc)
                held->note[i].midi = voicing.notes[j];
    hf_notes_format(held, HF_NAMES_SIMPLE, s->request.text[HF_OPT_HELD]);
}

enum hf_status session_resolve(struct session *s, int rate_hz, struct hf_diag *diag)
{
    struct hf_request *request = &s->request;
    if (!request->given[HF_OPT_SEED]) {
        uint32_t drawn = 0;
        if (getrandom(&drawn, sizeof drawn, 0) != (ssize_t)sizeof drawn)
            return hf_fail(diag, HF_E_IO, "the system gives no random seed; name one with --seed");
        request->seed = drawn % 1000000;    /* few enough digits to be copied by hand */
        request->given[HF_OPT_SEED] = true; /* drawn once, however often this is called */
    }
    if (rate_hz)
        request->rate_hz = rate_hz;
    enum hf_status status = hf_request_resolve(request, diag);
    if (status == HF_OK)
        status = session_check_speech(s, diag);
    if (status == HF_OK)
        status = take_board(s, diag);
    if (status == HF_OK)
        status = quiz_load_chords(s, diag);
    if (status != HF_OK)
        return status;
    hf_schedule_deinit(&s->schedule);
    status = hf_schedule_init(&s->schedule, request, diag);
    if (status == HF_OK)
        settle_held(s);
    return status == HF_OK && s->resume ? resume_schedule(s, diag) : status;
}

static void now_text(char out[32])
{
    time_t now = time(NULL);
    struct tm local;
    char zone[8] = "";
    localtime_r(&now, &local);
    strftime(out, 32, "%Y-%m-%dT%H:%M:%S", &local);
    strftime(zone, sizeof zone, "%z", &local);
    size_t used = strlen(out);
    snprintf(out + used, 32 - used, "%.3s:%.2s", zone, strlen(zone) == 5 ? zone + 3 : "00");
}

static enum hf_status load_patches(struct session *s, char **held, char **added,
                                   struct hf_diag *diag)
{
    const struct hf_request *request = &s->request;
    enum hf_status status =
        hf_cli_load_patch(request->text[HF_OPT_PATCH], session_held_kind(request), request->rate_hz,
                          &s->held_patch, held, diag);
    return status == HF_OK ? hf_cli_load_patch(request->text[HF_OPT_CUE_PATCH], HF_PATCH_STRUCK,
                                               request->rate_hz, &s->added_patch, added, diag)
                           : status;
}

enum hf_status session_prepare(struct session *s, struct hf_diag *diag)
{
    char *held = NULL, *added = NULL;
    char started[32];
    const struct hf_request *request = &s->request;
    enum hf_status status =
        s->resume ? resume_patches(s, &held, &added, diag) : load_patches(s, &held, &added, diag);
    now_text(started);
    if (status == HF_OK)
        status =
            hf_head_init(&s->head, HF_PROGRAM " " HF_VERSION, started, request, held, added, diag);
    s->has_head = status == HF_OK;
    if (status == HF_OK && s->resume) {
        snprintf(s->head.continues, sizeof s->head.continues, "%.127s", resume_name(s->resume));
        s->head.done = s->resume->journal.head.done + s->resume->count;
        status = session_read_patches(s, diag);
    }
    if (status == HF_OK) {
        status = session_start_conductor(s, diag);
        s->has_conductor = true;
    }
    free(held);
    free(added);
    return status;
}

static const enum hf_held_way held_ways[] = {[HF_DRONE_SUSTAINED] = HF_HELD_SUSTAINED,
                                             [HF_DRONE_STRUCK] = HF_HELD_STRUCK,
                                             [HF_DRONE_OFF] = HF_HELD_OFF};

enum hf_patch_kind session_held_kind(const struct hf_request *request)
{
    return request->drone == HF_DRONE_STRUCK ? HF_PATCH_STRUCK : HF_PATCH_DRONE;
}

struct hf_engine_setting session_sound(const struct session *s)
{
    const struct hf_request *request = &s->head.request;
    struct hf_held_setting held = {.way = held_ways[request->drone],
                                   .patch = s->held_patch,
                                   .pure = request->tuning == HF_TUNING_PURE,
                                   .rate_hz = request->rate_hz,
                                   .a4_mhz = hf_request_a4_mhz(request),
                                   .seed = request->seed,
                                   .restrike = hf_request_samples(request, request->restrike)};
    return (struct hf_engine_setting){.rate_hz = request->rate_hz,
                                      .a4_mhz = held.a4_mhz,
                                      .volume_db = request->volume_db,
                                      .room_db = request->room_db,
                                      .held = held,
                                      .added_patch = s->added_patch,
                                      .speaker = session_speaker(s)};
}

enum hf_status session_engine(struct session *s, struct hf_diag *diag)
{
    struct hf_engine_setting setting = session_sound(s);
    return hf_engine_new(&s->engine, &setting, diag);
}

int64_t session_length(const struct session *s)
{
    const struct hf_request *request = &s->request;
    return hf_schedule_length(&s->schedule) + hf_conductor_fade(HF_WHY_FINISHED, request->rate_hz);
}

void session_deinit(struct session *s)
{
    hf_schedule_deinit(&s->schedule);
    if (s->has_conductor)
        hf_conductor_deinit(&s->conductor);
    if (s->has_head)
        hf_head_deinit(&s->head);
    hf_engine_free(s->engine);
    free(s->saved);
    free(s->chords);
    resume_free(s->resume);
    hf_midi_close(s->midi);
    hf_speech_close(s->speech);
}
