/* SPDX-License-Identifier: MIT */
/* The words of roam and hunt. Invariant: of a completion that is not found nothing is said but what
 * a hint gives away. */
#include "chooser.h"

#include <inttypes.h>
#include <string.h>

#include "session.h"

static void append(char *text, size_t room, const char *more)
{
    size_t used = strlen(text);
    snprintf(text + used, room - used, "%s", more);
}

/* The names of a set, parted by `between`, before the last by `last`. */
static char *name_set(const struct hf_hunt *h, hf_pcset set, const char *between, const char *last,
                      char text[NOTES_TEXT])
{
    struct hf_spelled spelled[HF_PCS];
    char name[HF_SPELLED_TEXT];
    int count = hf_spelling_of(set, h->names, spelled);
    text[0] = 0;
    for (int i = 0; i < count; i++) {
        append(text, NOTES_TEXT, i == 0 ? "" : i == count - 1 ? last : between);
        append(text, NOTES_TEXT, hf_spelled_format(spelled[i], h->names, name));
    }
    return text;
}

static const char *prime_of(const struct hf_setclass *set, char text[HF_PCSET_TEXT])
{
    return hf_pcset_format(set->prime, text);
}

/* ---- hunt: answers --------------------------------------------------------------------------- */

static void say_found(const struct hf_hunt *h, const struct hf_record *answer, const char *names,
                      char text[CHOOSER_TEXT])
{
    int index = 0, nth = 0;
    while (index < h->count && h->completions[index].pcs != answer->pcs)
        index++;
    nth = index < h->count ? h->order[index] : 0;
    if (answer->finding == HF_FOUND_AGAIN) {
        snprintf(text, CHOOSER_TEXT, "%s: found already, number %d of %d", names, nth, h->count);
        return;
    }
    snprintf(text, CHOOSER_TEXT, "%s: yes, %d of %d%s", names, nth, h->count,
             answer->hints ? ", with help" : "");
    if (hf_hunt_done(h))
        append(text, CHOOSER_TEXT,
               "\n        All are found. The sound goes on: type one to hear it anew, q leaves");
}

char *chooser_answer(const struct hf_timeline *t, const struct hf_record *answer, bool tell,
                     char text[CHOOSER_TEXT])
{
    const struct hf_hunt *h = &t->hunt;
    char names[NOTES_TEXT], shared[NOTES_TEXT], prime[HF_PCSET_TEXT];
    name_set(h, answer->pcs, " ", " ", names);
    switch (answer->finding) {
    case HF_FOUND:
    case HF_FOUND_AGAIN:
        say_found(h, answer, names, text);
        break;
    case HF_FOUND_SHARES:
        name_set(h, answer->pcs & h->held, ", ", " and ", shared);
        snprintf(text, CHOOSER_TEXT, "%s: %s %s held already", names, shared,
                 hf_pcset_size(answer->pcs & h->held) == 1 ? "is" : "are");
        break;
    case HF_FOUND_OTHER:
        snprintf(text, CHOOSER_TEXT, "%s: no %s", names, prime_of(h->added, prime));
        if (tell) {
            const struct hf_setclass *set = hf_setclass_of(answer->pcs);
            append(text, CHOOSER_TEXT, ", it is ");
            append(text, CHOOSER_TEXT, prime_of(set, prime));
            append(text, CHOOSER_TEXT, " (");
            append(text, CHOOSER_TEXT, set->name);
            append(text, CHOOSER_TEXT, ")");
        }
        break;
    }
    return text;
}

/* ---- hunt: hints ----------------------------------------------------------------------------- */

static const char *const intervals[HF_PCS] = {
    "note",    "semitone", "whole tone",  "minor third", "major third",   "fourth",
    "tritone", "fifth",    "minor sixth", "major sixth", "minor seventh", "major seventh"};

/* How a form is built upward: "semitone + fourth". */
static void describe_form(hf_pcset form, char text[NOTES_TEXT])
{
    int list[HF_PCS];
    int count = hf_pcset_list(form, list);
    text[0] = 0;
    for (int i = 1; i < count; i++) {
        append(text, NOTES_TEXT, i == 1 ? "" : " + ");
        append(text, NOTES_TEXT, intervals[list[i] - list[i - 1]]);
    }
}

static void say_forms(const struct hf_hint *hint, char text[CHOOSER_TEXT])
{
    char built[NOTES_TEXT], part[NOTES_TEXT + 32];
    snprintf(text, CHOOSER_TEXT, "hint: %d left", hint->left);
    bool said = false;
    for (int i = 0; i < hint->forms && hint->forms > 1; i++) {
        describe_form(hint->form[i], built);
        if (hint->form_left[i] == 0 || !built[0])
            continue;
        snprintf(part, sizeof part, "%s%d as %s", said ? ", " : "; upward: ", hint->form_left[i],
                 built);
        append(text, CHOOSER_TEXT, part);
        said = true;
    }
}

