/* SPDX-License-Identifier: MIT */
/* Invariant: nothing that the cue still hides is in a scene before its time has come. */
#include "scene.h"

#include <stdio.h>
#include <string.h>

#include "session.h"
#include "steps.h"
#include "warmup.h"

/* What the practices change; in the order of enum hf_practice. */
static scene_practice *const practices[] = {
    [HF_PRACTICE_IMPROVISE] = NULL,    [HF_PRACTICE_ROAM] = scene_roam,
    [HF_PRACTICE_HUNT] = scene_hunt,   [HF_PRACTICE_EAR] = scene_ear,
    [HF_PRACTICE_SIGHT] = scene_sight, [HF_PRACTICE_WARMUP] = scene_warmup,
};

long scene_cue(const struct hf_timeline *t, int64_t now)
{
    for (size_t i = t->count; i-- > 0;)
        if (hf_timeline_reached(t, t->cues[i].at, now))
            return (long)i;
    return -1;
}

void scene_add(struct scene *scene, char key, const char *names, enum scene_mark mark)
{
    if (scene->count == SCENE_ITEMS)
        return;
    struct scene_item *item = &scene->items[scene->count++];
    item->key = key;
    item->mark = mark;
    snprintf(item->names, sizeof item->names, "%s", names);
}

/* ---- what to do ------------------------------------------------------------------------------ */

static void put(struct scene *out, const char *word, const char *large)
{
    snprintf(out->word, sizeof out->word, "%s", word);
    snprintf(out->large, sizeof out->large, "%s", large);
}

static void describe_shown(const struct scene_source *source, const struct hf_timeline_cue *cue,
                           bool heard, struct scene *out)
{
    char names[NOTES_TEXT], pitches[NOTES_TEXT], frets[NOTES_TEXT];
    const char *makes = say_result(cue, source->held, source->varied);
    bool play = heard || source->timeline->way == HF_CUE_SILENT;
    say_names(&cue->record, names);
    say_pitches(&cue->record, pitches);
    put(out, play ? "play" : "find", names);
    snprintf(out->todo, SCENE_TEXT, "%s  %s", out->word, heard ? pitches : names);
    say_frets(&cue->record, frets);
    snprintf(out->under, SCENE_TEXT, "%.100s%s%.100s%s%s", heard ? pitches : "",
             heard && frets[0] ? "   " : "", frets, makes[0] ? "   makes " : "", makes);
    out->adding = &cue->record;
}

/* What is known of a cue at `now`, and what there is to do. */
static void describe_cue(const struct scene_source *source, size_t index, int64_t now,
                         struct scene *out)
{
    const struct hf_timeline *t = source->timeline;
    const struct hf_timeline_cue *cue = &t->cues[index];
    char notes[NOTES_TEXT];
    if (steps_is(cue)) {
        steps_describe(cue, hf_timeline_shown(t, cue->hear, now), out);
    } else if (hf_timeline_shown(t, cue->tell, now)) {
        describe_shown(source, cue, hf_timeline_shown(t, cue->hear, now), out);
    } else if (t->way == HF_CUE_GAP) {
        snprintf(out->todo, SCENE_TEXT, "find the third note:  %s + ?",
                 say_perfect(&cue->record, notes));
        snprintf(out->under, SCENE_TEXT, "the third note");
        put(out, "find", notes);
        snprintf(out->large + strlen(out->large), SCENE_NAMES - strlen(out->large), " ?");
    } else if (t->way == HF_CUE_REVERSE) {
        snprintf(out->todo, SCENE_TEXT, "find the triad that completes  %s",
                 say_names(hf_timeline_held(t, (long)index), notes));
        snprintf(out->under, SCENE_TEXT, "the triad that completes %s", notes);
        put(out, "triad?", "? ? ?");
    } else {
        snprintf(out->todo, SCENE_TEXT, "listen: which one is it?");
        snprintf(out->under, SCENE_TEXT, "which one is it?");
        put(out, "which?", "? ? ?");
    }
}

/* ---- time ------------------------------------------------------------------------------------ */

/* The next thing that the running cue does, or what comes after it: its time, and a word for it. */
static int64_t next_change(const struct scene_source *source, long index, int64_t now,
                           const char **what)
{
    const struct hf_timeline *t = source->timeline;
    if (index < 0 || hf_timeline_reached(t, t->cues[index].end, now)) {
        *what = "next cue in";
        return (size_t)(index + 1) < t->count ? t->cues[index + 1].at : HF_NEVER;
    }
    const struct hf_timeline_cue *cue = &t->cues[index];
    if (cue->tell != HF_NEVER && cue->tell > now) {
        *what = cue->hear == cue->tell ? "answer in" : "name in";
        return cue->tell;
    }
    if (cue->hear != HF_NEVER && cue->hear > now) {
        *what = "sound in";
        return cue->hear;
    }
    static const char *const after[] = {
        [STEPS_STEP] = "next class in", [STEPS_CUE] = "next cue in", [STEPS_END] = "end in"};
    *what = after[steps_after(source, cue)];
    return cue->end;
}

/* What Enter does where the player ends each cue. */
static const char *enter_does(const struct scene_source *source, long index, int64_t now)
{
    const struct hf_timeline *t = source->timeline;
    if (index < 0)
        return "Enter: first cue";
    const struct hf_timeline_cue *cue = &t->cues[index];
    if (!hf_timeline_shown(t, cue->tell, now))
        return "Enter: answer";
    if (!hf_timeline_shown(t, cue->hear, now) && t->way != HF_CUE_SILENT)
        return "Enter: hear it";
    static const char *const after[] = {[STEPS_STEP] = "Enter: next class",
                                        [STEPS_CUE] = "Enter: next cue",
                                        [STEPS_END] = "Enter: end"};
    return after[steps_after(source, cue)];
}

