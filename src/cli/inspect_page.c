/* SPDX-License-Identifier: MIT */
/* The page of `inspect` for a reader without a manual. Invariant: every line says in words what its
 * numbers mean; nothing is computed here that theory does not give. */
#include <holdfast/inspect.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/pairing.h>

enum { LABEL = 18, SPLITS_SHOWN = 20, VOICES_MOST = HF_NOTES_MOST };

static void label(const char *text)
{
    printf("%-*s", LABEL, text);
}

static void print_list(hf_pcset set, const char *between)
{
    bool any = false;
    for (int n = 0; n < HF_PCS; n++)
        if (hf_pcset_has(set, n)) {
            printf("%s%d", any ? between : "", n);
            any = true;
        }
}

/* A list's notes from low to high, to show where each half lies. */
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
    printf("%s\n", hf_notes_format(notes, asked->query.names, given));
    hf_query_nickname(notes, asked->query.names, nickname);
    printf("%s", hf_query_count(notes->count, "note", "notes", count));
    if (notes->count > hf_pcset_size(notes->set))
        printf(", %d different", hf_pcset_size(notes->set));
    printf("%s%s%s\n\n", nickname[0] ? ": " : "", nickname,
           has_voicing(notes) ? " (sounding octaves; C4 is middle C)" : "");
}

static void print_set(const struct hf_inspect *asked, const struct hf_notes *notes)
{
    int pcs[HF_PCS], size = hf_pcset_normal(notes->set, pcs);
    char spelled[HF_QUERY_TEXT];
    label("Pitch classes");
    if (!size) {
        printf("none\n");
        return;
    }
    print_list(notes->set, " ");
    printf("   (C is 0)\n");
    label("Normal order");
    for (int i = 0; i < size; i++) {
        hf_query_spell_in((hf_pcset)(1u << pcs[i]), notes, asked->query.names, spelled);
        printf("%s%s", i ? " " : "", spelled);
    }
    printf("%s\n", size > 1 ? "   (closest together)" : "");
}

static void print_class(const struct hf_setclass *class)
{
    char by_rahn[HF_PCSET_TEXT], by_forte[HF_PCSET_TEXT];
    label("Set class");
    printf("%s, prime form %s", class->name, hf_pcset_format(class->prime, by_rahn));
    if (class->prime == class->prime_forte)
        printf(" (by Rahn's rule and by Forte's)\n");
    else
        printf(" by Rahn's rule, %s by Forte's\n", hf_pcset_format(class->prime_forte, by_forte));
    if (hf_setclass_all_trichord(class)) {
        label("");
        printf("the all-trichord hexachord: the only six-note class with all twelve trichords\n");
    }
}

static void print_vector(const struct hf_setclass *class)
{
    static const char *const one[] = {"semitone",    "whole tone", "minor third",
                                      "major third", "fourth",     "tritone"};
    static const char *const many[] = {"semitones",    "whole tones", "minor thirds",
                                       "major thirds", "fourths",     "tritones"};
    bool any = false;
    char count[HF_QUERY_TEXT];
    label("Interval vector");
    for (int i = 0; i < 6; i++)
        printf("%s%d", class->icv[0] > 9 && i ? " " : "", class->icv[i]);
    for (int i = 0; i < 6; i++) {
        if (!class->icv[i])
            continue;
        printf("%s%s", any ? ", " : "   ", hf_query_count(class->icv[i], one[i], many[i], count));
        any = true;
    }
    printf("%s\n", any ? "" : "   no intervals");
}

static void print_symmetry(const struct hf_setclass *class, hf_pcset set)
{
    hf_pcset moves = hf_pcset_maps_tn(set, set) & (hf_pcset)~1u;
    hf_pcset mirrors = hf_pcset_maps_tni(set, set);
    char forms[HF_QUERY_TEXT];
    label("Symmetry");
    hf_query_count(class->forms, "form in all", "forms in all", forms);
    if (class->forms == 1) {
        printf("complete: moved or mirrored in any way it stays the same\n");
        return;
    }
    if (moves) {
        printf("the same notes again when moved up by ");
        print_list(moves, ", ");
        printf(" semitones;\n");
        label("");
    }
    if (mirrors) {
        printf("its own mirror image: each number taken from ");
        print_list(mirrors, ", ");
        printf(" gives the same notes;\n");
        label("");
    }
    printf("%s%s\n", moves || mirrors ? "" : "none; ", forms);
}

static void print_relatives(const struct hf_inspect *asked, const struct hf_notes *notes)
{
    const struct hf_setclass *class = hf_setclass_of(notes->set);
    hf_pcset rest = hf_pcset_complement(notes->set);
    char spelled[HF_QUERY_TEXT], name[HF_QUERY_TEXT];
    label("Complement");
    printf("%s   %s, the notes that are missing\n",
           rest ? hf_query_spell(rest, asked->query.names, spelled) : "{}",
           hf_query_describe(class->complement, name));
    label("Z-partner");
    if (class->z)
        printf("%s, another class with the same interval vector\n",
               hf_query_describe(class->z, name));
    else
        printf("none: no other class has this interval vector\n");
}

static void print_trichords(hf_pcset set)
{
    int census[HF_SETCLASSES], shown = 0;
    const struct hf_setclass *class;
    hf_setclass_census(set, 3, census);
    label("Trichords");
    for (int number = 1; (class = hf_setclass_find(3, number)) != NULL; number++) {
        char name[HF_PCSET_TEXT], cell[40];
        if (!census[class->index])
            continue;
        if (shown)
            printf(shown % 4 == 0 ? "\n%*s" : "%*s", shown % 4 == 0 ? LABEL : 0, "");
        snprintf(cell, sizeof cell, "%s (%s): %d", class->name, hf_pcset_format(class->prime, name),
                 census[class->index]);
        printf(shown % 4 == 3 ? "%s" : "%-17s", cell);
        shown++;
    }
    printf("%s\n", shown ? "" : "none: fewer than three notes");
}

