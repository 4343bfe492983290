/* SPDX-License-Identifier: MIT */
/* Reading. Invariants: a record is used only when its check sum, its number and the type of every
 * member are right; a journal that fails leaves nothing allocated. */
#include <holdfast/journal.h>

#include <inttypes.h>
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/crc32.h>
#include <holdfast/number.h>
#include <holdfast/support.h>
#include <holdfast/text.h>
#include <holdfast/version.h>

/* Times in a journal stay far from the ends of 64 bits, so that sums of as many as it may have
 * records can't overflow: 2^42 samples are nine months at 192 kHz. */
#define TIME_MOST (INT64_C(1) << 42)
_Static_assert(TIME_MOST <= INT64_MAX / HF_JOURNAL_RECORDS_MOST, "sums of times have room");

static const char crc_key[] = ",\"crc\":\"";
enum { CRC_TAIL = sizeof crc_key - 1 + 8 + 2 }; /* the key, eight digits, quote and brace */

/* ---- members --------------------------------------------------------------------------------- */

static bool get_whole(const json_t *o, const char *key, int64_t low, int64_t high, int64_t *out)
{
    const json_t *value = json_object_get(o, key);
    if (!json_is_integer(value) || json_integer_value(value) < low ||
        json_integer_value(value) > high)
        return false;
    *out = json_integer_value(value);
    return true;
}

static bool get_time(const json_t *o, const char *key, int64_t *out)
{
    if (json_is_null(json_object_get(o, key))) {
        *out = HF_NEVER;
        return true;
    }
    return get_whole(o, key, 0, TIME_MOST, out);
}

static bool get_word(const json_t *o, const char *key, const char *const *words, int count,
                     int *out)
{
    const char *text = json_string_value(json_object_get(o, key));
    for (int i = 0; text && i < count; i++)
        if (strcmp(text, words[i]) == 0) {
            *out = i;
            return true;
        }
    return false;
}

static bool get_names(const json_t *names, struct hf_record *r)
{
    for (int i = 0; i < r->count; i++) {
        const char *name = json_string_value(json_array_get(names, (size_t)i));
        if (!name || !name[0] || strlen(name) >= sizeof r->names[i])
            return false;
        for (const char *c = name; *c; c++)
            if ((unsigned char)*c < 0x20 || (unsigned char)*c > 0x7e)
                return false;
        snprintf(r->names[i], sizeof r->names[i], "%s", name);
    }
    return true;
}

static bool get_set(const json_t *o, hf_pcset *out)
{
    const json_t *pcs = json_object_get(o, "pcs");
    for (size_t i = 0; i < json_array_size(pcs); i++) {
        const json_t *pc = json_array_get(pcs, i);
        if (!json_is_integer(pc) || json_integer_value(pc) < 0 || json_integer_value(pc) > 11)
            return false;
        *out = (hf_pcset)(*out | 1 << json_integer_value(pc));
    }
    return *out != 0;
}

static bool get_notes(const json_t *o, struct hf_record *r)
{
    const json_t *notes = json_object_get(o, "notes"), *names = json_object_get(o, "names");
    size_t count = json_array_size(notes);
    if (count < 1 || count > HF_EVENT_NOTES || json_array_size(names) != count)
        return false;
    hf_pcset sounding = 0;
    r->count = (int)count;
    if (!get_set(o, &r->pcs))
        return false;
    for (size_t i = 0; i < count; i++) {
        const json_t *note = json_array_get(notes, i);
        if (!json_is_integer(note) || json_integer_value(note) < 0 ||
            json_integer_value(note) > 127)
            return false;
        r->notes[i] = (uint8_t)json_integer_value(note);
        sounding = (hf_pcset)(sounding | 1 << hf_pc(r->notes[i]));
    }
    return sounding == r->pcs && get_names(names, r);
}

