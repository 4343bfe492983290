/* SPDX-License-Identifier: MIT */
/* Invariant: JSON is built through functions that turn a lack of memory into NULL all the way up,
 * so that one check at the end suffices. */
#include <holdfast/query.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/jsonmemory.h>

enum { TAKE_JSON = HF_QUERY_FIRST, TAKE_NAMES, TAKE_AS_WRITTEN };

const struct hf_cli_option hf_query_options[] = {
    {"json", 0, NULL, "print JSON", TAKE_JSON},
    {"names", 0, "WAY",
     "write notes with sharps, flats, as numbers or german\n(for writing only: A to G with # or b "
     "are read)",
     TAKE_NAMES},
    {NULL, 0, NULL, NULL, 0},
};

const struct hf_cli_option hf_query_notes_options[] = {
    {"as-written", 0, NULL, "octaves are guitar notation, sounding an octave lower",
     TAKE_AS_WRITTEN},
    {NULL, 0, NULL, NULL, 0},
};

enum hf_status hf_query_take(struct hf_query *query, int code, const char *text,
                             struct hf_diag *diag)
{
    if (code == TAKE_NAMES)
        return hf_names_parse(text, &query->names, diag);
    if (code == TAKE_JSON)
        query->json = true;
    else
        query->how.as_written = true;
    return HF_OK;
}

void hf_query_warn_repeated(const struct hf_notes *notes, enum hf_names names, long line)
{
    char text[HF_QUERY_TEXT], where[32] = "";
    if (!notes->repeated)
        return;
    if (line)
        snprintf(where, sizeof where, "line %ld: ", line);
    hf_query_spell_in(notes->repeated, notes, names, text);
    hf_cli_warn("%s%s came more than once; each note counts once", where, text);
}

/* ---- JSON ------------------------------------------------------------------------------------ */

json_t *hf_query_append(json_t *array, json_t *value)
{
    if (!array || !value) {
        json_decref(array);
        json_decref(value);
        return NULL;
    }
    if (json_array_append_new(array, value) != 0) {
        json_decref(array);
        return NULL;
    }
    return array;
}

json_t *hf_query_integers(const int *values, int count)
{
    json_t *array = json_array();
    for (int i = 0; i < count; i++)
        array = hf_query_append(array, json_integer(values[i]));
    return array;
}

json_t *hf_query_pcs(hf_pcset set)
{
    int pcs[HF_PCS];
    int count = hf_pcset_list(set, pcs);
    return hf_query_integers(pcs, count);
}

static json_t *spelled_array(const struct hf_spelled *spelled, int count, enum hf_names names)
{
    json_t *array = json_array();
    for (int i = 0; i < count; i++) {
        char name[HF_SPELLED_TEXT];
        array = hf_query_append(array, json_string(hf_spelled_format(spelled[i], names, name)));
    }
    return array;
}

json_t *hf_query_names(const struct hf_notes *notes, enum hf_names names)
{
    struct hf_spelled spelled[HF_PCS];
    int count = hf_notes_spelling(notes, names, spelled);
    return spelled_array(spelled, count, names);
}

json_t *hf_query_set_names(hf_pcset set, enum hf_names names)
{
    struct hf_spelled spelled[HF_PCS];
    int count = hf_spelling_of(set, names, spelled);
    return spelled_array(spelled, count, names);
}

json_t *hf_query_class(const struct hf_setclass *class)
{
    return json_pack("{s:s,s:o}", "forte", class->name, "prime", hf_query_pcs(class->prime));
}

json_t *hf_query_set(hf_pcset set)
{
    const struct hf_setclass *class = hf_setclass_of(set);
    return json_pack("{s:o,s:s,s:o}", "pcs", hf_query_pcs(set), "forte", class->name, "prime",
                     hf_query_pcs(class->prime));
}

enum hf_status hf_query_print_digits(json_t *object, size_t digits, struct hf_diag *diag)
{
    size_t flags = JSON_COMPACT | JSON_REAL_PRECISION(digits);
    char *text = object ? json_dumps(object, flags) : NULL;
    bool whole = text && !hf_jsonmemory_failed();
    json_decref(object);
    if (whole)
        puts(text);
    free(text);
    if (!whole)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    return ferror(stdout) ? hf_fail(diag, HF_E_IO, "the output could not be written") : HF_OK;
}

enum hf_status hf_query_print(json_t *object, struct hf_diag *diag)
{
    return hf_query_print_digits(object, 10, diag);
}

/* ---- words ----------------------------------------------------------------------------------- */

