/* SPDX-License-Identifier: MIT */
/* Invariants: nothing is read past the line; every limit here is as narrow as the strict reader's
 * or narrower, so that a yes is never wrong; members stand in the order in which they are written.
 */
#include <holdfast/journal_scan.h>

#include <string.h>

#include <holdfast/text.h>
#include <holdfast/version.h>

enum {
    CRC_KEY = 8,                /* ,"crc":" */
    CRC_TAIL = CRC_KEY + 8 + 2, /* the key, eight digits, quote and brace */
    DIGITS_MOST = 12            /* fewer samples than the strict reader's limit of 2^42 */
};

struct cursor {
    const char *at, *end; /* the end of what is checked: the check sum's key begins there */
};

/* ---- pieces ---------------------------------------------------------------------------------- */

/* Takes a text that must stand here. */
static inline bool skip(struct cursor *c, const char *text, size_t length)
{
    if ((size_t)(c->end - c->at) < length || memcmp(c->at, text, length) != 0)
        return false;
    c->at += length;
    return true;
}
#define SKIP(c, text) skip(c, text, sizeof(text) - 1)

/* Digits without a zero before them. */
static inline bool whole(struct cursor *c, int64_t most, int64_t *out)
{
    const char *start = c->at;
    int64_t value = 0;
    while (c->at < c->end && *c->at >= '0' && *c->at <= '9' && c->at - start <= DIGITS_MOST)
        value = value * 10 + (*c->at++ - '0');
    long digits = c->at - start;
    if (digits < 1 || digits > DIGITS_MOST || (*start == '0' && digits > 1) || value > most)
        return false;
    *out = value;
    return true;
}

static inline bool time_or_null(struct cursor *c, int64_t *out)
{
    if (c->at < c->end && *c->at == 'n') {
        *out = HF_NEVER;
        return SKIP(c, "null");
    }
    return whole(c, INT64_MAX, out);
}

static bool sorted_set(struct cursor *c, hf_pcset *out)
{
    int64_t pc = 0;
    unsigned set = 0;
    if (!SKIP(c, "\"pcs\":["))
        return false;
    do {
        if (!whole(c, 11, &pc))
            return false;
        set |= 1u << pc;
    } while (SKIP(c, ","));
    *out = (hf_pcset)set;
    return SKIP(c, "]");
}

static bool name(struct cursor *c, char out[HF_SPELLED_TEXT])
{
    size_t length = 0;
    if (!SKIP(c, "\""))
        return false;
    for (; c->at < c->end && *c->at != '"'; c->at++) {
        unsigned char byte = (unsigned char)*c->at;
        if (byte < 0x20 || byte > 0x7e || byte == '\\' || length + 1 == HF_SPELLED_TEXT)
            return false;
        out[length++] = (char)byte;
    }
    out[length] = 0;
    return length > 0 && SKIP(c, "\"");
}

static bool notes(struct cursor *c, struct hf_record *r)
{
    unsigned sounding = 0;
    if (!sorted_set(c, &r->pcs) || !SKIP(c, ",\"notes\":["))
        return false;
    do {
        int64_t note = 0;
        if (r->count == HF_EVENT_NOTES || !whole(c, 127, &note))
            return false;
        r->notes[r->count++] = (uint8_t)note;
        sounding |= 1u << note % HF_PCS;
    } while (SKIP(c, ","));
    if (sounding != r->pcs || !SKIP(c, "],\"names\":["))
        return false;
    for (int i = 0; i < r->count; i++)
        if ((i > 0 && !SKIP(c, ",")) || !name(c, r->names[i]))
            return false;
    return SKIP(c, "]");
}

static bool frets(struct cursor *c, struct hf_record *r)
{
    if (!SKIP(c, ",\"frets\":["))
        return true; /* none, or something else, which the end of the line will tell */
    do {
        int64_t fret = HF_SILENT;
        if (r->strings == HF_STRINGS_MOST)
            return false;
        if (!SKIP(c, "null") && !whole(c, HF_FRETS_MOST, &fret))
            return false;
        r->frets[r->strings++] = (int8_t)fret;
    } while (SKIP(c, ","));
    return SKIP(c, "]");
}

