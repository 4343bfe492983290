/* SPDX-License-Identifier: MIT */
/* Writing. Invariants: keys stand in the order of the contract (n, t, at, the type's own, crc);
 * the check sum covers every byte before `,"crc"`; nothing in a line depends on the locale. */
#include <holdfast/journal.h>

#include <inttypes.h>
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/crc32.h>
#include <holdfast/jsonmemory.h>
#include <holdfast/version.h>

static const char *const record_words[] = {
#define HF_RECORD_WORD(name, word) word,
    HF_RECORD_LIST(HF_RECORD_WORD)
#undef HF_RECORD_WORD
        "other"};
static const char *const why_words[] = {"finished", "quit", "lost", "signal"};
static const char *const mark_words[] = {"got", "missed"};
static const char *const finding_words[] = {"found", "again", "other", "shares"};
static const char *const level_whys[] = {"start", "up", "down"};

const char *hf_record_word(enum hf_record_type type)
{
    return record_words[type];
}

const char *hf_why_word(enum hf_why why)
{
    return why_words[why];
}

const char *hf_mark_word(enum hf_mark mark)
{
    return mark_words[mark];
}

const char *hf_finding_word(enum hf_finding finding)
{
    return finding_words[finding];
}

const char *hf_level_why_word(enum hf_level_why why)
{
    return level_whys[why];
}

/* ---- head ------------------------------------------------------------------------------------ */

static char *copy_text(const char *text)
{
    size_t length = strlen(text) + 1;
    char *copy = malloc(length);
    if (copy)
        memcpy(copy, text, length);
    return copy;
}

enum hf_status hf_head_init(struct hf_head *head, const char *program, const char *started,
                            const struct hf_request *request, const char *held_patch,
                            const char *added_patch, struct hf_diag *diag)
{
    struct hf_head made;
    memset(&made, 0, sizeof made);
    snprintf(made.program, sizeof made.program, "%s", program);
    snprintf(made.started, sizeof made.started, "%s", started);
    made.request = *request;
    made.held_patch = copy_text(held_patch);
    made.added_patch = copy_text(added_patch);
    if (!made.held_patch || !made.added_patch) {
        hf_head_deinit(&made);
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    }
    *head = made;
    return HF_OK;
}

void hf_head_deinit(struct hf_head *head)
{
    if (!head)
        return;
    free(head->held_patch);
    free(head->added_patch);
    head->held_patch = head->added_patch = NULL;
}

/* ---- lines ----------------------------------------------------------------------------------- */

/* jansson's setters take a NULL value as a failure, so a chain of them fails as a whole. */
static bool put(json_t *object, const char *key, json_t *value)
{
    return json_object_set_new(object, key, value) == 0;
}

static json_t *time_value(int64_t at)
{
    return at == HF_NEVER ? json_null() : json_integer(at);
}

/* Ends a line: the object's text without its brace, the check sum, a newline. Frees the object. */
static enum hf_status seal(json_t *object, bool complete, char **line, size_t *length,
                           struct hf_diag *diag)
{
    char *text = complete ? json_dumps(object, JSON_COMPACT) : NULL;
    json_decref(object);
    if (hf_jsonmemory_failed()) { /* then the text may lack a part, too */
        free(text);
        text = NULL;
    }
    size_t body = text ? strlen(text) - 1 : 0;
    char *sealed = text ? malloc(body + 32) : NULL;
    if (sealed) {
        memcpy(sealed, text, body);
        int more =
            snprintf(sealed + body, 32, ",\"crc\":\"%08" PRIx32 "\"}\n", hf_crc32(text, body));
        *line = sealed;
        *length = body + (size_t)more;
    }
    free(text);
    return sealed ? HF_OK : hf_fail(diag, HF_E_MEMORY, "out of memory");
}

static json_t *request_object(const struct hf_request *request)
{
    json_t *object = json_object();
    for (int key = 0; key < HF_OPTIONS; key++) {
        bool apart = key == HF_OPT_SEED || key == HF_OPT_RATE || key == HF_OPT_LABEL;
        if (apart || !request->text[key][0])
            continue;
        if (!put(object, hf_option_name((enum hf_option)key), json_string(request->text[key]))) {
            json_decref(object);
            return NULL;
        }
    }
    return object;
}

enum hf_status hf_journal_format_head(const struct hf_head *head, char **line, size_t *length,
                                      struct hf_diag *diag)
{
    const struct hf_request *request = &head->request;
    json_t *o = json_object();
    bool complete =
        put(o, "n", json_integer(0)) && put(o, "t", json_string("session")) &&
        put(o, "at", json_integer(0)) && put(o, "holdfast", json_integer(HF_FORMAT)) &&
        put(o, "program", json_string(head->program)) &&
        put(o, "started", json_string(head->started)) &&
        put(o, "label", json_string(request->text[HF_OPT_LABEL])) &&
        (!head->continues[0] || (put(o, "continues", json_string(head->continues)) &&
                                 put(o, "done", json_integer(head->done)))) &&
        put(o, "rate", json_integer(request->rate_hz)) &&
        put(o, "seed", json_string(request->text[HF_OPT_SEED])) &&
        put(o, "request", request_object(request)) &&
        put(o, "patches",
            json_pack("{s:s, s:s}", "held", head->held_patch, "added", head->added_patch));
    return seal(o, complete, line, length, diag);
}

static bool put_set(json_t *o, hf_pcset pcs)
{
    int list[HF_PCS];
    int size = hf_pcset_list(pcs, list);
    json_t *set = json_array();
    bool fine = true;
    for (int i = 0; i < size; i++)
        fine = json_array_append_new(set, json_integer(list[i])) == 0 && fine;
    return put(o, "pcs", set) && fine;
}

