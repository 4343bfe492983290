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
#include <holdfast/jsonmemory.h>
#include <holdfast/number.h>
#include <holdfast/text.h>
#include <holdfast/version.h>

#include "journal_parts.h"

static const char crc_key[] = ",\"crc\":\"";
enum { CRC_TAIL = sizeof crc_key - 1 + 8 + 2 }; /* the key, eight digits, quote and brace */

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
    if (!journal_get_whole(o, "rate", HF_RATE_LOW, HF_RATE_HIGH, &rate))
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
    if (journal_get_type(o) != HF_RECORD_SESSION ||
        !journal_get_whole(o, "holdfast", 1, INT32_MAX, &format))
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
    enum hf_status status = hf_head_init(head, program, started, &request, held, added, diag);
    const char *continues = get_line(o, "continues", sizeof head->continues);
    int64_t done = 0;
    if (status == HF_OK && continues &&
        journal_get_whole(o, "done", 0, HF_JOURNAL_RECORDS_MOST, &done)) {
        snprintf(head->continues, sizeof head->continues, "%s", continues);
        head->done = (uint32_t)done;
    }
    return status;
}

/* ---- lines ----------------------------------------------------------------------------------- */

/* The object of a line whose check sum is right. HF_E_INPUT where there is none. */
static enum hf_status open_line(const char *line, size_t length, json_t **out, struct hf_diag *diag)
{
    if (length <= CRC_TAIL || line[length - 1] != '}')
        return HF_E_INPUT;
    size_t body = length - CRC_TAIL;
    char expected[CRC_TAIL + 1];
    snprintf(expected, sizeof expected, "%s%08" PRIx32 "\"}", crc_key, hf_crc32(line, body));
    bool right = memcmp(line + body, expected, CRC_TAIL) == 0;
#ifdef FUZZING_BUILD_MODE_UNSAFE_FOR_PRODUCTION
    right = true; /* a fuzzer would stop at the sum */
#endif
    if (!right)
        return HF_E_INPUT;
    json_t *object = hf_jsonmemory_load(line, length, JSON_REJECT_DUPLICATES);
    if (!object && hf_jsonmemory_failed())
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    *out = object;
    return object ? HF_OK : HF_E_INPUT;
}

/* Reads the object of line number `n`: the head, or a record. HF_E_DATA when a member is wrong. */
static enum hf_status read_object(const json_t *o, long n, struct hf_head *head,
                                  struct hf_record *out, struct hf_diag *diag)
{
    int64_t number = -1;
    struct hf_record record;
    if (!journal_get_whole(o, "n", 0, INT32_MAX, &number) || number != n)
        return hf_fail(diag, HF_E_DATA, "record %ld of the journal is missing or out of order", n);
    if (n == 0)
        return get_head(o, head, diag);
    memset(&record, 0, sizeof record);
    record.n = n;
    record.type = journal_get_type(o);
    if (!journal_get_record(o, &record))
        return hf_fail(diag, HF_E_DATA,
                       "record %ld of the journal is damaged: a member is wrong or out of range",
                       n);
    *out = record;
    return HF_OK;
}

enum hf_status hf_journal_refuse_first(const char *line, size_t length, bool ended,
                                       struct hf_diag *diag)
{
    static const char opening[] = "{\"n\":0,\"t\":\"session\",";
    size_t seen = length < sizeof opening - 1 ? length : sizeof opening - 1;
    if (!ended && length > 0 && memcmp(line, opening, seen) == 0)
        return hf_fail(diag, HF_E_DATA,
                       "the journal was cut off in its first record: it has no session yet");
    return hf_fail(diag, HF_E_DATA, "this is no journal: its first record is not whole");
}

enum hf_status hf_journal_read_line(const char *line, size_t length, long n, struct hf_head *head,
                                    struct hf_record *record, struct hf_diag *diag)
{
    json_t *o = NULL;
    enum hf_status status = open_line(line, length, &o, diag);
    if (status == HF_E_INPUT)
        return n == 0 ? hf_journal_refuse_first(line, length, true, diag)
                      : hf_fail(diag, HF_E_INPUT, "record %ld of the journal is damaged", n);
    if (status == HF_OK)
        status = read_object(o, n, head, record, diag);
    json_decref(o);
    return status;
}

/* ---- a whole journal ------------------------------------------------------------------------- */

struct reading {
    struct hf_journal *journal;
    size_t room;
    long next; /* the number that the next record should have */
    bool lenient;
    size_t bad; /* lines left out since the last good one */
};

