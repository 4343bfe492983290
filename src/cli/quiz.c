/* SPDX-License-Identifier: MIT */
/* Invariant: nothing is said of a cue before it is told, but what the question itself gives. */
#include "quiz.h"

#include <stdio.h>
#include <string.h>

#include <holdfast/levels.h>

enum { COLUMNS = 80, KEYS = 9 };

bool quiz_asks(const struct scene_source *source)
{
    return source->request && (source->request->practice == HF_PRACTICE_EAR ||
                               source->request->practice == HF_PRACTICE_SIGHT);
}

static bool is_sight(const struct scene_source *source)
{
    return source->request->practice == HF_PRACTICE_SIGHT;
}

const char *quiz_help(const struct hf_request *request, char text[QUIZ_TEXT])
{
    struct hf_completion all[HF_COMPLETIONS_MOST];
    if (request->practice == HF_PRACTICE_SIGHT)
        return "n it is not   1 to 6 from the lowest note: the three that are the 016";
    if (request->practice != HF_PRACTICE_EAR)
        return NULL;
    int count = hf_pairing_complete(request->held.set, request->added, all);
    snprintf(text, QUIZ_TEXT, "1 to %d your answer%s", count < KEYS ? count : KEYS,
             request->near_miss ? "   0 none of them" : "");
    return text;
}

/* ---- words ----------------------------------------------------------------------------------- */

static void append(char *text, size_t size, const char *more)
{
    size_t used = strlen(text);
    snprintf(text + used, size - used, "%s", more);
}

static void append_names(char *text, size_t size, hf_pcset pcs, enum hf_names names)
{
    struct hf_spelled spelled[HF_PCS];
    char name[HF_SPELLED_TEXT];
    int count = hf_spelling_of(pcs, names, spelled);
    for (int i = 0; i < count; i++) {
        append(text, size, i ? " " : "");
        append(text, size, hf_spelled_format(spelled[i], names, name));
    }
}

static void question_text(int level, int count, char text[QUIZ_TEXT])
{
    static const char *const how[] = {"",
                                      "always in the same place, note by note",
                                      "its kind is told; mind the lowest note",
                                      "always in the same place",
                                      "in any register",
                                      "all notes at once",
                                      "all at once; the held notes silent"};
    if (level == HF_LEVEL_KINDS)
        snprintf(text, QUIZ_TEXT, "which kind is it?  (%s)", how[level]);
    else
        snprintf(text, QUIZ_TEXT, "which of the %d is it?  (%s)", count, how[level]);
}

/* ---- the question ---------------------------------------------------------------------------- */

struct asked {
    enum hf_names names;
    struct hf_completion completions[HF_COMPLETIONS_MOST];
    int count;
    struct hf_question question;
};

static void ask(const struct scene_source *source, size_t index, struct asked *out)
{
    const struct hf_timeline_cue *cue = &source->timeline->cues[index];
    out->names = source->request->names;
    out->count = hf_pairing_complete(source->held, source->request->added, out->completions);
    hf_levels_ask(source->held, out->completions, out->count, cue->level,
                  source->request->near_miss, cue->record.pcs, &out->question);
}

/* "C# D G or F F# B or Eb A Bb" */
static void append_choice(char *text, size_t size, const struct asked *a, int index)
{
    const struct hf_choice *choice = &a->question.choice[index];
    for (int i = 0; i < choice->count; i++) {
        append(text, size, i ? " or " : "");
        append_names(text, size, a->completions[choice->ids[i] - 1].pcs, a->names);
    }
}

static bool begins_level(const struct hf_timeline *t, size_t index)
{
    return index == 0 || t->cues[index].level != t->cues[index - 1].level;
}

/* After `between`, or on a line of its own where it would not fit in COLUMNS. */
static void append_item(char text[QUIZ_TEXT], const char *between, const char *item)
{
    const char *line = strrchr(text, '\n');
    size_t column = line ? strlen(line + 1) : strlen(text);
    bool fits = column + strlen(between) + strlen(item) <= COLUMNS;
    append(text, QUIZ_TEXT, fits ? between : "\n        ");
    append(text, QUIZ_TEXT, item);
}

static void append_choices(char text[QUIZ_TEXT], const struct asked *a, const char *between)
{
    for (int i = 0; i < a->question.count; i++) {
        char item[QUIZ_TEXT];
        snprintf(item, sizeof item, "%d ", i + 1);
        append_choice(item, sizeof item, a, i);
        append_item(text, i ? between : "", item);
    }
    if (a->question.none)
        append_item(text, between, "0 none of them");
}

/* Of how many it is one; some of them may have no number. */
static int asked_of(const struct asked *a, int level)
{
    return level < HF_LEVEL_IN_PLACE ? a->question.count : a->count;
}

static void append_level(char text[QUIZ_TEXT], int level, const struct asked *a)
{
    char question[QUIZ_TEXT], line[QUIZ_TEXT + 40];
    question_text(level, asked_of(a, level), question);
    snprintf(line, sizeof line, "        Level %d: %s", level, question);
    append(text, QUIZ_TEXT, line);
    if (level == HF_LEVEL_POSITIONS) /* the answers come with each cue */
        return;
    append(text, QUIZ_TEXT, "\n        ");
    append_choices(text, a, level == HF_LEVEL_KINDS ? "\n        " : "   ");
    if (asked_of(a, level) > a->question.count)
        append(text, QUIZ_TEXT, "\n        or another: r tells which, then g or m");
}

