/* SPDX-License-Identifier: MIT */
/* Invariants: the records and events of the conductor pass as they are and in their order; what is
 * said of a cue is laid after the cue; a name that could not be over before its notes, or before
 * its cue, is left out. */
#include <holdfast/narrator.h>

#include <stdio.h>
#include <string.h>

static int64_t samples(const struct hf_narrator *n, double seconds)
{
    return (int64_t)(seconds * n->wording.request->rate_hz + 0.5);
}

/* The utterance of a text, NULL where there is nothing to say. */
static const struct hf_utterance *spoken(struct hf_narrator *n, const char *text, uint32_t *words)
{
    *words = text[0] ? n->speaker.prepare(n->speaker.self, text) : 0;
    return *words ? n->speaker.get(n->speaker.self, *words) : NULL;
}

/* How long naming takes, the silence after it included. */
static int64_t naming_length(void *self, const struct hf_record *cue)
{
    struct hf_narrator *n = self;
    char text[HF_UTTERANCE_TEXT];
    uint32_t words;
    const struct hf_timeline *t = &n->conductor->timeline;
    const struct hf_record *held =
        t->has_pending ? &t->pending : hf_timeline_held(t, (long)t->count - 1);
    hf_wording_cue(&n->wording, HF_MOMENT_NAMED, cue, held, text);
    const struct hf_utterance *utterance = spoken(n, text, &words);
    return utterance ? utterance->length + samples(n, HF_SPEECH_GAP_S) : 0;
}

struct hf_naming hf_narrator_naming(struct hf_narrator *n)
{
    return (struct hf_naming){naming_length, n};
}

void hf_narrator_init(struct hf_narrator *n, struct hf_conductor *conductor,
                      const struct hf_request *request, uint32_t total, struct hf_speaker speaker)
{
    memset(n, 0, sizeof *n);
    n->conductor = conductor;
    n->speaker = speaker;
    n->total = total;
    n->rest_from = -1;
    n->wording = (struct hf_wording){request, request->speak == HF_SPEAK_ALL};
}

/* ---- what is said of a cue ------------------------------------------------------------------- */

static void add_event(struct hf_narrator *n, struct hf_event event)
{
    if (n->count < HF_NARRATOR_EVENTS)
        n->events[(n->first + n->count++) % HF_NARRATOR_EVENTS] = event;
}

/* A cue's times on the plan. Without `open` the record has them all; else the player decides. */
static struct hf_laid laid_of(const struct hf_narrator *n, const struct hf_event *cue, bool *open)
{
    const struct hf_record *r = &n->cue;
    *open = r->end == HF_NEVER;
    struct hf_laid laid = {.at = cue->at, .hear = cue->hear, .end = cue->end};
    if (*open)
        laid.tell =
            hf_timeline_lay(hf_timeline_way(n->wording.request->cue, r->type), true, cue->at, 0)
                .tell;
    else
        laid.tell = r->tell == HF_NEVER ? HF_NEVER : cue->at + (r->tell - r->at);
    return laid;
}

/* Says a text from plan time `at` on, if it is over by `limit`. */
static void say_by(struct hf_narrator *n, uint32_t cue, const char *text, int64_t at, bool told,
                   int64_t limit)
{
    uint32_t words;
    const struct hf_utterance *utterance = spoken(n, text, &words);
    if (!utterance || at < 0 || (limit != HF_NEVER && at + utterance->length > limit))
        return;
    add_event(n, (struct hf_event){.kind = HF_EVENT_SPEAK,
                                   .cue = cue,
                                   .at = at,
                                   .told = told,
                                   .words = words,
                                   .length = utterance->length});
}

/* Named and sounded together at the beginning: the name comes before it. */
static void say_ahead(struct hf_narrator *n, const struct hf_event *cue, const char *text)
{
    int64_t length = naming_length(n, &n->cue);
    if (length <= cue->end - cue->at)
        say_by(n, cue->cue, text, cue->at - length, false, HF_NEVER);
}

static void speak_of(struct hf_narrator *n, const struct hf_event *cue)
{
    char text[HF_UTTERANCE_TEXT];
    bool open;
    struct hf_laid laid = laid_of(n, cue, &open);
    int64_t gap = samples(n, HF_SPEECH_GAP_S);
    if (laid.tell == HF_NEVER)
        return;
    if (laid.tell > laid.at) {
        hf_wording_cue(&n->wording, HF_MOMENT_BEGINS, &n->cue, &n->hold, text);
        say_by(n, cue->cue, text, laid.at, false, laid.tell);
    }
    hf_wording_cue(&n->wording, HF_MOMENT_NAMED, &n->cue, &n->hold, text);
    bool sounds_later = laid.hear != HF_NEVER && laid.hear >= laid.tell;
    if (!open && laid.hear == laid.at && laid.tell == laid.at)
        say_ahead(n, cue, text);
    else
        say_by(n, cue->cue, text, laid.tell, laid.tell > laid.at,
               open           ? HF_NEVER
               : sounds_later ? laid.hear - gap
                              : laid.end);
}

