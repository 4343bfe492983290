/* SPDX-License-Identifier: MIT */
/* The page of `inspect` for a reader without a manual. Invariant: every line says in words what its
 * numbers mean, with the theory's own name beside them; nothing is computed here that theory does
 * not give. */
#include <holdfast/inspect.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/pairing.h>
#include <holdfast/paragraph.h>

enum { LABEL = 18, CELL = 16, PLACE = 6, SPLITS_SHOWN = 20, VOICES_MOST = HF_NOTES_MOST };

/* "3, 6 or 9"; `last` stands before the last number. */
static void add_numbers(struct hf_paragraph *p, hf_pcset set, const char *last)
{
    int left = hf_pcset_size(set);
    for (int n = 0; n < HF_PCS; n++)
        if (hf_pcset_has(set, n)) {
            left--;
            hf_paragraph_add(p, "%d%s", n, left > 1 ? ", " : left == 1 ? last : "");
        }
}

/* "(T4 T8)" for transpositions, "(T2I)" for inversions. */
static void add_operations(struct hf_paragraph *p, hf_pcset set, const char *suffix)
{
    bool any = false;
    for (int n = 0; n < HF_PCS; n++)
        if (hf_pcset_has(set, n)) {
            hf_paragraph_add_whole(p, "%sT%d%s", any ? " " : "(", n, suffix);
            any = true;
        }
    hf_paragraph_add(p, ")");
}

/* A list's notes from low to high, to show where each part lies. */
struct voicing {
    int count;
    int index[VOICES_MOST]; /* into the list */
    char name[VOICES_MOST][HF_SPELLED_TEXT];
};

static struct voicing voicing_of(const struct hf_notes *notes, enum hf_names names)
{
    struct voicing voicing = {.count = notes->count};
    for (int i = 0; i < notes->count; i++) {
        int at = i;
        for (; at > 0 && notes->note[voicing.index[at - 1]].midi > notes->note[i].midi; at--)
            voicing.index[at] = voicing.index[at - 1];
        voicing.index[at] = i;
    }
    for (int i = 0; i < notes->count; i++)
        hf_note_format(notes, voicing.index[i], names, voicing.name[i]);
    return voicing;
}

static bool has_voicing(const struct hf_notes *notes)
{
    return notes->kind == HF_NOTES_PITCHES || notes->kind == HF_NOTES_FRETS;
}

/* ---- what it is ------------------------------------------------------------------------------ */

static void print_head(const struct hf_inspect *asked, const struct hf_notes *notes)
{
    char given[HF_NOTES_TEXT], count[HF_QUERY_TEXT], nickname[HF_QUERY_TEXT];
    struct hf_paragraph p;
    hf_paragraph_print(0, "", "%s", hf_notes_format(notes, asked->query.names, given));
    hf_query_nickname(notes, asked->query.names, nickname);
    hf_paragraph_begin(&p, 0, "");
    hf_paragraph_add(&p, "%s", hf_query_count(notes->count, "note", "notes", count));
    if (notes->count > hf_pcset_size(notes->set))
        hf_paragraph_add(&p, ", %d different", hf_pcset_size(notes->set));
    hf_paragraph_add(&p, "%s%s%s", nickname[0] ? ": " : "", nickname,
                     has_voicing(notes) ? " (sounding octaves; C4 is middle C)" : "");
    hf_paragraph_end(&p);
    printf("\n");
}