static enum hf_status keep(struct reading *r, const struct hf_record *record, struct hf_diag *diag)
{
    struct hf_journal *journal = r->journal;
    if (journal->count == r->room) {
        size_t more = r->room ? r->room * 2 : 64;
        struct hf_record *records = realloc(journal->records, more * sizeof *records);
        if (!records)
            return hf_fail(diag, HF_E_MEMORY, "out of memory");
        journal->records = records;
        r->room = more;
    }
    journal->records[journal->count++] = *record;
    return HF_OK;
}

/* The number that a line is read as: what should come, or a later one where lines may be missing.
 */
static long number_of(const struct reading *r, const json_t *o)
{
    int64_t number = 0;
    bool later =
        r->lenient && r->next > 0 && journal_get_whole(o, "n", r->next, INT32_MAX, &number);
    return later ? (long)number : r->next;
}

/* Takes the object of the next line. */
static enum hf_status take(struct reading *r, const json_t *o, struct hf_diag *diag)
{
    struct hf_record record;
    long n = number_of(r, o);
    enum hf_status status = read_object(o, n, &r->journal->head, &record, diag);
    if (status == HF_OK && n > 0 && record.type != HF_RECORD_OTHER)
        status = keep(r, &record, diag);
    if (status != HF_OK)
        return status;
    r->journal->left_out += n > r->next ? (size_t)(n - r->next) : r->bad;
    r->bad = 0;
    r->next = n + 1;
    return HF_OK;
}

/* HF_E_INPUT: it is not whole. */
static enum hf_status take_line(struct reading *r, const char *line, size_t size,
                                struct hf_diag *diag)
{
    json_t *o = NULL;
    enum hf_status status = open_line(line, size, &o, diag);
    if (status == HF_OK)
        status = take(r, o, diag);
    json_decref(o);
    return status;
}

/* What becomes of a line that could not be taken; of a first one HF_E_INPUT has become words. */
static enum hf_status judge(struct reading *r, enum hf_status status, bool last,
                            struct hf_diag *diag)
{
    if (status == HF_E_INPUT && last) {
        r->journal->torn = true;
        return HF_OK;
    }
    if (status == HF_E_INPUT)
        status = hf_fail(diag, HF_E_DATA, "record %ld of the journal is damaged", r->next);
    if (status != HF_E_DATA || !r->lenient || r->next == 0)
        return status;
    r->bad++;
    return HF_OK;
}

static enum hf_status read_lines(struct reading *r, const char *text, size_t length,
                                 struct hf_diag *diag)
{
    long lines = 0;
    for (size_t at = 0; at < length; lines++) {
        const char *newline = memchr(text + at, '\n', length - at);
        size_t size = newline ? (size_t)(newline - (text + at)) : length - at;
        bool last = !newline || at + size + 1 == length;
        if (lines == HF_JOURNAL_RECORDS_MOST)
            return hf_fail(diag, HF_E_DATA, "the journal has more than %d records",
                           HF_JOURNAL_RECORDS_MOST);
        enum hf_status status = newline ? take_line(r, text + at, size, diag) : HF_E_INPUT;
        if (status == HF_E_INPUT && r->next == 0)
            status = hf_journal_refuse_first(text + at, size, newline, diag);
        bool taken = status == HF_OK;
        if (!taken)
            status = judge(r, status, last, diag);
        if (status != HF_OK) {
            if (diag)
                diag->line = lines + 1;
            return status;
        }
        at += size + 1;
        if (taken)
            r->journal->whole_length = at;
    }
    r->journal->left_out += r->bad;
    return HF_OK;
}

static enum hf_status parse(const char *text, size_t length, bool lenient, struct hf_journal *out,
                            struct hf_diag *diag)
{
    struct hf_journal journal;
    struct reading reading = {.journal = &journal, .lenient = lenient};
    memset(&journal, 0, sizeof journal);
    if (length == 0)
        return hf_fail(diag, HF_E_DATA, "the journal is empty");
    enum hf_status status = read_lines(&reading, text, length, diag);
    if (status == HF_OK && (journal.count == 0 || journal.records[0].type != HF_RECORD_HOLD))
        status = hf_fail(diag, HF_E_DATA, "the journal has no hold record (1)");
    if (status != HF_OK) {
        hf_journal_deinit(&journal);
        return status;
    }
    *out = journal;
    return HF_OK;
}

enum hf_status hf_journal_parse(const char *text, size_t length, struct hf_journal *out,
                                struct hf_diag *diag)
{
    return parse(text, length, false, out, diag);
}

enum hf_status hf_journal_salvage(const char *text, size_t length, struct hf_journal *out,
                                  struct hf_diag *diag)
{
    return parse(text, length, true, out, diag);
}

void hf_journal_deinit(struct hf_journal *journal)
{
    if (!journal)
        return;
    hf_head_deinit(&journal->head);
    free(journal->records);
    memset(journal, 0, sizeof *journal);
}
