/* SPDX-License-Identifier: MIT */
/* Invariant: the notes of a step are in no text before they were heard. */
#include "steps.h"

#include <stdio.h>
#include <string.h>

#include "session.h"

bool steps_is(const struct hf_timeline_cue *cue)
{
    return cue->record.type == HF_RECORD_STEP;
}

/* What musicians call any member of a class. */
static const char *nickname(const struct hf_setclass *class)
{
    static const struct {
        int size, number;
        const char *name;
    } known[] = {{3, 10, "diminished triad"},  {3, 11, "major or minor triad"},
                 {3, 12, "augmented triad"},   {4, 20, "major seventh"},
                 {4, 26, "minor seventh"},     {4, 27, "dominant or half-diminished seventh"},
                 {4, 28, "diminished seventh"}};
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++)
        if (class == hf_setclass_find(known[i].size, known[i].number))
            return known[i].name;
    return "";
}

char *steps_asked(const struct hf_record *step, char text[STEPS_TEXT])
{
    const struct hf_setclass *class = hf_setclass_of(step->pcs);
    const char *name = nickname(class);
    char prime[HF_PCSET_TEXT];
    snprintf(text, STEPS_TEXT, "%s (%s%s%s)", hf_pcset_format(class->prime, prime), class->name,
             name[0] ? ", " : "", name);
    return text;
}

char *steps_heard(const struct hf_record *step, char text[STEPS_TEXT])
{
    char pitches[NOTES_TEXT], prime[HF_PCSET_TEXT], place[32] = "its only place";
    if (step->of > 1)
        snprintf(place, sizeof place, "place %d of %d", step->which, step->of);
    snprintf(text, STEPS_TEXT, "%.100s   %s, %s", say_pitches(step, pitches),
             hf_pcset_format(hf_setclass_of(step->pcs)->prime, prime), place);
    return text;
}

void steps_describe(const struct hf_timeline_cue *cue, bool heard, struct scene *scene)
{
    const struct hf_record *step = &cue->record;
    char text[STEPS_TEXT], names[NOTES_TEXT], prime[HF_PCSET_TEXT];
    snprintf(scene->word, SCENE_WORD, "%s", heard ? "play" : "find");
    if (heard) {
        snprintf(scene->large, SCENE_NAMES, "%s", say_names(step, names));
        snprintf(scene->under, SCENE_TEXT, "%s", steps_heard(step, text));
        snprintf(scene->todo, SCENE_TEXT, "play  %s", text);
        scene->adding = step;
    } else {
        hf_pcset_format(hf_setclass_of(step->pcs)->prime, prime); /* "014" is what is asked for */
        snprintf(scene->large, SCENE_NAMES, "%s", prime);
        snprintf(scene->under, SCENE_TEXT, "%s in the chord, class %d of %d",
                 steps_asked(step, text), step->step, step->steps);
        snprintf(scene->todo, SCENE_TEXT, "find  %s in the chord", text);
    }
}

enum steps_after steps_after(const struct scene_source *source, const struct hf_timeline_cue *cue)
{
    bool unfolds = source->request && source->request->unfold.size > 0;
    if (steps_is(cue) ? cue->record.step < cue->record.steps : unfolds)
        return STEPS_STEP;
    return cue->number == source->total ? STEPS_END : STEPS_CUE;
}