/* ---- beforehand ------------------------------------------------------------------------------ */

static int64_t longer(int64_t a, int64_t b)
{
    return a > b ? a : b;
}

static void prepare(struct hf_narrator *n, const char *text)
{
    uint32_t words;
    spoken(n, text, &words);
}

/* What a key may call for at any moment. */
static void prepare_remarks(struct hf_narrator *n)
{
    static const struct hf_record rows[] = {
        {.type = HF_RECORD_MARK, .as = HF_MARK_GOT},
        {.type = HF_RECORD_MARK, .as = HF_MARK_MISSED},
        {.type = HF_RECORD_STAY},
        {.type = HF_RECORD_GO},
        {.type = HF_RECORD_ANSWER, .finding = HF_FOUND},
        {.type = HF_RECORD_ANSWER, .finding = HF_FOUND_AGAIN},
        {.type = HF_RECORD_ANSWER, .finding = HF_FOUND_OTHER},
        {.type = HF_RECORD_ANSWER, .finding = HF_FOUND_SHARES},
    };
    char text[HF_UTTERANCE_TEXT];
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        prepare(n, hf_wording_record(&n->wording, &rows[i], &n->conductor->timeline, text));
    if (n->wording.request->break_every.amount > 0)
        prepare(n, hf_wording_rest(text));
}

/* The time that naming a set takes at most: in every order of three notes, else from low to high.
 */
static int64_t longest_name(struct hf_narrator *n, hf_pcset pcs)
{
    static const uint8_t orders[6][3] = {{0, 1, 2}, {0, 2, 1}, {1, 0, 2},
                                         {1, 2, 0}, {2, 0, 1}, {2, 1, 0}};
    struct hf_spelled spelled[HF_PCS];
    char text[HF_UTTERANCE_TEXT];
    int list[HF_PCS], size = hf_spelling_of(pcs, n->wording.request->names, spelled);
    int64_t most = 0;
    hf_pcset_list(pcs, list);
    for (int order = 0; order < (size == 3 ? 6 : 1); order++) {
        struct hf_record record = {.type = HF_RECORD_CUE, .pcs = pcs, .count = size};
        for (int i = 0; i < size; i++) {
            int from = size == 3 ? orders[order][i] : i;
            record.notes[i] = (uint8_t)(60 + list[from]);
            hf_spelled_format(spelled[from], n->wording.request->names, record.names[i]);
        }
        most = longer(most, naming_length(n, &record));
        if (n->wording.request->cue == HF_CUE_GAP)
            prepare(n, hf_wording_cue(&n->wording, HF_MOMENT_BEGINS, &record, &n->hold, text));
    }
    return most;
}

/* The time that a cue of a length has for its name. */
static int64_t naming_room(const struct hf_request *request, int64_t length)
{
    struct hf_laid laid = hf_timeline_lay(request->cue, false, 0, length);
    switch (request->cue) {
    case HF_CUE_LEAD:
        return length;
    case HF_CUE_EAR:
    case HF_CUE_SILENT:
        return laid.end - laid.tell;
    case HF_CUE_GAP: /* twice: the fourth before */
    case HF_CUE_REVERSE:
    case HF_CUE_CHORD:
        return laid.hear / 2;
    case HF_CUE_CONFIRM:
        break;
    }
    return laid.hear;
}

static enum hf_status too_short(const char *what, double least_s, struct hf_diag *diag)
{
    hf_fail(diag, HF_E_USAGE, "%s is too short for what is spoken", what);
    hf_advise(diag, "at least %.1f s are needed, or leave out --speak", least_s);
    return HF_E_USAGE;
}

enum hf_status hf_narrator_prepare(struct hf_narrator *n, const struct hf_schedule *schedule,
                                   struct hf_diag *diag)
{
    const struct hf_request *request = n->wording.request;
    const hf_pcset triad = 1u << 0 | 1u << 4 | 1u << 8;
    int64_t most = 0, rate_hz = request->rate_hz;
    bool reverse = request->cue == HF_CUE_REVERSE; /* there the four triads are the answers */
    for (int i = 0; i < (reverse ? 4 : schedule->count); i++)
        most = longer(most, longest_name(n, reverse ? hf_pcset_transpose(triad, i)
                                                    : schedule->completions[i].pcs));
    prepare_remarks(n);
    if (request->every.wait)
        return HF_OK;
    bool breathes = request->longest.amount > 0;
    int64_t every = hf_request_samples(request, breathes ? request->shortest : request->every);
    int64_t room = naming_room(request, every);
    if (request->practice != HF_PRACTICE_IMPROVISE && request->practice != HF_PRACTICE_EAR)
        return HF_OK;
    if (most > room)
        return too_short(breathes ? "the shorter length of --breathe" : "--every",
                         (double)most * (double)every / (double)room / (double)rate_hz, diag);
    if (request->cue == HF_CUE_LEAD && hf_request_samples(request, request->lead_in) < most)
        return too_short("--lead-in", (double)most / (double)rate_hz, diag);
    return HF_OK;
}