/* How the notes come, where it is not all at once. */
static bool manner(struct cursor *c, struct hf_manner *out)
{
    out->staggered = SKIP(c, ",\"stagger\":");
    if (out->staggered && !whole(c, INT64_MAX, &out->stagger))
        return false;
    if (SKIP(c, ",\"apart\":") && (!whole(c, INT64_MAX, &out->apart) || out->apart == 0))
        return false;
    out->rests = SKIP(c, ",\"rests\":true");
    return true;
}

/* ---- records --------------------------------------------------------------------------------- */

static bool cue(struct cursor *c, struct hf_record *r)
{
    int64_t id = 0;
    if (!SKIP(c, ",\"id\":") || !whole(c, HF_SETS, &id) || !SKIP(c, ",") || !notes(c, r))
        return false;
    r->id = (int)id;
    return SKIP(c, ",\"tell\":") && time_or_null(c, &r->tell) && SKIP(c, ",\"hear\":") &&
           time_or_null(c, &r->hear) && SKIP(c, ",\"end\":") && time_or_null(c, &r->end) &&
           frets(c, r) && manner(c, &r->manner);
}

static bool hold(struct cursor *c, struct hf_record *r)
{
    return SKIP(c, ",") && notes(c, r) && frets(c, r);
}

static bool mark(struct cursor *c, struct hf_record *r)
{
    int64_t of = 0;
    if (!SKIP(c, ",\"cue\":") || !whole(c, INT32_MAX, &of))
        return false;
    r->cue = (long)of;
    r->as = HF_MARK_MISSED;
    if (SKIP(c, ",\"as\":\"got\""))
        r->as = HF_MARK_GOT;
    else if (!SKIP(c, ",\"as\":\"missed\""))
        return false;
    return true;
}

/* To a cue; those of hunt are rare. */
static bool answer(struct cursor *c, struct hf_record *r)
{
    int64_t of = 0, id = 0;
    if (!SKIP(c, ",\"cue\":") || !whole(c, INT32_MAX, &of) || of == 0 || !SKIP(c, ",\"id\":") ||
        !whole(c, HF_SETS, &id))
        return false;
    r->cue = (long)of;
    r->id = (int)id;
    r->right = SKIP(c, ",\"right\":true");
    return r->right || SKIP(c, ",\"right\":false");
}

static bool shift(struct cursor *c, struct hf_record *r)
{
    int64_t size = 0;
    r->shifted = SKIP(c, ",\"shift\":");
    if (!r->shifted)
        return true;
    bool negative = SKIP(c, "-");
    if (!whole(c, INT64_MAX, &size) || (negative && size == 0))
        return false;
    r->shift = negative ? -size : size;
    return true;
}

static bool resume(struct cursor *c, struct hf_record *r)
{
    return SKIP(c, ",\"after\":") && whole(c, INT64_MAX, &r->after);
}

/* One type of record: what stands before its time, and how its own members are read. */
static const struct form {
    enum hf_record_type type;
    const char *opening; /* from "t" to the colon of "at" */
    size_t length;
    bool (*members)(struct cursor *c, struct hf_record *r);
} forms[] = {
#define FORM(type, word, members)                                                                  \
    {                                                                                              \
        type, "\"t\":\"" word "\",\"at\":", sizeof "\"t\":\"" word "\",\"at\":" - 1, members       \
    }
    FORM(HF_RECORD_CUE, "cue", cue),          FORM(HF_RECORD_MARK, "mark", mark),
    FORM(HF_RECORD_ANSWER, "answer", answer), FORM(HF_RECORD_NEXT, "next", shift),
    FORM(HF_RECORD_GO, "go", shift),          FORM(HF_RECORD_STAY, "stay", NULL),
    FORM(HF_RECORD_AGAIN, "again", NULL),     FORM(HF_RECORD_REVEAL, "reveal", NULL),
    FORM(HF_RECORD_PAUSE, "pause", NULL),     FORM(HF_RECORD_HOLD, "hold", hold),
    FORM(HF_RECORD_RESUME, "resume", resume),
#undef FORM
};

