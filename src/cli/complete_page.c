/* SPDX-License-Identifier: MIT */
/* The pages of `complete` for a reader without a manual. Invariant: what is special to an 016 is
 * shown only for one, and said not to apply elsewhere. */
#include <holdfast/complete.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { LABEL = 10, NAMES_WIDTH = 13 };

/* Display width of a name list; every name is ASCII. */
static void pad(const char *text, int width)
{
    printf("%-*s", width, text);
}

static bool is_016(const struct hf_reading *reading)
{
    return reading->added == hf_setclass_find(3, 5);
}

/* Names of part of a completion, joined, in the spelling of the whole. */
static char *spell_part(const struct hf_complete *asked, const struct hf_completion *of,
                        hf_pcset part, char text[HF_QUERY_TEXT])
{
    struct hf_spelled spelled[HF_PCS];
    int pcs[HF_PCS], count = hf_pcset_list(of->pcs, pcs);
    size_t length = 0;
    hf_spelling_of(of->pcs, asked->query.names, spelled);
    text[0] = '\0';
    for (int i = 0; i < count; i++) {
        char name[HF_SPELLED_TEXT];
        if (!hf_pcset_has(part, pcs[i]))
            continue;
        hf_spelled_format(spelled[i], asked->query.names, name);
        int wrote =
            snprintf(text + length, HF_QUERY_TEXT - length, "%s%.12s", length ? " " : "", name);
        length += wrote > 0 ? (size_t)wrote : 0; /* twelve names of 13 bytes always fit */
    }
    return text;
}

/* How many classes the unions are of. */
static int results_of(const struct hf_reading *reading)
{
    int results = 0;
    for (int i = 0; i < reading->count; i++) {
        bool met = false;
        for (int j = 0; j < i; j++)
            met = met || reading->completions[j].result == reading->completions[i].result;
        results += !met;
    }
    return results;
}

/* ---- head ------------------------------------------------------------------------------------ */

static void print_head(const struct hf_complete *asked, const struct hf_reading *reading)
{
    char text[HF_NOTES_TEXT], class[HF_QUERY_TEXT];
    struct hf_notes placed = reading->held;
    struct hf_diag diag;
    pad("Held", LABEL);
    printf("%s   %s\n",
           hf_query_spell_in(reading->held.set, &reading->held, asked->query.names, text),
           hf_query_describe(hf_setclass_of(reading->held.set), class));
    if (hf_notes_place(&placed, &diag) == HF_OK) {
        pad("", LABEL);
        printf("sounding %s\n", hf_notes_format(&placed, asked->query.names, text));
    }
    pad("Added", LABEL);
    printf("%s: ", hf_query_describe(reading->added, class));
    if (!reading->count) {
        printf("no way\n");
        return;
    }
    printf("%s that share%s no note with the held ones\n",
           hf_query_count(reading->count, "set", "sets", text), reading->count == 1 ? "s" : "");
    pad("Together", LABEL);
    if (results_of(reading) > 1)
        printf("%d classes, told below\n", results_of(reading));
    else
        printf("%s %s%s\n", reading->count == 1 ? "it makes" : "each makes",
               hf_query_describe(reading->completions[0].result, class),
               hf_setclass_all_trichord(reading->completions[0].result)
                   ? ", the all-trichord hexachord"
                   : "");
}

/* ---- why there is nothing -------------------------------------------------------------------- */

/* The classes, not `added`, with which the held set makes the result that was asked for. */
static void print_other_ways(const struct hf_complete *asked, const struct hf_reading *reading)
{
    int size = asked->result->size - hf_pcset_size(reading->held.set);
    const struct hf_setclass *class;
    bool any = false;
    for (int number = 1; size > 0 && (class = hf_setclass_find(size, number)) != NULL; number++) {
        struct hf_completion found[HF_COMPLETIONS_MOST];
        int count = hf_pairing_complete(reading->held.set, class, found);
        if (!hf_pairing_keep(found, count, asked->result))
            continue;
        printf("%s%s", any ? ", " : "To make it, add: ", class->name);
        any = true;
    }
    printf("%s", any ? "\n" : "Nothing added to these notes makes it.\n");
}