/* The bar runs from the beginning of the cue, or of the session, to where the next one begins. */
static void measure_bar(const struct scene_source *source, long index, int64_t now,
                        struct scene *out)
{
    const struct hf_timeline *t = source->timeline;
    int64_t from = index >= 0 ? t->cues[index].at : 0;
    int64_t to = index >= 0 ? t->cues[index].end : t->count ? t->cues[0].at : HF_NEVER;
    int64_t at = t->stay_at != HF_NEVER && t->stay_at < now ? t->stay_at : now;
    out->has_bar = to != HF_NEVER && to > from;
    if (!out->has_bar)
        return;
    double length = (double)(to - from), left = (double)(to - at) / length;
    out->left = left < 0 ? 0 : left > 1 ? 1 : left;
    int64_t change = index >= 0 && out->in != HF_NEVER && now + out->in < to ? now + out->in : to;
    out->change = (double)(to - change) / length;
}

static void count_cues(const struct scene_source *source, long index, struct scene *out)
{
    out->cue = index >= 0 ? source->timeline->cues[index].number : 0;
    out->cues = source->total;
    if (!source->per_round || index < 0)
        return;
    out->round = (out->cue - 1) / source->per_round + 1;
    out->rounds = (source->total + source->per_round - 1) / source->per_round;
}

/* The next cue, where nothing of it is to be guessed. */
static void preview(const struct scene_source *source, long index, struct scene *out)
{
    const struct hf_timeline *t = source->timeline;
    char names[NOTES_TEXT];
    bool open = t->way == HF_CUE_LEAD || t->way == HF_CUE_CONFIRM || t->way == HF_CUE_SILENT;
    if (source->preview && open && (size_t)(index + 1) < t->count && !steps_is(&t->cues[index + 1]))
        snprintf(out->next, SCENE_NAMES, "%s", say_names(&t->cues[index + 1].record, names));
}

/* ---- the whole ------------------------------------------------------------------------------- */

static void describe_break(const struct scene_source *source, struct scene *out)
{
    char clock[CLOCK_TEXT];
    out->state = SCENE_REST;
    out->has_bar = false;
    out->in = HF_NEVER;
    out->what[0] = 0;
    out->adding = NULL;
    put(out, "break", "");
    snprintf(out->under, SCENE_TEXT, "rest ears and hands");
    snprintf(out->todo, SCENE_TEXT, "break");
    if (source->break_s > 0)
        snprintf(out->todo, SCENE_TEXT, "break of %s by now: rest ears and hands",
                 say_clock((int64_t)source->break_s, 1, clock));
    if (!source->replay)
        snprintf(out->hint, SCENE_TEXT, "any key: go on");
}

static void describe_state(const struct scene_source *source, int64_t now, struct scene *out)
{
    const struct hf_timeline *t = source->timeline;
    if (t->end_at != HF_NEVER && now >= t->end_at) {
        out->state = SCENE_END;
        out->has_bar = false;
        out->adding = NULL;
        out->hint[0] = out->what[0] = out->next[0] = 0;
        out->in = HF_NEVER; /* what would have come does not */
        put(out, "the end", "");
        snprintf(out->todo, SCENE_TEXT, "the end");
        snprintf(out->under, SCENE_TEXT, "the sound fades");
    } else if (t->on_break) {
        describe_break(source, out);
    } else if (t->pause_at != HF_NEVER) {
        out->state = SCENE_PAUSE;
        snprintf(out->word, SCENE_WORD, "pause");
        snprintf(out->hint, SCENE_TEXT, "p: resume");
    } else if (t->stay_at != HF_NEVER) {
        out->state = SCENE_STAY;
        if (!source->replay)
            snprintf(out->hint, SCENE_TEXT, "Space: go on");
    }
    out->stands = out->state == SCENE_PAUSE || out->state == SCENE_STAY;
}

void scene_at(const struct scene_source *source, int64_t now, struct scene *out)
{
    const struct hf_timeline *t = source->timeline;
    long index = scene_cue(t, now);
    const char *what = "";
    char names[NOTES_TEXT];
    memset(out, 0, sizeof *out);
    out->practice = source->request ? source->request->practice : HF_PRACTICE_IMPROVISE;
    out->state = index < 0 ? SCENE_LEAD_IN : SCENE_CUE;
    out->rate_hz = source->rate_hz;
    out->now = now;
    out->has_level = source->has_level;
    out->level_db = source->level_db;
    snprintf(out->remark, SCENE_TEXT, "%s", source->remark ? source->remark : "");
    out->holding = hf_timeline_held(t, index);
    snprintf(out->held, SCENE_NAMES, "%s", say_names(out->holding, names));
    put(out, "listen", "");
    snprintf(out->todo, SCENE_TEXT, "listen to the held notes");
    if (index >= 0)
        describe_cue(source, (size_t)index, now, out);
    int64_t next = next_change(source, index, now, &what);
    out->in = next == HF_NEVER ? HF_NEVER : next - now;
    snprintf(out->what, SCENE_WORD, "%s", next == HF_NEVER ? "" : what);
    if (next == HF_NEVER && !source->replay)
        snprintf(out->hint, SCENE_TEXT, "%s", enter_does(source, index, now));
    measure_bar(source, index, now, out);
    count_cues(source, index, out);
    preview(source, index, out);
    describe_state(source, now, out);
    if (practices[out->practice])
        practices[out->practice](source, now, out);
}