char *quiz_begins(const struct scene_source *source, size_t index, char text[QUIZ_TEXT])
{
    const struct hf_timeline *t = source->timeline;
    int level = t->cues[index].level;
    struct asked a;
    if (is_sight(source))
        return quiz_sight_begins(source, index, text);
    text[0] = 0;
    if (level < 1 || level > HF_LEVELS)
        return text;
    ask(source, index, &a);
    if (begins_level(t, index))
        append_level(text, level, &a);
    if (level == HF_LEVEL_POSITIONS) {
        append(text, QUIZ_TEXT, text[0] ? "\n        one of: " : "        one of: ");
        append_choices(text, &a, "   ");
    }
    return text;
}

/* ---- the answer ------------------------------------------------------------------------------ */

/* Which number an id has among the choices, -1 for none. */
static int choice_with(const struct hf_question *q, int id)
{
    for (int i = 0; i < q->count; i++)
        if (q->choice[i].id == id)
            return i;
    return -1;
}

static void append_answer(char text[QUIZ_TEXT], const struct hf_timeline_cue *cue,
                          const struct asked *a)
{
    char said[QUIZ_TEXT];
    int index = choice_with(&a->question, cue->answer);
    if (cue->answer == 0)
        snprintf(said, sizeof said, "   you said: none of them");
    else
        snprintf(said, sizeof said, "   you said: %d", index + 1);
    append(text, QUIZ_TEXT, said);
    if (!cue->right && index >= 0 && a->question.choice[index].count == 1) {
        append(text, QUIZ_TEXT, ", ");
        append_choice(text, QUIZ_TEXT, a, index);
    }
    append(text, QUIZ_TEXT, cue->right ? ", right" : ", missed");
}

char *quiz_told(const struct scene_source *source, size_t index, char text[QUIZ_TEXT])
{
    const struct hf_timeline_cue *cue = &source->timeline->cues[index];
    struct asked a;
    char notes[NOTES_TEXT], number[24];
    if (is_sight(source))
        return quiz_sight_told(source, index, text);
    ask(source, index, &a);
    snprintf(text, QUIZ_TEXT, "%s", say_pitches(&cue->record, notes));
    if (cue->record.id == 0)
        append(text, QUIZ_TEXT, ", none of them");
    else if (a.question.answer >= 0) {
        snprintf(number, sizeof number, " (%d)", a.question.answer + 1);
        append(text, QUIZ_TEXT, number);
    }
    if (cue->answered)
        append_answer(text, cue, &a);
    return text;
}

/* ---- the scene ------------------------------------------------------------------------------- */

static enum scene_mark mark_of(const struct hf_timeline_cue *cue, const struct hf_question *q,
                               int index, bool told)
{
    if (!told)
        return SCENE_PLAIN;
    if (index == q->answer)
        return SCENE_RIGHT;
    bool chosen = cue->answered && cue->answer == (index < 0 ? 0 : q->choice[index].id);
    return chosen ? SCENE_WRONG : SCENE_PLAIN;
}

void scene_ear(const struct scene_source *source, int64_t now, struct scene *scene)
{
    const struct hf_timeline *t = source->timeline;
    long index = scene_cue(t, now);
    struct asked a;
    char names[SCENE_NAMES], question[QUIZ_TEXT];
    if (index < 0 || scene->state == SCENE_END || t->cues[index].level < 1)
        return;
    const struct hf_timeline_cue *cue = &t->cues[index];
    bool told = hf_timeline_shown(t, cue->tell, now);
    ask(source, (size_t)index, &a);
    for (int i = 0; i < a.question.count; i++) {
        names[0] = 0;
        append_choice(names, sizeof names, &a, i);
        scene_add(scene, (char)('1' + i), names, mark_of(cue, &a.question, i, told));
    }
    if (a.question.none)
        scene_add(scene, '0', "none of them", mark_of(cue, &a.question, -1, told));
    if (told) {
        quiz_told(source, (size_t)index, question);
        snprintf(scene->todo, SCENE_TEXT, "it is %.300s", question);
        snprintf(scene->under, SCENE_TEXT, "%.300s", question);
        return;
    }
    question_text(cue->level, asked_of(&a, cue->level), question);
    snprintf(scene->under, SCENE_TEXT, "level %d: %.280s", cue->level, question);
    bool others = asked_of(&a, cue->level) > a.question.count;
    snprintf(scene->todo, SCENE_TEXT, "listen: which is it?  1 to %d%s%s", a.question.count,
             a.question.none ? ", 0 none of them" : "", others ? ", or another: r" : "");
}

/* ---- before and after ------------------------------------------------------------------------ */

void quiz_say_session(const struct hf_request *request, const struct hf_schedule *schedule)
{
    char question[QUIZ_TEXT];
    if (request->practice == HF_PRACTICE_SIGHT)
        printf("Chord: six notes; is it 6-Z17, and which three are the 016?  (%s)\n",
               request->chords ? "chords of your own" : "half of them are");
    if (request->practice != HF_PRACTICE_EAR)
        return;
    int level = schedule->ear.level;
    question_text(level, level == HF_LEVEL_POSITIONS ? 3 : schedule->count, question);
    printf("Level: %d, %s\n", level, question);
    if (!request->level_fixed)
        printf("       (two good rounds go up a level, a round with more than half missed down)\n");
}

void quiz_say_end(const struct hf_request *request, const struct hf_timeline *timeline)
{
    if (request->practice != HF_PRACTICE_EAR || request->level_fixed || timeline->level < 1)
        return;
    printf("Level:  %d; --level %d+ begins there next time\n", timeline->level, timeline->level);
}
