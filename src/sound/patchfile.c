/* SPDX-License-Identifier: MIT */
/*
 * Invariants: the text is checked as a whole (size, UTF-8, control bytes, length of lines) before
 * inih sees any of it; the first mistake ends the reading; what is read is a private copy until all
 * of it is known to be right.
 */
#include <holdfast/patchfile.h>

#include <stdio.h>
#include <string.h>

#include <holdfast/builtin.h>
#include <holdfast/inifile.h>
#include <holdfast/number.h>

#include "patchfile_keys.h"

enum { SECTIONS = 7, FORMANT_KEYS = 3 };
static const char *const sections[SECTIONS] = {"patch",  "partials", "formant", "drift",
                                               "copies", "breath",   "string"};
enum { PATCH, PARTIALS, FORMANT, DRIFT, COPIES, BREATH, STRING };

struct reading {
    struct hf_inifile file;
    struct hf_patch patch;
    long section_line[SECTIONS]; /* where each first stood; 0: nowhere */
    long formant_line[HF_PATCH_FORMANTS_MOST];
    long key_line[HF_PATCHFILE_KEYS]; /* not of formants */
    long formant_key_line[HF_PATCH_FORMANTS_MOST][HF_PATCHFILE_KEYS];
    long trim_line[HF_PATCH_PARTIALS_MOST];
    int list_count[HF_PATCHFILE_KEYS];
};

static bool fail_at(struct reading *r, long line, const char *what)
{
    return hf_inifile_fail(&r->file.fault, line, what);
}

static bool fail_key(struct reading *r, const char *section, const char *name, const char *value,
                     const char *what)
{
    return hf_inifile_fail_key(&r->file.fault, r->file.line, section, name, value, what);
}

static bool fail_range(struct reading *r, const char *section, const char *name, const char *value,
                       const struct hf_patchfile_key *key, const char *what)
{
    return hf_inifile_fail_range(&r->file.fault, r->file.line, section, name, value, what, key->low,
                                 key->high);
}

/* ---- sections -------------------------------------------------------------------------------- */

/* A whole number from 1 to most, at the start of text and ended by `end`; 0 where there is none. */
static int small_number(const char *text, const char *end, int most)
{
    size_t digits = strspn(text, "0123456789");
    long number = 0;
    if (digits == 0 || text[0] == '0' || strcmp(text + digits, end) != 0 ||
        hf_number_whole(text, digits, 1, most, &number) != HF_NUMBER_FINE)
        return 0;
    return (int)number;
}

static int find_section(const char *name, int *formant)
{
    *formant = -1;
    if (strncmp(name, "formant.", 8) == 0) {
        *formant = small_number(name + 8, "", HF_PATCH_FORMANTS_MOST) - 1;
        return *formant >= 0 ? FORMANT : -1;
    }
    for (int i = 0; i < SECTIONS; i++)
        if (i != FORMANT && strcmp(name, sections[i]) == 0)
            return i;
    return -1;
}

static void note_section(void *self, const char *line)
{
    struct reading *r = self;
    char name[64], message[200];
    const char *close = strchr(line, ']');
    int formant;
    if (!close)
        return;
    snprintf(name, sizeof name, "%.*s", (int)(close - line - 1), line + 1);
    int section = find_section(name, &formant);
    long *first =
        formant >= 0 ? &r->formant_line[formant] : &r->section_line[section < 0 ? 0 : section];
    if (section < 0) {
        snprintf(message, sizeof message,
                 "[%.*s]: unknown section (allowed: patch, partials, formant.1 to formant.%d, "
                 "drift, copies, breath, string)",
                 hf_inifile_fitting(name), name, HF_PATCH_FORMANTS_MOST);
        fail_at(r, r->file.line, message);
    } else if (*first) {
        snprintf(message, sizeof message, "[%s]: repeated section (first in line %ld)", name,
                 *first);
        fail_at(r, r->file.line, message);
    } else {
        *first = r->file.line;
        if (formant >= 0 && !r->section_line[FORMANT])
            r->section_line[FORMANT] = r->file.line;
    }
}

/* ---- values ---------------------------------------------------------------------------------- */