static bool get_frets(const json_t *o, struct hf_record *r)
{
    const json_t *frets = json_object_get(o, "frets");
    size_t count = json_array_size(frets);
    if (!frets)
        return true;
    if (count < 1 || count > HF_STRINGS_MOST)
        return false;
    r->strings = (int)count;
    for (size_t i = 0; i < count; i++) {
        const json_t *fret = json_array_get(frets, i);
        bool whole = json_is_integer(fret) && json_integer_value(fret) >= 0 &&
                     json_integer_value(fret) <= HF_FRETS_MOST;
        if (!whole && !json_is_null(fret))
            return false;
        r->frets[i] = whole ? (int8_t)json_integer_value(fret) : HF_SILENT;
    }
    return true;
}

static bool get_shift(const json_t *o, struct hf_record *r)
{
    r->shifted = json_object_get(o, "shift") != NULL;
    return !r->shifted || get_whole(o, "shift", -TIME_MOST, TIME_MOST, &r->shift);
}

static bool get_mark(const json_t *o, struct hf_record *r)
{
    static const char *const words[] = {"got", "missed"};
    int64_t cue = 0;
    int as = 0;
    if (!get_whole(o, "cue", 0, INT32_MAX, &cue) || !get_word(o, "as", words, 2, &as))
        return false;
    r->cue = (long)cue;
    r->as = (enum hf_mark)as;
    return true;
}

/* To a cue, or in hunt, where the notes themselves are the answer. */
static bool get_answer(const json_t *o, struct hf_record *r)
{
    static const char *const words[] = {"found", "again", "other", "shares"};
    int64_t cue = 0, id = 0, hints = 0;
    int finding = 0;
    if (json_object_get(o, "cue")) {
        const json_t *right = json_object_get(o, "right");
        if (!get_whole(o, "cue", 1, INT32_MAX, &cue) || !get_whole(o, "id", 0, HF_SETS, &id) ||
            !json_is_boolean(right))
            return false;
        r->cue = (long)cue;
        r->id = (int)id;
        r->right = json_is_true(right);
        return true;
    }
    if (!get_set(o, &r->pcs) || !get_word(o, "as", words, 4, &finding) ||
        (json_object_get(o, "hints") && !get_whole(o, "hints", 1, HF_SETS, &hints)))
        return false;
    r->finding = (enum hf_finding)finding;
    r->hints = (int)hints;
    return true;
}

static bool get_hint(const json_t *o, struct hf_record *r)
{
    int64_t step = 0;
    if (!get_whole(o, "step", 1, HF_SETS, &step))
        return false;
    r->hints = (int)step;
    return true;
}

static bool get_level(const json_t *o, struct hf_record *r)
{
    static const char *const words[] = {"start", "up", "down"};
    int64_t level = 0;
    int why = 0;
    if (!get_whole(o, "level", 1, INT16_MAX, &level) || !get_word(o, "why", words, 3, &why))
        return false;
    r->level = (int)level;
    r->level_why = (enum hf_level_why)why;
    return true;
}

static bool get_volume(const json_t *o, struct hf_record *r)
{
    int64_t db = 0;
    if (!get_whole(o, "db", HF_VOLUME_LOW, HF_VOLUME_HIGH, &db))
        return false;
    r->db = (int)db;
    return true;
}

static bool get_speech(const json_t *o, struct hf_record *r)
{
    const char *text = json_string_value(json_object_get(o, "text"));
    int64_t cue = 0;
    if (!text || !text[0] || strlen(text) >= sizeof r->text ||
        !hf_text_is_plain(text, strlen(text), "") ||
        !hf_number_hex32(json_string_value(json_object_get(o, "sum")), &r->sum) ||
        !get_whole(o, "length", 1, TIME_MOST, &r->length) ||
        (json_object_get(o, "cue") && !get_whole(o, "cue", 1, INT32_MAX, &cue)))
        return false;
    snprintf(r->text, sizeof r->text, "%s", text);
    r->cue = (long)cue;
    return true;
}

