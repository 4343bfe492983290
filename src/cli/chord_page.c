/* SPDX-License-Identifier: MIT */
/* What a player is told of a chord's splits. Invariant: a split is chosen only where it is the only
 * one or was named; nothing is guessed. */
#include <holdfast/chord_page.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/paragraph.h>
#include <holdfast/query.h>

enum { LABEL = 10, NEAR_SHOWN = 6 };

/* "3-12 (048, augmented triad) and 3-5 (016)", or what of it is known. */
static char *describe_wish(const struct hf_chord_wish *wish, char text[2 * HF_QUERY_TEXT])
{
    char held[HF_QUERY_TEXT] = "any other notes", added[HF_QUERY_TEXT] = "";
    char result[HF_QUERY_TEXT] = "";
    if (wish->held)
        hf_query_describe(wish->held, held);
    if (wish->added)
        hf_query_describe(wish->added, added);
    if (wish->result)
        snprintf(result, sizeof result, " that make %.100s", wish->result->name);
    if (!wish->added)
        snprintf(text, 2 * HF_QUERY_TEXT, "two parts that always make %.100s", wish->result->name);
    else
        snprintf(text, 2 * HF_QUERY_TEXT, "%.100s and %.100s%.120s", held, added, result);
    return text;
}

static void print_chord(const struct hf_notes *chord, enum hf_names names)
{
    char list[HF_NOTES_TEXT], class[HF_QUERY_TEXT];
    hf_paragraph_print(LABEL, "Chord", "%s   %s", hf_notes_format(chord, names, list),
                       hf_query_describe(hf_setclass_of(chord->set), class));
}

/* "C4 E4 G#4 + D3 G3 C#5   3-12 (048, augmented triad) with 3-5 (016)", and what is left over. */
static void print_split(const char *label, const struct hf_notes *chord,
                        const struct hf_chord_split *split, enum hf_names names)
{
    struct hf_notes held = hf_chord_part(chord, split->held);
    struct hf_notes added = hf_chord_part(chord, split->added);
    struct hf_notes rest = hf_chord_part(chord, split->rest);
    char list[HF_NOTES_TEXT], class[HF_QUERY_TEXT];
    struct hf_paragraph p;
    hf_paragraph_begin(&p, LABEL, label);
    hf_paragraph_add_whole(&p, "%s + ", hf_notes_format(&held, names, list));
    hf_paragraph_add_whole(&p, "%s", hf_notes_format(&added, names, list));
    hf_paragraph_add(&p, "   ");
    hf_paragraph_add_whole(&p, "%s", hf_query_describe(hf_setclass_of(split->held), class));
    hf_paragraph_add(&p, " with ");
    hf_paragraph_add_whole(&p, "%s", hf_query_describe(hf_setclass_of(split->added), class));
    if (rest.count)
        hf_paragraph_add(&p, ", leaving out %s", hf_notes_format(&rest, names, list));
    hf_paragraph_end(&p);
}

/* ---- none ------------------------------------------------------------------------------------ */

/* "G#4 up 1 to A4, ..." */
static void describe_moves(const struct hf_notes *chord, const struct hf_notes *moved,
                           const struct hf_chord_near *near, enum hf_names names,
                           char text[HF_QUERY_TEXT])
{
    int pcs[HF_PCS], count = hf_pcset_list(chord->set, pcs);
    size_t length = 0;
    text[0] = '\0';
    for (int i = 0; i < chord->count; i++) {
        char from[HF_SPELLED_TEXT], to[HF_SPELLED_TEXT];
        int by = 0;
        for (int j = 0; j < count; j++)
            if (pcs[j] == chord->note[i].pc)
                by = near->moves[j];
        if (!by || length >= HF_QUERY_TEXT)
            continue;
        int wrote = snprintf(text + length, HF_QUERY_TEXT - length, "%s%s %s %d to %s",
                             length ? ", " : "", hf_note_format(chord, i, names, from),
                             by > 0 ? "up" : "down", abs(by), hf_note_format(moved, i, names, to));
        length += wrote > 0 ? (size_t)wrote : 0;
    }
}

