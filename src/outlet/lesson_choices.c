/* SPDX-License-Identifier: MIT */
/* What a page of roam or hunt knows of its completions. Invariant: hints are those of the module
 * hunt, each target's worked out beforehand. */
#include "lesson_parts.h"

#include <string.h>

#include <holdfast/hunt.h>
#include <holdfast/roam.h>

static int own_of(const struct hf_request *request, const struct hf_hunt *hunt)
{
    for (int i = 0; request->has_own && i < hunt->count; i++)
        if (hunt->completions[i].pcs == request->own_notes.set)
            return i;
    return -1;
}

static json_t *after_data(const struct hf_hunt *hunt, int own)
{
    json_t *after = json_array();
    for (int i = 0; i < hunt->count; i++)
        json_array_append_new(after,
                              json_integer(hf_roam_next(hunt->completions, hunt->count, i, own)));
    return hf_lesson_whole(after, (size_t)hunt->count);
}

static json_t *movement_data(const struct hf_hunt *hunt)
{
    json_t *rows = json_array();
    for (int i = 0; i < hunt->count; i++) {
        json_t *row = json_array();
        for (int j = 0; j < hunt->count; j++)
            json_array_append_new(row,
                                  json_integer(hf_pcset_movement(hunt->completions[i].pcs,
                                                                 hunt->completions[j].pcs, NULL)));
        json_array_append_new(rows, hf_lesson_whole(row, (size_t)hunt->count));
    }
    return hf_lesson_whole(rows, (size_t)hunt->count);
}

/* A set as its pitch classes, ascending. */
static json_t *set_data(hf_pcset set)
{
    int list[HF_PCS];
    int count = hf_pcset_list(set, list);
    json_t *pcs = json_array();
    for (int i = 0; i < count; i++)
        json_array_append_new(pcs, json_integer(list[i]));
    return hf_lesson_whole(pcs, (size_t)count);
}

/* The forms that there are, whatever was found. */
static json_t *forms_data(struct hf_hunt hunt)
{
    struct hf_hint hint = {0};
    json_t *forms = json_array();
    hunt.target = 0;
    hunt.step = 1;
    if (hunt.count > 0 && !hf_hunt_hint(&hunt, &hint))
        hint.forms = 0;
    for (int i = 0; i < hint.forms; i++)
        json_array_append_new(forms, set_data(hint.form[i]));
    return hf_lesson_whole(forms, (size_t)hint.forms);
}

static json_t *step_data(const struct hf_hint *hint)
{
    json_t *o = json_object();
    if (hint->kind != HF_HINT_BETWEEN) {
        hf_lesson_put(o, "notes", set_data(hint->notes));
        hf_lesson_put(o, "whole", json_boolean(hint->kind == HF_HINT_WHOLE));
        return hf_lesson_whole(o, 2);
    }
    hf_lesson_put(o, "interval", json_integer(hint->interval));
    hf_lesson_put(o, "low", json_integer(hint->low));
    hf_lesson_put(o, "high", json_integer(hint->high));
    return hf_lesson_whole(o, 3);
}

/* For each completion the steps after the first, which tells of the forms. */
static json_t *hints_data(struct hf_hunt hunt)
{
    json_t *all = json_array();
    for (int i = 0; i < hunt.count; i++) {
        json_t *steps = json_array();
        struct hf_hint hint;
        hunt.target = i;
        int count = hf_hunt_steps(&hunt);
        for (hunt.step = 2; hunt.step <= count && hf_hunt_hint(&hunt, &hint); hunt.step++)
            json_array_append_new(steps, step_data(&hint));
        json_array_append_new(all, hf_lesson_whole(steps, (size_t)(count - 1)));
    }
    return hf_lesson_whole(all, (size_t)hunt.count);
}

/* Of the twelve notes, each alone. */
static json_t *names_data(enum hf_names names)
{
    json_t *all = json_array();
    char name[HF_SPELLED_TEXT];
    for (int pc = 0; pc < HF_PCS; pc++)
        json_array_append_new(
            all, json_string(hf_spelled_format(hf_spelling_pc(pc, names), names, name)));
    return hf_lesson_whole(all, HF_PCS);
}

json_t *hf_lesson_choices(const struct hf_request *request)
{
    struct hf_hunt hunt;
    char prime[HF_PCSET_TEXT];
    if (!hf_request_chooses(request))
        return json_null();
    hf_hunt_init(&hunt, request);
    int own = own_of(request, &hunt);
    int64_t ends =
        request->for_span.amount > 0 ? hf_request_samples(request, request->for_span) : HF_NEVER;
    json_t *o = json_object();
    hf_lesson_put(o, "first", json_integer(hf_roam_next(hunt.completions, hunt.count, -1, own)));
    hf_lesson_put(o, "after", after_data(&hunt, own));
    hf_lesson_put(o, "prime", json_string(hf_pcset_format(request->added->prime, prime)));
    hf_lesson_put(o, "endsAt", ends == HF_NEVER ? json_null() : json_integer(ends));
    hf_lesson_put(o, "target", json_integer(hunt.target));
    hf_lesson_put(o, "movement", movement_data(&hunt));
    hf_lesson_put(o, "forms", forms_data(hunt));
    hf_lesson_put(o, "hints", hints_data(hunt));
    hf_lesson_put(o, "names", names_data(request->names));
    return hf_lesson_whole(o, 9);
}
