/* SPDX-License-Identifier: MIT */
/* The words of sight. Invariant: before a chord is told nothing parts its notes in halves. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/sight.h>
#include <holdfast/text.h>

#include "frames.h"
#include "quiz.h"

static void append(char *text, size_t size, const char *more)
{
    size_t used = strlen(text);
    snprintf(text + used, size - used, "%s", more);
}

enum hf_status quiz_load_chords(struct session *s, struct hf_diag *diag)
{
    const char *path = s->request.text[HF_OPT_CHORDS];
    if (!path[0] || s->chords)
        return HF_OK;
    char *text = NULL;
    size_t length = 0, count = 0;
    struct hf_diag why = {0};
    struct hf_sight_chord *chords = calloc(HF_SIGHT_CHORDS_MOST, sizeof *chords);
    if (!chords)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    enum hf_status status = hf_store_read(path, &text, &length, diag);
    if (status == HF_OK) {
        status = hf_sight_read(text, length, chords, &count, &why);
        char name[HF_REQUEST_TEXT];
        snprintf(name, sizeof name, "%s", path);
        hf_text_disarm(name);
        if (status != HF_OK && why.line > 0)
            hf_fail(diag, status, "%.150s, line %ld: %.100s", name, why.line, why.message);
        else if (status != HF_OK)
            hf_fail(diag, status, "%.150s: %.100s", name, why.message);
        if (status != HF_OK)
            hf_advise(diag, "write the six notes of a chord on a line, as in C E G# C# D G");
    }
    free(text);
    if (status != HF_OK) {
        free(chords);
        return status;
    }
    s->chords = chords;
    s->request.chords = chords;
    s->request.chord_count = count;
    return HF_OK;
}

/* ---- what is in view ------------------------------------------------------------------------- */

static void chord_at(const struct scene_source *source, size_t index, struct hf_voicing *out)
{
    hf_timeline_chord(source->timeline, index, out);
}

/* By a rule for each note alone, so that no spelling tells which belong together. */
static char *name_of(const struct scene_source *source, int midi, char name[HF_SPELLED_TEXT])
{
    enum hf_names names = source->request->names;
    return hf_spelled_format(hf_spelling_pc(midi % HF_PCS, names), names, name);
}

/* The frets of both halves; false where the chord lies on no strings. */
static bool frets_at(const struct scene_source *source, size_t index, struct hf_record *out)
{
    const struct hf_timeline *t = source->timeline;
    const struct hf_record *held = hf_timeline_held(t, (long)index),
                           *added = &t->cues[index].record;
    *out = *added;
    for (int i = 0; i < added->strings; i++)
        if (held->frets[i] != HF_SILENT)
            out->frets[i] = held->frets[i];
    return added->strings > 0 && added->strings == held->strings;
}

/* "1 C#  2 E ..." from low to high, or the frets. */
static void view(const struct scene_source *source, size_t index, char text[SCENE_NAMES])
{
    struct hf_voicing chord;
    struct hf_record frets;
    char name[HF_SPELLED_TEXT], item[HF_SPELLED_TEXT + 16];
    text[0] = 0;
    if (frets_at(source, index, &frets)) {
        char shape[NOTES_TEXT];
        append(text, SCENE_NAMES, say_frets(&frets, shape));
        return;
    }
    /* A note that is a number itself is set off from its own. */
    const char *form = source->request->names == HF_NAMES_NUMBERS ? "%s%d: %s" : "%s%d %s";
    chord_at(source, index, &chord);
    for (int i = 0; i < chord.count; i++) {
        snprintf(item, sizeof item, form, i ? "  " : "", i + 1,
                 name_of(source, chord.notes[i], name));
        append(text, SCENE_NAMES, item);
    }
}

char *quiz_sight_begins(const struct scene_source *source, size_t index, char text[QUIZ_TEXT])
{
    char clock[CLOCK_TEXT], notes[SCENE_NAMES];
    view(source, index, notes);
    snprintf(text, QUIZ_TEXT, "%6s  %zu of %lu  look   %s%s",
             say_clock(source->timeline->cues[index].at, source->rate_hz, clock), index + 1,
             (unsigned long)source->total, notes,
             index == 0
                 ? "\n        n: it is not; else press the numbers of the three that are the "
                   "016"
                 : "");
    return text;
}

void quiz_draw(const struct scene_source *source, size_t index)
{
    struct hf_record frets;
    if (!source->request->has_board || !frets_at(source, index, &frets))
        return;
    const struct hf_fretboard *board = &source->request->board;
    struct frames frames = {.board = board};
    struct frame frame = {.title = ""};
    hf_shape_init(&frame.shape);
    memcpy(frame.shape.fret, frets.frets, sizeof frame.shape.fret);
    for (int i = frets.strings; i < HF_STRINGS_MOST; i++)
        frame.shape.fret[i] = HF_SILENT;
    hf_shape_measure(board, &frame.shape);
    frames_add(&frames, &frame);
    frames_flush(&frames);
    fflush(stdout);
}

char *quiz_picks(const struct scene_source *source, size_t index, char text[QUIZ_TEXT])
{
    struct hf_voicing chord;
    char name[HF_SPELLED_TEXT], item[HF_SPELLED_TEXT + 16];
    text[0] = 0;
    chord_at(source, index, &chord);
    for (int i = 0; i < chord.count; i++) {
        if (!(source->picked & 1u << i))
            continue;
        bool named = !source->request->in_frames; /* else the names would tell what the frets do */
        snprintf(item, sizeof item, "%s%d%s%s", text[0] ? ", " : "picked ", i + 1, named ? " " : "",
                 named ? name_of(source, chord.notes[i], name) : "");
        append(text, QUIZ_TEXT, item);
    }
    return text;
}

