/* SPDX-License-Identifier: MIT */
/* Invariants: the records and events of the conductor pass as they are and in their order; what is
 * said of a cue is laid after the cue; a name that could not be over before its notes, or before
 * its cue, is left out. */
#include <holdfast/narrator.h>

#include <holdfast/levels.h>

#include "narrator_parts.h"

#include <stdio.h>
#include <string.h>

int64_t narrator_samples(const struct hf_narrator *n, double seconds)
{
    return (int64_t)(seconds * n->wording.request->rate_hz + 0.5);
}

/* The utterance of a text, NULL where there is nothing to say. */
const struct hf_utterance *narrator_spoken(struct hf_narrator *n, const char *text, uint32_t *words)
{
    *words = text[0] ? n->speaker.prepare(n->speaker.self, text) : 0;
    return *words ? n->speaker.get(n->speaker.self, *words) : NULL;
}

/* How long naming takes, the silence after it included. */
int64_t narrator_naming_length(void *self, const struct hf_record *cue)
{
    struct hf_narrator *n = self;
    char text[HF_UTTERANCE_TEXT];
    uint32_t words;
    const struct hf_timeline *t = &n->conductor->timeline;
    const struct hf_record *held =
        t->has_pending ? &t->pending : hf_timeline_held(t, (long)t->count - 1);
    hf_wording_cue(&n->wording, HF_MOMENT_NAMED, cue, held, text);
    const struct hf_utterance *utterance = narrator_spoken(n, text, &words);
    return utterance ? utterance->length + narrator_samples(n, HF_SPEECH_GAP_S) : 0;
}

struct hf_naming hf_narrator_naming(struct hf_narrator *n)
{
    return (struct hf_naming){narrator_naming_length, n};
}