static void print_near(const struct hf_notes *moved, const struct hf_chord_near *near,
                       const struct hf_chord_wish *wish, const char *moves, enum hf_names names)
{
    struct hf_chord_split splits[HF_CHORD_SPLITS_MOST];
    struct hf_paragraph p;
    hf_paragraph_hang(&p, 2, LABEL);
    hf_paragraph_add(&p, "move %s:", moves);
    hf_paragraph_end(&p);
    if (hf_chord_splits(near->set, wish, splits))
        print_split("", moved, &splits[0], names);
}

static enum hf_status tell_near(const struct hf_notes *chord, const struct hf_chord_wish *wish,
                                enum hf_names names, struct hf_diag *diag)
{
    struct hf_chord_near near[HF_CHORD_NEAR_MOST];
    int count = hf_chord_near(chord->set, wish, near), shown = 0;
    char moves[HF_QUERY_TEXT], wanted[2 * HF_QUERY_TEXT];
    hf_fail(diag, HF_E_USAGE, "the chord does not split into %s", describe_wish(wish, wanted));
    hf_paragraph_print(LABEL, "", "it does not split into %s", wanted);
    for (int i = 0; i < count && shown < NEAR_SHOWN; i++) {
        struct hf_notes moved;
        struct hf_diag outside;
        if (hf_chord_move(chord, &near[i], &moved, &outside) != HF_OK)
            continue;
        describe_moves(chord, &moved, &near[i], names, moves);
        if (!shown++) {
            printf("Nearest   chords of as many notes that do:\n");
            hf_advise(diag, "the nearest that does: move %s", moves);
        }
        print_near(&moved, &near[i], wish, moves, names);
    }
    if (!shown) {
        printf("Nearest   none: no chord of %d different notes does\n", hf_pcset_size(chord->set));
        hf_advise(diag, "no chord of %d different notes does", hf_pcset_size(chord->set));
    }
    return HF_E_USAGE;
}

/* ---- several --------------------------------------------------------------------------------- */

static enum hf_status tell_several(const struct hf_notes *chord,
                                   const struct hf_chord_split *splits, int count,
                                   enum hf_names names, struct hf_diag *diag)
{
    printf("Splits    %d ways; --split N picks one:\n", count);
    for (int i = 0; i < count && i < HF_CHORD_SPLITS_MOST; i++) {
        char label[LABEL + 8];
        snprintf(label, sizeof label, "%6d", i + 1);
        print_split(label, chord, &splits[i], names);
    }
    if (count > HF_CHORD_SPLITS_MOST)
        printf("          and %d more\n", count - HF_CHORD_SPLITS_MOST);
    hf_fail(diag, HF_E_USAGE, "the chord splits in %d ways", count);
    hf_advise(diag, "choose one of those above: --split 1 to %d",
              count < HF_CHORD_SPLITS_MOST ? count : HF_CHORD_SPLITS_MOST);
    return HF_E_USAGE;
}

/* The wish, loosened where the class to be added is named and lies in no certain pairing. */
static struct hf_chord_wish possible_wish(hf_pcset chord, const struct hf_chord_wish *wish)
{
    struct hf_chord_split splits[HF_CHORD_SPLITS_MOST];
    struct hf_chord_wish possible = *wish;
    if (wish->added && !hf_chord_splits(chord, wish, splits))
        possible.certain = false;
    return possible;
}

enum hf_status hf_chord_choose(const struct hf_notes *chord, const struct hf_chord_wish *asked,
                               int number, enum hf_names names, struct hf_chord_split *out,
                               struct hf_diag *diag)
{
    struct hf_chord_split splits[HF_CHORD_SPLITS_MOST];
    struct hf_chord_wish wish = possible_wish(chord->set, asked);
    int count = hf_chord_splits(chord->set, &wish, splits);
    int kept = count < HF_CHORD_SPLITS_MOST ? count : HF_CHORD_SPLITS_MOST;
    print_chord(chord, names);
    if (!count)
        return tell_near(chord, &wish, names, diag);
    if (number == 0 && count > 1)
        return tell_several(chord, splits, count, names, diag);
    if (number < 0 || number > kept) {
        hf_fail(diag, HF_E_USAGE, "there is no split %d of this chord", number);
        hf_advise(diag, kept == 1 ? "it has one: leave --split out" : "it has %d: --split 1 to %d",
                  kept, kept);
        return HF_E_USAGE;
    }
    *out = splits[number ? number - 1 : 0];
    print_split("Split", chord, out, names);
    return HF_OK;
}