static void print_set(const struct hf_inspect *asked, const struct hf_notes *notes)
{
    int pcs[HF_PCS], size = hf_pcset_normal(notes->set, pcs);
    char spelled[HF_QUERY_TEXT];
    struct hf_paragraph p;
    hf_paragraph_begin(&p, LABEL, "Pitch classes");
    if (!size) {
        hf_paragraph_add(&p, "none");
        hf_paragraph_end(&p);
        return;
    }
    for (int n = 0; n < HF_PCS; n++)
        if (hf_pcset_has(notes->set, n))
            hf_paragraph_add(&p, "%d ", n);
    hf_paragraph_add(&p, "  (C is 0)");
    hf_paragraph_end(&p);
    hf_paragraph_begin(&p, LABEL, "Normal order");
    for (int i = 0; i < size; i++) {
        hf_query_spell_in((hf_pcset)(1u << pcs[i]), notes, asked->query.names, spelled);
        hf_paragraph_add(&p, "%s%s", i ? " " : "", spelled);
    }
    hf_paragraph_add(&p, "%s", size > 1 ? "   (closest together)" : "");
    hf_paragraph_end(&p);
}

static void print_class(const struct hf_setclass *class)
{
    char by_rahn[HF_PCSET_TEXT], by_forte[HF_PCSET_TEXT];
    hf_pcset_format(class->prime, by_rahn);
    hf_pcset_format(class->prime_forte, by_forte);
    if (class->prime == class->prime_forte)
        hf_paragraph_print(LABEL, "Set class", "%s, prime form %s (by Rahn's rule and by Forte's)",
                           class->name, by_rahn);
    else
        hf_paragraph_print(LABEL, "Set class", "%s, prime form %s by Rahn's rule, %s by Forte's",
                           class->name, by_rahn, by_forte);
    if (hf_setclass_all_trichord(class))
        hf_paragraph_print(LABEL, "", "the only six-note class that holds all twelve trichords");
}

static void print_vector(const struct hf_setclass *class)
{
    static const char *const one[] = {"semitone",    "whole tone", "minor third",
                                      "major third", "fourth",     "tritone"};
    static const char *const many[] = {"semitones",    "whole tones", "minor thirds",
                                       "major thirds", "fourths",     "tritones"};
    bool any = false;
    char count[HF_QUERY_TEXT];
    struct hf_paragraph p;
    hf_paragraph_begin(&p, LABEL, "Interval vector");
    for (int i = 0; i < 6; i++)
        hf_paragraph_add_whole(&p, "%s%d", class->icv[0] > 9 && i ? " " : "", class->icv[i]);
    for (int i = 0; i < 6; i++) {
        if (!class->icv[i])
            continue;
        hf_paragraph_add(&p, "%s", any ? ", " : "   ");
        hf_paragraph_add_whole(&p, "%s", hf_query_count(class->icv[i], one[i], many[i], count));
        any = true;
    }
    hf_paragraph_add(&p, "%s", any ? "" : "   no intervals");
    hf_paragraph_end(&p);
}

static void print_symmetry(const struct hf_setclass *class, hf_pcset set)
{
    hf_pcset moves = hf_pcset_maps_tn(set, set) & (hf_pcset)~1u;
    hf_pcset mirrors = hf_pcset_maps_tni(set, set);
    const char *label = "Symmetry";
    char forms[HF_QUERY_TEXT];
    struct hf_paragraph p;
    if (class->forms == 1) {
        hf_paragraph_print(LABEL, label,
                           "complete: moved or mirrored in any way it stays the same");
        return;
    }
    if (moves) {
        hf_paragraph_begin(&p, LABEL, label);
        hf_paragraph_add(&p, "the same notes again when moved up by ");
        add_numbers(&p, moves, " or ");
        hf_paragraph_add(&p, " semitones ");
        add_operations(&p, moves, "");
        hf_paragraph_add(&p, ";");
        hf_paragraph_end(&p);
        label = "";
    }
    if (mirrors) {
        hf_paragraph_begin(&p, LABEL, label);
        hf_paragraph_add(&p, "its own mirror image: each number taken from ");
        add_numbers(&p, mirrors, " or ");
        hf_paragraph_add(&p, " gives the same notes ");
        add_operations(&p, mirrors, "I");
        hf_paragraph_add(&p, ";");
        hf_paragraph_end(&p);
        label = "";
    }
    hf_paragraph_print(LABEL, label, "%s%s", moves || mirrors ? "" : "none; ",
                       hf_query_count(class->forms, "form in all", "forms in all", forms));
}

