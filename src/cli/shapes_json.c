/* SPDX-License-Identifier: MIT */
/* What `shapes` found, as objects. Invariant: a lack of memory is NULL all the way up. */
#include "shapes.h"

#include <holdfast/version.h>

static double tenth(double mm)
{
    return (double)(long)(mm * 10 + 0.5) / 10;
}

static json_t *frets_of(const struct shapes *asked, const struct hf_shape *shape)
{
    json_t *frets = json_array();
    for (int s = 0; s < asked->board.strings; s++)
        frets = hf_query_append(frets, shape->fret[s] == HF_SILENT ? json_null()
                                                                   : json_integer(shape->fret[s]));
    return frets;
}

static json_t *shape_of(const struct shapes *asked, const struct hf_shape *shape)
{
    static const char *const right[] = {"pluck", "strum", "roll"};
    int notes[HF_STRINGS_MOST];
    int count = hf_shape_notes(&asked->board, shape, notes);
    return json_pack("{s:o,s:o,s:i,s:f,s:i,s:s}", "frets", frets_of(asked, shape), "notes",
                     hf_query_integers(notes, count), "fingers", (int)shape->fingers, "reach_mm",
                     tenth(shape->reach_mm), "position", (int)shape->position, "right_hand",
                     right[shape->right]);
}

/* Puts the keys of `more` after those of `object`; takes both. */
static json_t *joined(json_t *object, json_t *more)
{
    bool whole = object && more && json_object_update(object, more) == 0;
    json_decref(more);
    if (whole)
        return object;
    json_decref(object);
    return NULL;
}

static json_t *head(const struct shapes *asked)
{
    return json_pack("{s:i,s:s}", "holdfast", HF_FORMAT, "instrument", asked->board.name);
}

static json_t *held_of(const struct shapes *asked, const struct held *held)
{
    return json_pack("{s:o}", "held", held->none ? json_null() : shape_of(asked, &held->grip));
}

static json_t *why_of(const struct hf_diag *diag)
{
    return diag->message[0] ? json_pack("{s:s}", "why", diag->message) : json_object();
}

static json_t *list_of(const struct shapes *asked, const struct hf_shapes *found, size_t usual)
{
    json_t *list = json_array();
    size_t shown = shapes_shown(asked, found->count, usual);
    for (size_t i = 0; i < shown; i++)
        list = hf_query_append(list, shape_of(asked, &found->shape[i]));
    return list;
}

json_t *shapes_json(const struct shapes *asked, const struct hf_shapes *found,
                    const struct held *held, const struct hf_diag *diag)
{
    json_t *object = head(asked);
    if (held)
        object = joined(object, held_of(asked, held));
    object = joined(object, json_pack("{s:o,s:I}", "shapes", list_of(asked, found, SHAPES_TOP),
                                      "found", (json_int_t)found->count));
    return joined(object, why_of(diag));
}

static json_t *completion_of(const struct shapes *asked, const struct hf_completion *one)
{
    return json_pack("{s:i,s:o,s:o}", "id", one->id, "pcs", hf_query_pcs(one->pcs), "names",
                     hf_query_set_names(one->pcs, asked->query.names));
}

static json_t *elsewhere_of(const struct shapes *asked, const struct around *around)
{
    if (!around->elsewhere)
        return json_pack("{s:n}", "other");
    return json_pack("{s:{s:o,s:b,s:o}}", "other", "held", shape_of(asked, &around->grip),
                     "same_pitches", around->same_pitches, "shape",
                     shape_of(asked, &around->first));
}

json_t *shapes_around_json(const struct shapes *asked, const struct held *held,
                           const struct around *around, int count)
{
    json_t *list = json_array();
    for (int i = 0; i < count && !held->none; i++) {
        json_t *object =
            joined(completion_of(asked, around[i].completion),
                   json_pack("{s:o,s:I}", "shapes", list_of(asked, &around[i].shapes, SHAPES_TOP),
                             "found", (json_int_t)around[i].shapes.count));
        if (around[i].shapes.count == 0)
            object =
                joined(joined(object, why_of(&around[i].why)), elsewhere_of(asked, &around[i]));
        list = hf_query_append(list, object);
    }
    json_t *object =
        joined(joined(head(asked), held_of(asked, held)), json_pack("{s:o}", "completions", list));
    return held->none ? joined(object, why_of(&held->diag)) : object;
}

/* ---- families -------------------------------------------------------------------------------- */

static const char *relation_name(enum hf_relation relation)
{
    static const char *const names[] = {"below", "through", "above"};
    return names[relation];
}

static json_t *family_of(const struct shapes *asked, const struct hf_completion *completions,
                         const struct hf_family *family, size_t id)
{
    json_t *members = json_array();
    for (int i = 0; i < family->positions; i++) {
        struct hf_shape member = hf_family_member(&asked->board, family, i);
        members =
            hf_query_append(members, joined(completion_of(asked, &completions[family->id[i] - 1]),
                                            shape_of(asked, &member)));
    }
    return json_pack("{s:I,s:i,s:s,s:i,s:o}", "id", (json_int_t)id, "kind", family->kind, "held",
                     relation_name(family->relation), "step", family->step, "members", members);
}

json_t *shapes_families_json(const struct shapes *asked, const struct hf_completion *completions,
                             const struct hf_families *families,
                             const struct hf_family_pairs *pairs, const struct hf_diag *diag)
{
    json_t *list = json_array(), *both = json_array();
    size_t shown = shapes_shown(asked, pairs->count, SHAPES_TOP);
    for (size_t i = 0; i < families->count; i++)
        list = hf_query_append(list, family_of(asked, completions, &families->family[i], i + 1));
    for (size_t i = 0; i < shown; i++) {
        const struct hf_family_pair *pair = &pairs->pair[i];
        both = hf_query_append(
            both, json_pack("{s:[I,I],s:s,s:f,s:f}", "families", (json_int_t)pair->a + 1,
                            (json_int_t)pair->b + 1, "held",
                            relation_name(families->family[pair->a].relation), "leap_mm",
                            tenth(pair->leap_mm), "way_mm", tenth(pair->way_mm)));
    }
    json_t *object = joined(head(asked), json_pack("{s:o,s:o,s:I}", "families", list, "pairs", both,
                                                   "found", (json_int_t)pairs->count));
    return joined(object, why_of(diag));
}

/* ---- tour ------------------------------------------------------------------------------------ */

json_t *shapes_tour_json(const struct shapes *asked, const struct held *held,
                         const struct hf_completion *completions, const struct hf_tour *tour)
{
    json_t *stops = json_array();
    size_t shown = shapes_shown(asked, tour->count, tour->count);
    for (size_t i = 0; i < shown; i++) {
        const struct hf_tour_stop *stop = &tour->stop[i];
        json_t *way = json_pack("{s:f}", "way_mm", tenth(stop->way_mm));
        json_t *object = joined(completion_of(asked, &completions[stop->id - 1]), way);
        stops = hf_query_append(stops, joined(object, shape_of(asked, &stop->shape)));
    }
    json_t *object = joined(joined(head(asked), held_of(asked, held)),
                            json_pack("{s:f,s:f,s:b,s:o}", "length_mm", tenth(tour->length_mm),
                                      "bound_mm", tenth(tour->bound_mm), "shortest",
                                      held->none ? 0 : (int)tour->shortest, "stops", stops));
    return held->none ? joined(object, why_of(&held->diag)) : object;
}