static void print_reason(const struct hf_complete *asked, const struct hf_reading *reading)
{
    struct hf_completion all[HF_COMPLETIONS_MOST];
    int count = hf_pairing_complete(reading->held.set, reading->added, all);
    struct hf_diag diag = {0};
    if (hf_pairing_explain(reading->held.set, reading->added, &diag) != HF_OK) {
        printf("\nWhy: %s%s%s.\n", diag.message, diag.advice[0] ? "; " : "", diag.advice);
        return;
    }
    printf("\nWhy: with %s these notes never make %s. They can make: ", reading->added->name,
           asked->result->name);
    bool any = false;
    for (int i = 0; i < count; i++) {
        bool met = false;
        for (int j = 0; j < i; j++)
            met = met || all[j].result == all[i].result;
        if (!met)
            printf("%s%s", any ? ", " : "", all[i].result->name);
        any = true;
    }
    printf(".\n");
    print_other_ways(asked, reading);
}

/* ---- the table ------------------------------------------------------------------------------- */

static int names_width(const struct hf_complete *asked, const struct hf_reading *reading)
{
    int width = NAMES_WIDTH;
    for (int i = 0; i < reading->count; i++) {
        char text[HF_QUERY_TEXT];
        int length =
            (int)strlen(hf_query_spell(reading->completions[i].pcs, asked->query.names, text));
        if (length + 2 > width)
            width = length + 2;
    }
    return width;
}

/* A row of a table without the blanks at its end. */
static void print_trimmed(char *row)
{
    size_t length = strlen(row);
    while (length && row[length - 1] == ' ')
        row[--length] = '\0';
    printf("%s\n", row);
}

static void print_row(const struct hf_complete *asked, const struct hf_reading *reading,
                      const struct hf_completion *one, int width, bool kinds)
{
    char notes[HF_QUERY_TEXT], perfect[HF_QUERY_TEXT], semitone[HF_QUERY_TEXT];
    char tritone[HF_QUERY_TEXT], parts[64] = "", kind[32] = "", row[HF_QUERY_TEXT + 128];
    if (is_016(reading))
        snprintf(parts, sizeof parts, "%-10.20s%-10.20s%-10.20s",
                 spell_part(asked, one, one->perfect, perfect),
                 spell_part(asked, one, one->semitone, semitone),
                 spell_part(asked, one, one->tritone, tritone));
    if (kinds)
        snprintf(kind, sizeof kind, "%-6d%d", one->kind, one->position);
    snprintf(row, sizeof row, "%4d  %-*s%s%s", one->id, width,
             hf_query_spell(one->pcs, asked->query.names, notes), parts, kind);
    print_trimmed(row);
}

static void print_table(const struct hf_complete *asked, const struct hf_reading *reading,
                        const struct hf_setclass *result, bool kinds)
{
    int width = names_width(asked, reading);
    char row[HF_QUERY_TEXT + 128];
    snprintf(row, sizeof row, "  id  %-*s%s%s", width, "notes",
             is_016(reading) ? "perfect   semitone  tritone   " : "",
             kinds ? "kind  position" : "");
    print_trimmed(row);
    for (int i = 0; i < reading->count; i++)
        if (!result || reading->completions[i].result == result)
            print_row(asked, reading, &reading->completions[i], width, kinds);
}

/* One table for each class that comes out, in the order of the classes. */
static void print_tables(const struct hf_complete *asked, const struct hf_reading *reading,
                         bool kinds)
{
    printf("\n");
    if (results_of(reading) == 1) {
        print_table(asked, reading, NULL, kinds);
        return;
    }
    bool first = true;
    for (int c = 0; c < HF_SETCLASSES; c++) {
        const struct hf_setclass *class = hf_setclass_at(c);
        char text[HF_QUERY_TEXT];
        bool any = false;
        for (int i = 0; i < reading->count; i++)
            any = any || reading->completions[i].result == class;
        if (!any)
            continue;
        printf("%sMaking %s\n", first ? "" : "\n", hf_query_describe(class, text));
        print_table(asked, reading, class, kinds);
        first = false;
    }
}

/* ---- kinds and ring -------------------------------------------------------------------------- */

static void print_semitones(hf_pcset set)
{
    bool any = false;
    for (int n = 1; n < HF_PCS; n++)
        if (hf_pcset_has(set, n)) {
            printf("%s%d", any ? " or " : "", n);
            any = true;
        }
}

