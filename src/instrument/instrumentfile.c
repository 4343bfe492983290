/* SPDX-License-Identifier: MIT */
/*
 * Invariants: the text is checked as a whole before inih sees any of it; the first mistake ends the
 * reading; what is read is a private copy until all of it is known to be right.
 */
#include <holdfast/instrumentfile.h>

#include <stdio.h>
#include <string.h>

#include <holdfast/inifile.h>
#include <holdfast/number.h>
#include <holdfast/pitch.h>

enum key_type { KEY_TEXT, KEY_NOTES, KEY_WHOLE, KEY_MM, KEY_YES_NO };

struct key {
    const char *name;
    enum key_type type;
    size_t offset; /* in struct hf_fretboard */
    double low, high;
    bool needed;
};

#define IN(member) offsetof(struct hf_fretboard, member)

enum { STRINGS = 1, CAPO = 3, KEYS = 11 };
static const struct key keys[KEYS] = {
    {"about", KEY_TEXT, IN(about), 1, HF_FRETBOARD_ABOUT - 1, false},
    {"strings", KEY_NOTES, IN(midi), 1, HF_STRINGS_MOST, true},
    {"frets", KEY_WHOLE, IN(frets), 1, HF_FRETS_MOST, true},
    {"capo", KEY_WHOLE, IN(capo), 0, 24, false},
    {"scale_mm", KEY_MM, IN(scale_mm), 100, 2000, true},
    {"nut_spacing_mm", KEY_MM, IN(nut_mm), 1, 60, true},
    {"bridge_spacing_mm", KEY_MM, IN(bridge_mm), 1, 60, true},
    {"reach_mm", KEY_MM, IN(reach_mm), 1, 1000, false},
    {"fingers", KEY_WHOLE, IN(fingers), 1, 5, false},
    {"plucking_fingers", KEY_WHOLE, IN(plucking), 1, 5, false},
    {"left_handed", KEY_YES_NO, IN(left_handed), 0, 1, false},
};

struct reading {
    struct hf_inifile file;
    struct hf_fretboard board;
    long section_line; /* where it stood; 0: nowhere */
    long key_line[KEYS];
};

static bool fail_at(struct reading *r, long line, const char *what)
{
    return hf_inifile_fail(&r->file.fault, line, what);
}

static bool fail_key(struct reading *r, const char *name, const char *value, const char *what)
{
    return hf_inifile_fail_key(&r->file.fault, r->file.line, "instrument", name, value, what);
}

static bool fail_range(struct reading *r, const struct key *key, const char *value,
                       const char *what)
{
    return hf_inifile_fail_range(&r->file.fault, r->file.line, "instrument", key->name, value, what,
                                 key->low, key->high);
}

/* ---- values ---------------------------------------------------------------------------------- */

static bool fail_number(struct reading *r, const struct key *key, const char *value,
                        enum hf_number_fault fault)
{
    static const char *const words[] = {"", "not a number", "out of range", "more than 15 digits"};
    return fail_range(r, key, value,
                      fault == HF_NUMBER_MALFORMED && key->type == KEY_WHOLE ? "not a whole number"
                                                                             : words[fault]);
}

static bool read_whole(struct reading *r, const struct key *key, const char *value, int *out)
{
    long number;
    enum hf_number_fault fault =
        hf_number_whole(value, strlen(value), (long)key->low, (long)key->high, &number);
    if (fault != HF_NUMBER_FINE)
        return fail_number(r, key, value, fault);
    *out = (int)number;
    return true;
}

static bool read_mm(struct reading *r, const struct key *key, const char *value, double *out)
{
    enum hf_number_fault fault = hf_number_real(value, strlen(value), key->low, key->high, out);
    if (fault != HF_NUMBER_FINE)
        return fail_number(r, key, value, fault);
    return true;
}

static bool read_text(struct reading *r, const struct key *key, const char *value, char *out)
{
    size_t length = strlen(value);
    if (length == 0 || length > (size_t)key->high)
        return fail_range(r, key, value, "too short or too long, in bytes");
    memcpy(out, value, length + 1);
    return true;
}

static bool read_yes_no(struct reading *r, const struct key *key, const char *value, bool *out)
{
    if (strcmp(value, "yes") != 0 && strcmp(value, "no") != 0)
        return fail_key(r, key->name, value, "must be yes or no");
    *out = value[0] == 'y';
    return true;
}

/* One note, with its octave. */
static bool read_string(struct reading *r, const struct key *key, const char *value,
                        const char *word, int *midi)
{
    struct hf_notes note;
    struct hf_diag diag = {0};
    char message[200];
    if (hf_notes_parse(word, NULL, &note, &diag) == HF_OK && note.kind == HF_NOTES_PITCHES) {
        *midi = note.note[0].midi;
        return true;
    }
    snprintf(message, sizeof message, "\"%.*s\" is no note with its octave (allowed: C-1 to G9)",
             hf_inifile_fitting(word), word);
    return fail_key(r, key->name, value, message);
}

static bool read_strings(struct reading *r, const struct key *key, const char *value)
{
    const char *at = value + strspn(value, " ,\t");
    int count = 0;
    for (; *at; at += strspn(at, " ,\t")) {
        char word[HF_INIFILE_LINE_MOST + 1];
        size_t length = strcspn(at, " ,\t");
        if (count == HF_STRINGS_MOST)
            return fail_key(r, key->name, value, "more than 12 strings (allowed: 1 to 12)");
        memcpy(word, at, length);
        word[length] = '\0';
        if (!read_string(r, key, value, word, &r->board.midi[count]))
            return false;
        count++;
        at += length;
    }
    if (count == 0)
        return fail_key(r, key->name, value, "no strings (allowed: 1 to 12 notes)");
    r->board.strings = count;
    return true;
}

