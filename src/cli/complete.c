/* SPDX-License-Identifier: MIT */
/* The command `complete`. Invariant: JSON has one reading of a held set, and a query without a
 * result is an empty list, no error. */
#include <holdfast/complete.h>

#include <stdio.h>
#include <string.h>

#include <holdfast/number.h>

enum { TAKE_ADDED = 1, TAKE_RESULT, TAKE_HINTS, TAKE_PATH, TAKE_TO, TAKE_SHARE };

const struct hf_cli_option hf_cli_complete_options[] = {
    {"added", 0, "CLASS", "class that is added: 016 (3-5) unless told otherwise", TAKE_ADDED},
    {"result", 0, "CLASS", "only what makes this class", TAKE_RESULT},
    {"hints", 0, NULL, "tell a little at a time (Enter goes on)", TAKE_HINTS},
    {"path", 0, "NOTES", "with --to: a shortest chain from one hexachord to\nanother of its class",
     TAKE_PATH},
    {"to", 0, "NOTES", "where the path ends", TAKE_TO},
    {"share", 0, "3|4|5",
     "what its neighbours share: an augmented triad, at\nleast four notes, five notes", TAKE_SHARE},
    {NULL, 0, NULL, NULL, 0},
};

static enum hf_status take_share(struct hf_complete *asked, const char *text, struct hf_diag *diag)
{
    long share = 0;
    if (hf_number_whole(text, strlen(text), HF_PATH_TRIAD, HF_PATH_FIVE, &share) !=
        HF_NUMBER_FINE) {
        hf_fail(diag, HF_E_USAGE, "--share %.20s is none of 3, 4, 5", text);
        hf_advise(diag, "3: an augmented triad, 4: four notes, 5: five notes");
        return HF_E_USAGE;
    }
    asked->share = (enum hf_path_share)share;
    return HF_OK;
}

static enum hf_status take(void *self, int code, const char *text, struct hf_diag *diag)
{
    struct hf_complete *asked = self;
    switch (code) {
    case TAKE_ADDED:
        return hf_setclass_parse(text, &asked->added, diag);
    case TAKE_RESULT:
        return hf_setclass_parse(text, &asked->result, diag);
    case TAKE_HINTS:
        asked->hints = true;
        return HF_OK;
    case TAKE_PATH:
        asked->from_text = text;
        return HF_OK;
    case TAKE_TO:
        asked->to_text = text;
        return HF_OK;
    case TAKE_SHARE:
        return take_share(asked, text, diag);
    default:
        return hf_query_take(&asked->query, code, text, diag);
    }
}

/* ---- JSON ------------------------------------------------------------------------------------ */

static json_t *completion(const struct hf_complete *asked, const struct hf_completion *found)
{
    json_t *object = json_pack("{s:i,s:o,s:o}", "id", found->id, "pcs", hf_query_pcs(found->pcs),
                               "names", hf_query_set_names(found->pcs, asked->query.names));
    json_t *rest = json_pack("{s:i,s:i,s:o}", "kind", found->kind, "position", found->position,
                             "union", hf_query_set(found->united));
    json_t *parts =
        found->perfect
            ? json_pack("{s:o,s:o,s:o}", "perfect", hf_query_pcs(found->perfect), "semitone",
                        hf_query_pcs(found->semitone), "tritone", hf_query_pcs(found->tritone))
            : json_object();
    bool whole = object && rest && parts && json_object_update(object, parts) == 0 &&
                 json_object_update(object, rest) == 0;
    json_decref(parts);
    json_decref(rest);
    if (whole)
        return object;
    json_decref(object);
    return NULL;
}

