/* SPDX-License-Identifier: MIT */
/* Members of a record, read. Invariant: nothing that a reader sees is out of its range. */
#include <stdio.h>
#include <string.h>

#include <holdfast/number.h>
#include <holdfast/support.h>
#include <holdfast/text.h>

#include "journal_parts.h"

/* Times in a journal stay far from the ends of 64 bits, so that sums of as many as it may have
 * records can't overflow: 2^42 samples are nine months at 192 kHz. */
#define TIME_MOST (INT64_C(1) << 42)
_Static_assert(TIME_MOST <= INT64_MAX / HF_JOURNAL_RECORDS_MOST, "sums of times have room");

static bool whole(const json_t *value, int64_t low, int64_t high, int64_t *out)
{
    if (!json_is_integer(value) || json_integer_value(value) < low ||
        json_integer_value(value) > high)
        return false;
    *out = json_integer_value(value);
    return true;
}

/* From 0 to `high`, or null, which stands for `null_is`. */
static bool whole_or_null(const json_t *value, int64_t high, int64_t null_is, int64_t *out)
{
    if (!json_is_null(value))
        return whole(value, 0, high, out);
    *out = null_is;
    return true;
}

bool journal_get_whole(const json_t *o, const char *key, int64_t low, int64_t high, int64_t *out)
{
    return whole(json_object_get(o, key), low, high, out);
}

static bool get_time(const json_t *o, const char *key, int64_t *out)
{
    return whole_or_null(json_object_get(o, key), TIME_MOST, HF_NEVER, out);
}

static bool get_times(const json_t *o, struct hf_record *r)
{
    return get_time(o, "tell", &r->tell) && get_time(o, "hear", &r->hear) &&
           get_time(o, "end", &r->end);
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
        int64_t pc = 0;
        if (!whole(json_array_get(pcs, i), 0, HF_PCS - 1, &pc))
            return false;
        *out = (hf_pcset)(*out | 1 << pc);
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
        int64_t note = 0;
        if (!whole(json_array_get(notes, i), 0, 127, &note))
            return false;
        r->notes[i] = (uint8_t)note;
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
        int64_t fret = 0;
        if (!whole_or_null(json_array_get(frets, i), HF_FRETS_MOST, HF_SILENT, &fret))
            return false;
        r->frets[i] = (int8_t)fret;
    }
    return true;
}

static bool get_shift(const json_t *o, struct hf_record *r)
{
    r->shifted = json_object_get(o, "shift") != NULL;
    return !r->shifted || journal_get_whole(o, "shift", -TIME_MOST, TIME_MOST, &r->shift);
}

static bool get_mark(const json_t *o, struct hf_record *r)
{
    static const char *const words[] = {"got", "missed"};
    int64_t cue = 0;
    int as = 0;
    if (!journal_get_whole(o, "cue", 0, INT32_MAX, &cue) || !get_word(o, "as", words, 2, &as))
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
        if (!journal_get_whole(o, "cue", 1, INT32_MAX, &cue) ||
            !journal_get_whole(o, "id", 0, HF_SETS, &id) || !json_is_boolean(right) ||
            (json_object_get(o, "pcs") && !get_set(o, &r->pcs)))
            return false;
        r->cue = (long)cue;
        r->id = (int)id;
        r->right = json_typeof(right) == JSON_TRUE;
        return true;
    }
    if (!get_set(o, &r->pcs) || !get_word(o, "as", words, 4, &finding) ||
        (json_object_get(o, "hints") && !journal_get_whole(o, "hints", 1, HF_SETS, &hints)))
        return false;
    r->finding = (enum hf_finding)finding;
    r->hints = (int)hints;
    return true;
}

static bool get_hint(const json_t *o, struct hf_record *r)
{
    int64_t step = 0;
    if (!journal_get_whole(o, "step", 1, HF_SETS, &step))
        return false;
    r->hints = (int)step;
    return true;
}

static bool get_level(const json_t *o, struct hf_record *r)
{
    static const char *const words[] = {"start", "up", "down"};
    int64_t level = 0;
    int why = 0;
    if (!journal_get_whole(o, "level", 1, INT16_MAX, &level) || !get_word(o, "why", words, 3, &why))
        return false;
    r->level = (int)level;
    r->level_why = (enum hf_level_why)why;
    return true;
}

