/* SPDX-License-Identifier: MIT */
/* Invariant: what is said of a step follows from its record alone, so that a replay says the same.
 */
#include "warmup.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include <holdfast/spelling.h>
#include <holdfast/voicing.h>

const char *warmup_word(const struct hf_record *cue)
{
    static const char *const intervals[HF_PCS] = {
        "octave",  "semitone", "whole tone",  "minor third", "major third",   "fourth",
        "tritone", "fifth",    "minor sixth", "major sixth", "minor seventh", "major seventh"};
    if (cue->count == 1)
        return "note";
    int span = cue->notes[cue->count - 1] - cue->notes[0];
    if (cue->count == 2)
        return intervals[span % HF_PCS];
    return span < HF_PCS ? "close" : "spread";
}

/* ---- what was understood --------------------------------------------------------------------- */

static void print_set(hf_pcset set, enum hf_names names)
{
    struct hf_spelled spelled[HF_PCS];
    char name[HF_SPELLED_TEXT];
    int count = hf_spelling_of(set, names, spelled);
    for (int i = 0; i < count; i++)
        printf("%s%s", i ? " " : "", hf_spelled_format(spelled[i], names, name));
}

static void say_kind(const struct hf_schedule *schedule, enum hf_names names)
{
    bool first = true;
    printf("Kind:  %d of %d: ", schedule->kind,
           hf_warmup_kinds(schedule->completions, schedule->count));
    for (int i = 0; i < schedule->count; i++) {
        if (schedule->completions[i].kind != schedule->kind)
            continue;
        printf("%s", first ? "" : ", ");
        print_set(schedule->completions[i].pcs, names);
        first = false;
    }
    putchar('\n');
}

void say_warmup(const struct session *session)
{
    static const char *const ways[] = {[HF_CUE_LEAD] = "named and sounded",
                                       [HF_CUE_CONFIRM] = "named, later sounded",
                                       [HF_CUE_SILENT] = "named, never sounded"};
    const struct hf_request *request = &session->request;
    const struct hf_schedule *schedule = &session->schedule;
    char held[HF_NOTES_TEXT], prime[HF_PCSET_TEXT], clock[CLOCK_TEXT];
    printf("Held:  %s (%s), sounding pitches\n",
           hf_notes_format(&request->held, request->names, held),
           hf_setclass_of(request->held.set)->name);
    printf("Added: %s (%s), from single notes to the chord\n",
           hf_pcset_format(request->added->prime, prime), request->added->name);
    say_kind(schedule, request->names);
    if (request->has_own)
        printf("Ends:  on the chord itself\n");
    printf("Steps: %" PRIu32 ", one every %s, %d s of rest a minute, %s in all with the fade\n",
           hf_schedule_cues(schedule), request->text[HF_OPT_EVERY], HF_WARMUP_REST_S,
           say_clock(session_length(session), request->rate_hz, clock));
    printf("Way:   %s (%s), register %s\n", request->text[HF_OPT_CUE], ways[request->cue],
           request->text[HF_OPT_REGISTER]);
    printf("Seed:  %s\n", request->text[HF_OPT_SEED]);
    printf("Take it easy: play softly, leave out what strains, shake out your hands in the\n"
           "rests, and stop at pain or numbness. The lengths are habits, not rules.\n");
}

/* ---- what there is to see -------------------------------------------------------------------- */

bool scene_rests(const struct hf_timeline *t, int64_t now, int64_t *until)
{
    long index = scene_cue(t, now);
    bool ended = t->end_at != HF_NEVER && now >= t->end_at;
    if (index < 0 || ended || (size_t)(index + 1) >= t->count ||
        !hf_timeline_reached(t, t->cues[index].end, now) || t->cues[index + 1].at == HF_NEVER)
        return false;
    *until = t->cues[index + 1].at;
    return *until > t->cues[index].end;
}

static void show_rest(const struct scene_source *source, int64_t now, int64_t until,
                      struct scene *scene)
{
    int64_t from = source->timeline->cues[scene_cue(source->timeline, now)].end;
    double left = (double)(until - now) / (double)(until - from);
    if (scene->state == SCENE_CUE)
        scene->state = SCENE_REST;
    scene->adding = NULL;
    scene->large[0] = 0;
    snprintf(scene->word, sizeof scene->word, "rest");
    snprintf(scene->todo, sizeof scene->todo, "rest: hands off");
    snprintf(scene->under, sizeof scene->under, "hands off");
    snprintf(scene->what, sizeof scene->what, "next in");
    scene->has_bar = true;
    scene->left = left > 1 ? 1 : left;
    scene->change = 0;
}

void scene_warmup(const struct scene_source *source, int64_t now, struct scene *scene)
{
    int64_t until = 0;
    if (scene_rests(source->timeline, now, &until)) {
        show_rest(source, now, until, scene);
    } else if (scene->state != SCENE_END && scene->adding) {
        const char *word = warmup_word(scene->adding);
        size_t used = strlen(scene->under);
        snprintf(scene->under + used, sizeof scene->under - used, "%s%s", used ? "   " : "", word);
        used = strlen(scene->todo);
        snprintf(scene->todo + used, sizeof scene->todo - used, "   %s", word);
    }
}
