/* SPDX-License-Identifier: MIT */
/* Invariant: every pair of parts of a chord is tried; none is left out for speed but those whose
 * sizes cannot fit. */
#include <holdfast/chord.h>

#include <stdlib.h>
#include <string.h>

#include <holdfast/pairing.h>

enum { MIDI_MOST = 127 };

struct hf_chord_wish hf_chord_wish_of(const struct hf_setclass *added,
                                      const struct hf_setclass *result)
{
    struct hf_chord_wish wish = {.added = added, .result = result, .certain = true};
    const struct hf_setclass *usual = hf_setclass_find(3, 5);
    wish.whole = !result;
    if (!result && (!added || added == usual))
        wish = (struct hf_chord_wish){.held = hf_setclass_find(3, 12), .added = usual};
    return wish;
}

static bool is_class(hf_pcset set, const struct hf_setclass *wanted)
{
    return !wanted || hf_setclass_of(set) == wanted;
}

static bool is_certain(hf_pcset held, hf_pcset added)
{
    struct hf_pairing pairing;
    hf_pairing_of(hf_setclass_of(held), hf_setclass_of(added), &pairing);
    return pairing.results == 1;
}

/* Where neither class is named each two halves would come twice: held is that of hf_pairing_holds.
 */
static bool is_arranged(hf_pcset held, hf_pcset added)
{
    const struct hf_setclass *one = hf_setclass_of(held), *other = hf_setclass_of(added);
    return one == other ? hf_pcset_compare(held, added) < 0 : hf_pairing_holds(one, other);
}

static bool fits(hf_pcset chord, hf_pcset held, hf_pcset added, const struct hf_chord_wish *wish)
{
    if (!held || !added || (wish->whole && (held | added) != chord))
        return false;
    if (!is_class(held, wish->held) || !is_class(added, wish->added) ||
        !is_class(held | added, wish->result))
        return false;
    if (!wish->held && !wish->added && !is_arranged(held, added))
        return false;
    return !wish->certain || is_certain(held, added);
}

static int compare_splits(const struct hf_chord_split *a, const struct hf_chord_split *b)
{
    const struct hf_setclass *one = hf_setclass_of(a->held), *other = hf_setclass_of(b->held);
    if (one->forms != other->forms)
        return one->forms - other->forms;
    if (one->size != other->size)
        return other->size - one->size;
    int by_held = hf_pcset_compare(a->held, b->held);
    return by_held ? by_held : hf_pcset_compare(a->added, b->added);
}

/* Keeps the list in order; what falls off its end is only counted. */
static void insert_split(struct hf_chord_split *out, int count, struct hf_chord_split split)
{
    int at = count < HF_CHORD_SPLITS_MOST ? count : HF_CHORD_SPLITS_MOST;
    for (; at > 0 && compare_splits(&split, &out[at - 1]) < 0; at--)
        if (at < HF_CHORD_SPLITS_MOST)
            out[at] = out[at - 1];
    if (at < HF_CHORD_SPLITS_MOST)
        out[at] = split;
}

int hf_chord_splits(hf_pcset chord, const struct hf_chord_wish *wish,
                    struct hf_chord_split out[HF_CHORD_SPLITS_MOST])
{
    int count = 0;
    for (unsigned added = chord; added; added = (added - 1) & chord) {
        if (!is_class((hf_pcset)added, wish->added))
            continue;
        hf_pcset left = (hf_pcset)(chord & ~added);
        for (unsigned held = left; held; held = (held - 1) & left)
            if (fits(chord, (hf_pcset)held, (hf_pcset)added, wish))
                insert_split(out, count++,
                             (struct hf_chord_split){(hf_pcset)held, (hf_pcset)added,
                                                     (hf_pcset)(left & ~held)});
    }
    return count;
}

static int moved_notes(const struct hf_chord_near *near)
{
    int moved = 0;
    for (int i = 0; i < HF_PCS; i++)
        moved += near->moves[i] != 0;
    return moved;
}

static int compare_near(const void *left, const void *right)
{
    const struct hf_chord_near *a = left, *b = right;
    if (a->movement != b->movement)
        return a->movement - b->movement;
    if (moved_notes(a) != moved_notes(b))
        return moved_notes(a) - moved_notes(b);
    return hf_pcset_compare(a->set, b->set);
}

int hf_chord_near(hf_pcset chord, const struct hf_chord_wish *wish,
                  struct hf_chord_near out[HF_CHORD_NEAR_MOST])
{
    hf_pcset sets[HF_SUBSETS_MOST];
    struct hf_chord_near near[HF_SUBSETS_MOST] = {{0}};
    struct hf_chord_split splits[HF_CHORD_SPLITS_MOST];
    int found = 0, count = hf_pcset_subsets(HF_PCSET_ALL, hf_pcset_size(chord), sets);
    for (int i = 0; i < count; i++) {
        near[i].set = sets[i];
        near[i].movement = hf_pcset_movement(chord, sets[i], near[i].moves);
    }
    qsort(near, (size_t)count, sizeof *near, compare_near);
    for (int i = 0; i < count && found < HF_CHORD_NEAR_MOST; i++) {
        if (found && near[i].movement > out[0].movement)
            break;
        if (near[i].movement > 0 && hf_chord_splits(near[i].set, wish, splits))
            out[found++] = near[i];
    }
    return found;
}

struct hf_notes hf_chord_part(const struct hf_notes *chord, hf_pcset part)
{
    struct hf_notes notes = {.kind = chord->kind};
    for (int i = 0; i < chord->count; i++)
        if (hf_pcset_has(part, chord->note[i].pc))
            notes.note[notes.count++] = chord->note[i];
    notes.set = chord->set & part;
    if (!notes.count)
        notes.kind = HF_NOTES_EMPTY;
    return notes;
}

/* A pitch that has moved is no longer a fret of its string, nor spelled by the player. */
static bool move_note(struct hf_note *note, int by)
{
    if (by == 0)
        return true;
    note->pc = hf_pc(note->pc + by);
    note->spelled = (struct hf_spelled){0, 0};
    note->string = note->fret = -1;
    if (note->midi == HF_NO_OCTAVE)
        return true;
    note->midi += by;
    return note->midi >= 0 && note->midi <= MIDI_MOST;
}

enum hf_status hf_chord_move(const struct hf_notes *chord, const struct hf_chord_near *near,
                             struct hf_notes *out, struct hf_diag *diag)
{
    struct hf_notes moved = *chord;
    int pcs[HF_PCS], count = hf_pcset_list(chord->set, pcs);
    for (int i = 0; i < moved.count; i++)
        for (int j = 0; j < count; j++)
            if (chord->note[i].pc == pcs[j] && !move_note(&moved.note[i], near->moves[j]))
                return hf_fail(diag, HF_E_USAGE, "the moved chord would leave C-1 to G9");
    moved.set = near->set;
    if (moved.kind == HF_NOTES_FRETS)
        moved.kind = HF_NOTES_PITCHES;
    *out = moved;
    return HF_OK;
}
