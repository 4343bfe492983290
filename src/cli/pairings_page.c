/* SPDX-License-Identifier: MIT */
/* The page of `pairings` for a reader without a manual. Invariant: what is the same in all rows
 * stands above the table and not in it, so that the rows fit. */
#include <holdfast/pairings.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/paragraph.h>

enum { LABEL = 10, SIZES = 9 /* notes of a class, in the summary: 1 to 8 */ };

/* "3-5 (016)": shorter than hf_query_describe, for a column. */
static char *write_class(const struct hf_setclass *class, char text[HF_QUERY_TEXT])
{
    char prime[HF_PCSET_TEXT];
    snprintf(text, HF_QUERY_TEXT, "%s (%s)", class->name, hf_pcset_format(class->prime, prime));
    return text;
}

/* "C E G# + C# D G" */
static char *write_example(const struct hf_pairings *asked, const struct hf_pairing *pairing,
                           char text[HF_QUERY_TEXT])
{
    char held[HF_QUERY_TEXT], added[HF_QUERY_TEXT];
    snprintf(text, HF_QUERY_TEXT, "%.120s + %.120s",
             hf_query_spell(pairing->held->prime, asked->query.names, held),
             hf_query_spell(pairing->example, asked->query.names, added));
    return text;
}

/* ---- the table ------------------------------------------------------------------------------- */

/* Which columns vary over the rows, and how wide they are. */
struct table {
    bool held, added, together;
    bool grouped; /* no class is named: the rows of each held class stand under a heading */
    bool several; /* a row can make several classes: they stand last, where they can be wrapped */
    int held_width, added_width, together_width, example_width;
};

static void widen(int *width, const char *text)
{
    if ((int)strlen(text) > *width)
        *width = (int)strlen(text);
}

static struct table lay_out(const struct hf_pairings *asked, const struct hf_pairing *pairings,
                            int count)
{
    bool grouped = !asked->held && !asked->added && !asked->result;
    struct table table = {
        .held = !asked->held && !grouped,
        .added = !asked->added,
        .together = !asked->result || asked->at_most > 1,
        .grouped = grouped,
        .several = asked->at_most > 1,
        .held_width = 4,
        .added_width = 5,
        .together_width = 8,
        .example_width = 7,
    };
    for (int i = 0; i < count; i++) {
        char text[HF_QUERY_TEXT];
        widen(&table.held_width, write_class(pairings[i].held, text));
        widen(&table.added_width, write_class(pairings[i].added, text));
        widen(&table.together_width, write_class(pairings[i].result[0], text));
        widen(&table.example_width, write_example(asked, &pairings[i], text));
    }
    return table;
}

/* The words of one row, or of the heading. */
struct row {
    const char *held, *added, *together, *sets, *example;
};

static void print_row(const struct table *table, const struct row *row)
{
    char label[4 * HF_QUERY_TEXT] = "";
    size_t length = 0;
    const struct {
        bool shown;
        int width;
        const char *text;
    } columns[] = {
        {table->held, table->held_width, row->held},
        {table->added, table->added_width, row->added},
        {table->together && !table->several, table->together_width, row->together},
        {true, 4, row->sets},
        {table->several, table->example_width, row->example},
    };
    for (size_t i = 0; i < sizeof columns / sizeof *columns; i++)
        if (columns[i].shown) {
            int wrote = snprintf(label + length, sizeof label - length, "%-*.200s  ",
                                 columns[i].width, columns[i].text);
            length += wrote > 0 ? (size_t)wrote : 0; /* columns of 200 bytes always fit */
        }
    struct hf_paragraph p;
    hf_paragraph_begin(&p, (int)length, label);
    if (table->several)
        hf_paragraph_add(&p, "%s", row->together);
    else
        hf_paragraph_add_whole(&p, "%s", row->example);
    hf_paragraph_end(&p);
}