static void print_relatives(const struct hf_inspect *asked, const struct hf_notes *notes)
{
    const struct hf_setclass *class = hf_setclass_of(notes->set);
    hf_pcset rest = hf_pcset_complement(notes->set);
    char spelled[HF_QUERY_TEXT], name[HF_QUERY_TEXT];
    struct hf_paragraph p;
    hf_paragraph_begin(&p, LABEL, "Complement");
    hf_paragraph_add_whole(&p, "%s", hf_query_spell(rest, asked->query.names, spelled));
    hf_paragraph_add(&p, "   ");
    hf_paragraph_add_whole(&p, "%s,", hf_query_describe(class->complement, name));
    hf_paragraph_add(&p, " the missing notes");
    hf_paragraph_end(&p);
    if (class->z)
        hf_paragraph_print(LABEL, "Z-partner", "%s, another class with the same interval vector",
                           hf_query_describe(class->z, name));
    else
        hf_paragraph_print(LABEL, "Z-partner", "none: no other class has this interval vector");
}

static void print_trichords(hf_pcset set)
{
    int census[HF_SETCLASSES], shown = 0, blanks = 0;
    const struct hf_setclass *class;
    struct hf_paragraph p;
    hf_setclass_census(set, 3, census);
    hf_paragraph_begin(&p, LABEL, "Trichords");
    for (int number = 1; (class = hf_setclass_find(3, number)) != NULL; number++) {
        char name[HF_PCSET_TEXT], cell[40];
        if (!census[class->index])
            continue;
        if (shown && shown % 4 == 0) {
            hf_paragraph_end(&p);
            hf_paragraph_begin(&p, LABEL, "");
        }
        snprintf(cell, sizeof cell, "%s (%s): %d", class->name, hf_pcset_format(class->prime, name),
                 census[class->index]);
        hf_paragraph_add(&p, "%*s", blanks, "");
        hf_paragraph_add_whole(&p, "%s", cell);
        blanks = shown % 4 == 3 ? 0 : CELL - (int)strlen(cell);
        shown++;
    }
    hf_paragraph_add(&p, "%s", shown ? "" : "none: fewer than three notes");
    hf_paragraph_end(&p);
}

/* ---- voicing and splits ---------------------------------------------------------------------- */

static void print_voicing(const struct hf_notes *notes, const struct voicing *voicing)
{
    struct hf_paragraph p;
    if (voicing->count == 0)
        return;
    hf_paragraph_begin(&p, LABEL, "Voicing");
    for (int i = 0; i < voicing->count; i++)
        hf_paragraph_add(&p, "%s%s", i ? "  " : "", voicing->name[i]);
    hf_paragraph_add(&p, "   (low to high)");
    hf_paragraph_end(&p);
    if (voicing->count == 1)
        return;
    hf_paragraph_begin(&p, LABEL, "Spacing");
    for (int i = 1; i < voicing->count; i++)
        hf_paragraph_add(&p, "%s%d", i > 1 ? " " : "",
                         notes->note[voicing->index[i]].midi -
                             notes->note[voicing->index[i - 1]].midi);
    hf_paragraph_add(&p, "   semitones from each note to the next, %d in all",
                     notes->note[voicing->index[voicing->count - 1]].midi -
                         notes->note[voicing->index[0]].midi);
    hf_paragraph_end(&p);
}

/* The notes of a part under those of the whole, the others as dots. */
static void print_place(const struct voicing *voicing, const struct hf_notes *notes, hf_pcset part,
                        const char *names, int width)
{
    struct hf_paragraph p;
    hf_paragraph_hang(&p, PLACE, PLACE);
    if (width)
        hf_paragraph_add_whole(&p, "%-*s ", width, names);
    for (int i = 0; i < voicing->count; i++) {
        bool in = hf_pcset_has(part, notes->note[voicing->index[i]].pc);
        hf_paragraph_add(&p, " %-*s", (int)strlen(voicing->name[i]), in ? voicing->name[i] : ".");
    }
    hf_paragraph_end(&p);
}