static void print_kinds(const struct hf_reading *reading, hf_pcset keeps)
{
    printf("\n");
    pad("Kinds", LABEL);
    if (keeps == 1) {
        printf("each is its own: no transposition keeps the held notes\n");
        return;
    }
    printf("the same shape moved up ");
    print_semitones(keeps);
    printf(" semitones, which keeps the held notes:\n");
    for (int kind = 1, found = 1; found; kind++) {
        found = 0;
        for (int place = 1; place <= HF_PCS; place++)
            for (int i = 0; i < reading->count; i++) {
                const struct hf_completion *one = &reading->completions[i];
                if (one->kind != kind || one->position != place)
                    continue;
                if (!found++)
                    printf("%*skind %d: ", LABEL, "", kind);
                printf("%s%d", found > 1 ? " " : "", one->id);
            }
        if (found)
            printf("\n");
    }
}

static void print_step(const struct hf_complete *asked, const struct hf_completion *here,
                       const struct hf_completion *there, int width)
{
    char text[HF_QUERY_TEXT];
    hf_pcset shared = here->pcs & there->pcs;
    printf("%*s%d  ", LABEL, "", here->id);
    pad(hf_query_spell(here->pcs, asked->query.names, text), width);
    printf("to %d: ", there->id);
    if (shared)
        printf("%s stay%s, ", spell_part(asked, here, shared, text),
               hf_pcset_size(shared) == 1 ? "s" : "");
    else
        printf("no note stays, ");
    printf("%s\n", hf_query_count(hf_pcset_movement(here->pcs, there->pcs, NULL), "semitone",
                                  "semitones", text));
}

static void print_ring(const struct hf_complete *asked, const struct hf_reading *reading)
{
    int ring[HF_COMPLETIONS_MOST];
    int length = hf_pairing_ring(reading->completions, reading->count, ring);
    int width = names_width(asked, reading);
    printf("\n");
    pad("Ring", LABEL);
    if (!length) {
        printf("none: the smallest movements between them make no single round\n");
        return;
    }
    printf("always to a nearest one, through all and back to the first:\n");
    for (int i = 0; i < length; i++)
        print_step(asked, &reading->completions[ring[i] - 1],
                   &reading->completions[ring[(i + 1) % length] - 1], width);
}

/* The perfect interval as a cue: which lead to exactly one completion. */
static void print_cue(const struct hf_reading *reading)
{
    printf("\n");
    pad("Cue", LABEL);
    if (!is_016(reading)) {
        printf("perfect interval, semitone and tritone as cues belong to 016; not here\n");
        return;
    }
    bool alone = true;
    for (int i = 0; i < reading->count; i++)
        for (int j = 0; j < i; j++)
            alone = alone && reading->completions[i].perfect != reading->completions[j].perfect;
    if (alone)
        printf("the perfect interval (fourth or fifth) alone tells which one it is\n");
    else
        printf("some share their perfect interval, so it alone does not tell which\n");
}

void hf_complete_page(const struct hf_complete *asked, const struct hf_reading *reading)
{
    hf_pcset keeps = hf_pcset_maps_tn(reading->held.set, reading->held.set);
    print_head(asked, reading);
    if (!reading->count) {
        print_reason(asked, reading);
        return;
    }
    print_tables(asked, reading, keeps != 1);
    if (reading->count == 1)
        return;
    print_kinds(reading, keeps);
    print_ring(asked, reading);
    print_cue(reading);
}

/* ---- hints ----------------------------------------------------------------------------------- */

/* Waits for Enter on a terminal; false when the reader has enough. */
static bool goes_on(void)
{
    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO))
        return true;
    printf("(Enter: the next hint; q: enough) ");
    fflush(stdout);
    int first = getchar(), c = first;
    while (c != EOF && c != '\n')
        c = getchar();
    return c != EOF && first != 'q';
}

static void hint_perfect(const struct hf_complete *asked, const struct hf_reading *reading)
{
    char text[HF_QUERY_TEXT];
    if (!is_016(reading)) {
        printf("2. Perfect intervals are hints for 016 only; not here.\n");
        return;
    }
    printf("2. Their perfect intervals (fourths, or fifths): ");
    for (int i = 0; i < reading->count; i++)
        printf("%s%s", i ? ", " : "",
               spell_part(asked, &reading->completions[i], reading->completions[i].perfect, text));
    printf(".\n");
}

