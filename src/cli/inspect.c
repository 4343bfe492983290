/* SPDX-License-Identifier: MIT */
/* The command `inspect`. Invariant: a stream gives exactly one line of JSON for each line that it
 * is given, and goes on after a bad one. */
#include <holdfast/inspect.h>

#include <stdio.h>
#include <string.h>

#include <holdfast/number.h>
#include <holdfast/pairing.h>

enum { TAKE_SUBSETS = 1, TAKE_AGAINST };

const struct hf_cli_option hf_cli_inspect_options[] = {
    {"subsets", 0, "N", "list every subset of N notes by class", TAKE_SUBSETS},
    {"against", 0, "NOTES",
     "compare with other notes: what is shared, which\ntransposition or inversion maps one on the\n"
     "other, movement",
     TAKE_AGAINST},
    {NULL, 0, NULL, NULL, 0},
};

static enum hf_status take(void *self, int code, const char *text, struct hf_diag *diag)
{
    struct hf_inspect *asked = self;
    long size = 0;
    if (code >= HF_QUERY_FIRST)
        return hf_query_take(&asked->query, code, text, diag);
    if (code == TAKE_AGAINST) {
        asked->against_text = text;
        return HF_OK;
    }
    if (hf_number_whole(text, strlen(text), 0, HF_PCS, &size) != HF_NUMBER_FINE) {
        hf_fail(diag, HF_E_USAGE, "--subsets %.20s is no number of notes", text);
        hf_advise(diag, "a subset has 0 to 12 notes");
        return HF_E_USAGE;
    }
    asked->subsets = (int)size;
    return HF_OK;
}

/* ---- JSON ------------------------------------------------------------------------------------ */

static json_t *trichords(hf_pcset set)
{
    int census[HF_SETCLASSES];
    const struct hf_setclass *class;
    json_t *object = json_object();
    hf_setclass_census(set, 3, census);
    for (int number = 1; object && (class = hf_setclass_find(3, number)) != NULL; number++)
        if (json_object_set_new(object, class->name, json_integer(census[class->index])) != 0) {
            json_decref(object);
            return NULL;
        }
    return object;
}

static json_t *splits(hf_pcset set)
{
    struct hf_split found[HF_SPLITS_MOST];
    int count = hf_pairing_splits(set, found);
    json_t *array = json_array();
    for (int i = 0; i < count; i++)
        array = hf_query_append(array,
                                json_pack("{s:o,s:o,s:[s,s]}", "held", hf_query_pcs(found[i].held),
                                          "added", hf_query_pcs(found[i].added), "classes",
                                          hf_setclass_of(found[i].held)->name,
                                          hf_setclass_of(found[i].added)->name));
    return array;
}

/* [{"forte":...,"prime":...,"sets":[[...],...]},...], the classes in order. */
static json_t *subsets(hf_pcset set, int size)
{
    static hf_pcset found[HF_SUBSETS_MOST];
    int census[HF_SETCLASSES], count = hf_pcset_subsets(set, size, found);
    json_t *array = json_array();
    hf_setclass_census(set, size, census);
    for (int i = 0; i < HF_SETCLASSES; i++) {
        const struct hf_setclass *class = hf_setclass_at(i);
        if (!census[i])
            continue;
        json_t *sets = json_array();
        for (int j = 0; j < count; j++)
            if (hf_setclass_of(found[j]) == class)
                sets = hf_query_append(sets, hf_query_pcs(found[j]));
        array = hf_query_append(array, json_pack("{s:s,s:o,s:o}", "forte", class->name, "prime",
                                                 hf_query_pcs(class->prime), "sets", sets));
    }
    return array;
}

static json_t *comparison(const struct hf_inspect *asked, hf_pcset set)
{
    const struct hf_notes *other = &asked->against;
    const struct hf_setclass *class = hf_setclass_of(other->set);
    int movement = hf_pcset_movement(set, other->set, NULL);
    return json_pack("{s:o,s:o,s:s,s:o,s:o,s:o,s:o,s:o}", "pcs", hf_query_pcs(other->set), "names",
                     hf_query_names(other, asked->query.names), "forte", class->name, "prime",
                     hf_query_pcs(class->prime), "shared", hf_query_pcs(set & other->set), "tn",
                     hf_query_pcs(hf_pcset_maps_tn(set, other->set)), "tni",
                     hf_query_pcs(hf_pcset_maps_tni(set, other->set)), "movement",
                     movement < 0 ? json_null() : json_integer(movement));
}

