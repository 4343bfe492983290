/* SPDX-License-Identifier: MIT */
/* What the page's script reads. Invariant: it stands in a script element, so every < is written as
 * an escape; whatever a label or journal says can't end the element. */
#include "lesson_parts.h"

#include <stdlib.h>
#include <string.h>

#include <holdfast/conductor.h>
#include <holdfast/jsonmemory.h>
#include <holdfast/sine.h>
#include <holdfast/transport.h>

static json_t *time_value(int64_t at)
{
    return at == HF_NEVER ? json_null() : json_integer(at);
}

/* A journal's line without what it has of its own: the list of that ends with NULL. Frees it. */
static json_t *line_data(char *line, size_t length, const char *const *own)
{
    json_t *o = hf_jsonmemory_load(line, length, 0);
    free(line);
    for (; o && *own; own++)
        json_object_del(o, *own);
    return o;
}

static json_t *head_data(const struct hf_head *head, struct hf_diag *diag)
{
    static const char *const own[] = {"n", "t", "at", "crc", NULL};
    char *line = NULL;
    size_t length = 0;
    if (hf_journal_format_head(head, &line, &length, diag) != HF_OK)
        return NULL;
    json_t *o = line_data(line, length, own);
    json_t *request = json_object_get(o, "request");
    json_object_del(request, "speak"); /* a page does not */
    json_object_del(request, "voice");
    if (o && !hf_lesson_put(o, "started", json_string(""))) {
        json_decref(o);
        return NULL;
    }
    return o;
}

/* Notes, names and frets as the journal writes them, by its own writer. */
static json_t *record_data(const struct hf_record *record, struct hf_diag *diag)
{
    static const char *const own[] = {"n", "t", "at", "tell", "hear", "end", "crc", NULL};
    char *line = NULL;
    size_t length = 0;
    if (hf_journal_format(record, &line, &length, diag) != HF_OK)
        return NULL;
    return line_data(line, length, own);
}

static json_t *hold_data(const struct hf_record *hold, const struct hf_lesson_sounds *sounds,
                         struct hf_diag *diag)
{
    json_t *o = record_data(hold, diag);
    int loop = hf_lesson_list_find(&sounds->loops, hold->notes, hold->count);
    size_t members = json_object_size(o);
    hf_lesson_put(o, "loop", loop < 0 ? json_null() : json_integer(loop));
    return hf_lesson_whole(o, members + 1);
}

/* Where what is held changes at all, each cue says what is held at it, since a student may go from
 * any to any. */
static json_t *cue_data(const struct hf_timeline *t, size_t index, bool changes,
                        const struct hf_lesson_sounds *sounds, struct hf_diag *diag)
{
    const struct hf_timeline_cue *cue = &t->cues[index];
    const struct hf_record *record = &cue->record;
    json_t *o = record_data(record, diag);
    size_t members = json_object_size(o) + 5 + changes + cue->marked;
    hf_lesson_put(o, "at", time_value(t->chosen ? HF_NEVER : cue->at));
    hf_lesson_put(o, "tell", time_value(t->chosen ? HF_NEVER : cue->tell));
    hf_lesson_put(o, "hear", time_value(t->chosen ? HF_NEVER : cue->hear));
    hf_lesson_put(o, "end", time_value(t->chosen ? HF_NEVER : cue->end));
    hf_lesson_put(o, "clip",
                  json_integer(hf_lesson_list_find(&sounds->clips, record->notes, record->count)));
    if (changes)
        hf_lesson_put(o, "hold", hold_data(hf_timeline_held(t, (long)index), sounds, diag));
    if (cue->marked)
        hf_lesson_put(o, "mark", json_string(hf_mark_word(cue->mark)));
    return hf_lesson_whole(o, members);
}

static json_t *cues_data(const struct hf_lesson *lesson, const struct hf_lesson_sounds *sounds,
                         struct hf_diag *diag)
{
    const struct hf_timeline *t = lesson->timeline;
    bool recorded = t->end_at != HF_NEVER, changes = false;
    for (size_t i = 0; i < t->count; i++)
        changes = changes || t->cues[i].has_hold;
    json_t *cues = json_array();
    for (size_t i = 0; cues && i < t->count; i++) {
        if (recorded && !hf_timeline_given(t, &t->cues[i]))
            continue;
        if (json_array_append_new(cues, cue_data(t, i, changes, sounds, diag)) != 0) {
            json_decref(cues);
            return NULL;
        }
    }
    return cues;
}