/* ---- voicing and halves ---------------------------------------------------------------------- */

static void print_voicing(const struct hf_notes *notes, const struct voicing *voicing)
{
    if (voicing->count == 0)
        return;
    label("Voicing");
    for (int i = 0; i < voicing->count; i++)
        printf("%s%s", i ? "  " : "", voicing->name[i]);
    printf("   (low to high)\n");
    if (voicing->count == 1)
        return;
    label("Spacing");
    for (int i = 1; i < voicing->count; i++)
        printf("%s%d", i > 1 ? " " : "",
               notes->note[voicing->index[i]].midi - notes->note[voicing->index[i - 1]].midi);
    printf("   semitones from each note to the next, %d in all\n",
           notes->note[voicing->index[voicing->count - 1]].midi -
               notes->note[voicing->index[0]].midi);
}

/* The notes of a half under those of the whole, the others as dots. */
static void print_place(const struct hf_inspect *asked, const struct hf_notes *notes,
                        const struct voicing *voicing, hf_pcset half)
{
    char spelled[HF_QUERY_TEXT];
    hf_query_spell_in(half, notes, asked->query.names, spelled);
    printf("%*s  %-12s ", LABEL, "", spelled);
    for (int i = 0; i < voicing->count; i++) {
        bool in = hf_pcset_has(half, notes->note[voicing->index[i]].pc);
        int pad = i + 1 < voicing->count ? (int)strlen(voicing->name[i]) : 0;
        printf(" %-*s", pad, in ? voicing->name[i] : ".");
    }
    printf("\n");
}

static void print_split(const struct hf_inspect *asked, const struct hf_notes *notes,
                        const struct voicing *voicing, const struct hf_split *split)
{
    char held[HF_QUERY_TEXT], added[HF_QUERY_TEXT], one[HF_QUERY_TEXT], other[HF_QUERY_TEXT];
    printf("%s + %s   %s with %s\n",
           hf_query_spell_in(split->held, notes, asked->query.names, held),
           hf_query_spell_in(split->added, notes, asked->query.names, added),
           hf_query_describe(hf_setclass_of(split->held), one),
           hf_query_describe(hf_setclass_of(split->added), other));
    if (!has_voicing(notes))
        return;
    print_place(asked, notes, voicing, split->held);
    print_place(asked, notes, voicing, split->added);
}

static void print_halves(const struct hf_inspect *asked, const struct hf_notes *notes,
                         const struct voicing *voicing)
{
    static struct hf_split splits[HF_SPLITS_MOST];
    const char *name = hf_setclass_of(notes->set)->name;
    int count = hf_pairing_splits(notes->set, splits);
    label("Halves");
    if (!count) {
        printf("none: no two classes that always make %s\n", name);
        return;
    }
    printf("two classes that make %s however they are placed, as long as no note is shared:\n",
           name);
    for (int i = 0; i < count && i < SPLITS_SHOWN; i++) {
        printf("%*s", LABEL, "");
        print_split(asked, notes, voicing, &splits[i]);
    }
    if (count > SPLITS_SHOWN)
        printf("%*sand %d more, %d in all (--json lists them)\n", LABEL, "", count - SPLITS_SHOWN,
               count);
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
    label("  Movement");
    if (total < 0) {
        printf("none given: the two have not the same number of notes\n");
        return;
    }
    printf("%s in all, by the nearest way\n", hf_query_count(total, "semitone", "semitones", from));
    for (int i = 0; i < count; i++) {
        hf_pcset there = (hf_pcset)(1u << hf_pc(pcs[i] + moves[i]));
        hf_query_spell_in((hf_pcset)(1u << pcs[i]), notes, asked->query.names, from);
        hf_query_spell_in(there, other, asked->query.names, to);
        printf("%*s%s ", LABEL + 2, "", from);
        if (moves[i])
            printf("%s %d to %s\n", moves[i] > 0 ? "up" : "down", abs(moves[i]), to);
        else
            printf("stays\n");
    }
}

static void print_comparison(const struct hf_inspect *asked, const struct hf_notes *notes)
{
    const struct hf_notes *other = &asked->against;
    hf_pcset shared = notes->set & other->set;
    hf_pcset moved = hf_pcset_maps_tn(notes->set, other->set);
    hf_pcset turned = hf_pcset_maps_tni(notes->set, other->set);
    char text[HF_QUERY_TEXT], list[HF_NOTES_TEXT];
    printf("\nAgainst %s: %s\n", hf_notes_format(other, asked->query.names, list),
           hf_query_describe(hf_setclass_of(other->set), text));
    label("  Shared notes");
    printf("%s\n", shared ? hf_query_spell_in(shared, notes, asked->query.names, text) : "none");
    label("  Same shape");
    if (!moved && !turned)
        printf("no: no transposition or inversion gives the other");
    if (moved) {
        printf("yes: moved up (T) by ");
        print_list(moved, ", ");
    }
    if (turned) {
        printf(moved ? "; or mirrored (I), each number taken from "
                     : "yes: mirrored (I), each number taken from ");
        print_list(turned, ", ");
    }
    printf("\n");
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
    print_halves(asked, notes, &voicing);
    if (asked->subsets >= 0)
        print_subsets(asked, notes);
    if (asked->compares)
        print_comparison(asked, notes);
}