/* ---- what it was ----------------------------------------------------------------------------- */

static void append_fault(char text[QUIZ_TEXT], hf_pcset half, const char *wanted)
{
    char fault[64], prime[HF_PCSET_TEXT];
    const struct hf_setclass *is = hf_setclass_of(half);
    if (strcmp(is->name, wanted) == 0)
        return;
    snprintf(fault, sizeof fault, " (%s)", hf_pcset_format(is->prime, prime));
    append(text, QUIZ_TEXT, fault);
}

char *quiz_sight_told(const struct scene_source *source, size_t index, char text[QUIZ_TEXT])
{
    const struct hf_timeline *t = source->timeline;
    const struct hf_timeline_cue *cue = &t->cues[index];
    const struct hf_record *held = hf_timeline_held(t, (long)index);
    char names[NOTES_TEXT];
    const char *is = hf_setclass_of(held->pcs | cue->record.pcs)->name;
    snprintf(text, QUIZ_TEXT, "%s%s: %s", cue->record.id ? "" : "no 6-Z17 but ", is,
             say_names(held, names));
    append_fault(text, held->pcs, "3-12");
    append(text, QUIZ_TEXT, " + ");
    append(text, QUIZ_TEXT, say_names(&cue->record, names));
    append_fault(text, cue->record.pcs, "3-5");
    if (!cue->answered)
        return text;
    append(text, QUIZ_TEXT, "   you said: ");
    if (cue->answer == 0)
        append(text, QUIZ_TEXT, "no");
    for (int pc = 0, count = 0; pc < HF_PCS; pc++) {
        char name[HF_SPELLED_TEXT];
        if (!hf_pcset_has(cue->picked, pc))
            continue;
        append(text, QUIZ_TEXT, count++ ? " " : "");
        append(text, QUIZ_TEXT, name_of(source, pc, name));
    }
    append(text, QUIZ_TEXT, cue->right ? ", right" : ", missed");
    return text;
}

/* ---- the scene ------------------------------------------------------------------------------- */

static void list_notes(const struct scene_source *source, size_t index, bool told,
                       struct scene *scene)
{
    const struct hf_timeline_cue *cue = &source->timeline->cues[index];
    struct hf_voicing chord;
    chord_at(source, index, &chord);
    for (int i = 0; i < chord.count; i++) {
        char name[HF_SPELLED_TEXT] = "";
        int pc = chord.notes[i] % HF_PCS;
        bool of_016 = told && cue->record.id > 0 && hf_pcset_has(cue->record.pcs, pc);
        bool wrong = told && !of_016 && hf_pcset_has(cue->picked, pc);
        bool picked = !told && (source->picked & 1u << i);
        if (told || !source->request->in_frames)
            name_of(source, chord.notes[i], name);
        scene_add(scene, (char)('1' + i), name,
                  of_016   ? SCENE_RIGHT
                  : wrong  ? SCENE_WRONG
                  : picked ? SCENE_NOW
                           : SCENE_PLAIN);
    }
}

static void put_large(const struct scene_source *source, size_t index, struct scene *scene)
{
    struct hf_voicing chord;
    struct hf_record frets;
    char name[HF_SPELLED_TEXT];
    if (frets_at(source, index, &frets)) {
        char shape[NOTES_TEXT];
        snprintf(scene->large, SCENE_NAMES, "%s", say_frets(&frets, shape));
        if (!scene->adding) { /* told, its halves are told apart */
            scene->strings = frets.strings;
            memcpy(scene->frets, frets.frets, sizeof scene->frets);
        }
        return;
    }
    chord_at(source, index, &chord);
    scene->large[0] = 0;
    for (int i = 0; i < chord.count; i++) {
        append(scene->large, SCENE_NAMES, i ? " " : "");
        append(scene->large, SCENE_NAMES, name_of(source, chord.notes[i], name));
    }
}

void scene_sight(const struct scene_source *source, int64_t now, struct scene *scene)
{
    const struct hf_timeline *t = source->timeline;
    long index = scene_cue(t, now);
    char text[QUIZ_TEXT], picks[QUIZ_TEXT];
    bool told = index >= 0 && hf_timeline_shown(t, t->cues[index].tell, now);
    scene->held[0] = 0;
    if (!told)
        scene->holding = scene->adding = NULL;
    if (scene->state == SCENE_END)
        return;
    if (index < 0) {
        snprintf(scene->word, SCENE_WORD, "wait");
        snprintf(scene->todo, SCENE_TEXT, "a chord comes into view");
        return;
    }
    put_large(source, (size_t)index, scene);
    list_notes(source, (size_t)index, told, scene);
    snprintf(scene->word, SCENE_WORD, "%s", told ? "listen" : "look");
    if (told) {
        quiz_sight_told(source, (size_t)index, text);
        snprintf(scene->todo, SCENE_TEXT, "%.300s", text);
        snprintf(scene->under, SCENE_TEXT, "%.300s", text);
        return;
    }
    quiz_picks(source, (size_t)index, picks);
    snprintf(scene->under, SCENE_TEXT, "is it 6-Z17?  n: no; else press the three of its 016");
    snprintf(scene->todo, SCENE_TEXT, "look: %.120s   n, or three numbers%s%.80s", scene->large,
             picks[0] ? "   " : "", picks);
}