static void print_pairing(const struct hf_pairings *asked, const struct table *table,
                          const struct hf_pairing *pairing)
{
    char held[HF_QUERY_TEXT], added[HF_QUERY_TEXT], together[HF_QUERY_TEXT], sets[16];
    char example[HF_QUERY_TEXT];
    size_t length = 0;
    write_class(pairing->result[0], together);
    for (int i = 0; pairing->results > 1 && i < pairing->results; i++) {
        int wrote = snprintf(together + length, sizeof together - length, "%s%s", i ? ", " : "",
                             pairing->result[i]->name);
        length += wrote > 0 ? (size_t)wrote : 0; /* 24 names of 8 bytes always fit */
    }
    snprintf(sets, sizeof sets, "%d", pairing->completions);
    print_row(table,
              &(struct row){write_class(pairing->held, held), write_class(pairing->added, added),
                            together, sets, write_example(asked, pairing, example)});
}

static void print_table(const struct hf_pairings *asked, const struct hf_pairing *pairings,
                        int count)
{
    static const struct row heading = {"held", "added", "together", "sets", "example"};
    struct table table = lay_out(asked, pairings, count);
    printf("\n");
    print_row(&table, &heading);
    for (int i = 0; i < count; i++) {
        char class[HF_QUERY_TEXT];
        if (table.grouped && (!i || pairings[i].held != pairings[i - 1].held))
            printf("\nHeld %s\n", hf_query_describe(pairings[i].held, class));
        print_pairing(asked, &table, &pairings[i]);
    }
}

/* ---- around the table ------------------------------------------------------------------------ */

static void print_head(const struct hf_pairings *asked, int count)
{
    char class[HF_QUERY_TEXT], counted[HF_QUERY_TEXT], makes[64] = "always make one class";
    if (asked->at_most > 1)
        snprintf(makes, sizeof makes, "make at most %d classes", asked->at_most);
    hf_paragraph_print(0, "", "%s: two classes that %s, wherever they lie without a common note.",
                       hf_query_count(count, "pairing", "pairings", counted), makes);
    if (asked->held)
        hf_paragraph_print(LABEL, "Held", "%s", hf_query_describe(asked->held, class));
    if (asked->added)
        hf_paragraph_print(LABEL, "Added", "%s", hf_query_describe(asked->added, class));
    if (asked->result && asked->at_most == 1)
        hf_paragraph_print(LABEL, "Together", "%s", hf_query_describe(asked->result, class));
}

/* The pairing that is shown as an example: augmented triad and 016, else the one nearest to three
 * notes with three others, of these the one with the most completions. */
static const struct hf_pairing *choose_example(const struct hf_pairing *pairings, int count)
{
    const struct hf_setclass *triad = hf_setclass_find(3, 12), *trichord = hf_setclass_find(3, 5);
    const struct hf_pairing *best = NULL;
    int least = 0;
    for (int i = 0; i < count; i++) {
        const struct hf_pairing *one = &pairings[i];
        bool own = (one->held == triad && one->added == trichord) ||
                   (one->held == trichord && one->added == triad);
        int far = own ? -1 : 4 * abs(one->added->size - 3) + abs(one->held->size - 3);
        if (best && (far > least || (far == least && one->completions <= best->completions)))
            continue;
        best = one;
        least = far;
    }
    return best;
}

/* What the column "sets" counts, by an example, and how to practise that. */
static void print_practice(const struct hf_pairings *asked, const struct hf_pairing *pairing)
{
    char held[HF_QUERY_TEXT];
    hf_query_spell(pairing->held->prime, asked->query.names, held);
    printf("\n");
    hf_paragraph_print(LABEL, "sets",
                       "how many sets of the added class share no note with one held set: "
                       "for %s there %s %d of %s",
                       held, pairing->completions == 1 ? "is" : "are", pairing->completions,
                       pairing->added->name);
    if (asked->query.names == HF_NAMES_GERMAN) /* these are written, not read */
        hf_query_spell(pairing->held->prime, HF_NAMES_SIMPLE, held);
    printf("To practise that:\n  ");
    hf_cli_print_file(hf_cli_called());
    printf(" play --held \"%s\" --added %s\n", held, pairing->added->name);
}

/* ---- none ------------------------------------------------------------------------------------ */