static char *join_names(const struct hf_spelled *spelled, int count, enum hf_names names,
                        char text[HF_QUERY_TEXT])
{
    size_t length = 0;
    snprintf(text, HF_QUERY_TEXT, "%s", count ? "" : "{}");
    for (int i = 0; i < count; i++) {
        char name[HF_SPELLED_TEXT];
        hf_spelled_format(spelled[i], names, name);
        int wrote = snprintf(text + length, HF_QUERY_TEXT - length, "%s%.12s", i ? " " : "", name);
        length += wrote > 0 ? (size_t)wrote : 0; /* twelve names of 13 bytes always fit */
    }
    return text;
}

char *hf_query_spell(hf_pcset set, enum hf_names names, char text[HF_QUERY_TEXT])
{
    struct hf_spelled spelled[HF_PCS];
    int count = hf_spelling_of(set, names, spelled);
    return join_names(spelled, count, names, text);
}

char *hf_query_spell_in(hf_pcset set, const struct hf_notes *notes, enum hf_names names,
                        char text[HF_QUERY_TEXT])
{
    struct hf_spelled spelled[HF_PCS], own[HF_PCS];
    int pcs[HF_PCS], own_pcs[HF_PCS];
    int count = hf_spelling_of(set, names, spelled);
    int owned = hf_notes_spelling(notes, names, own);
    hf_pcset_list(set, pcs);
    hf_pcset_list(notes->set, own_pcs);
    for (int i = 0; i < count; i++)
        for (int j = 0; j < owned; j++)
            if (own_pcs[j] == pcs[i])
                spelled[i] = own[j];
    return join_names(spelled, count, names, text);
}

char *hf_query_describe(const struct hf_setclass *class, char text[HF_QUERY_TEXT])
{
    char prime[HF_PCSET_TEXT];
    snprintf(text, HF_QUERY_TEXT, "%s (%s%s)", class->name, hf_pcset_format(class->prime, prime),
             class == hf_setclass_find(3, 12) ? ", augmented triad" : "");
    return text;
}

char *hf_query_count(int count, const char *one, const char *many, char text[HF_QUERY_TEXT])
{
    if (count == 1)
        snprintf(text, HF_QUERY_TEXT, "one %s", one);
    else
        snprintf(text, HF_QUERY_TEXT, "%d %s", count, many);
    return text;
}

/* Chords and scales that have a name, above their root; those without a root by any member. */
static const struct {
    const char *above_root;
    bool rooted;
    const char *name;
} known[] = {
    {"047", true, "major triad"},
    {"037", true, "minor triad"},
    {"036", true, "diminished triad"},
    {"048", false, "augmented triad"},
    {"047T", true, "dominant seventh"},
    {"047E", true, "major seventh"},
    {"037T", true, "minor seventh"},
    {"037E", true, "minor chord with major seventh"},
    {"036T", true, "half-diminished seventh"},
    {"0369", false, "diminished seventh"},
    {"048E", true, "augmented chord with major seventh"},
    {"02479", true, "major pentatonic scale"},
    {"024579E", true, "major scale"},
    {"02468T", false, "whole-tone scale"},
    {"0134679T", false, "octatonic scale"},
    {"014589", false, "hexatonic scale (two augmented triads)"},
    {"0146", false, "all-interval tetrachord"},
    {"0137", false, "all-interval tetrachord"},
    {"012478", false, "all-trichord hexachord"},
    {"0123456789TE", false, "all twelve notes"},
};

static hf_pcset set_of_digits(const char *digits)
{
    static const char order[] = "0123456789TE";
    unsigned set = 0;
    for (; *digits; digits++)
        set |= 1u << (strchr(order, *digits) - order);
    return (hf_pcset)set;
}

char *hf_query_nickname(const struct hf_notes *notes, enum hf_names names, char text[HF_QUERY_TEXT])
{
    hf_pcset set = notes->set;
    text[0] = '\0';
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        hf_pcset pattern = set_of_digits(known[i].above_root);
        hf_pcset roots = hf_pcset_maps_tn(pattern, set);
        bool fits = known[i].rooted ? roots != 0 : hf_setclass_of(set) == hf_setclass_of(pattern);
        char root[HF_QUERY_TEXT];
        if (!fits)
            continue;
        hf_query_spell_in(roots, notes, names, root);
        snprintf(text, HF_QUERY_TEXT, "%.24s%s%s", known[i].rooted ? root : "",
                 known[i].rooted ? " " : "", known[i].name);
        break;
    }
    return text;
}
