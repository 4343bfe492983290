/* SPDX-License-Identifier: MIT */
/* The command `pairings`. Invariant: a pair of classes is listed once; the class that --held or
 * --added names stands on that side, else hf_pairing_holds decides. */
#include <holdfast/query.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/number.h>
#include <holdfast/pairing.h>

enum { TAKE_HELD = 1, TAKE_ADDED, TAKE_RESULT, TAKE_SIZE, TAKE_AT_MOST, TAKE_ALL };
enum { UNION_SHOWN = 9, PAIRS_MOST = HF_SETCLASSES * HF_SETCLASSES };

const struct hf_cli_option hf_cli_pairings_options[] = {
    {"held", 0, "CLASS", "pairings of this held class", TAKE_HELD},
    {"added", 0, "CLASS", "pairings with this added class", TAKE_ADDED},
    {"result", 0, "CLASS", "pairings that make this class", TAKE_RESULT},
    {"size", 0, "N", "the added class has N notes", TAKE_SIZE},
    {"at-most", 0, "N", "also pairings that make up to N classes (1)", TAKE_AT_MOST},
    {"all", 0, NULL, "also unions of ten to twelve notes, where no class is\nnamed", TAKE_ALL},
    {NULL, 0, NULL, NULL, 0},
};

struct asked {
    struct hf_query query;
    const struct hf_setclass *held, *added, *result; /* NULL: any */
    int size;                                        /* 0: any */
    int at_most;
    bool all;
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
    struct asked *asked = self;
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
static bool is_asked(const struct asked *asked, const struct hf_setclass *held,
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

/* Finds what is asked for, in the order of held, then of added; returns how many. */
static int find_pairings(const struct asked *asked, struct hf_pairing *out)
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

/* ---- printing -------------------------------------------------------------------------------- */

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

/* "6-Z17 (012478)", or the names alone where there are several. */
static void write_results(const struct hf_pairing *pairing, char text[HF_QUERY_TEXT])
{
    char prime[HF_PCSET_TEXT];
    size_t length = 0;
    const struct hf_setclass *only = pairing->result[0];
    if (pairing->results == 1) {
        snprintf(text, HF_QUERY_TEXT, "%s (%s)", only->name, hf_pcset_format(only->prime, prime));
        return;
    }
    for (int i = 0; i < pairing->results; i++) {
        int wrote = snprintf(text + length, HF_QUERY_TEXT - length, "%s%s", i ? ", " : "",
                             pairing->result[i]->name);
        length += wrote > 0 ? (size_t)wrote : 0; /* 24 names of 8 bytes always fit */
    }
}

static void print_row(const struct asked *asked, const struct hf_pairing *pairing)
{
    char held[HF_QUERY_TEXT], added[HF_QUERY_TEXT], results[HF_QUERY_TEXT];
    char prime[HF_PCSET_TEXT];
    snprintf(held, sizeof held, "%s (%s)", pairing->held->name,
             hf_pcset_format(pairing->held->prime, prime));
    snprintf(added, sizeof added, "%s (%s)", pairing->added->name,
             hf_pcset_format(pairing->added->prime, prime));
    write_results(pairing, results);
    printf("%-19s  %-19s  %-20s  %-4d  ", held, added, results, pairing->completions);
    printf("%s + %s\n", hf_query_spell(pairing->held->prime, asked->query.names, held),
           hf_query_spell(pairing->example, asked->query.names, added));
}

/* Why nothing was found, when both classes are named. */
static void explain_pair(const struct asked *asked)
{
    struct hf_pairing pairing;
    char held[HF_QUERY_TEXT], added[HF_QUERY_TEXT];
    hf_pairing_of(asked->held, asked->added, &pairing);
    printf("%s with %s: ", hf_query_describe(asked->held, held),
           hf_query_describe(asked->added, added));
    if (pairing.results == 0) {
        printf("wherever they lie they share a note, so they are no pairing.\n");
        return;
    }
    printf("makes ");
    for (int i = 0; i < pairing.results; i++)
        printf("%s%s", i ? ", " : "", pairing.result[i]->name);
    if (pairing.results > asked->at_most)
        printf("; --at-most %d shows it", pairing.results);
    printf(".\n");
}

static void print_reason(const struct asked *asked, struct hf_pairing *room)
{
    printf("No pairing is like this.\n");
    if (asked->held && asked->added && asked->held->size + asked->added->size <= HF_PCS) {
        explain_pair(asked);
        return;
    }
    struct asked wider = *asked;
    for (wider.at_most = asked->at_most + 1; wider.at_most <= HF_RESULTS_MOST; wider.at_most++) {
        int count = find_pairings(&wider, room);
        if (count) {
            printf("Of those that make up to %d classes there %s %d: --at-most %d.\n",
                   wider.at_most, count == 1 ? "is" : "are", count, wider.at_most);
            return;
        }
    }
    printf("Whatever they make, no two classes without a common note fit all that was asked.\n");
    if (asked->size && !asked->held && !asked->added)
        printf(
            "--size counts the notes of the class that stands as added: the less symmetric one.\n");
}

/* How to practise the first of the list. */
static void print_practice(const struct asked *asked, const struct hf_pairing *pairing)
{
    char held[HF_QUERY_TEXT];
    printf("\nTo practise one: holdfast play --held \"%s\" --added %s\n",
           hf_query_spell(pairing->held->prime, asked->query.names, held), pairing->added->name);
}

static void print_page(const struct asked *asked, struct hf_pairing *pairings, int count)
{
    if (!count) {
        print_reason(asked, pairings);
        return;
    }
    if (asked->at_most == 1)
        printf(
            "Two classes that always make one class, wherever they lie without a common note:\n\n");
    else
        printf("Two classes that make at most %d classes, wherever they lie without a common\n"
               "note:\n\n",
               asked->at_most);
    printf("%-19s  %-19s  %-20s  ways  example\n", "held", "added", "together");
    for (int i = 0; i < count; i++)
        print_row(asked, &pairings[i]);
    printf("\n%d in all; \"ways\" counts how many added sets one held set has.\n", count);
    if (!asked->all && !asked->held && !asked->added && !asked->result)
        printf("Unions of ten to twelve notes are left out: --all shows them.\n");
    print_practice(asked, &pairings[0]);
}

/* ---- the command ----------------------------------------------------------------------------- */

static enum hf_status answer(const struct asked *asked, struct hf_diag *diag)
{
    struct hf_pairing *pairings = calloc(PAIRS_MOST, sizeof *pairings);
    enum hf_status status = HF_OK;
    if (!pairings)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    int count = find_pairings(asked, pairings);
    if (asked->query.json)
        status = hf_query_print(all_json(pairings, count), diag);
    else
        print_page(asked, pairings, count);
    free(pairings);
    return status;
}

int hf_cli_pairings(const struct hf_cli_command *command, int argc, char **argv)
{
    struct asked asked = {.at_most = 1};
    struct hf_diag diag;
    int first = 0;
    bool stop = false;
    enum hf_status status = hf_cli_parse(command, argc, argv, take, &asked, &first, &stop, &diag);
    if (status == HF_OK && !stop && first < argc) {
        status =
            hf_fail(&diag, HF_E_USAGE, "pairings takes options only, not \"%.40s\"", argv[first]);
        hf_advise(&diag, "for example: holdfast pairings --held 3-12");
    }
    if (status == HF_OK && !stop)
        status = answer(&asked, &diag);
    return status == HF_OK ? hf_cli_finish() : hf_cli_fail(status, &diag);
}