/* Why nothing was found, when both classes are named. */
static void explain_pair(const struct hf_pairings *asked)
{
    struct hf_pairing pairing;
    char held[HF_QUERY_TEXT], added[HF_QUERY_TEXT];
    struct hf_paragraph p;
    hf_pairing_of(asked->held, asked->added, &pairing);
    hf_paragraph_hang(&p, 0, 0);
    hf_paragraph_add(&p, "%s with %s: ", hf_query_describe(asked->held, held),
                     hf_query_describe(asked->added, added));
    if (pairing.results == 0) {
        hf_paragraph_add(&p, "wherever they lie they share a note, so they are no pairing.");
        hf_paragraph_end(&p);
        return;
    }
    hf_paragraph_add(&p, "makes ");
    for (int i = 0; i < pairing.results; i++)
        hf_paragraph_add(&p, "%s%s", i ? ", " : "", pairing.result[i]->name);
    if (pairing.results > asked->at_most)
        hf_paragraph_add(&p, "; see --at-most %d", pairing.results);
    hf_paragraph_add(&p, ".");
    hf_paragraph_end(&p);
}

static void print_reason(const struct hf_pairings *asked, struct hf_pairing *room)
{
    printf("No pairing is like this.\n");
    if (asked->held && asked->added && asked->held->size + asked->added->size <= HF_PCS) {
        explain_pair(asked);
        return;
    }
    struct hf_pairings wider = *asked;
    for (wider.at_most = asked->at_most + 1; wider.at_most <= HF_RESULTS_MOST; wider.at_most++) {
        int count = hf_pairings_find(&wider, room);
        if (count) {
            hf_paragraph_print(0, "",
                               "Of those that make up to %d classes there %s %d: --at-most %d.",
                               wider.at_most, count == 1 ? "is" : "are", count, wider.at_most);
            return;
        }
    }
    hf_paragraph_print(0, "",
                       "Whatever they make, no two classes without a common note fit all "
                       "that was asked.");
    if (asked->size && !asked->held && !asked->added)
        hf_paragraph_print(0, "",
                           "--size counts the notes of the class that stands as added: the "
                           "less symmetric one.");
}

/* ---- the summary ----------------------------------------------------------------------------- */

/* How many pairings there are of each two sizes. */
static void print_sizes(const struct hf_pairing *pairings, int count)
{
    int of[SIZES][SIZES] = {{0}};
    for (int i = 0; i < count; i++)
        of[pairings[i].held->size][pairings[i].added->size]++;
    printf("\nnotes held       with notes added\n          ");
    for (int added = 1; added < SIZES; added++)
        printf("%6d", added);
    printf("\n");
    for (int held = 1; held < SIZES; held++) {
        struct hf_paragraph p;
        int any = 0;
        hf_paragraph_hang(&p, 0, 0);
        hf_paragraph_add(&p, "%10d", held);
        for (int added = 1; added < SIZES && held + added <= SIZES; added++) {
            hf_paragraph_add(&p, "%6d", of[held][added]);
            any += of[held][added];
        }
        if (any)
            hf_paragraph_end(&p);
    }
}

static void print_summary(const struct hf_pairing *pairings, int count)
{
    hf_paragraph_print(0, "",
                       "A pairing is two classes that always make one class, wherever they "
                       "lie without a common note: 3-12 (048, augmented triad) with 3-5 "
                       "(016) always makes 6-Z17.");
    hf_paragraph_print(0, "", "There are %d with at most nine notes together:", count);
    print_sizes(pairings, count);
    printf("\nOptions that list some of them, alone or together:\n"
           "  --held 3-12      those of one held class\n"
           "  --added 016      those with one added class\n"
           "  --result 6-Z17   those that make one class\n"
           "  --size 3         those whose added class has three notes\n"
           "  --at-most 2      also what makes one of two classes, as the sets lie\n"
           "  --all            all, also those with ten to twelve notes together\n"
           "For example:\n  ");
    hf_cli_print_file(hf_cli_called());
    printf(" pairings --held 3-12 --size 3\n");
}

void hf_pairings_page(const struct hf_pairings *asked, struct hf_pairing found[HF_PAIRINGS_MOST],
                      int count)
{
    if (!asked->narrowed) {
        print_summary(found, count);
        return;
    }
    if (!count) {
        print_reason(asked, found);
        return;
    }
    print_head(asked, count);
    print_table(asked, found, count);
    print_practice(asked, choose_example(found, count));
    if (!asked->all && !asked->held && !asked->added && !asked->result)
        printf("Unions of ten to twelve notes are left out: --all shows them.\n");
}