static json_t *board_data(const struct hf_request *request)
{
    const struct hf_fretboard *board = &request->board;
    if (!request->has_board)
        return json_null();
    json_t *o = json_object(), *strings = json_array();
    for (int i = 0; i < board->strings; i++)
        json_array_append_new(strings, json_integer(board->midi[i]));
    hf_lesson_put(o, "name", json_string(board->name));
    hf_lesson_put(o, "strings", hf_lesson_whole(strings, (size_t)board->strings));
    hf_lesson_put(o, "capo", json_integer(board->capo));
    hf_lesson_put(o, "left", json_boolean(board->left_handed));
    return hf_lesson_whole(o, 4);
}

/* Beats before the first cue, as samples before it. */
static json_t *count_in_data(const struct hf_lesson *lesson)
{
    const struct hf_timeline *t = lesson->timeline;
    struct hf_event ticks[HF_COUNT_IN_MOST];
    json_t *list = json_array();
    int64_t first = t->count && !t->chosen ? t->cues[0].record.at : HF_NEVER;
    int count = first == HF_NEVER ? 0 : hf_conductor_count_in(&lesson->head->request, first, ticks);
    for (int i = 0; i < count; i++) {
        json_t *one = json_object();
        hf_lesson_put(one, "before", json_integer(first - ticks[i].at));
        hf_lesson_put(one, "accent", json_boolean(ticks[i].accent));
        json_array_append_new(list, hf_lesson_whole(one, 2));
    }
    return hf_lesson_whole(list, (size_t)count);
}

static json_t *numbers_data(const struct hf_lesson *lesson, const struct hf_lesson_sounds *sounds,
                            struct hf_diag *diag)
{
    json_t *loops = json_array();
    for (int i = 0; i < sounds->loops.count; i++) {
        struct hf_loop *loop = NULL;
        if (hf_lesson_loop(lesson, sounds, i, &loop, diag) != HF_OK) {
            json_decref(loops);
            return NULL;
        }
        json_t *numbers = hf_lesson_loop_numbers(loop, lesson, &sounds->loops.item[i]);
        json_array_append_new(loops, numbers);
        hf_loop_free(loop);
    }
    return hf_lesson_whole(loops, (size_t)sounds->loops.count);
}

static json_t *clips_data(const struct hf_lesson_sounds *sounds)
{
    json_t *clips = json_array();
    for (int i = 0; i < sounds->clips.count; i++) {
        const struct hf_lesson_notes *notes = &sounds->clips.item[i];
        json_t *row = json_array();
        for (int j = 0; j < notes->count; j++)
            json_array_append_new(row, json_integer(notes->notes[j]));
        json_array_append_new(clips, hf_lesson_whole(row, (size_t)notes->count));
    }
    return hf_lesson_whole(clips, (size_t)sounds->clips.count);
}

json_t *hf_lesson_data(const struct hf_lesson *lesson, const struct hf_lesson_sounds *sounds,
                       struct hf_diag *diag)
{
    const struct hf_request *request = &lesson->head->request;
    int rate_hz = request->rate_hz;
    json_t *o = json_object();
    bool fine =
        hf_lesson_put(o, "practice", json_string(request->text[HF_OPT_PRACTICE])) &&
        hf_lesson_put(o, "way", json_string(request->text[HF_OPT_CUE])) &&
        hf_lesson_put(o, "wait", json_boolean(request->every.wait)) &&
        hf_lesson_put(o, "synth", json_boolean(lesson->synth)) &&
        hf_lesson_put(o, "rate", json_integer(rate_hz)) &&
        hf_lesson_put(o, "volume", json_real(hf_gain(request->volume_db))) &&
        hf_lesson_put(o, "grid", json_integer(HF_GRID)) &&
        hf_lesson_put(o, "pauseFade", json_integer(hf_transport_pause_fade(rate_hz))) &&
        hf_lesson_put(o, "finishedFade",
                      json_integer(hf_conductor_fade(HF_WHY_FINISHED, rate_hz))) &&
        hf_lesson_put(o, "quitFade", json_integer(hf_conductor_fade(HF_WHY_QUIT, rate_hz))) &&
        hf_lesson_put(o, "head", head_data(lesson->head, diag)) &&
        hf_lesson_put(o, "hold", hold_data(&lesson->timeline->hold, sounds, diag)) &&
        hf_lesson_put(o, "cues", cues_data(lesson, sounds, diag)) &&
        hf_lesson_put(o, "choices", hf_lesson_choices(request)) &&
        hf_lesson_put(o, "countIn", count_in_data(lesson)) &&
        hf_lesson_put(o, "board", board_data(request)) &&
        hf_lesson_put(o, "loops", numbers_data(lesson, sounds, diag)) &&
        hf_lesson_put(o, "clips", clips_data(sounds)) &&
        hf_lesson_put(o, "struck", hf_lesson_struck_numbers(lesson, sounds)) &&
        hf_lesson_put(o, "room", hf_lesson_room_numbers(lesson));
    if (fine)
        return o;
    json_decref(o);
    hf_fail(diag, HF_E_MEMORY, "out of memory");
    return NULL;
}