static bool get_end(const json_t *o, struct hf_record *r)
{
    static const char *const words[] = {"finished", "quit", "lost", "signal"};
    int why = 0;
    if (!get_word(o, "why", words, 4, &why) || !get_whole(o, "fade", 0, TIME_MOST, &r->fade))
        return false;
    r->why = (enum hf_why)why;
    return true;
}

static bool get_manner(const json_t *o, struct hf_manner *out)
{
    const json_t *rests = json_object_get(o, "rests");
    out->staggered = json_object_get(o, "stagger") != NULL;
    if (out->staggered && !get_whole(o, "stagger", 0, TIME_MOST, &out->stagger))
        return false;
    if (json_object_get(o, "apart") && !get_whole(o, "apart", 1, TIME_MOST, &out->apart))
        return false;
    out->rests = json_is_true(rests);
    return !rests || out->rests;
}

static bool get_cue(const json_t *o, struct hf_record *r)
{
    int64_t id = 0;
    if (!get_whole(o, "id", 0, HF_SETS, &id))
        return false;
    r->id = (int)id;
    return get_notes(o, r) && get_time(o, "tell", &r->tell) && get_time(o, "hear", &r->hear) &&
           get_time(o, "end", &r->end) && get_frets(o, r) && get_manner(o, &r->manner);
}

static bool get_drone(const json_t *o, struct hf_record *r)
{
    int64_t db = 0;
    if (!get_whole(o, "gain_db", HF_DRONE_NONE_DB, 0, &db) ||
        !get_whole(o, "over", 0, TIME_MOST, &r->over) ||
        (json_object_get(o, "hold") && !get_whole(o, "hold", 1, TIME_MOST, &r->held_for)))
        return false;
    r->gain_db = (int)db;
    return true;
}

static enum hf_record_type get_type(const json_t *o)
{
    const char *word = json_string_value(json_object_get(o, "t"));
    for (int type = 0; word && type < HF_RECORD_OTHER; type++)
        if (strcmp(word, hf_record_word((enum hf_record_type)type)) == 0)
            return (enum hf_record_type)type;
    return HF_RECORD_OTHER;
}