static json_t *reading_json(const struct hf_complete *asked, const struct hf_reading *reading)
{
    int movement[HF_COMPLETIONS_MOST][HF_COMPLETIONS_MOST], ring[HF_COMPLETIONS_MOST];
    const struct hf_setclass *held = hf_setclass_of(reading->held.set);
    int around = hf_pairing_ring(reading->completions, reading->count, ring);
    json_t *list = json_array(), *rows = json_array();
    hf_pairing_movement(reading->completions, reading->count, movement);
    for (int i = 0; i < reading->count; i++) {
        list = hf_query_append(list, completion(asked, &reading->completions[i]));
        rows = hf_query_append(rows, hf_query_integers(movement[i], reading->count));
    }
    return json_pack("{s:i,s:{s:o,s:o,s:s,s:o},s:o,s:o,s:o,s:o}", "holdfast", 1, "held", "pcs",
                     hf_query_pcs(reading->held.set), "names",
                     hf_query_names(&reading->held, asked->query.names), "forte", held->name,
                     "prime", hf_query_pcs(held->prime), "added", hf_query_class(reading->added),
                     "completions", list, "ring", hf_query_integers(ring, around), "movement",
                     rows);
}

static json_t *path_json(const struct hf_complete *asked, const struct hf_path *path)
{
    json_t *sets = json_array(), *steps = json_array();
    for (int i = 0; i < path->length; i++) {
        hf_pcset set = path->chain[i];
        sets = hf_query_append(sets, json_pack("{s:o,s:o}", "pcs", hf_query_pcs(set), "names",
                                               hf_query_set_names(set, asked->query.names)));
        if (i == 0)
            continue;
        hf_pcset before = path->chain[i - 1];
        steps = hf_query_append(steps, json_pack("{s:o,s:i}", "shared", hf_query_pcs(set & before),
                                                 "movement", hf_pcset_movement(before, set, NULL)));
    }
    const struct hf_setclass *class = hf_setclass_of(path->from.set);
    return json_pack("{s:i,s:o,s:o,s:o,s:o}", "holdfast", 1, "class", hf_query_class(class),
                     "share", asked->share ? json_integer(asked->share) : json_null(), "path", sets,
                     "steps", steps);
}

/* ---- a path ---------------------------------------------------------------------------------- */

static enum hf_status path_misused(const struct hf_complete *asked, int operands,
                                   struct hf_diag *diag)
{
    if (!asked->from_text || !asked->to_text) {
        hf_fail(diag, HF_E_USAGE, "a path needs both its ends");
        hf_advise(diag, "for example: %.80s complete --path 012478 --to \"C E G# F F# B\"",
                  hf_cli_called());
        return HF_E_USAGE;
    }
    if (operands || asked->added || asked->result || asked->hints) {
        hf_fail(diag, HF_E_USAGE, "a path takes no held notes, --added, --result or --hints");
        hf_advise(diag, "its ends are the notes after --path and --to");
        return HF_E_USAGE;
    }
    return HF_OK;
}

static enum hf_status complete_path(const struct hf_complete *asked, struct hf_diag *diag)
{
    struct hf_path path = {0};
    enum hf_status status = hf_notes_parse(asked->from_text, &asked->query.how, &path.from, diag);
    if (status == HF_OK)
        status = hf_notes_parse(asked->to_text, &asked->query.how, &path.to, diag);
    if (status != HF_OK)
        return status;
    hf_query_warn_repeated(&path.from, asked->query.names, 0);
    hf_query_warn_repeated(&path.to, asked->query.names, 0);
    path.length = hf_path_find(path.from.set, path.to.set, asked->share, path.chain);
    if (asked->query.json)
        return hf_query_print(path_json(asked, &path), diag);
    hf_complete_path_page(asked, &path);
    return HF_OK;
}

/* ---- completions ----------------------------------------------------------------------------- */