/* ---- lines ----------------------------------------------------------------------------------- */

static bool hexadecimal(const char *text, uint32_t *out)
{
    uint32_t value = 0;
    for (int i = 0; i < 8; i++) {
        char c = text[i];
        int digit = c >= '0' && c <= '9' ? c - '0' : c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
        if (digit < 0)
            return false;
        value = value << 4 | (uint32_t)digit;
    }
    *out = value;
    return true;
}

/* Sets the cursor to what a right check sum covers. */
static bool open_line(const struct hf_crc32_tables *tables, const char *line, size_t length,
                      struct cursor *c)
{
    uint32_t stated = 0;
    if (length <= CRC_TAIL)
        return false;
    const char *key = line + length - CRC_TAIL;
    if (memcmp(key, ",\"crc\":\"", CRC_KEY) != 0 || memcmp(key + CRC_KEY + 8, "\"}", 2) != 0 ||
        !hexadecimal(key + CRC_KEY, &stated))
        return false;
    *c = (struct cursor){line, key};
    return hf_crc32_sliced(tables, line, length - CRC_TAIL) == stated;
}

bool hf_journal_scan(const struct hf_crc32_tables *tables, const char *line, size_t length, long n,
                     struct hf_record *out)
{
    struct cursor c;
    int64_t number = -1;
    if (!open_line(tables, line, length, &c) || !SKIP(&c, "{\"n\":") ||
        !whole(&c, INT32_MAX, &number) || number != n || n < 1 || !SKIP(&c, ","))
        return false;
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) {
        const struct form *form = &forms[i];
        if (!skip(&c, form->opening, form->length))
            continue;
        memset(out, 0, sizeof *out);
        out->n = n;
        out->type = form->type;
        bool open = form->type == HF_RECORD_CUE || form->type == HF_RECORD_HOLD;
        bool timed = open ? time_or_null(&c, &out->at) : whole(&c, INT64_MAX, &out->at);
        return timed && (!form->members || form->members(&c, out)) && c.at == c.end;
    }
    return false;
}

/* ---- heads ----------------------------------------------------------------------------------- */

/* A text between quotes, without escapes or anything that could upset a terminal. */
static bool text_member(struct cursor *c, size_t most, const char **text, size_t *length)
{
    const char *start = c->at;
    while (c->at < c->end && *c->at != '"' && *c->at != '\\')
        c->at++;
    *text = start;
    *length = (size_t)(c->at - start);
    return *length < most && hf_text_is_utf8(start, *length) &&
           hf_text_is_plain(start, *length, "") && SKIP(c, "\"");
}

bool hf_journal_scan_opening(const struct hf_crc32_tables *tables, const char *line, size_t length,
                             struct hf_journal_opening *out)
{
    struct cursor c;
    struct hf_journal_opening found;
    const char *text;
    size_t size;
    int64_t format = 0, rate = 0, digits = 0;
    struct hf_head *limits = NULL;
    if (!open_line(tables, line, length, &c) ||
        !SKIP(&c, "{\"n\":0,\"t\":\"session\",\"at\":0,\"holdfast\":") ||
        !whole(&c, HF_FORMAT, &format) || format < 1 || !SKIP(&c, ",\"program\":\"") ||
        !text_member(&c, sizeof limits->program, &text, &size) || !SKIP(&c, ",\"started\":\"") ||
        !text_member(&c, sizeof limits->started, &found.started, &found.started_length) ||
        !SKIP(&c, ",\"label\":\"") ||
        !text_member(&c, HF_REQUEST_TEXT, &found.label, &found.label_length) ||
        !SKIP(&c, ",\"rate\":") || !whole(&c, HF_RATE_HIGH, &rate) || rate < HF_RATE_LOW ||
        !SKIP(&c, ",\"seed\":\"") || !whole(&c, INT64_MAX, &digits) || !SKIP(&c, "\""))
        return false;
    found.rate_hz = (long)rate;
    found.rest = (size_t)(c.at - line);
    *out = found;
    return true;
}