char *chooser_hint(const struct hf_hunt *h, const struct hf_hint *hint, char text[CHOOSER_TEXT])
{
    char names[NOTES_TEXT], low[HF_SPELLED_TEXT], high[HF_SPELLED_TEXT];
    int more = hf_hunt_steps(h) - hint->step;
    switch (hint->kind) {
    case HF_HINT_FORMS:
        say_forms(hint, text);
        break;
    case HF_HINT_BETWEEN:
        hf_spelled_format(hf_spelling_pc(hint->low, h->names), h->names, low);
        hf_spelled_format(hf_spelling_pc(hint->high, h->names), h->names, high);
        snprintf(text, CHOOSER_TEXT, "hint: one of them has a %s between %s and %s",
                 intervals[hint->interval], low, high);
        break;
    case HF_HINT_NOTE:
        snprintf(text, CHOOSER_TEXT, "hint: %s in it",
                 name_set(h, hint->notes, ", ", " and ", names));
        break;
    case HF_HINT_WHOLE:
        snprintf(text, CHOOSER_TEXT, "hint: it is %s; type it to hear it",
                 name_set(h, hint->notes, " ", " ", names));
        break;
    }
    if (more > 0)
        append(text, CHOOSER_TEXT, more == 1 ? " (h: all of it)" : " (h: more)");
    return text;
}

/* ---- the session ----------------------------------------------------------------------------- */

void chooser_say_session(const struct hf_request *request, int count)
{
    const char *ends = request->for_span.amount > 0 ? request->text[HF_OPT_FOR] : "until you leave";
    bool hunts = request->practice == HF_PRACTICE_HUNT;
    const char *way = request->cue == HF_CUE_LEAD
                          ? (hunts ? "what you find sounds" : "the one you choose sounds")
                      : request->cue == HF_CUE_CONFIRM ? "it sounds when you ask for it"
                                                       : "only what is held sounds";
    if (hunts)
        printf("Hunt:  find the %d yourself, %s\n", count, ends);
    else
        printf("Roam:  all %d in view, you choose and stay, %s\n", count, ends);
    printf("Way:   %s (%s), register %s\n", request->text[HF_OPT_CUE], way,
           request->text[HF_OPT_REGISTER]);
}

static char *join_names(const struct hf_roam_item *item, char text[NOTES_TEXT])
{
    text[0] = 0;
    for (int i = 0; i < item->size; i++) {
        append(text, NOTES_TEXT, i ? " " : "");
        append(text, NOTES_TEXT, item->names[i]);
    }
    return text;
}

void chooser_say_list(const struct hf_request *request, const struct hf_timeline *timeline)
{
    struct hf_roam_view view;
    char names[NOTES_TEXT];
    bool varied = false;
    if (request->practice != HF_PRACTICE_ROAM)
        return;
    hf_roam_look(request, timeline, HF_NEVER, &view);
    for (int i = 1; i < view.count; i++)
        varied |= view.items[i].completion.result != view.items[0].completion.result;
    for (int i = 0; i < view.count; i++)
        printf("%4d  %-12s kind %d, position %d%s%s\n", i + 1, join_names(&view.items[i], names),
               view.items[i].completion.kind, view.items[i].completion.position,
               varied ? "  makes " : "", varied ? view.items[i].completion.result->name : "");
    printf("Page Down goes %s:", view.is_ring ? "around the ring" : "down the list");
    for (int i = 0; i < view.count; i++)
        printf(" %d", view.ring[i] + 1);
    printf("\n");
}

/* ---- the end --------------------------------------------------------------------------------- */

static void say_times(const struct hf_roam_view *view, int rate_hz)
{
    char clock[CLOCK_TEXT], names[NOTES_TEXT];
    printf("Time:  %s alone\n", say_clock(view->alone, rate_hz, clock));
    for (int i = 0; i < view->count; i++)
        if (view->items[i].visits > 0)
            printf("       %s  %d  %s\n", say_clock(view->items[i].samples, rate_hz, clock), i + 1,
                   join_names(&view->items[i], names));
}

/* In the order in which they were found; those that were not are left for another day. */
static void say_finds(const struct hf_hunt *h, const struct hf_roam_view *view)
{
    char names[NOTES_TEXT];
    printf("Found: %d of %d\n", h->found_count, h->count);
    for (int nth = 1; nth <= h->found_count; nth++)
        for (int i = 0; i < view->count; i++)
            if (h->order[i] == nth)
                printf("       %d  %s%s\n", nth, join_names(&view->items[i], names),
                       h->hints[i] ? "  with help" : "");
}

void chooser_say_end(const struct hf_request *request, const struct hf_timeline *timeline,
                     int rate_hz)
{
    struct hf_roam_view view;
    hf_roam_look(request, timeline, HF_NEVER, &view);
    if (request->practice == HF_PRACTICE_ROAM)
        say_times(&view, rate_hz);
    if (request->practice == HF_PRACTICE_HUNT)
        say_finds(&timeline->hunt, &view);
}