static bool read_value(struct reading *r, const struct key *key, const char *value)
{
    void *member = (char *)&r->board + key->offset;
    switch (key->type) {
    case KEY_TEXT:
        return read_text(r, key, value, member);
    case KEY_NOTES:
        return read_strings(r, key, value);
    case KEY_WHOLE:
        return read_whole(r, key, value, member);
    case KEY_MM:
        return read_mm(r, key, value, member);
    case KEY_YES_NO:;
    }
    return read_yes_no(r, key, value, member);
}

/* ---- sections and keys ----------------------------------------------------------------------- */

static void note_section(void *self, const char *line)
{
    struct reading *r = self;
    char message[200];
    const char *close = strchr(line, ']');
    if (!close)
        return;
    if ((size_t)(close - line) != sizeof "[instrument" - 1 ||
        strncmp(line, "[instrument", sizeof "[instrument" - 1) != 0) {
        char name[HF_INIFILE_LINE_MOST + 1];
        snprintf(name, sizeof name, "%.*s", (int)(close - line - 1), line + 1);
        snprintf(message, sizeof message, "[%.*s]: unknown section (allowed: instrument)",
                 hf_inifile_fitting(name), name);
        fail_at(r, r->file.line, message);
    } else if (r->section_line) {
        snprintf(message, sizeof message, "[instrument]: repeated section (first in line %ld)",
                 r->section_line);
        fail_at(r, r->file.line, message);
    } else {
        r->section_line = r->file.line;
    }
}

static bool fail_unknown(struct reading *r, const char *name, const char *value)
{
    char list[200] = "", message[120];
    size_t used = 0, length = strlen(name);
    for (int i = 0; i < KEYS; i++) {
        used +=
            (size_t)snprintf(list + used, sizeof list - used, "%s%s", i ? ", " : "", keys[i].name);
        if (length == 0 || strncmp(keys[i].name, name, length) != 0 ||
            strcmp(keys[i].name + length, "_mm") != 0)
            continue;
        snprintf(message, sizeof message, "unknown key (its unit is missing: %s)", keys[i].name);
        return fail_key(r, name, value, message);
    }
    fail_key(r, name, value, "unknown key");
    hf_advise(r->file.fault.diag, "keys of [instrument]: %s", list);
    return false;
}

static bool take_key(void *self, const char *section, const char *name, const char *value)
{
    struct reading *r = self;
    (void)section;
    if (!r->section_line)
        return fail_at(r, r->file.line, "a key stands before [instrument]");
    for (int i = 0; i < KEYS; i++) {
        char message[64];
        if (strcmp(keys[i].name, name) != 0)
            continue;
        if (!r->key_line[i]) {
            r->key_line[i] = r->file.line;
            return read_value(r, &keys[i], value);
        }
        snprintf(message, sizeof message, "repeated key (first in line %ld)", r->key_line[i]);
        return fail_key(r, name, value, message);
    }
    return fail_unknown(r, name, value);
}

/* ---- the instrument as a whole --------------------------------------------------------------- */

static bool finish(struct reading *r)
{
    const struct hf_fretboard *board = &r->board;
    char message[160];
    for (int i = 0; i < KEYS; i++) {
        if (!keys[i].needed || r->key_line[i])
            continue;
        snprintf(message, sizeof message, "[instrument]: %s is missing", keys[i].name);
        return fail_at(r, r->section_line ? r->section_line : 1, message);
    }
    if (board->capo >= board->frets) {
        snprintf(message, sizeof message,
                 "[instrument] capo = %d: no fret is left of %d (allowed: "
                 "0 to %d)",
                 board->capo, board->frets, board->frets - 1);
        return fail_at(r, r->key_line[CAPO], message);
    }
    for (int s = 0; s < board->strings; s++) {
        char name[HF_SPELLED_TEXT];
        if (board->midi[s] + board->frets <= HF_MIDI_MOST)
            continue;
        hf_spelled_format_pitch(hf_spelling_pc(hf_pc(board->midi[s]), HF_NAMES_SIMPLE),
                                board->midi[s], HF_NAMES_SIMPLE, name);
        snprintf(message, sizeof message,
                 "[instrument] strings: %s passes G9 within %d frets (allowed: C-1 to G9)", name,
                 board->frets);
        return fail_at(r, r->key_line[STRINGS], message);
    }
    return true;
}

enum hf_status hf_instrumentfile_parse(const char *text, size_t length, const char *filename,
                                       const char *name, struct hf_fretboard *out,
                                       struct hf_diag *diag)
{
    struct reading r = {.file = {.text = text,
                                 .length = length,
                                 .fault = {filename, diag, false},
                                 .self = &r,
                                 .section = note_section,
                                 .key = take_key}};
    r.board = (struct hf_fretboard){.reach_mm = 100, .fingers = 4, .plucking = 4};
    snprintf(r.board.name, sizeof r.board.name, "%s", name);
    enum hf_status status =
        hf_inifile_read(&r.file, "an instrument", "neither [section] nor key = value");
    if (status == HF_OK && !finish(&r))
        status = HF_E_DATA;
    if (status != HF_OK)
        return status;
    *out = r.board;
    return HF_OK;
}