static bool get_volume(const json_t *o, struct hf_record *r)
{
    int64_t db = 0;
    if (!journal_get_whole(o, "db", HF_VOLUME_LOW, HF_VOLUME_HIGH, &db))
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
        !journal_get_whole(o, "length", 1, TIME_MOST, &r->length) ||
        (json_object_get(o, "cue") && !journal_get_whole(o, "cue", 1, INT32_MAX, &cue)))
        return false;
    snprintf(r->text, sizeof r->text, "%s", text);
    r->cue = (long)cue;
    return true;
}

static bool get_end(const json_t *o, struct hf_record *r)
{
    static const char *const words[] = {"finished", "quit", "lost", "signal"};
    int why = 0;
    if (!get_word(o, "why", words, 4, &why) ||
        !journal_get_whole(o, "fade", 0, TIME_MOST, &r->fade))
        return false;
    r->why = (enum hf_why)why;
    return true;
}

static bool get_manner(const json_t *o, struct hf_manner *out)
{
    const json_t *rests = json_object_get(o, "rests");
    out->staggered = json_object_get(o, "stagger") != NULL;
    if (out->staggered && !journal_get_whole(o, "stagger", 0, TIME_MOST, &out->stagger))
        return false;
    if (json_object_get(o, "apart") && !journal_get_whole(o, "apart", 1, TIME_MOST, &out->apart))
        return false;
    out->rests = json_is_true(rests);
    return !rests || out->rests;
}

static bool get_cue(const json_t *o, struct hf_record *r)
{
    int64_t id = 0;
    if (!journal_get_whole(o, "id", 0, HF_SETS, &id))
        return false;
    r->id = (int)id;
    return get_notes(o, r) && get_times(o, r) && get_frets(o, r) && get_manner(o, &r->manner);
}

/* The class follows from the notes; that it is written too is for other readers. */
static bool get_step(const json_t *o, struct hf_record *r)
{
    int64_t cue = 0, step = 0, steps = 0, which = 0, of = 0, under = 0;
    if (!journal_get_whole(o, "cue", 1, INT32_MAX, &cue) ||
        !journal_get_whole(o, "steps", 1, HF_UNFOLD_MOST, &steps) ||
        !journal_get_whole(o, "step", 1, steps, &step) ||
        !journal_get_whole(o, "of", 1, HF_SUBSETS_MOST, &of) ||
        !journal_get_whole(o, "which", 1, of, &which) ||
        !journal_get_whole(o, "under", HF_DRONE_NONE_DB, 0, &under))
        return false;
    r->cue = (long)cue;
    r->step = (int)step;
    r->steps = (int)steps;
    r->which = (int)which;
    r->of = (int)of;
    r->manner.under_db = (int)under;
    return get_notes(o, r) && get_times(o, r) && get_frets(o, r);
}

static bool get_drone(const json_t *o, struct hf_record *r)
{
    int64_t db = 0;
    if (!journal_get_whole(o, "gain_db", HF_DRONE_NONE_DB, 0, &db) ||
        !journal_get_whole(o, "over", 0, TIME_MOST, &r->over) ||
        (json_object_get(o, "hold") && !journal_get_whole(o, "hold", 1, TIME_MOST, &r->held_for)))
        return false;
    r->gain_db = (int)db;
    return true;
}

enum hf_record_type journal_get_type(const json_t *o)
{
    const char *word = json_string_value(json_object_get(o, "t"));
    for (int type = 0; word && type < HF_RECORD_OTHER; type++)
        if (strcmp(word, hf_record_word((enum hf_record_type)type)) == 0)
            return (enum hf_record_type)type;
    return HF_RECORD_OTHER;
}

bool journal_get_record(const json_t *o, struct hf_record *r)
{
    if (!get_time(o, "at", &r->at))
        return false;
    if (r->at == HF_NEVER && r->type != HF_RECORD_CUE && r->type != HF_RECORD_HOLD &&
        r->type != HF_RECORD_DRONE && r->type != HF_RECORD_STEP)
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
        return journal_get_whole(o, "after", 0, TIME_MOST, &r->after);
    case HF_RECORD_STEP:
        return get_step(o, r);
    case HF_RECORD_DRONE:
        return get_drone(o, r);
    case HF_RECORD_BREAK:
        return journal_get_whole(o, "sounded", 0, TIME_MOST, &r->sounded);
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
    case HF_RECORD_OTHER:; /* no members of their own, or none that are known */
    }
    return true;
}