/* Of an 016 the note that has the semitone beside it, of other classes the lowest. */
static void hint_note(const struct hf_complete *asked, const struct hf_reading *reading)
{
    char text[HF_QUERY_TEXT];
    printf(is_016(reading) ? "3. Of each perfect interval, the note with the semitone beside it: "
                           : "3. One note of each: ");
    for (int i = 0; i < reading->count; i++) {
        const struct hf_completion *one = &reading->completions[i];
        hf_pcset hint = one->perfect & one->semitone;
        if (!hint)
            hint = (hf_pcset)(one->pcs & (~(unsigned)one->pcs + 1));
        printf("%s%s", i ? ", " : "", spell_part(asked, one, hint, text));
    }
    printf(".\n");
}

void hf_complete_hints(const struct hf_complete *asked, const struct hf_reading *reading)
{
    char held[HF_QUERY_TEXT], class[HF_QUERY_TEXT], count[HF_QUERY_TEXT];
    if (!reading->count) {
        hf_complete_page(asked, reading);
        return;
    }
    printf("1. %s by %s: %s.\n",
           hf_query_spell_in(reading->held.set, &reading->held, asked->query.names, held),
           hf_query_describe(reading->added, class),
           hf_query_count(reading->count, "completion", "completions", count));
    if (!goes_on())
        return;
    hint_perfect(asked, reading);
    if (!goes_on())
        return;
    hint_note(asked, reading);
    if (!goes_on())
        return;
    printf("4. All:\n");
    print_table(asked, reading, NULL, hf_pcset_maps_tn(reading->held.set, reading->held.set) != 1);
}

/* ---- a path ---------------------------------------------------------------------------------- */

/* The set, as triad and 016 where it splits so. */
static void print_link(const struct hf_complete *asked, int place, hf_pcset set)
{
    static struct hf_split splits[HF_SPLITS_MOST];
    char held[HF_QUERY_TEXT], added[HF_QUERY_TEXT];
    int count = hf_pairing_splits(set, splits);
    printf("%4d  ", place);
    if (count && hf_setclass_of(splits[0].held) == hf_setclass_find(3, 12))
        printf("%s + %s\n", hf_query_spell(splits[0].held, asked->query.names, held),
               hf_query_spell(splits[0].added, asked->query.names, added));
    else
        printf("%s\n", hf_query_spell(set, asked->query.names, held));
}

static void print_passage(const struct hf_complete *asked, hf_pcset from, hf_pcset to)
{
    int moves[HF_PCS], pcs[HF_PCS], count = hf_pcset_list(from, pcs);
    int total = hf_pcset_movement(from, to, moves);
    char text[HF_QUERY_TEXT], other[HF_QUERY_TEXT];
    printf("%8s%s stay%s", "", hf_query_spell(from & to, asked->query.names, text),
           hf_pcset_size(from & to) == 1 ? "s" : "");
    for (int i = 0; i < count; i++)
        if (moves[i])
            printf(", %s %s %d to %s",
                   hf_query_spell((hf_pcset)(1u << pcs[i]), asked->query.names, text),
                   moves[i] > 0 ? "up" : "down", abs(moves[i]),
                   hf_query_spell((hf_pcset)(1u << hf_pc(pcs[i] + moves[i])), asked->query.names,
                                  other));
    printf(": %s\n", hf_query_count(total, "semitone", "semitones", text));
}

void hf_complete_path_page(const struct hf_complete *asked, const struct hf_path *path)
{
    char from[HF_QUERY_TEXT], to[HF_QUERY_TEXT], text[HF_QUERY_TEXT];
    printf("From %s to %s\n",
           hf_query_spell_in(path->from.set, &path->from, asked->query.names, from),
           hf_query_spell_in(path->to.set, &path->to, asked->query.names, to));
    if (!path->length) {
        struct hf_diag diag = {0};
        if (hf_path_explain(path->from.set, path->to.set, asked->share, &diag) != HF_OK)
            printf("Why not: %s%s%s.\n", diag.message, diag.advice[0] ? "; " : "", diag.advice);
        return;
    }
    printf("%s through %s\n\n", hf_query_count(path->length - 1, "step", "steps", from),
           hf_query_describe(hf_setclass_of(path->from.set), text));
    for (int i = 0; i < path->length; i++) {
        if (i)
            print_passage(asked, path->chain[i - 1], path->chain[i]);
        print_link(asked, i + 1, path->chain[i]);
    }
}
