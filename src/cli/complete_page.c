/* SPDX-License-Identifier: MIT */
/* The pages of `complete` for a reader without a manual. Invariant: what is special to an 016 is
 * shown only for one. */
#include <holdfast/complete.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <holdfast/paragraph.h>

enum { LABEL = 10, HINT = 3, NAMES_WIDTH = 13 };

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

static void print_together(const struct hf_reading *reading)
{
    const struct hf_setclass *first = reading->completions[0].result;
    char class[HF_QUERY_TEXT];
    int results = results_of(reading);
    if (results > 1)
        hf_paragraph_print(LABEL, "Together",
                           "%d classes, below by class of the union (ids run through all)",
                           results);
    else
        hf_paragraph_print(LABEL, "Together", "%s %s%s",
                           reading->count == 1 ? "it makes" : "each makes",
                           hf_query_describe(first, class),
                           hf_setclass_all_trichord(first) ? ", the all-trichord hexachord" : "");
}

static void print_head(const struct hf_complete *asked, const struct hf_reading *reading)
{
    char text[HF_NOTES_TEXT], class[HF_QUERY_TEXT];
    struct hf_notes placed = reading->held;
    struct hf_diag diag;
    hf_paragraph_print(
        LABEL, "Held", "%s   %s",
        hf_query_spell_in(reading->held.set, &reading->held, asked->query.names, text),
        hf_query_describe(hf_setclass_of(reading->held.set), class));
    if (hf_notes_place(&placed, &diag) == HF_OK)
        hf_paragraph_print(LABEL, "", "sounding %s",
                           hf_notes_format(&placed, asked->query.names, text));
    hf_query_describe(reading->added, class);
    if (!reading->count) {
        hf_paragraph_print(LABEL, "Added", "%s: none", class);
        return;
    }
    hf_paragraph_print(LABEL, "Added", "%s: %s with none of the held notes", class,
                       hf_query_count(reading->count, "set", "sets", text));
    print_together(reading);
}

/* ---- why there is nothing -------------------------------------------------------------------- */

/* The classes, not `added`, with which the held set makes the result that was asked for. */
static void print_other_ways(const struct hf_complete *asked, const struct hf_reading *reading)
{
    int size = asked->result->size - hf_pcset_size(reading->held.set);
    const struct hf_setclass *class;
    struct hf_paragraph p;
    bool any = false;
    hf_paragraph_begin(&p, LABEL, "");
    for (int number = 1; size > 0 && (class = hf_setclass_find(size, number)) != NULL; number++) {
        struct hf_completion found[HF_COMPLETIONS_MOST];
        int count = hf_pairing_complete(reading->held.set, class, found);
        if (!hf_pairing_keep(found, count, asked->result))
            continue;
        hf_paragraph_add(&p, "%s%s", any ? ", " : "To make it, add: ", class->name);
        any = true;
    }
    hf_paragraph_add(&p, "%s", any ? "" : "Nothing added to these notes makes it.");
    hf_paragraph_end(&p);
}