void hf_narrator_init(struct hf_narrator *n, struct hf_conductor *conductor,
                      const struct hf_request *request, uint32_t total, struct hf_speaker speaker)
{
    memset(n, 0, sizeof *n);
    n->conductor = conductor;
    n->speaker = speaker;
    n->total = total;
    n->rest_from = -1;
    n->wording = (struct hf_wording){.request = request, .all = request->speak == HF_SPEAK_ALL};
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

enum { PLAIN, TOLD, ASKS };

/* Says a text from plan time `at` on, if it is over by `limit`; false where it isn't. */
static bool say_by(struct hf_narrator *n, uint32_t cue, const char *text, int64_t at, int how,
                   int64_t limit)
{
    uint32_t words;
    const struct hf_utterance *utterance = narrator_spoken(n, text, &words);
    if (!utterance || at < 0 || (limit != HF_NEVER && at + utterance->length > limit))
        return false;
    add_event(n, (struct hf_event){.kind = HF_EVENT_SPEAK,
                                   .cue = cue,
                                   .at = at,
                                   .told = how == TOLD,
                                   .asks = how == ASKS,
                                   .words = words,
                                   .length = utterance->length});
    return true;
}

/* How long the notes of a cue are to be heard before anything is said over them. */
int64_t narrator_sounding(const struct hf_narrator *n, const struct hf_record *cue)
{
    int64_t parts = cue->manner.apart * 2, notes = cue->count > 0 ? cue->count - 1 : 0;
    return parts + (cue->manner.staggered ? cue->manner.stagger * notes : 0) +
           narrator_samples(n, HF_NARRATOR_LISTEN_S);
}

/* ---- what is asked in ear -------------------------------------------------------------------- */

/* Before the first cue of all where there is time in the lead-in; else after the notes, since words
 * between two cues would come too late where the player goes on, and cover the notes. */
static bool ask(struct hf_narrator *n, const struct hf_event *cue, const struct hf_laid *laid,
                bool open, const char *text)
{
    uint32_t words;
    const struct hf_utterance *utterance = narrator_spoken(n, text, &words);
    int64_t gap = narrator_samples(n, HF_SPEECH_GAP_S);
    if (!utterance)
        return false;
    int64_t ahead = laid->at - utterance->length - gap;
    if (cue->cue == 1 && ahead >= n->opening)
        return say_by(n, 1, text, ahead, ASKS, HF_NEVER);
    return say_by(n, cue->cue, text, laid->at + narrator_sounding(n, &n->cue), ASKS,
                  open ? HF_NEVER : laid->tell - gap);
}

/* At level 2 the first answer tells the kind; elsewhere the answers are the same all through. */
static int first_answer(const struct hf_narrator *n)
{
    const struct hf_request *r = n->wording.request;
    struct hf_completion all[HF_COMPLETIONS_MOST];
    struct hf_question q;
    if (n->wording.level != HF_LEVEL_POSITIONS)
        return 0;
    int count = hf_pairing_complete(r->held.set, r->added, all);
    hf_levels_ask(r->held.set, all, count, n->wording.level, r->near_miss, n->cue.pcs, &q);
    return q.choice[0].id;
}

static void ask_of(struct hf_narrator *n, const struct hf_event *cue, const struct hf_laid *laid,
                   bool open)
{
    char text[HF_UTTERANCE_TEXT];
    bool begins = n->asked_level != n->wording.level;
    int first = n->wording.all && n->wording.level > 0 ? first_answer(n) : n->asked_id;
    if (!n->wording.all || n->wording.level < 1 || (!begins && first == n->asked_id))
        return;
    n->asked_level = n->wording.level;
    n->asked_id = first;
    if (ask(n, cue, laid, open, hf_wording_question(&n->wording, &n->cue, begins, text)) || !begins)
        return;
    snprintf(text, sizeof text, "level %d", n->wording.level);
    ask(n, cue, laid, open, text);
}

/* ---- names ----------------------------------------------------------------------------------- */

/* Named and sounded together at the beginning: the name comes before it. */
static void say_ahead(struct hf_narrator *n, const struct hf_event *cue, const char *text)
{
    int64_t length = narrator_naming_length(n, &n->cue);
    if (length <= cue->end - cue->at)
        say_by(n, cue->cue, text, cue->at - length, PLAIN, HF_NEVER);
}

static void speak_of(struct hf_narrator *n, const struct hf_event *cue)
{
    char text[HF_UTTERANCE_TEXT];
    bool open;
    struct hf_laid laid = laid_of(n, cue, &open);
    int64_t gap = narrator_samples(n, HF_SPEECH_GAP_S);
    if (laid.tell == HF_NEVER)
        return;
    if (laid.tell > laid.at) {
        hf_wording_cue(&n->wording, HF_MOMENT_BEGINS, &n->cue, &n->hold, text);
        if (n->wording.request->practice == HF_PRACTICE_SIGHT && cue->cue == 1)
            hf_wording_chord(&n->wording, &n->cue, &n->hold, true, text);
        say_by(n, cue->cue, text, laid.at, PLAIN, laid.tell);
    }
    ask_of(n, cue, &laid, open);
    hf_wording_cue(&n->wording, HF_MOMENT_NAMED, &n->cue, &n->hold, text);
    bool sounds_later = laid.hear != HF_NEVER && laid.hear >= laid.tell;
    if (!open && laid.hear == laid.at && laid.tell == laid.at)
        say_ahead(n, cue, text);
    else
        say_by(n, cue->cue, text, laid.tell, laid.tell > laid.at ? TOLD : PLAIN,
               open           ? HF_NEVER
               : sounds_later ? laid.hear - gap
                              : laid.end);
}

/* ---- what else is said ----------------------------------------------------------------------- */

static void remark(struct hf_narrator *n, const char *text)
{
    uint32_t words;
    const struct hf_utterance *utterance = narrator_spoken(n, text, &words);
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
    const struct hf_utterance *utterance =
        narrator_spoken(n, hf_wording_rest(text), &n->rest_words);
    if (!utterance)
        return;
    n->rest_end = HF_NEVER;
    n->conductor->break_from = now + utterance->length + narrator_samples(n, REST_WAITS_S);
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
    const struct hf_utterance *utterance = narrator_spoken(n, hf_wording_rest(text), &words);
    int64_t due = c->sounded_from + hf_request_samples(request, request->break_every);
    if (!utterance || now + utterance->length + narrator_samples(n, 1) < due)
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
        n->conductor->break_from = n->rest_end + narrator_samples(n, HF_SPEECH_GAP_S);
    } else if (n->rest_end != HF_NEVER && report->at < n->rest_end) {
        tell_rest(n, report->at);
    } else if (n->rest_end != HF_NEVER) {
        n->conductor->break_from =
            report->at + utterance->length + narrator_samples(n, HF_SPEECH_GAP_S);
    }
}

/* A remark about a cue that runs: from `at` on, and not once the cue is over. */
static void remark_later(struct hf_narrator *n, uint32_t cue, const char *text, int64_t at, int how)
{
    uint32_t words;
    const struct hf_utterance *utterance = narrator_spoken(n, text, &words);
    if (utterance)
        add_event(n, (struct hf_event){.kind = HF_EVENT_SAY,
                                       .cue = cue,
                                       .at = at,
                                       .waits = true,
                                       .asks = how == ASKS,
                                       .words = words,
                                       .length = utterance->length});
}

