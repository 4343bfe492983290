/* SPDX-License-Identifier: MIT */
/* The command `pairings`. Invariant: a pair of classes is listed once; the class that --held or
 * --added names stands on that side, else hf_pairing_holds decides. */
#include <holdfast/pairings.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/number.h>

enum { TAKE_HELD = 1, TAKE_ADDED, TAKE_RESULT, TAKE_SIZE, TAKE_AT_MOST, TAKE_ALL };
enum { UNION_SHOWN = 9 };

const struct hf_cli_option hf_cli_pairings_options[] = {
    {"held", 0, "CLASS", "pairings of this held class", TAKE_HELD},
    {"added", 0, "CLASS", "pairings with this added class", TAKE_ADDED},
    {"result", 0, "CLASS", "pairings that make this class", TAKE_RESULT},
    {"size", 0, "N", "the added class has N notes", TAKE_SIZE},
    {"at-most", 0, "N", "also pairings that make up to N classes (1)", TAKE_AT_MOST},
    {"all", 0, NULL, "list all, also unions of ten to twelve notes", TAKE_ALL},
    {NULL, 0, NULL, NULL, 0},
};

static enum hf_status take_number(const char *name, const char *text, int high, int *out,
                                  struct hf_diag *diag)
{
    long value = 0;
    if (hf_number_whole(text, strlen(text), 1, high, &value) != HF_NUMBER_FINE) {
        hf_fail(diag, HF_E_USAGE, "--%s %.20s is out of range", name, text);
        hf_advise(diag, "--%s takes 1 to %d", name, high);
        return HF_E_USAGE;
    }
    *out = (int)value;
    return HF_OK;
}

static enum hf_status take(void *self, int code, const char *text, struct hf_diag *diag)
{
    struct hf_pairings *asked = self;
    asked->narrowed = asked->narrowed || code < HF_QUERY_FIRST;
    switch (code) {
    case TAKE_HELD:
        return hf_setclass_parse(text, &asked->held, diag);
    case TAKE_ADDED:
        return hf_setclass_parse(text, &asked->added, diag);
    case TAKE_RESULT:
        return hf_setclass_parse(text, &asked->result, diag);
    case TAKE_SIZE:
        return take_number("size", text, HF_PCS - 1, &asked->size, diag);
    case TAKE_AT_MOST:
        return take_number("at-most", text, HF_RESULTS_MOST, &asked->at_most, diag);
    case TAKE_ALL:
        asked->all = true;
        return HF_OK;
    default:
        return hf_query_take(&asked->query, code, text, diag);
    }
}

/* ---- finding --------------------------------------------------------------------------------- */

static bool makes(const struct hf_pairing *pairing, const struct hf_setclass *result)
{
    for (int i = 0; i < pairing->results; i++)
        if (pairing->result[i] == result)
            return true;
    return !result;
}

/* Whether a pair is asked for, as far as its classes tell. */
static bool is_asked(const struct hf_pairings *asked, const struct hf_setclass *held,
                     const struct hf_setclass *added)
{
    int together = held->size + added->size;
    bool names_class = asked->held || asked->added || asked->result;
    if ((asked->held && held != asked->held) || (asked->added && added != asked->added))
        return false;
    if (!asked->held && !asked->added && !hf_pairing_holds(held, added))
        return false;
    if (together > HF_PCS || (asked->result && together != asked->result->size))
        return false;
    if (together > UNION_SHOWN && !asked->all && !names_class)
        return false;
    return !asked->size || added->size == asked->size;
}

int hf_pairings_find(const struct hf_pairings *asked, struct hf_pairing out[HF_PAIRINGS_MOST])
{
    int count = 0;
    for (int h = 1; h < HF_SETCLASSES; h++)
        for (int a = 1; a < HF_SETCLASSES; a++) {
            const struct hf_setclass *held = hf_setclass_at(h), *added = hf_setclass_at(a);
            if (!is_asked(asked, held, added))
                continue;
            hf_pairing_of(held, added, &out[count]);
            count += out[count].results > 0 && out[count].results <= asked->at_most &&
                     makes(&out[count], asked->result);
        }
    return count;
}

/* ---- JSON ------------------------------------------------------------------------------------ */

static json_t *pairing_json(const struct hf_pairing *pairing)
{
    json_t *results = json_array();
    for (int i = 0; i < pairing->results; i++)
        results = hf_query_append(results, hf_query_class(pairing->result[i]));
    return json_pack("{s:o,s:o,s:o,s:i,s:{s:o,s:o}}", "held", hf_query_class(pairing->held),
                     "added", hf_query_class(pairing->added), "results", results, "completions",
                     pairing->completions, "example", "held", hf_query_pcs(pairing->held->prime),
                     "added", hf_query_pcs(pairing->example));
}

static json_t *all_json(const struct hf_pairing *pairings, int count)
{
    json_t *list = json_array();
    for (int i = 0; i < count; i++)
        list = hf_query_append(list, pairing_json(&pairings[i]));
    return json_pack("{s:i,s:o}", "holdfast", 1, "pairings", list);
}

/* ---- the command ----------------------------------------------------------------------------- */

static enum hf_status answer(const struct hf_pairings *asked, struct hf_diag *diag)
{
    struct hf_pairing *pairings = calloc(HF_PAIRINGS_MOST, sizeof *pairings);
    enum hf_status status = HF_OK;
    if (!pairings)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    int count = hf_pairings_find(asked, pairings);
    if (asked->query.json)
        status = hf_query_print(all_json(pairings, count), diag);
    else
        hf_pairings_page(asked, pairings, count);
    free(pairings);
    return status;
}

/* A class alone does not tell on which side it stands. */
static enum hf_status refuse_operand(const char *word, struct hf_diag *diag)
{
    const struct hf_setclass *class = NULL;
    struct hf_diag unread;
    hf_fail(diag, HF_E_USAGE, "pairings takes options only, not \"%.40s\"", word);
    if (hf_setclass_parse(word, &class, &unread) == HF_OK)
        hf_advise(diag, "what makes it: %.80s pairings --result %s; what goes with it: --held %s",
                  hf_cli_called(), class->name, class->name);
    else
        hf_advise(diag, "for example: %.80s pairings --held 3-12", hf_cli_called());
    return HF_E_USAGE;
}

int hf_cli_pairings(const struct hf_cli_command *command, int argc, char **argv)
{
    struct hf_pairings asked = {.at_most = 1};
    struct hf_diag diag;
    int first = 0;
    bool stop = false;
    enum hf_status status = hf_cli_parse(command, argc, argv, take, &asked, &first, &stop, &diag);
    if (status == HF_OK && !stop && first < argc)
        status = refuse_operand(argv[first], &diag);
    if (status == HF_OK && !stop)
        status = answer(&asked, &diag);
    return status == HF_OK ? hf_cli_finish() : hf_cli_fail(status, &diag);
}