/* ---- what else is said ----------------------------------------------------------------------- */

static void remark(struct hf_narrator *n, const char *text)
{
    uint32_t words;
    const struct hf_utterance *utterance = spoken(n, text, &words);
    if (utterance)
        add_event(n, (struct hf_event){.kind = HF_EVENT_SAY,
                                       .at = HF_AT_ONCE,
                                       .words = words,
                                       .length = utterance->length});
}

/* Longer than what may be said before it; if it is never said the break comes all the same. */
#define REST_WAITS_S 10

static void tell_rest(struct hf_narrator *n, int64_t now)
{
    char text[HF_UTTERANCE_TEXT];
    const struct hf_utterance *utterance = spoken(n, hf_wording_rest(text), &n->rest_words);
    if (!utterance)
        return;
    n->rest_end = HF_NEVER;
    n->conductor->break_from = now + utterance->length + samples(n, REST_WAITS_S);
    remark(n, text);
}

void hf_narrator_tend(struct hf_narrator *n, int64_t now)
{
    const struct hf_request *request = n->wording.request;
    const struct hf_conductor *c = n->conductor;
    char text[HF_UTTERANCE_TEXT];
    uint32_t words;
    if (request->break_every.amount <= 0 || c->paused || n->rest_from == c->sounded_from)
        return;
    const struct hf_utterance *utterance = spoken(n, hf_wording_rest(text), &words);
    int64_t due = c->sounded_from + hf_request_samples(request, request->break_every);
    if (!utterance || now + utterance->length + samples(n, 1) < due)
        return;
    n->rest_from = c->sounded_from;
    tell_rest(n, now);
}

/* Something begins to be said: the words about the break, or a name that takes their place, after
 * which they are said anew. What comes after them is not cut off either. */
static void follow_rest(struct hf_narrator *n, const struct hf_report *report,
                        const struct hf_utterance *utterance)
{
    bool tells = n->rest_words && n->rest_from == n->conductor->sounded_from;
    if (!tells || n->conductor->paused)
        return;
    if (report->words == n->rest_words) {
        n->rest_end = report->at + utterance->length;
        n->conductor->break_from = n->rest_end + samples(n, HF_SPEECH_GAP_S);
    } else if (n->rest_end != HF_NEVER && report->at < n->rest_end) {
        tell_rest(n, report->at);
    } else if (n->rest_end != HF_NEVER) {
        n->conductor->break_from = report->at + utterance->length + samples(n, HF_SPEECH_GAP_S);
    }
}

static void read_record(struct hf_narrator *n, const struct hf_record *record)
{
    char text[HF_UTTERANCE_TEXT];
    if (record->type == HF_RECORD_CUE || record->type == HF_RECORD_STEP) {
        n->cue = *record;
    } else if (record->type == HF_RECORD_HOLD) {
        bool first = n->hold.count == 0;
        n->hold = *record;
        if (first)
            remark(n, hf_wording_opening(&n->wording, record, n->total, text));
    } else {
        remark(n, hf_wording_record(&n->wording, record, &n->conductor->timeline, text));
    }
}

/* ---- source ---------------------------------------------------------------------------------- */

static bool narrator_step(void *self, struct hf_step *out)
{
    struct hf_narrator *n = self;
    if (n->count > 0) {
        memset(out, 0, sizeof *out);
        out->event = n->events[n->first];
        n->first = (n->first + 1) % HF_NARRATOR_EVENTS;
        n->count--;
        return true;
    }
    if (!hf_conductor_step(n->conductor, out))
        return false;
    if (out->is_record)
        read_record(n, &out->record);
    else if (out->event.kind == HF_EVENT_CUE)
        speak_of(n, &out->event);
    return true;
}

static enum hf_status narrator_report(void *self, const struct hf_report *report,
                                      struct hf_diag *diag)
{
    struct hf_narrator *n = self;
    if (report->kind != HF_REPORT_SPOKE)
        return hf_conductor_report(n->conductor, report, diag);
    const struct hf_utterance *utterance = n->speaker.get(n->speaker.self, report->words);
    if (!utterance)
        return HF_OK;
    follow_rest(n, report, utterance);
    struct hf_record record = {.type = HF_RECORD_SPEECH,
                               .at = report->at,
                               .length = utterance->length,
                               .sum = utterance->sum};
    if (report->cue > 0)
        record.cue = n->conductor->timeline.cues[report->cue - 1].record.n;
    snprintf(record.text, sizeof record.text, "%s", utterance->text);
    return hf_conductor_record(n->conductor, &record, diag);
}

struct hf_source hf_narrator_source(struct hf_narrator *n)
{
    return (struct hf_source){narrator_step, narrator_report, n};
}
