/* SPDX-License-Identifier: MIT */
/* Invariant: a key has at most one row. */
#include "keymap.h"

#include <stdio.h>
#include <string.h>

#include <holdfast/inifile.h>

static const struct {
    const char *word;
    enum hf_key key;
    const char *own;
} controls[] = {
#define CONTROL_ROW(name, word, key, own) {word, key, own},
    CONTROL_LIST(CONTROL_ROW)
#undef CONTROL_ROW
};

enum hf_key control_key(enum control control)
{
    return controls[control].key;
}

/* ---- the table ------------------------------------------------------------------------------- */

static void drop(struct keymap *map, int index)
{
    map->count--;
    memmove(&map->rows[index], &map->rows[index + 1],
            (size_t)(map->count - index) * sizeof map->rows[0]);
}

static struct keymap_row *find(struct keymap *map, const char *key)
{
    for (int i = 0; i < map->count; i++)
        if (strcmp(map->rows[i].key, key) == 0)
            return &map->rows[i];
    return NULL;
}

static bool put(struct keymap *map, const char *key, enum control does, long line)
{
    struct keymap_row *row = find(map, key);
    if (!row && map->count == KEYMAP_MOST)
        return false;
    row = row ? row : &map->rows[map->count++];
    snprintf(row->key, sizeof row->key, "%.*s", KEY_NAME - 1, key);
    row->does = does;
    row->line = line;
    return true;
}

/* The next word of a list of keys; false at its end. Words are cut to fit, which no key's is. */
static bool next_word(const char **at, char word[2 * KEY_NAME])
{
    *at += strspn(*at, " \t");
    size_t length = strcspn(*at, " \t");
    if (length == 0)
        return false;
    snprintf(word, 2 * KEY_NAME, "%.*s", (int)length, *at);
    *at += length;
    return true;
}

void keymap_init(struct keymap *map)
{
    memset(map, 0, sizeof *map);
    for (int control = 0; control < CONTROLS; control++) {
        const char *at = controls[control].own;
        char word[2 * KEY_NAME];
        while (next_word(&at, word))
            put(map, word, (enum control)control, 0);
    }
}

enum control keymap_look(const struct keymap *map, const char *key)
{
    for (int i = 0; i < map->count; i++)
        if (strcmp(map->rows[i].key, key) == 0)
            return map->rows[i].does;
    return CONTROL_NONE;
}

void keymap_one_pedal(struct keymap *map)
{
    for (int i = 0; i < map->count; i++)
        if (map->rows[i].does == CONTROL_PEDAL)
            return;
    for (int i = 0; i < map->count; i++)
        if (map->rows[i].does == CONTROL_NEXT || map->rows[i].does == CONTROL_STAY)
            map->rows[i].does = CONTROL_PEDAL;
}

/* ---- files ----------------------------------------------------------------------------------- */

struct reader {
    struct keymap map;
    struct hf_inifile_fault fault;
    long line;
    long named[CONTROLS]; /* line that names it, 0 for none */
};

static enum control control_of(const char *word)
{
    for (int i = 0; i < CONTROLS; i++)
        if (strcmp(controls[i].word, word) == 0)
            return (enum control)i;
    return CONTROL_NONE;
}

static bool bad_control(struct reader *r, const char *word)
{
    char what[320];
    int used =
        snprintf(what, sizeof what, "no action \"%.*s\" (allowed:", hf_inifile_fitting(word), word);
    for (int i = 0; i < CONTROLS; i++)
        if (i <= CONTROL_CHOICE_1 || i >= CONTROL_CHOICE_9)
            used += snprintf(what + used, sizeof what - (size_t)used, "%s %s",
                             i == CONTROL_CHOICE_9 ? " to"
                             : i                   ? ","
                                                   : "",
                             controls[i].word);
    snprintf(what + used, sizeof what - (size_t)used, ")");
    return hf_inifile_fail(&r->fault, r->line, what);
}

static bool take_key(struct reader *r, const char *word, enum control control)
{
    char name[KEY_NAME], what[320];
    const struct keymap_row *row;
    if (!key_named(word, name)) {
        snprintf(what, sizeof what, "no key \"%.*s\" (allowed: %s)", hf_inifile_fitting(word), word,
                 key_names_allowed);
        return hf_inifile_fail(&r->fault, r->line, what);
    }
    row = find(&r->map, name);
    if (row && row->line) {
        snprintf(what, sizeof what, "%s is there already, for %s in line %ld (allowed: once)", name,
                 controls[row->does].word, row->line);
        return hf_inifile_fail(&r->fault, r->line, what);
    }
    return put(&r->map, name, control, r->line) ||
           hf_inifile_fail(&r->fault, r->line, "more keys than there is room for");
}