static enum hf_status read_held(const struct hf_complete *asked, int argc, char **argv, int first,
                                struct hf_notes *held, struct hf_diag *diag)
{
    char text[HF_NOTES_TEXT + 2];
    enum hf_status status = HF_OK;
    if (first == argc) {
        hf_fail(diag, HF_E_USAGE, "complete needs the notes that are held");
        hf_advise(diag, "for example: %.80s complete C E G#", hf_cli_called());
        return HF_E_USAGE;
    }
    status = hf_cli_join(argc, argv, first, text, sizeof text, diag);
    if (status == HF_OK)
        status = hf_notes_parse(text, &asked->query.how, held, diag);
    if (status == HF_OK && (!held->set || held->set == HF_PCSET_ALL)) {
        hf_fail(diag, HF_E_USAGE, "a held set of %s notes has no completion",
                held->set ? "twelve" : "no");
        hf_advise(diag, "hold 1 to 11 notes");
        return HF_E_USAGE;
    }
    return status;
}

static struct hf_reading read_with(const struct hf_complete *asked, const struct hf_notes *held,
                                   const struct hf_setclass *added)
{
    struct hf_reading reading = {.held = *held, .added = added};
    reading.count = hf_pairing_complete(held->set, added, reading.completions);
    if (asked->result)
        reading.count = hf_pairing_keep(reading.completions, reading.count, asked->result);
    return reading;
}

/* A held 016 reads in two ways, as what completes a triad and as what is held. */
static enum hf_status print_both(const struct hf_complete *asked, const struct hf_notes *held)
{
    struct hf_reading as_added = read_with(asked, held, hf_setclass_find(3, 12));
    struct hf_reading as_held = read_with(asked, held, hf_setclass_find(3, 5));
    char text[HF_QUERY_TEXT];
    printf("%s is itself an 016, so it reads in two ways.\n\n",
           hf_query_spell_in(held->set, held, asked->query.names, text));
    printf("FIRST: as what is added. Which augmented triad does it complete?\n\n");
    hf_complete_page(asked, &as_added);
    printf("\nSECOND: as what is held. Which other 016 can be added?\n\n");
    hf_complete_page(asked, &as_held);
    return HF_OK;
}

static enum hf_status complete_held(const struct hf_complete *asked, const struct hf_notes *held,
                                    struct hf_diag *diag)
{
    bool is_016 = hf_setclass_of(held->set) == hf_setclass_find(3, 5);
    const struct hf_setclass *added = asked->added ? asked->added
                                      : is_016     ? hf_setclass_find(3, 12)
                                                   : hf_setclass_find(3, 5);
    hf_query_warn_repeated(held, asked->query.names, 0);
    if (!asked->query.json && !asked->hints && !asked->added && is_016)
        return print_both(asked, held);
    struct hf_reading reading = read_with(asked, held, added);
    if (asked->query.json)
        return hf_query_print(reading_json(asked, &reading), diag);
    if (asked->hints)
        hf_complete_hints(asked, &reading);
    else
        hf_complete_page(asked, &reading);
    return HF_OK;
}

static enum hf_status answer(const struct hf_complete *asked, int argc, char **argv, int first,
                             struct hf_diag *diag)
{
    struct hf_notes held;
    enum hf_status status;
    if (asked->from_text || asked->to_text || asked->share) {
        status = path_misused(asked, argc - first, diag);
        return status == HF_OK ? complete_path(asked, diag) : status;
    }
    if (asked->hints && asked->query.json) {
        hf_fail(diag, HF_E_USAGE, "--hints is for reading, and --json tells all at once");
        hf_advise(diag, "leave one of the two out");
        return HF_E_USAGE;
    }
    status = read_held(asked, argc, argv, first, &held, diag);
    return status == HF_OK ? complete_held(asked, &held, diag) : status;
}

int hf_cli_complete(const struct hf_cli_command *command, int argc, char **argv)
{
    struct hf_complete asked = {0};
    struct hf_diag diag;
    int first = 0;
    bool stop = false;
    enum hf_status status = hf_cli_parse(command, argc, argv, take, &asked, &first, &stop, &diag);
    if (status == HF_OK && !stop)
        status = answer(&asked, argc, argv, first, &diag);
    return status == HF_OK ? hf_cli_finish() : hf_cli_fail(status, &diag);
}