static bool put_notes(json_t *o, const struct hf_record *record)
{
    json_t *notes = json_array(), *names = json_array();
    bool fine = put_set(o, record->pcs);
    for (int i = 0; i < record->count; i++) {
        fine = json_array_append_new(notes, json_integer(record->notes[i])) == 0 && fine;
        fine = json_array_append_new(names, json_string(record->names[i])) == 0 && fine;
    }
    fine = put(o, "notes", notes) && fine;
    return put(o, "names", names) && fine;
}

/* Where the notes lie on the player's instrument, lowest string first, null for a silent string. */
static bool put_frets(json_t *o, const struct hf_record *record)
{
    if (record->strings == 0)
        return true;
    json_t *frets = json_array();
    bool fine = true;
    for (int i = 0; i < record->strings; i++) {
        json_t *fret = record->frets[i] == HF_SILENT ? json_null() : json_integer(record->frets[i]);
        fine = json_array_append_new(frets, fret) == 0 && fine;
    }
    return put(o, "frets", frets) && fine;
}

/* How a cue's notes come, where it is not the usual way. */
static bool put_manner(json_t *o, const struct hf_manner *manner)
{
    return (!manner->staggered || put(o, "stagger", json_integer(manner->stagger))) &&
           (!manner->apart || put(o, "apart", json_integer(manner->apart))) &&
           (!manner->rests || put(o, "rests", json_true()));
}

static bool put_answer(json_t *o, const struct hf_record *r)
{
    if (r->cue > 0)
        return put(o, "cue", json_integer(r->cue)) && put(o, "id", json_integer(r->id)) &&
               put(o, "right", json_boolean(r->right)) && (!r->pcs || put_set(o, r->pcs));
    return put_set(o, r->pcs) && put(o, "as", json_string(hf_finding_word(r->finding))) &&
           (r->hints == 0 || put(o, "hints", json_integer(r->hints)));
}

static bool put_speech(json_t *o, const struct hf_record *r)
{
    char sum[9];
    snprintf(sum, sizeof sum, "%08" PRIx32, r->sum);
    return (r->cue == 0 || put(o, "cue", json_integer(r->cue))) &&
           put(o, "text", json_string(r->text)) && put(o, "length", json_integer(r->length)) &&
           put(o, "sum", json_string(sum));
}

static bool put_times(json_t *o, const struct hf_record *r)
{
    return put(o, "tell", time_value(r->tell)) && put(o, "hear", time_value(r->hear)) &&
           put(o, "end", time_value(r->end));
}

static bool put_step(json_t *o, const struct hf_record *r)
{
    return put(o, "cue", json_integer(r->cue)) && put(o, "step", json_integer(r->step)) &&
           put(o, "steps", json_integer(r->steps)) &&
           put(o, "class", json_string(hf_setclass_of(r->pcs)->name)) &&
           put(o, "which", json_integer(r->which)) && put(o, "of", json_integer(r->of));
}

static bool put_members(json_t *o, const struct hf_record *r)
{
    switch (r->type) {
    case HF_RECORD_HOLD:
        return put_notes(o, r) && put_frets(o, r);
    case HF_RECORD_CUE:
        return put(o, "id", json_integer(r->id)) && put_notes(o, r) &&
               put(o, "tell", time_value(r->tell)) && put(o, "hear", time_value(r->hear)) &&
               put(o, "end", time_value(r->end)) && put_frets(o, r) && put_manner(o, &r->manner);
    case HF_RECORD_GO:
    case HF_RECORD_NEXT:
        return !r->shifted || put(o, "shift", json_integer(r->shift));
    case HF_RECORD_RESUME:
        return put(o, "after", json_integer(r->after));
    case HF_RECORD_STEP:
        return put_step(o, r) && put_notes(o, r) && put_times(o, r) &&
               put(o, "under", json_integer(r->manner.under_db));
    case HF_RECORD_DRONE:
        return put(o, "gain_db", json_integer(r->gain_db)) &&
               put(o, "over", json_integer(r->over)) &&
               (r->held_for == 0 || put(o, "hold", json_integer(r->held_for)));
    case HF_RECORD_BREAK:
        return put(o, "sounded", json_integer(r->sounded));
    case HF_RECORD_MARK:
        return put(o, "cue", json_integer(r->cue)) && put(o, "as", json_string(mark_words[r->as]));
    case HF_RECORD_ANSWER:
        return put_answer(o, r);
    case HF_RECORD_HINT:
        return put(o, "step", json_integer(r->hints));
    case HF_RECORD_VOLUME:
        return put(o, "db", json_integer(r->db));
    case HF_RECORD_LEVEL:
        return put(o, "level", json_integer(r->level)) &&
               put(o, "why", json_string(hf_level_why_word(r->level_why)));
    case HF_RECORD_SPEECH:
        return put_speech(o, r);
    case HF_RECORD_END:
        return put(o, "why", json_string(why_words[r->why])) &&
               put(o, "fade", json_integer(r->fade));
    case HF_RECORD_SESSION:
    case HF_RECORD_STAY:
    case HF_RECORD_PAUSE:
    case HF_RECORD_LOST:
    case HF_RECORD_AGAIN:
    case HF_RECORD_REVEAL:
    case HF_RECORD_OTHER:
        break;
    }
    return true;
}

enum hf_status hf_journal_format(const struct hf_record *record, char **line, size_t *length,
                                 struct hf_diag *diag)
{
    json_t *o = json_object();
    bool complete = put(o, "n", json_integer(record->n)) &&
                    put(o, "t", json_string(record_words[record->type])) &&
                    put(o, "at", time_value(record->at)) && put_members(o, record);
    return seal(o, complete, line, length, diag);
}