static void print_reason(const struct hf_complete *asked, const struct hf_reading *reading)
{
    struct hf_completion all[HF_COMPLETIONS_MOST];
    int count = hf_pairing_complete(reading->held.set, reading->added, all);
    struct hf_diag diag = {0};
    struct hf_paragraph p;
    printf("\n");
    if (hf_pairing_explain(reading->held.set, reading->added, &diag) != HF_OK) {
        hf_paragraph_print(LABEL, "Why", "%s%s%s", diag.message, diag.advice[0] ? "; " : "",
                           diag.advice);
        return;
    }
    hf_paragraph_begin(&p, LABEL, "Why");
    hf_paragraph_add(&p, "with %s these notes never make %s. They can make: ", reading->added->name,
                     asked->result->name);
    bool any = false;
    for (int i = 0; i < count; i++) {
        bool met = false;
        for (int j = 0; j < i; j++)
            met = met || all[j].result == all[i].result;
        if (!met)
            hf_paragraph_add(&p, "%s%s", any ? ", " : "", all[i].result->name);
        any = true;
    }
    hf_paragraph_end(&p);
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

/* A row of the table; of an 016 with its intervals, where there are kinds with those. */
static void print_row(const struct hf_complete *asked, const struct hf_reading *reading,
                      const struct hf_completion *one, int width, bool kinds)
{
    char text[HF_QUERY_TEXT];
    struct hf_paragraph p;
    hf_paragraph_hang(&p, 0, 0);
    hf_paragraph_add_whole(&p, "%4d  %-*s", one->id, width,
                           hf_query_spell(one->pcs, asked->query.names, text));
    if (is_016(reading)) {
        hf_paragraph_add_whole(&p, "%-10s", spell_part(asked, one, one->perfect, text));
        hf_paragraph_add_whole(&p, "%-10s", spell_part(asked, one, one->semitone, text));
        hf_paragraph_add_whole(&p, "%-10s", spell_part(asked, one, one->tritone, text));
    }
    if (kinds)
        hf_paragraph_add_whole(&p, "%-6d%d", one->kind, one->position);
    hf_paragraph_end(&p);
}

static void print_table(const struct hf_complete *asked, const struct hf_reading *reading,
                        const struct hf_setclass *result, bool kinds)
{
    int width = names_width(asked, reading);
    struct hf_paragraph p;
    hf_paragraph_hang(&p, 0, 0);
    hf_paragraph_add_whole(&p, "  id  %-*s%s%s", width, "notes",
                           is_016(reading) ? "perfect   semitone  tritone   " : "",
                           kinds ? "kind  position" : "");
    hf_paragraph_end(&p);
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

/* "the same shape moved up 4 or 8 semitones, which keeps the held notes:" */
static void print_kinds_head(hf_pcset keeps)
{
    struct hf_paragraph p;
    bool any = false;
    hf_paragraph_begin(&p, LABEL, "Kinds");
    hf_paragraph_add(&p, "the same shape moved up ");
    for (int n = 1; n < HF_PCS; n++)
        if (hf_pcset_has(keeps, n)) {
            hf_paragraph_add(&p, "%s%d", any ? " or " : "", n);
            any = true;
        }
    hf_paragraph_add(&p, " semitones, which keeps the held notes:");
    hf_paragraph_end(&p);
}

/* "kind 1: 1 5 4   (positions 1 2 3)"; false where there is no such kind. */
static bool print_kind(const struct hf_reading *reading, int kind)
{
    struct hf_paragraph p;
    int places = 0;
    hf_paragraph_hang(&p, LABEL, LABEL);
    hf_paragraph_add(&p, "kind %d:", kind);
    for (int place = 1; place <= HF_PCS; place++)
        for (int i = 0; i < reading->count; i++) {
            const struct hf_completion *one = &reading->completions[i];
            if (one->kind != kind || one->position != place)
                continue;
            hf_paragraph_add(&p, " %d", one->id);
            places = place;
        }
    hf_paragraph_add(&p, "   (position%s", places == 1 ? "" : "s");
    for (int place = 1; place <= places; place++)
        hf_paragraph_add(&p, " %d", place);
    hf_paragraph_add(&p, ")");
    if (places)
        hf_paragraph_end(&p);
    return places > 0;
}

static void print_kinds(const struct hf_reading *reading, hf_pcset keeps)
{
    if (keeps == 1) {
        hf_paragraph_print(LABEL, "Kinds",
                           "each is its own: no transposition keeps the held notes");
        return;
    }
    print_kinds_head(keeps);
    for (int kind = 1; print_kind(reading, kind); kind++)
        continue;
}

static void print_step(const struct hf_complete *asked, const struct hf_completion *here,
                       const struct hf_completion *there, int width)
{
    char text[HF_QUERY_TEXT];
    hf_pcset shared = here->pcs & there->pcs;
    struct hf_paragraph p;
    hf_paragraph_hang(&p, LABEL, LABEL + 3);
    hf_paragraph_add_whole(&p, "%-3d%-*s", here->id, width,
                           hf_query_spell(here->pcs, asked->query.names, text));
    hf_paragraph_add_whole(&p, "to %d: ", there->id);
    if (shared)
        hf_paragraph_add(&p, "%s stay%s, ", spell_part(asked, here, shared, text),
                         hf_pcset_size(shared) == 1 ? "s" : "");
    else
        hf_paragraph_add(&p, "no note stays, ");
    hf_paragraph_add(&p, "%s",
                     hf_query_count(hf_pcset_movement(here->pcs, there->pcs, NULL), "semitone",
                                    "semitones", text));
    hf_paragraph_end(&p);
}

static void print_ring(const struct hf_complete *asked, const struct hf_reading *reading)
{
    int ring[HF_COMPLETIONS_MOST];
    int length = hf_pairing_ring(reading->completions, reading->count, ring);
    int width = names_width(asked, reading);
    if (!length) {
        hf_paragraph_print(LABEL, "Ring",
                           "none: the smallest movements between them make no single round");
        return;
    }
    hf_paragraph_print(LABEL, "Ring",
                       "always to a nearest one, through all and back to the first:");
    for (int i = 0; i < length; i++)
        print_step(asked, &reading->completions[ring[i] - 1],
                   &reading->completions[ring[(i + 1) % length] - 1], width);
}

/* The perfect interval of an 016 as a cue: whether it leads to exactly one completion. */
static void print_cue(const struct hf_reading *reading)
{
    bool alone = true;
    if (!is_016(reading))
        return;
    for (int i = 0; i < reading->count; i++)
        for (int j = 0; j < i; j++)
            alone = alone && reading->completions[i].perfect != reading->completions[j].perfect;
    hf_paragraph_print(LABEL, "Cue",
                       alone ? "the perfect interval (fourth or fifth) alone tells which one it is"
                             : "some share their perfect interval, so it alone does not tell "
                               "which");
}

void hf_complete_page(const struct hf_complete *asked, const struct hf_reading *reading)
{
    hf_pcset keeps = hf_pcset_maps_tn(reading->held.set, reading->held.set);
    print_head(asked, reading);
    if (!reading->count) {
        print_reason(asked, reading);
        return;
    }
    if (reading->count == 1) { /* no others that it could be told from, or lead to */
        print_tables(asked, reading, false);
        return;
    }
    print_tables(asked, reading, keeps != 1);
    if (results_of(reading) > 1)
        printf("\n");
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

static void hint_perfect(const struct hf_complete *asked, const struct hf_reading *reading,
                         int number)
{
    char text[HF_QUERY_TEXT];
    struct hf_paragraph p;
    hf_paragraph_hang(&p, 0, HINT);
    hf_paragraph_add(&p, "%d. Their perfect intervals (fourths, or fifths):", number);
    for (int i = 0; i < reading->count; i++) {
        const struct hf_completion *one = &reading->completions[i];
        hf_paragraph_add(&p, "%s ", i ? "," : "");
        hf_paragraph_add_whole(&p, "%s", spell_part(asked, one, one->perfect, text));
    }
    hf_paragraph_add(&p, ".");
    hf_paragraph_end(&p);
}

/* Of an 016 the note that has the semitone beside it, of other classes the lowest. */
static void hint_note(const struct hf_complete *asked, const struct hf_reading *reading, int number)
{
    char text[HF_QUERY_TEXT];
    struct hf_paragraph p;
    hf_paragraph_hang(&p, 0, HINT);
    hf_paragraph_add(&p, "%d. %s: ", number,
                     is_016(reading)
                         ? "Of each perfect interval, the note with the semitone beside it"
                         : "One note of each");
    for (int i = 0; i < reading->count; i++) {
        const struct hf_completion *one = &reading->completions[i];
        hf_pcset hint = one->perfect & one->semitone;
        if (!hint)
            hint = (hf_pcset)(one->pcs & (~(unsigned)one->pcs + 1));
        hf_paragraph_add(&p, "%s%s", i ? ", " : "", spell_part(asked, one, hint, text));
    }
    hf_paragraph_add(&p, ".");
    hf_paragraph_end(&p);
}

void hf_complete_hints(const struct hf_complete *asked, const struct hf_reading *reading)
{
    char held[HF_QUERY_TEXT], class[HF_QUERY_TEXT], count[HF_QUERY_TEXT];
    struct hf_paragraph p;
    int number = 1;
    if (!reading->count) {
        hf_complete_page(asked, reading);
        return;
    }
    hf_paragraph_hang(&p, 0, HINT);
    hf_paragraph_add(&p, "%d. %s by %s: %s.", number++,
                     hf_query_spell_in(reading->held.set, &reading->held, asked->query.names, held),
                     hf_query_describe(reading->added, class),
                     hf_query_count(reading->count, "completion", "completions", count));
    hf_paragraph_end(&p);
    if (!goes_on())
        return;
    if (is_016(reading)) {
        hint_perfect(asked, reading, number++);
        if (!goes_on())
            return;
    }
    hint_note(asked, reading, number++);
    if (!goes_on())
        return;
    printf("%d. All:\n", number);
    print_table(asked, reading, NULL, false);
}

/* ---- a path ---------------------------------------------------------------------------------- */

/* A chord of the path, as triad and 016 where it splits so. */
static void print_chord(const struct hf_complete *asked, int number, hf_pcset set)
{
    static struct hf_split splits[HF_SPLITS_MOST];
    char held[HF_QUERY_TEXT], added[HF_QUERY_TEXT], label[LABEL + 16];
    int count = hf_pairing_splits(set, splits);
    snprintf(label, sizeof label, "chord %d", number);
    if (count && hf_setclass_of(splits[0].held) == hf_setclass_find(3, 12))
        hf_paragraph_print(LABEL, label, "%s + %s",
                           hf_query_spell(splits[0].held, asked->query.names, held),
                           hf_query_spell(splits[0].added, asked->query.names, added));
    else
        hf_paragraph_print(LABEL, label, "%s", hf_query_spell(set, asked->query.names, held));
}

static void print_passage(const struct hf_complete *asked, hf_pcset from, hf_pcset to)
{
    int moves[HF_PCS], pcs[HF_PCS], count = hf_pcset_list(from, pcs);
    int total = hf_pcset_movement(from, to, moves);
    char text[HF_QUERY_TEXT], other[HF_QUERY_TEXT];
    struct hf_paragraph p;
    hf_paragraph_hang(&p, LABEL, LABEL + 2);
    hf_paragraph_add_whole(&p, "%s stay%s", hf_query_spell(from & to, asked->query.names, text),
                           hf_pcset_size(from & to) == 1 ? "s" : "");
    for (int i = 0; i < count; i++) {
        if (!moves[i])
            continue;
        hf_paragraph_add(&p, ", ");
        hf_paragraph_add_whole(
            &p, "%s %s %d to %s",
            hf_query_spell((hf_pcset)(1u << pcs[i]), asked->query.names, text),
            moves[i] > 0 ? "up" : "down", abs(moves[i]),
            hf_query_spell((hf_pcset)(1u << hf_pc(pcs[i] + moves[i])), asked->query.names, other));
    }
    hf_paragraph_add(&p, ": ");
    hf_paragraph_add_whole(&p, "%s", hf_query_count(total, "semitone", "semitones", text));
    hf_paragraph_end(&p);
}

static void print_path_head(const struct hf_complete *asked, const struct hf_path *path)
{
    static const char *const shared[] = {
        [HF_PATH_ANY] = "an augmented triad or at least four notes",
        [HF_PATH_TRIAD] = "an augmented triad",
        [HF_PATH_FOUR] = "at least four notes",
        [HF_PATH_FIVE] = "at least five notes",
    };
    char chords[HF_QUERY_TEXT], steps[HF_QUERY_TEXT], class[HF_QUERY_TEXT];
    snprintf(chords, sizeof chords, "%d chord%s", path->length, path->length == 1 ? "" : "s");
    snprintf(steps, sizeof steps, "%d step%s", path->length - 1, path->length == 2 ? "" : "s");
    struct hf_paragraph p;
    hf_paragraph_hang(&p, 0, 2);
    hf_paragraph_add(&p, "%s of %s, %s; neighbours share %s", chords,
                     hf_query_describe(hf_setclass_of(path->from.set), class), steps,
                     shared[asked->share]);
    hf_paragraph_end(&p);
}

void hf_complete_path_page(const struct hf_complete *asked, const struct hf_path *path)
{
    char from[HF_QUERY_TEXT], to[HF_QUERY_TEXT];
    hf_paragraph_print(0, "", "From %s to %s",
                       hf_query_spell_in(path->from.set, &path->from, asked->query.names, from),
                       hf_query_spell_in(path->to.set, &path->to, asked->query.names, to));
    if (!path->length) {
        struct hf_diag diag = {0};
        if (hf_path_explain(path->from.set, path->to.set, asked->share, &diag) != HF_OK)
            hf_paragraph_print(LABEL, "Why not", "%s%s%s", diag.message, diag.advice[0] ? "; " : "",
                               diag.advice);
        return;
    }
    print_path_head(asked, path);
    printf("\n");
    for (int i = 0; i < path->length; i++) {
        if (i)
            print_passage(asked, path->chain[i - 1], path->chain[i]);
        print_chord(asked, i + 1, path->chain[i]);
    }
}