/* Both parts of a split, with their names before them where there is room. */
static void print_places(const struct voicing *voicing, const struct hf_notes *notes,
                         const struct hf_split *split, const char *held, const char *added)
{
    size_t width = strlen(held) > strlen(added) ? strlen(held) : strlen(added), notes_width = 0;
    for (int i = 0; i < voicing->count; i++)
        notes_width += 1 + strlen(voicing->name[i]);
    if (PLACE + width + 1 + notes_width > HF_PARAGRAPH_WIDTH)
        width = 0;
    print_place(voicing, notes, split->held, held, (int)width);
    print_place(voicing, notes, split->added, added, (int)width);
}

static void print_split(const struct hf_inspect *asked, const struct hf_notes *notes,
                        const struct voicing *voicing, const struct hf_split *split)
{
    char held[HF_QUERY_TEXT], added[HF_QUERY_TEXT], class[HF_QUERY_TEXT];
    struct hf_paragraph p;
    hf_query_spell_in(split->held, notes, asked->query.names, held);
    hf_query_spell_in(split->added, notes, asked->query.names, added);
    hf_paragraph_hang(&p, 2, PLACE);
    hf_paragraph_add_whole(&p, "%s + %s", held, added);
    hf_paragraph_add(&p, "   ");
    hf_paragraph_add_whole(&p, "%s", hf_query_describe(hf_setclass_of(split->held), class));
    hf_paragraph_add(&p, " with ");
    hf_paragraph_add_whole(&p, "%s", hf_query_describe(hf_setclass_of(split->added), class));
    hf_paragraph_end(&p);
    if (has_voicing(notes))
        print_places(voicing, notes, split, held, added);
}

static void print_splits(const struct hf_inspect *asked, const struct hf_notes *notes,
                         const struct voicing *voicing)
{
    static struct hf_split splits[HF_SPLITS_MOST];
    const char *name = hf_setclass_of(notes->set)->name;
    int count = hf_pairing_splits(notes->set, splits);
    if (hf_pcset_size(notes->set) < 2) {
        hf_paragraph_print(LABEL, "Splits", "none: a split needs two notes or more");
        return;
    }
    if (!count) {
        hf_paragraph_print(LABEL, "Splits", "no split whose two classes always make %s", name);
        return;
    }
    hf_paragraph_print(LABEL, "Splits",
                       "two parts whose classes always make %s (no note shared):", name);
    for (int i = 0; i < count && i < SPLITS_SHOWN; i++)
        print_split(asked, notes, voicing, &splits[i]);
    if (count > SPLITS_SHOWN)
        printf("  and %d more, %d in all (--json lists them)\n", count - SPLITS_SHOWN, count);
}

/* ---- what was asked beside ------------------------------------------------------------------- */

static void print_subsets(const struct hf_inspect *asked, const struct hf_notes *notes)
{
    static hf_pcset found[HF_SUBSETS_MOST];
    int census[HF_SETCLASSES], count = hf_pcset_subsets(notes->set, asked->subsets, found);
    char text[HF_QUERY_TEXT];
    hf_setclass_census(notes->set, asked->subsets, census);
    printf("\nSubsets of %s: %d\n", hf_query_count(asked->subsets, "note", "notes", text), count);
    for (int c = 0; c < HF_SETCLASSES; c++) {
        const struct hf_setclass *class = hf_setclass_at(c);
        if (!census[c])
            continue;
        printf("  %s: %d\n", hf_query_describe(class, text), census[c]);
        for (int i = 0; i < count; i++)
            if (hf_setclass_of(found[i]) == class)
                printf("      %s\n", hf_query_spell_in(found[i], notes, asked->query.names, text));
    }
}

