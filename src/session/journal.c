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

/* An object in the making. jansson's setters take a NULL value as a failure, and a NULL object too,
 * so that it is enough to ask once, in the end. */
struct making {
    json_t *object;
    bool failed;
};

static void put(struct making *m, const char *key, json_t *value)
{
    m->failed |= json_object_set_new(m->object, key, value) != 0;
}

static void put_whole(struct making *m, const char *key, int64_t value)
{
    put(m, key, json_integer(value));
}

static void put_text(struct making *m, const char *key, const char *text)
{
    put(m, key, json_string(text));
}

static void put_time(struct making *m, const char *key, int64_t at)
{
    put(m, key, at == HF_NEVER ? json_null() : json_integer(at));
}

static void append(struct making *m, json_t *array, json_t *value)
{
    m->failed |= json_array_append_new(array, value) != 0;
}

/* Ends a line: the object's text without its brace, the check sum, a newline. Frees the object. */
static enum hf_status seal(struct making *m, char **line, size_t *length, struct hf_diag *diag)
{
    char *text = m->failed ? NULL : json_dumps(m->object, JSON_COMPACT);
    json_decref(m->object);
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

static void put_request(struct making *m, const struct hf_request *request)
{
    struct making options = {.object = json_object()};
    for (int key = 0; key < HF_OPTIONS; key++) {
        bool apart = key == HF_OPT_SEED || key == HF_OPT_RATE || key == HF_OPT_LABEL;
        if (!apart && request->text[key][0])
            put_text(&options, hf_option_name((enum hf_option)key), request->text[key]);
    }
    m->failed |= options.failed;
    put(m, "request", options.object);
}

enum hf_status hf_journal_format_head(const struct hf_head *head, char **line, size_t *length,
                                      struct hf_diag *diag)
{
    const struct hf_request *request = &head->request;
    struct making m = {.object = json_object()};
    put_whole(&m, "n", 0);
    put_text(&m, "t", "session");
    put_whole(&m, "at", 0);
    put_whole(&m, "holdfast", HF_FORMAT);
    put_text(&m, "program", head->program);
    put_text(&m, "started", head->started);
    put_text(&m, "label", request->text[HF_OPT_LABEL]);
    if (head->continues[0]) {
        put_text(&m, "continues", head->continues);
        put_whole(&m, "done", head->done);
    }
    put_whole(&m, "rate", request->rate_hz);
    put_text(&m, "seed", request->text[HF_OPT_SEED]);
    put_request(&m, request);
    put(&m, "patches",
        json_pack("{s:s, s:s}", "held", head->held_patch, "added", head->added_patch));
    return seal(&m, line, length, diag);
}

static void put_set(struct making *m, hf_pcset pcs)
{
    int list[HF_PCS];
    int size = hf_pcset_list(pcs, list);
    json_t *set = json_array();
    for (int i = 0; i < size; i++)
        append(m, set, json_integer(list[i]));
    put(m, "pcs", set);
}

static void put_notes(struct making *m, const struct hf_record *record)
{
    json_t *notes = json_array(), *names = json_array();
    put_set(m, record->pcs);
    for (int i = 0; i < record->count; i++) {
        append(m, notes, json_integer(record->notes[i]));
        append(m, names, json_string(record->names[i]));
    }
    put(m, "notes", notes);
    put(m, "names", names);
}

/* Where the notes lie on the player's instrument, lowest string first, null for a silent string. */
static void put_frets(struct making *m, const struct hf_record *record)
{
    if (record->strings == 0)
        return;
    json_t *frets = json_array();
    for (int i = 0; i < record->strings; i++)
        append(m, frets,
               record->frets[i] == HF_SILENT ? json_null() : json_integer(record->frets[i]));
    put(m, "frets", frets);
}

static void put_times(struct making *m, const struct hf_record *r)
{
    put_time(m, "tell", r->tell);
    put_time(m, "hear", r->hear);
    put_time(m, "end", r->end);
}

/* How a cue's notes come, where it is not the usual way. */
static void put_manner(struct making *m, const struct hf_manner *manner)
{
    if (manner->staggered)
        put_whole(m, "stagger", manner->stagger);
    if (manner->apart)
        put_whole(m, "apart", manner->apart);
    if (manner->rests)
        put(m, "rests", json_true());
}

static void put_cue(struct making *m, const struct hf_record *r)
{
    put_whole(m, "id", r->id);
    put_notes(m, r);
    put_times(m, r);
    put_frets(m, r);
    put_manner(m, &r->manner);
}

static void put_answer(struct making *m, const struct hf_record *r)
{
    if (r->cue > 0) {
        put_whole(m, "cue", r->cue);
        put_whole(m, "id", r->id);
        put(m, "right", json_boolean(r->right));
        if (r->pcs)
            put_set(m, r->pcs);
        return;
    }
    put_set(m, r->pcs);
    put_text(m, "as", hf_finding_word(r->finding));
    if (r->hints)
        put_whole(m, "hints", r->hints);
}

static void put_speech(struct making *m, const struct hf_record *r)
{
    char sum[9];
    snprintf(sum, sizeof sum, "%08" PRIx32, r->sum);
    if (r->cue)
        put_whole(m, "cue", r->cue);
    put_text(m, "text", r->text);
    put_whole(m, "length", r->length);
    put_text(m, "sum", sum);
}

static void put_step(struct making *m, const struct hf_record *r)
{
    put_whole(m, "cue", r->cue);
    put_whole(m, "step", r->step);
    put_whole(m, "steps", r->steps);
    put_text(m, "class", hf_setclass_of(r->pcs)->name);
    put_whole(m, "which", r->which);
    put_whole(m, "of", r->of);
    put_notes(m, r);
    put_times(m, r);
    put_whole(m, "under", r->manner.under_db);
    put_frets(m, r);
}

static void put_drone(struct making *m, const struct hf_record *r)
{
    put_whole(m, "gain_db", r->gain_db);
    put_whole(m, "over", r->over);
    if (r->held_for)
        put_whole(m, "hold", r->held_for);
}

static void put_members(struct making *m, const struct hf_record *r)
{
    switch (r->type) {
    case HF_RECORD_HOLD:
        put_notes(m, r);
        put_frets(m, r);
        return;
    case HF_RECORD_CUE:
        put_cue(m, r);
        return;
    case HF_RECORD_GO:
    case HF_RECORD_NEXT:
        if (r->shifted)
            put_whole(m, "shift", r->shift);
        return;
    case HF_RECORD_RESUME:
        put_whole(m, "after", r->after);
        return;
    case HF_RECORD_STEP:
        put_step(m, r);
        return;
    case HF_RECORD_DRONE:
        put_drone(m, r);
        return;
    case HF_RECORD_BREAK:
        put_whole(m, "sounded", r->sounded);
        return;
    case HF_RECORD_MARK:
        put_whole(m, "cue", r->cue);
        put_text(m, "as", mark_words[r->as]);
        return;
    case HF_RECORD_ANSWER:
        put_answer(m, r);
        return;
    case HF_RECORD_HINT:
        put_whole(m, "step", r->hints);
        return;
    case HF_RECORD_VOLUME:
        put_whole(m, "db", r->db);
        return;
    case HF_RECORD_LEVEL:
        put_whole(m, "level", r->level);
        put_text(m, "why", hf_level_why_word(r->level_why));
        return;
    case HF_RECORD_SPEECH:
        put_speech(m, r);
        return;
    case HF_RECORD_END:
        put_text(m, "why", why_words[r->why]);
        put_whole(m, "fade", r->fade);
        return;
    case HF_RECORD_SESSION:
    case HF_RECORD_STAY:
    case HF_RECORD_PAUSE:
    case HF_RECORD_LOST:
    case HF_RECORD_AGAIN:
    case HF_RECORD_REVEAL:
    case HF_RECORD_OTHER:;
    }
}

enum hf_status hf_journal_format(const struct hf_record *record, char **line, size_t *length,
                                 struct hf_diag *diag)
{
    struct making m = {.object = json_object()};
    put_whole(&m, "n", record->n);
    put_text(&m, "t", record_words[record->type]);
    put_time(&m, "at", record->at);
    put_members(&m, record);
    return seal(&m, line, length, diag);
}