static bool read_real(struct reading *r, const char *section, const char *name, const char *value,
                      const char *word, size_t length, const struct hf_patchfile_key *key,
                      double *out)
{
    static const char *const words[] = {"", "not a number", "out of range", "more than 15 digits"};
    enum hf_number_fault fault = hf_number_real(word, length, key->low, key->high, out);
    if (fault == HF_NUMBER_FINE)
        return true;
    return fail_range(r, section, name, value, key, words[fault]);
}

static bool read_list(struct reading *r, const char *section, const char *name, const char *value,
                      const struct hf_patchfile_key *key, double *out, int *count)
{
    const char *at = value;
    int n = 0;
    for (;;) {
        at += strspn(at, " \t");
        size_t length = strcspn(at, ",");
        size_t word = length;
        while (word > 0 && (at[word - 1] == ' ' || at[word - 1] == '\t'))
            word--;
        if (n == HF_PATCH_PARTIALS_MOST)
            return fail_key(r, section, name, value, "more than 64 partials");
        if (!read_real(r, section, name, value, at, word, key, &out[n]))
            return false;
        n++;
        if (at[length] == '\0')
            break;
        at += length + 1;
    }
    *count = n;
    return true;
}

static bool read_whole(struct reading *r, const char *section, const char *name, const char *value,
                       const struct hf_patchfile_key *key, int *out)
{
    long number;
    enum hf_number_fault fault =
        hf_number_whole(value, strlen(value), (long)key->low, (long)key->high, &number);
    if (key->type == HF_KEY_COPIES && (fault != HF_NUMBER_FINE || number == 2))
        return fail_key(r, section, name, value, "must be 1 or 3");
    if (fault == HF_NUMBER_RANGE)
        return fail_range(r, section, name, value, key, "out of range");
    if (fault != HF_NUMBER_FINE)
        return fail_range(r, section, name, value, key, "not a whole number");
    *out = (int)number;
    return true;
}

static bool read_kind(struct reading *r, const char *section, const char *name, const char *value,
                      enum hf_patch_kind *kind)
{
    if (strcmp(value, "drone") == 0)
        *kind = HF_PATCH_DRONE;
    else if (strcmp(value, "struck") == 0)
        *kind = HF_PATCH_STRUCK;
    else
        return fail_key(r, section, name, value, "must be drone or struck");
    return true;
}

static bool read_text(struct reading *r, const char *section, const char *name, const char *value,
                      const struct hf_patchfile_key *key, char *out)
{
    size_t length = strlen(value);
    if (length == 0 || length > (size_t)key->high)
        return fail_key(r, section, name, value, "must be 1 to 159 bytes long");
    memcpy(out, value, length + 1);
    return true;
}

/* `index`: of the formant or the trimmed partial. */
static bool read_value(struct reading *r, const char *section, const char *name, const char *value,
                       const struct hf_patchfile_key *key, int index)
{
    char *base =
        strcmp(key->section, "formant") == 0 ? (char *)&r->patch.formant[index] : (char *)&r->patch;
    void *member = base + key->offset;
    switch (key->type) {
    case HF_KEY_KIND:
        return read_kind(r, section, name, value, member);
    case HF_KEY_TEXT:
        return read_text(r, section, name, value, key, member);
    case HF_KEY_WHOLE:
    case HF_KEY_COPIES:
        return read_whole(r, section, name, value, key, member);
    case HF_KEY_LIST:
        return read_list(r, section, name, value, key, member,
                         &r->list_count[key - hf_patchfile_keys]);
    case HF_KEY_REAL:
        return read_real(r, section, name, value, value, strlen(value), key, member);
    case HF_KEY_TRIM:;
    }
    return read_real(r, section, name, value, value, strlen(value), key, (double *)member + index);
}

/* ---- keys ------------------------------------------------------------------------------------ */

static bool key_matches(const struct hf_patchfile_key *key, const char *name, int *index)
{
    if (key->type != HF_KEY_TRIM)
        return strcmp(name, key->name) == 0;
    *index = strncmp(name, "trim_", 5) == 0
                 ? small_number(name + 5, "_db", HF_PATCH_PARTIALS_MOST) - 1
                 : -1;
    return *index >= 0;
}

