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

/* The object of a line whose check sum is right, or NULL. */
static json_t *open_line(const char *line, size_t length)
{
    if (length <= CRC_TAIL || line[length - 1] != '}')
        return NULL;
    size_t body = length - CRC_TAIL;
    char expected[CRC_TAIL + 1];
    snprintf(expected, sizeof expected, "%s%08" PRIx32 "\"}", crc_key, hf_crc32(line, body));
    bool right = memcmp(line + body, expected, CRC_TAIL) == 0;
#ifdef FUZZING_BUILD_MODE_UNSAFE_FOR_PRODUCTION
    right = true; /* a fuzzer would stop at the sum */
#endif
    if (!right)
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