static bool get_record(const json_t *o, struct hf_record *r)
{
    if (!get_time(o, "at", &r->at))
        return false;
    if (r->at == HF_NEVER && r->type != HF_RECORD_CUE && r->type != HF_RECORD_HOLD &&
        r->type != HF_RECORD_DRONE)
        return false;
    switch (r->type) {
    case HF_RECORD_HOLD:
        return get_notes(o, r) && get_frets(o, r);
    case HF_RECORD_CUE:
        return get_cue(o, r);
    case HF_RECORD_GO:
    case HF_RECORD_NEXT:
        return get_shift(o, r);
    case HF_RECORD_RESUME:
        return get_whole(o, "after", 0, TIME_MOST, &r->after);
    case HF_RECORD_DRONE:
        return get_drone(o, r);
    case HF_RECORD_BREAK:
        return get_whole(o, "sounded", 0, TIME_MOST, &r->sounded);
    case HF_RECORD_MARK:
        return get_mark(o, r);
    case HF_RECORD_ANSWER:
        return get_answer(o, r);
    case HF_RECORD_HINT:
        return get_hint(o, r);
    case HF_RECORD_LEVEL:
        return get_level(o, r);
    case HF_RECORD_VOLUME:
        return get_volume(o, r);
    case HF_RECORD_SPEECH:
        return get_speech(o, r);
    case HF_RECORD_END:
        return get_end(o, r);
    case HF_RECORD_SESSION:
        return false; /* a second head */
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

/* ---- head ------------------------------------------------------------------------------------ */

static enum hf_status get_request(const json_t *o, struct hf_request *request, struct hf_diag *diag)
{
    hf_request_init(request);
    const json_t *texts = json_object_get(o, "request");
    if (!json_is_object(texts) || !json_is_string(json_object_get(o, "seed")))
        return hf_fail(diag, HF_E_DATA, "its request or seed is missing");
    for (int key = 0; key < HF_OPTIONS; key++) {
        const char *name = hf_option_name((enum hf_option)key);
        const json_t *from = key == HF_OPT_SEED || key == HF_OPT_LABEL ? o : texts;
        const json_t *value = json_object_get(from, name);
        const char *text = json_string_value(value);
        if (value && !text)
            return hf_fail(diag, HF_E_DATA, "its %s is no text", name);
        if (!text || (!text[0] && key == HF_OPT_LABEL))
            continue;
        enum hf_status status = hf_request_set(request, (enum hf_option)key, text, diag);
        if (status != HF_OK)
            return status;
    }
    int64_t rate = 0;
    if (!get_whole(o, "rate", HF_RATE_LOW, HF_RATE_HIGH, &rate))
        return hf_fail(diag, HF_E_DATA, "its rate is missing or outside %d to %d", HF_RATE_LOW,
                       HF_RATE_HIGH);
    request->rate_hz = (int)rate;
    return hf_request_resolve(request, diag);
}

/* A short line that may be shown, NULL where it is none. */
static const char *get_line(const json_t *o, const char *key, size_t size)
{
    const char *text = json_string_value(json_object_get(o, key));
    return text && strlen(text) < size && hf_text_is_plain(text, strlen(text), "") ? text : NULL;
}

static enum hf_status get_head(const json_t *o, struct hf_head *head, struct hf_diag *diag)
{
    struct hf_request request;
    struct hf_diag why;
    int64_t format = 0;
    const json_t *patches = json_object_get(o, "patches");
    const char *held = json_string_value(json_object_get(patches, "held"));
    const char *added = json_string_value(json_object_get(patches, "added"));
    const char *program = get_line(o, "program", sizeof head->program);
    const char *started = get_line(o, "started", sizeof head->started);
    if (get_type(o) != HF_RECORD_SESSION || !get_whole(o, "holdfast", 1, INT32_MAX, &format))
        return hf_fail(diag, HF_E_DATA, "this is no journal: it has no session record first");
    if (format > HF_FORMAT)
        return hf_fail(diag, HF_E_DATA,
                       "this journal is from a newer version (%" PRId64 "; this program reads %d)",
                       format, HF_FORMAT);
    if (!held || !added)
        return hf_fail(diag, HF_E_DATA, "the journal's session record (0) lacks its patches");
    if (!program || !started)
        return hf_fail(diag, HF_E_DATA,
                       "the journal's session record (0) is wrong: its %s is no "
                       "line of text",
                       program ? "started" : "program");
    if (get_request(o, &request, &why) != HF_OK)
        return hf_fail(diag, HF_E_DATA, "the journal's session record (0) is wrong: %s",
                       why.message);
    return hf_head_init(head, program, started, &request, held, added, diag);
}

/* ---- lines ----------------------------------------------------------------------------------- */

/* The object of a line whose check sum is right, or NULL. */
static json_t *open_line(const char *line, size_t length)
{
    if (length <= CRC_TAIL || line[length - 1] != '}')
        return NULL;
    size_t body = length - CRC_TAIL;
    char expected[CRC_TAIL + 1];
    snprintf(expected, sizeof expected, "%s%08" PRIx32 "\"}", crc_key, hf_crc32(line, body));
    if (memcmp(line + body, expected, CRC_TAIL) != 0)
        return NULL;
    return json_loadb(line, length, JSON_REJECT_DUPLICATES, NULL);
}

static enum hf_status grow(struct hf_journal *journal, size_t *room, struct hf_diag *diag)
{
    if (journal->count < *room)
        return HF_OK;
    size_t more = *room ? *room * 2 : 64;
    struct hf_record *records = realloc(journal->records, more * sizeof *records);
    if (!records)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    journal->records = records;
    *room = more;
    return HF_OK;
}

/* Reads the object of line number `n`: the head, or a record. HF_E_DATA when a member is wrong. */
static enum hf_status read_object(const json_t *o, long n, struct hf_head *head,
                                  struct hf_record *out, struct hf_diag *diag)
{
    int64_t number = -1;
    struct hf_record record;
    if (!get_whole(o, "n", 0, INT32_MAX, &number) || number != n)
        return hf_fail(diag, HF_E_DATA, "record %ld of the journal is missing or out of order", n);
    if (n == 0)
        return get_head(o, head, diag);
    memset(&record, 0, sizeof record);
    record.n = n;
    record.type = get_type(o);
    if (!get_record(o, &record))
        return hf_fail(diag, HF_E_DATA,
                       "record %ld of the journal is damaged: a member is wrong or out of range",
                       n);
    *out = record;
    return HF_OK;
}

enum hf_status hf_journal_read_line(const char *line, size_t length, long n, struct hf_head *head,
                                    struct hf_record *record, struct hf_diag *diag)
{
    json_t *o = open_line(line, length);
    if (!o)
        return n == 0
                   ? hf_fail(diag, HF_E_DATA, "this is no journal: its first record is not whole")
                   : hf_fail(diag, HF_E_INPUT, "record %ld of the journal is damaged", n);
    enum hf_status status = read_object(o, n, head, record, diag);
    json_decref(o);
    return status;
}

/* Takes the object of line number `n`. */
static enum hf_status take(struct hf_journal *journal, size_t *room, const json_t *o, long n,
                           struct hf_diag *diag)
{
    struct hf_record record;
    enum hf_status status = read_object(o, n, &journal->head, &record, diag);
    if (status != HF_OK || n == 0 || record.type == HF_RECORD_OTHER)
        return status;
    status = grow(journal, room, diag);
    if (status == HF_OK)
        journal->records[journal->count++] = record;
    return status;
}

static enum hf_status read_lines(const char *text, size_t length, struct hf_journal *journal,
                                 struct hf_diag *diag)
{
    size_t room = 0;
    long n = 0;
    for (size_t at = 0; at < length; n++) {
        const char *newline = memchr(text + at, '\n', length - at);
        size_t size = newline ? (size_t)(newline - (text + at)) : length - at;
        bool last = !newline || at + size + 1 == length;
        if (n == HF_JOURNAL_RECORDS_MOST)
            return hf_fail(diag, HF_E_DATA, "the journal has more than %d records",
                           HF_JOURNAL_RECORDS_MOST);
        json_t *o = newline ? open_line(text + at, size) : NULL;
        if (!o && last && n > 0) {
            journal->torn = true;
            return HF_OK;
        }
        if (!o && n == 0)
            return hf_fail(diag, HF_E_DATA, "this is no journal: its first record is not whole");
        if (!o)
            return hf_fail(diag, HF_E_DATA, "record %ld of the journal is damaged", n);
        enum hf_status status = take(journal, &room, o, n, diag);
        json_decref(o);
        if (status != HF_OK) {
            if (diag)
                diag->line = n + 1;
            return status;
        }
        at += size + 1;
        journal->whole_length = at;
    }
    return HF_OK;
}

enum hf_status hf_journal_parse(const char *text, size_t length, struct hf_journal *out,
                                struct hf_diag *diag)
{
    struct hf_journal journal;
    memset(&journal, 0, sizeof journal);
    if (length == 0)
        return hf_fail(diag, HF_E_DATA, "the journal is empty");
    enum hf_status status = read_lines(text, length, &journal, diag);
    if (status == HF_OK && (journal.count == 0 || journal.records[0].type != HF_RECORD_HOLD))
        status = hf_fail(diag, HF_E_DATA, "the journal has no hold record (1)");
    if (status != HF_OK) {
        hf_journal_deinit(&journal);
        return status;
    }
    *out = journal;
    return HF_OK;
}

void hf_journal_deinit(struct hf_journal *journal)
{
    if (!journal)
        return;
    hf_head_deinit(&journal->head);
    free(journal->records);
    memset(journal, 0, sizeof *journal);
}
