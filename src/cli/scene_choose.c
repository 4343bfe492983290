/* SPDX-License-Identifier: MIT */
/* The scenes of roam and hunt. Invariant: a completion that is not found has a place in the list
 * and nothing else. */
#include <stdio.h>
#include <string.h>

#include <holdfast/roam.h>

#include "scene.h"
#include "session.h"

enum { LINE_MOST = 64 }; /* of the list in one line, so that it stands in 80 columns */

static char *join_names(const struct hf_roam_item *item, char text[SCENE_NAMES])
{
    text[0] = 0;
    for (int i = 0; i < item->size; i++) {
        size_t used = strlen(text);
        snprintf(text + used, SCENE_NAMES - used, "%s%s", i ? " " : "", item->names[i]);
    }
    return text;
}

static char key_of(int index)
{
    return (char)(index < 9 ? '1' + index : 0);
}

/* "1 C# D G  [3 D Eb A]  ...": all in one line if they fit, else the one that the player is on. */
static void write_line(const struct hf_roam_view *view, char text[SCENE_TEXT])
{
    size_t used = 0;
    char names[SCENE_NAMES];
    text[0] = 0;
    for (int i = 0; i < view->count && used < SCENE_TEXT; i++) {
        const char *form = view->items[i].here ? "%s[%d %s]" : "%s%d %s";
        used += (size_t)snprintf(text + used, SCENE_TEXT - used, form, i ? "  " : "", i + 1,
                                 join_names(&view->items[i], names));
    }
    if (used <= LINE_MOST)
        return;
    if (view->here < 0)
        snprintf(text, SCENE_TEXT, "choose: 1 to %d", view->count);
    else
        snprintf(text, SCENE_TEXT, "[%d %s]", view->here + 1,
                 join_names(&view->items[view->here], names));
}

/* Nothing comes by itself but, with --for, the end. */
static void set_free(const struct scene_source *source, int64_t now, struct scene *scene)
{
    const struct hf_request *request = source->request;
    scene->has_bar = request->for_span.amount > 0;
    scene->in = HF_NEVER;
    scene->what[0] = 0;
    scene->change = 0;
    if (!scene->has_bar)
        return;
    /* A replay's request may be at the rate of today; its timeline never is. */
    double seconds = (double)hf_request_samples(request, request->for_span) / request->rate_hz;
    int64_t whole = (int64_t)(seconds * source->rate_hz);
    scene->in = whole > now ? whole - now : 0;
    scene->left = (double)scene->in / (double)whole;
    snprintf(scene->what, SCENE_WORD, "end in");
}

void scene_roam(const struct scene_source *source, int64_t now, struct scene *scene)
{
    struct hf_roam_view view;
    char names[SCENE_NAMES], clock[CLOCK_TEXT];
    hf_roam_look(source->request, source->timeline, now, &view);
    for (int i = 0; i < view.count; i++)
        scene_add(scene, key_of(i), join_names(&view.items[i], names),
                  view.items[i].here ? SCENE_NOW : SCENE_PLAIN);
    if (scene->state == SCENE_END)
        return;
    set_free(source, now, scene);
    scene->cue = scene->cues = 0;
    snprintf(scene->word, SCENE_WORD, "%s", view.here < 0 ? "choose" : "play");
    write_line(&view, scene->todo);
    if (scene->state == SCENE_PAUSE)
        return;
    scene->hint[0] = 0;
    if (view.here < 0) {
        snprintf(scene->under, SCENE_TEXT, "a number, or Page Down");
        return;
    }
    const struct hf_roam_item *item = &view.items[view.here];
    snprintf(scene->under, SCENE_TEXT, "kind %d, position %d   %s", item->completion.kind,
             item->completion.position, say_clock(item->samples, source->rate_hz, clock));
}

/* In the order in which they were found: the place of one in the list of all would tell of others.
 */
static void list_found(const struct hf_hunt *h, const struct hf_roam_view *view,
                       struct scene *scene)
{
    char names[SCENE_NAMES];
    for (int nth = 1; nth <= h->found_count; nth++)
        for (int i = 0; i < view->count; i++)
            if (h->order[i] == nth)
                scene_add(scene, 0, join_names(&view->items[i], names),
                          view->items[i].here ? SCENE_NOW : SCENE_RIGHT);
    for (int i = h->found_count; i < h->count; i++)
        scene_add(scene, 0, "?", SCENE_HIDDEN);
}

void scene_hunt(const struct scene_source *source, int64_t now, struct scene *scene)
{
    const struct hf_hunt *h = &source->timeline->hunt;
    struct hf_roam_view view;
    bool types = source->typed && source->typed[0];
    hf_roam_look(source->request, source->timeline, now, &view);
    list_found(h, &view, scene);
    scene->cue = (uint32_t)h->found_count;
    scene->cues = (uint32_t)h->count;
    if (scene->state == SCENE_END)
        return;
    set_free(source, now, scene);
    snprintf(scene->word, SCENE_WORD, "%s",
             hf_hunt_done(h) || (view.here >= 0 && !types) ? "play" : "find");
    if (view.here < 0 || types) /* what is looked for, not what was found last */
        snprintf(scene->large, SCENE_NAMES, "?");
    const char *ask = source->request->names == HF_NAMES_GERMAN
                          ? "type notes by their German names, then Enter"
                          : "type notes, then Enter";
    bool asks = scene->has_bar && !source->replay;
    if (types)
        snprintf(scene->todo, SCENE_TEXT, "%s_", source->typed);
    else
        snprintf(scene->todo, SCENE_TEXT, "found %d of %d%s%s", h->found_count, h->count,
                 asks ? ": " : "", asks ? ask : "");
    if (scene->state == SCENE_PAUSE)
        return;
    snprintf(scene->under, SCENE_TEXT, "%s", scene->todo);
    snprintf(scene->hint, SCENE_TEXT, "%s", source->replay ? "" : types ? "Enter: answer" : ask);
}