/* The number of the cue that runs, from 1, 0 for none. */
static uint32_t running_at(const struct hf_narrator *n, int64_t now)
{
    const struct hf_timeline *t = &n->conductor->timeline;
    const struct hf_timeline_cue *cue = hf_timeline_running(t, now);
    return cue ? (uint32_t)(cue - t->cues) + 1 : 0;
}

/* What is known of a cue by `now`: its names, or what is asked. */
static int describe(struct hf_narrator *n, uint32_t number, int64_t now,
                    char text[HF_UTTERANCE_TEXT])
{
    const struct hf_timeline *t = &n->conductor->timeline;
    const struct hf_timeline_cue *cue = &t->cues[number - 1];
    const struct hf_record *held = hf_timeline_held(t, (long)number - 1);
    struct hf_wording wording = n->wording;
    bool told = hf_timeline_shown(t, cue->tell, now);
    wording.level = cue->level;
    if (told)
        hf_wording_cue(&wording, HF_MOMENT_NAMED, &cue->record, held, text);
    else if (wording.request->practice == HF_PRACTICE_SIGHT)
        hf_wording_chord(&wording, &cue->record, held, true, text);
    else if (cue->level > 0)
        hf_wording_question(&wording, &cue->record, false, text);
    else
        hf_wording_cue(&wording, HF_MOMENT_BEGINS, &cue->record, held, text);
    return told ? PLAIN : ASKS;
}

static void remark_again(struct hf_narrator *n, const struct hf_record *record)
{
    char text[HF_UTTERANCE_TEXT];
    uint32_t cue = running_at(n, record->at);
    if (!n->wording.all || cue == 0)
        return;
    int how = describe(n, cue, record->at, text);
    remark_later(n, cue, text,
                 record->at + narrator_sounding(n, &n->conductor->timeline.cues[cue - 1].record),
                 how);
}

/* Of the cue that runs, and soon; of one that is over the next tells. */
static void remark_mark(struct hf_narrator *n, const struct hf_record *record, const char *text)
{
    const struct hf_timeline *t = &n->conductor->timeline;
    uint32_t cue = running_at(n, record->at);
    if (cue > 0 && t->cues[cue - 1].record.n == record->cue)
        remark_later(n, cue, text, record->at + narrator_samples(n, HF_NARRATOR_MARK_S), PLAIN);
    else if (cue == 0)
        remark(n, text);
}

static void open_session(struct hf_narrator *n, const struct hf_record *hold)
{
    char text[HF_UTTERANCE_TEXT];
    uint32_t words;
    hf_wording_opening(&n->wording, hold, n->total, text);
    const struct hf_utterance *utterance = narrator_spoken(n, text, &words);
    n->opening = utterance ? utterance->length + narrator_samples(n, HF_SPEECH_GAP_S) : 0;
    remark(n, text);
}

static void read_record(struct hf_narrator *n, const struct hf_record *record)
{
    char text[HF_UTTERANCE_TEXT];
    if (record->type == HF_RECORD_CUE || record->type == HF_RECORD_STEP) {
        n->cue = *record;
        return;
    }
    if (record->type == HF_RECORD_HOLD) {
        bool first = n->hold.count == 0;
        n->hold = *record;
        if (first)
            open_session(n, record);
        return;
    }
    if (record->type == HF_RECORD_LEVEL)
        n->wording.level = record->level;
    hf_wording_record(&n->wording, record, &n->conductor->timeline, text);
    if (record->type == HF_RECORD_AGAIN)
        remark_again(n, record);
    else if (record->type == HF_RECORD_MARK)
        remark_mark(n, record, text);
    else
        remark(n, text);
}

void hf_narrator_help(struct hf_narrator *n, int64_t now, const char *keys)
{
    char text[HF_UTTERANCE_TEXT] = "";
    uint32_t cue = running_at(n, now);
    if (!n->wording.all || n->conductor->paused || n->count > HF_NARRATOR_EVENTS - 2)
        return;
    if (cue > 0) {
        int how = describe(n, cue, now, text);
        remark_later(n, cue, text, now, how);
    } else {
        remark(n, hf_wording_opening(&n->wording, &n->hold, n->total, text));
    }
    snprintf(text, sizeof text, "%s", keys);
    remark(n, text);
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