static bool take_keys(struct reader *r, enum control control, const char *keys)
{
    char word[2 * KEY_NAME];
    const char *at = keys;
    if (r->named[control]) {
        char what[160];
        snprintf(what, sizeof what, "%s is there already, in line %ld (allowed: once)",
                 controls[control].word, r->named[control]);
        return hf_inifile_fail(&r->fault, r->line, what);
    }
    r->named[control] = r->line;
    for (int i = r->map.count; i-- > 0;)
        if (r->map.rows[i].does == control)
            drop(&r->map, i);
    if (!next_word(&at, word))
        return hf_inifile_fail(&r->fault, r->line,
                               "no key after the = (allowed: keys, or none for none at all)");
    if (strcmp(word, "none") == 0 && !at[strspn(at, " \t")])
        return true;
    do {
        if (!take_key(r, word, control))
            return false;
    } while (next_word(&at, word));
    return true;
}

static bool take_line(struct reader *r, char *line)
{
    line += strspn(line, " \t");
    if (!*line || *line == '#' || *line == ';' || strcmp(line, "[keys]") == 0)
        return true;
    char *equals = strchr(line, '=');
    if (!equals)
        return hf_inifile_fail(&r->fault, r->line, "no = (allowed: ACTION = KEY KEY ...)");
    char *end = equals;
    while (end > line && (end[-1] == ' ' || end[-1] == '\t'))
        end--;
    *end = 0;
    enum control control = control_of(line);
    return control == CONTROL_NONE ? bad_control(r, line) : take_keys(r, control, equals + 1);
}

enum hf_status keymap_read(struct keymap *map, const char *text, size_t length,
                           const char *filename, struct hf_diag *diag)
{
    struct reader r = {.map = *map, .fault = {.filename = filename, .diag = diag}};
    char line[HF_INIFILE_LINE_MOST + 1];
    size_t at = 0;
    enum hf_status status = hf_inifile_check(text, length, filename, "a key file", diag);
    if (status != HF_OK)
        return status;
    while (hf_inifile_next(text, length, &at, line, sizeof line)) {
        r.line++;
        if (!take_line(&r, line))
            return HF_E_DATA;
    }
    *map = r.map;
    return HF_OK;
}

/* ---- help ------------------------------------------------------------------------------------ */

enum { HELP_WIDTH = 76 };

/* The first key that does it, "" for none. */
static const char *key_of(const struct keymap *map, enum control control)
{
    for (int i = 0; i < map->count; i++)
        if (map->rows[i].does == control)
            return map->rows[i].key;
    return "";
}

static void add(char text[KEYMAP_HELP], const char *item)
{
    size_t used = strlen(text);
    const char *line = strrchr(text, '\n');
    size_t column = line ? strlen(line + 1) : used;
    const char *gap = !used ? "" : column + 3 + strlen(item) > HELP_WIDTH ? "\n" : "   ";
    snprintf(text + used, KEYMAP_HELP - used, "%s%s", gap, item);
}

char *keymap_help(const struct keymap *map, bool replay, char text[KEYMAP_HELP])
{
    static const struct {
        enum control first, second; /* the second may be CONTROL_NONE */
        bool replay;
        const char *does;
    } items[] = {
        {CONTROL_PEDAL, CONTROL_NONE, false, "on (got it); twice: again; held: stay / go on"},
        {CONTROL_STAY, CONTROL_NONE, false, "stay / go on"},
        {CONTROL_PAUSE, CONTROL_NONE, true, "pause / resume"},
        {CONTROL_NEXT, CONTROL_NONE, false, "next"},
        {CONTROL_AGAIN, CONTROL_NONE, false, "again"},
        {CONTROL_REVEAL, CONTROL_NONE, false, "reveal"},
        {CONTROL_GOT, CONTROL_NONE, false, "got"},
        {CONTROL_MISSED, CONTROL_NONE, false, "missed"},
        {CONTROL_LOUDER, CONTROL_SOFTER, false, "volume"},
        {CONTROL_QUIT, CONTROL_NONE, true, "leave"},
        {CONTROL_HELP, CONTROL_NONE, true, "keys"}};
    text[0] = 0;
    for (size_t i = 0; i < sizeof items / sizeof items[0]; i++) {
        const char *first = key_of(map, items[i].first);
        const char *second = key_of(map, items[i].second);
        char item[120];
        if ((!*first && !*second) || (replay && !items[i].replay))
            continue;
        snprintf(item, sizeof item, "%s%s%s %s", first, *first && *second ? " " : "", second,
                 items[i].does);
        add(text, item);
    }
    return text;
}