static void print_moves(const struct hf_inspect *asked, const struct hf_notes *notes)
{
    const struct hf_notes *other = &asked->against;
    int moves[HF_PCS], pcs[HF_PCS], count = hf_pcset_list(notes->set, pcs);
    int total = hf_pcset_movement(notes->set, other->set, moves);
    char from[HF_QUERY_TEXT], to[HF_QUERY_TEXT];
    if (total < 0) {
        hf_paragraph_print(LABEL, "  Movement",
                           "none given: the two have not the same number of notes");
        return;
    }
    hf_paragraph_print(LABEL, "  Movement", "%s in all, by the nearest way",
                       hf_query_count(total, "semitone", "semitones", from));
    for (int i = 0; i < count; i++) {
        hf_pcset there = (hf_pcset)(1u << hf_pc(pcs[i] + moves[i]));
        hf_query_spell_in((hf_pcset)(1u << pcs[i]), notes, asked->query.names, from);
        hf_query_spell_in(there, other, asked->query.names, to);
        if (moves[i])
            hf_paragraph_print(LABEL + 2, "", "%s %s %d to %s", from, moves[i] > 0 ? "up" : "down",
                               abs(moves[i]), to);
        else
            hf_paragraph_print(LABEL + 2, "", "%s stays", from);
    }
}

static void print_shape(hf_pcset moved, hf_pcset turned)
{
    struct hf_paragraph p;
    hf_paragraph_begin(&p, LABEL, "  Same shape");
    hf_paragraph_add(&p, moved || turned ? "yes: "
                                         : "no: no transposition or inversion gives the other");
    if (moved) {
        hf_paragraph_add(&p, "moved up by ");
        add_numbers(&p, moved, " or ");
        hf_paragraph_add(&p, " ");
        add_operations(&p, moved, "");
        hf_paragraph_add(&p, turned ? "; or " : "");
    }
    if (turned) {
        hf_paragraph_add(&p, "mirrored, each number taken from ");
        add_numbers(&p, turned, " or ");
        hf_paragraph_add(&p, " ");
        add_operations(&p, turned, "I");
    }
    hf_paragraph_end(&p);
}

static void print_comparison(const struct hf_inspect *asked, const struct hf_notes *notes)
{
    const struct hf_notes *other = &asked->against;
    hf_pcset shared = notes->set & other->set;
    char text[HF_QUERY_TEXT], list[HF_NOTES_TEXT];
    struct hf_paragraph p;
    hf_paragraph_hang(&p, 0, 2);
    hf_paragraph_add(&p, "Against %s: ", hf_notes_format(other, asked->query.names, list));
    hf_paragraph_add_whole(&p, "%s", hf_query_describe(hf_setclass_of(other->set), text));
    printf("\n");
    hf_paragraph_end(&p);
    hf_paragraph_print(LABEL, "  Shared notes", "%s",
                       shared ? hf_query_spell_in(shared, notes, asked->query.names, text)
                              : "none");
    print_shape(hf_pcset_maps_tn(notes->set, other->set),
                hf_pcset_maps_tni(notes->set, other->set));
    print_moves(asked, notes);
}

void hf_inspect_page(const struct hf_inspect *asked, const struct hf_notes *notes)
{
    const struct hf_setclass *class = hf_setclass_of(notes->set);
    struct voicing voicing = {0};
    if (has_voicing(notes))
        voicing = voicing_of(notes, asked->query.names);
    print_head(asked, notes);
    print_voicing(notes, &voicing);
    print_set(asked, notes);
    print_class(class);
    print_vector(class);
    print_symmetry(class, notes->set);
    print_relatives(asked, notes);
    print_trichords(notes->set);
    print_splits(asked, notes, &voicing);
    if (asked->subsets >= 0)
        print_subsets(asked, notes);
    if (asked->compares)
        print_comparison(asked, notes);
}
