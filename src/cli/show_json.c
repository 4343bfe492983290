/* SPDX-License-Identifier: MIT */
/* A session as a stream of JSON, an object a line: "session" once, "scene" whenever what is shown
 * changes, "line" for what is said in passing, "end" once. Invariant: keys keep their meaning; what
 * a scene hides is in no object. */
#include "show_parts.h"

#include <stdlib.h>
#include <string.h>

#include <jansson.h>

static void put(struct show *show, json_t *object)
{
    char *text = object ? json_dumps(object, JSON_COMPACT) : NULL;
    if (text)
        fprintf(show->stream, "%s\n", text);
    fflush(show->stream);
    free(text);
    json_decref(object);
}

/* Names that are parted by spaces, as a list. */
static json_t *name_list(const char *names)
{
    json_t *list = json_array();
    while (*names) {
        size_t length = strcspn(names, " ");
        if (length)
            json_array_append_new(list, json_stringn(names, length));
        names += length;
        names += strspn(names, " ");
    }
    return list;
}

static json_t *notes_of(const struct hf_record *record)
{
    if (!record)
        return json_null();
    json_t *notes = json_array(), *names = json_array(), *frets = json_array();
    for (int i = 0; i < record->count; i++) {
        json_array_append_new(notes, json_integer(record->notes[i]));
        json_array_append_new(names, json_string(record->names[i]));
    }
    for (int i = 0; i < record->strings; i++)
        json_array_append_new(
            frets, record->frets[i] == HF_SILENT ? json_null() : json_integer(record->frets[i]));
    return json_pack("{s:o, s:o, s:o}", "notes", notes, "names", names, "frets", frets);
}

static json_t *item_list(const struct scene *scene)
{
    static const char *const marks[] = {"", "hidden", "now", "right", "wrong"};
    json_t *list = json_array();
    for (int i = 0; i < scene->count; i++) {
        const struct scene_item *item = &scene->items[i];
        char key[2] = {item->key, 0};
        json_array_append_new(list, json_pack("{s:s, s:o, s:s}", "key", key, "names",
                                              name_list(item->names), "mark", marks[item->mark]));
    }
    return list;
}

static json_t *time_or_null(int64_t samples)
{
    return samples == HF_NEVER ? json_null() : json_integer(samples);
}

static const char *state_word(enum scene_state state)
{
    switch (state) {
    case SCENE_LEAD_IN:
        return "lead-in";
    case SCENE_CUE:
        return "cue";
    case SCENE_STAY:
        return "stay";
    case SCENE_PAUSE:
        return "pause";
    case SCENE_REST:
        return "rest";
    case SCENE_END:
        return "end";
    }
    return "";
}

void show_json_begin(struct show *show)
{
    const struct scene_source *of = &show->of;
    const char *practice = of->request ? of->request->text[HF_OPT_PRACTICE] : "improvise";
    put(show, json_pack("{s:i, s:s, s:s, s:i, s:I, s:b}", "holdfast", 1, "event", "session",
                        "practice", practice, "rate", of->rate_hz, "cues", (json_int_t)of->total,
                        "replay", of->replay));
}

void show_json_update(struct show *show, int64_t now)
{
    struct scene s, lasting;
    scene_at(&show->of, now, &s);
    show_lasting(&s, false, &lasting);
    /* Padding that differs costs a drawing:
     * NOLINTNEXTLINE(bugprone-suspicious-memory-comparison,cert-exp42-c,cert-flp37-c) */
    if (memcmp(&lasting, &show->drawn, sizeof lasting) == 0)
        return;
    show->drawn = lasting;
    json_t *object =
        json_pack("{s:i, s:s, s:I, s:s, s:s, s:o, s:o, s:s, s:s, s:s, s:o}", "holdfast", 1, "event",
                  "scene", "at", (json_int_t)now, "state", state_word(s.state), "do", s.word,
                  "large", name_list(s.large), "held", name_list(s.held), "todo", s.todo, "under",
                  s.under, "hint", s.hint, "next", name_list(s.next));
    json_t *rest = json_pack(
        "{s:I, s:I, s:I, s:I, s:s, s:o, s:b, s:f, s:o, s:o, s:o}", "cue", (json_int_t)s.cue, "cues",
        (json_int_t)s.cues, "round", (json_int_t)s.round, "rounds", (json_int_t)s.rounds, "what",
        s.what, "in", time_or_null(s.in), "stands", s.stands, "left", s.has_bar ? s.left : 0.0,
        "holding", notes_of(s.holding), "adding", notes_of(s.adding), "items", item_list(&s));
    json_object_update(object, rest);
    json_decref(rest);
    put(show, object);
}

void show_json_line(struct show *show, const char *line)
{
    put(show, json_pack("{s:i, s:s, s:s}", "holdfast", 1, "event", "line", "text",
                        line + strspn(line, " ")));
}

void show_json_end(FILE *stream, const char *journal)
{
    struct show show = {.stream = stream};
    put(&show, json_pack("{s:i, s:s, s:s?}", "holdfast", 1, "event", "end", "journal", journal));
}