static json_t *facts(const struct hf_inspect *asked, const struct hf_notes *notes)
{
    const struct hf_setclass *class = hf_setclass_of(notes->set);
    int normal[HF_PCS], size = hf_pcset_normal(notes->set, normal);
    json_t *object = json_pack(
        "{s:i,s:o,s:o,s:o,s:s,s:o,s:o,s:o,s:i,s:i,s:i,s:s?}", "holdfast", 1, "pcs",
        hf_query_pcs(notes->set), "names", hf_query_names(notes, asked->query.names), "normal",
        hf_query_integers(normal, size), "forte", class->name, "prime", hf_query_pcs(class->prime),
        "prime_forte", hf_query_pcs(class->prime_forte), "icv", hf_query_integers(class->icv, 6),
        "forms", class->forms, "invariant_tn", class->invariant_tn, "invariant_tni",
        class->invariant_tni, "z", class->z ? class->z->name : NULL);
    json_t *rest =
        json_pack("{s:o,s:o,s:b,s:o}", "complement", hf_query_set(hf_pcset_complement(notes->set)),
                  "trichords", trichords(notes->set), "all_trichord",
                  hf_setclass_all_trichord(class), "splits", splits(notes->set));
    if (rest && asked->subsets >= 0 &&
        json_object_set_new(rest, "subsets", subsets(notes->set, asked->subsets)) != 0) {
        json_decref(rest);
        rest = NULL;
    }
    if (rest && asked->compares &&
        json_object_set_new(rest, "against", comparison(asked, notes->set)) != 0) {
        json_decref(rest);
        rest = NULL;
    }
    if (!object || !rest || json_object_update(object, rest) != 0) {
        json_decref(object);
        object = NULL;
    }
    json_decref(rest);
    return object;
}

/* ---- a stream -------------------------------------------------------------------------------- */

/* Reads a line without its newline, cut to what `text` holds; false at the end. `*good` tells
 * whether it was whole and had no zero byte. */
static bool read_line(char text[HF_NOTES_TEXT + 1], bool *good)
{
    size_t length = 0;
    int c = getc(stdin);
    *good = true;
    if (c == EOF)
        return false;
    for (; c != EOF && c != '\n'; c = getc(stdin)) {
        *good = *good && c != '\0';
        if (length < HF_NOTES_TEXT)
            text[length++] = (char)c;
    }
    text[length] = '\0';
    return true;
}

static json_t *answer(const struct hf_inspect *asked, const char *text, bool good, long line,
                      bool *bad)
{
    struct hf_notes notes;
    struct hf_diag diag;
    enum hf_status status = good ? hf_notes_parse(text, &asked->query.how, &notes, &diag)
                                 : hf_fail(&diag, HF_E_USAGE, "the line has a zero byte");
    if (status == HF_OK) {
        hf_query_warn_repeated(&notes, asked->query.names, line);
        return facts(asked, &notes);
    }
    *bad = true;
    return json_pack("{s:i,s:I,s:s,s:s}", "holdfast", 1, "line", (json_int_t)line, "error",
                     diag.message, "advice", diag.advice);
}

static int inspect_stream(const struct hf_inspect *asked)
{
    char text[HF_NOTES_TEXT + 1];
    struct hf_diag diag;
    bool good, bad = false;
    for (long line = 1; read_line(text, &good); line++) {
        enum hf_status status = hf_query_print(answer(asked, text, good, line, &bad), &diag);
        if (status == HF_OK && fflush(stdout) != 0)
            status = hf_fail(&diag, HF_E_IO, "the output could not be written");
        if (status != HF_OK)
            return hf_cli_fail(status, &diag);
    }
    if (ferror(stdin))
        return hf_cli_fail(hf_fail(&diag, HF_E_IO, "the input could not be read"), &diag);
    int done = hf_cli_finish();
    return bad && !done ? hf_status_exit(HF_E_DATA) : done;
}

/* ---- the command ----------------------------------------------------------------------------- */

static enum hf_status read_operands(struct hf_inspect *asked, int argc, char **argv, int first,
                                    struct hf_notes *notes, struct hf_diag *diag)
{
    char text[HF_NOTES_TEXT + 2];
    enum hf_status status = HF_OK;
    if (first == argc) {
        hf_fail(diag, HF_E_USAGE, "inspect needs the notes of a chord");
        hf_advise(diag, "for example: %.80s inspect C E G# C# D G", hf_cli_called());
        return HF_E_USAGE;
    }
    status = hf_cli_join(argc, argv, first, text, sizeof text, diag);
    if (status == HF_OK)
        status = hf_notes_parse(text, &asked->query.how, notes, diag);
    return status;
}

static enum hf_status read_against(struct hf_inspect *asked, struct hf_diag *diag)
{
    if (!asked->against_text)
        return HF_OK;
    asked->compares = true;
    return hf_notes_parse(asked->against_text, &asked->query.how, &asked->against, diag);
}

static enum hf_status print_answer(const struct hf_inspect *asked, const struct hf_notes *notes,
                                   struct hf_diag *diag)
{
    hf_query_warn_repeated(notes, asked->query.names, 0);
    if (asked->query.json)
        return hf_query_print(facts(asked, notes), diag);
    hf_inspect_page(asked, notes);
    return HF_OK;
}

int hf_cli_inspect(const struct hf_cli_command *command, int argc, char **argv)
{
    struct hf_inspect asked = {.subsets = -1};
    struct hf_notes notes;
    struct hf_diag diag;
    int first = 0;
    bool stop = false;
    enum hf_status status = hf_cli_parse(command, argc, argv, take, &asked, &first, &stop, &diag);
    if (status == HF_OK && !stop)
        status = read_against(&asked, &diag);
    if (status == HF_OK && !stop && argc == first + 1 && !strcmp(argv[first], "-"))
        return inspect_stream(&asked);
    if (status == HF_OK && !stop)
        status = read_operands(&asked, argc, argv, first, &notes, &diag);
    if (status == HF_OK && !stop)
        status = print_answer(&asked, &notes, &diag);
    return status == HF_OK ? hf_cli_finish() : hf_cli_fail(status, &diag);
}