static bool fail_unknown(struct reading *r, const char *section, const char *name,
                         const char *value, int in)
{
    char list[200] = "";
    size_t used = 0, length = strlen(name);
    for (int i = 0; i < HF_PATCHFILE_KEYS; i++) {
        const struct hf_patchfile_key *key = &hf_patchfile_keys[i];
        char message[120];
        if (strcmp(key->section, sections[in]) != 0)
            continue;
        used +=
            (size_t)snprintf(list + used, sizeof list - used, "%s%s", used ? ", " : "", key->name);
        if (length == 0 || strncmp(key->name, name, length) != 0 || key->name[length] != '_')
            continue;
        snprintf(message, sizeof message, "unknown key (its unit is missing: %s)", key->name);
        return fail_key(r, section, name, value, message);
    }
    fail_key(r, section, name, value, "unknown key");
    hf_advise(r->file.fault.diag, "keys of [%s]: %s", section, list);
    return false;
}

static bool take_key(void *self, const char *section, const char *name, const char *value)
{
    struct reading *r = self;
    int formant;
    int in = find_section(section, &formant);
    if (in < 0)
        return fail_key(r, section, name, value, "stands before the first section");
    for (int i = 0; i < HF_PATCHFILE_KEYS; i++) {
        const struct hf_patchfile_key *key = &hf_patchfile_keys[i];
        int index = formant;
        if (strcmp(key->section, sections[in]) != 0 || !key_matches(key, name, &index))
            continue;
        long *line = in == FORMANT              ? &r->formant_key_line[formant][i]
                     : key->type == HF_KEY_TRIM ? &r->trim_line[index]
                                                : &r->key_line[i];
        if (*line) {
            char message[64];
            snprintf(message, sizeof message, "repeated key (first in line %ld)", *line);
            return fail_key(r, section, name, value, message);
        }
        *line = r->file.line;
        return read_value(r, section, name, value, key, index);
    }
    return fail_unknown(r, section, name, value, in);
}

/* ---- the patch as a whole -------------------------------------------------------------------- */

/* Of a key of the table. */
static long line_of(const struct reading *r, const char *section, const char *name)
{
    int i = 0;
    while (strcmp(hf_patchfile_keys[i].section, section) != 0 ||
           strcmp(hf_patchfile_keys[i].name, name) != 0)
        i++;
    return r->key_line[i];
}

static bool need(struct reading *r, int section, const char *name)
{
    char message[80];
    if (line_of(r, sections[section], name))
        return true;
    snprintf(message, sizeof message, "[%s]: %s is missing", sections[section], name);
    return fail_at(r, r->section_line[section] ? r->section_line[section] : r->file.line, message);
}

static bool need_formants(struct reading *r)
{
    struct hf_patch *patch = &r->patch;
    for (int f = 0; f < HF_PATCH_FORMANTS_MOST; f++) {
        int have = 0;
        long centre = 0;
        for (int i = 0; i < HF_PATCHFILE_KEYS; i++) {
            have += r->formant_key_line[f][i] > 0;
            if (strcmp(hf_patchfile_keys[i].name, "centre_hz") == 0)
                centre = r->formant_key_line[f][i];
        }
        if (r->formant_line[f] && have < FORMANT_KEYS)
            return fail_at(r, r->formant_line[f],
                           "a formant needs centre_hz, width_hz and gain_db");
        if (r->formant_line[f]) {
            patch->formant[f].line = centre;
            patch->formant[patch->formants++] = patch->formant[f];
        }
    }
    return true;
}

/* What belongs to the other kind must not be there. */
static bool suit_kind(struct reading *r)
{
    bool drone = r->patch.kind == HF_PATCH_DRONE;
    char message[80];
    for (int i = FORMANT; i < SECTIONS; i++) {
        if (!r->section_line[i] || (i == STRING) != drone)
            continue;
        snprintf(message, sizeof message, "[%s] has no meaning for kind = %s", sections[i],
                 drone ? "drone" : "struck");
        return fail_at(r, r->section_line[i], message);
    }
    return drone || (need(r, STRING, "t60_s") && need(r, STRING, "attack_ms"));
}

static bool complete_sections(struct reading *r)
{
    const struct hf_patch *patch = &r->patch;
    if (r->section_line[DRIFT] && !(need(r, DRIFT, "depth_db") && need(r, DRIFT, "rate_hz")))
        return false;
    if (r->section_line[COPIES] && !need(r, COPIES, "count"))
        return false;
    if (patch->copies == 3 && !(need(r, COPIES, "detune_hz") && need(r, COPIES, "side_gain")))
        return false;
    if (!r->section_line[BREATH])
        return true;
    if (!(need(r, BREATH, "level_db") && need(r, BREATH, "low_hz") && need(r, BREATH, "high_hz")))
        return false;
    if (patch->breath_low_hz >= patch->breath_high_hz)
        return fail_at(r, line_of(r, "breath", "low_hz"), "[breath]: low_hz must be below high_hz");
    return true;
}

/* Lists have one number a partial. */
static bool agree_counts(struct reading *r)
{
    struct hf_patch *patch = &r->patch;
    if (patch->count == 0) {
        for (int i = 0; i < HF_PATCHFILE_KEYS; i++)
            if (strcmp(hf_patchfile_keys[i].name, "amplitudes_db") == 0)
                patch->count = r->list_count[i];
        if (patch->count == 0)
            return need(r, PARTIALS, "count");
    }
    for (int i = 0; i < HF_PATCHFILE_KEYS; i++) {
        char message[120];
        if (r->list_count[i] == 0 || r->list_count[i] == patch->count)
            continue;
        snprintf(message, sizeof message, "[%s] %s has %d numbers for %d partials",
                 hf_patchfile_keys[i].section, hf_patchfile_keys[i].name, r->list_count[i],
                 patch->count);
        return fail_at(r, r->key_line[i], message);
    }
    return true;
}

static bool finish(struct reading *r)
{
    struct hf_patch *patch = &r->patch;
    if (!need(r, PATCH, "kind") || !need(r, PATCH, "about") || !agree_counts(r) || !suit_kind(r) ||
        !need_formants(r) || !complete_sections(r))
        return false;
    patch->explicit_levels = line_of(r, "partials", "amplitudes_db") > 0;
    patch->breath = r->section_line[BREATH] > 0;
    return true;
}

enum hf_status hf_patchfile_parse(const char *text, size_t length, const char *filename,
                                  struct hf_patch *out, struct hf_diag *diag)
{
    struct reading r = {.file = {.text = text,
                                 .length = length,
                                 .fault = {filename, diag, false},
                                 .self = &r,
                                 .section = note_section,
                                 .key = take_key}};
    if (length >= 3 && memcmp(text, "\xef\xbb\xbf", 3) == 0)
        r.file.at = 3; /* a byte order mark */
    r.patch.copies = 1;
    for (int n = 0; n < HF_PATCH_PARTIALS_MOST; n++) {
        r.patch.ratio[n] = n + 1;
        r.patch.t60_scale[n] = 1;
    }
    enum hf_status status =
        hf_inifile_read(&r.file, "a patch", "neither [section] nor key = value");
    if (status == HF_OK && !finish(&r))
        status = HF_E_DATA;
    if (status != HF_OK)
        return status;
    *out = r.patch;
    return HF_OK;
}

enum hf_status hf_patchfile_fits(const struct hf_patch *patch, const char *filename, long rate,
                                 struct hf_diag *diag)
{
    for (int i = 0; i < patch->formants; i++) {
        const struct hf_patch_formant *formant = &patch->formant[i];
        if (formant->centre_hz * 2 <= (double)rate)
            continue;
        hf_fail(diag, HF_E_DATA,
                "%s:%ld: [formant] centre_hz = %.10g: over half the rate "
                "(allowed at %ld Hz: 20 to %.10g)",
                filename, formant->line, formant->centre_hz, rate, (double)rate / 2);
        if (diag)
            diag->line = formant->line;
        return HF_E_DATA;
    }
    return HF_OK;
}

const char *hf_patchfile_find_builtin(const char *name)
{
    for (const struct hf_builtin *patch = hf_builtin_patches; patch->name; patch++)
        if (strcmp(patch->name, name) == 0)
            return patch->text;
    return NULL;
}
