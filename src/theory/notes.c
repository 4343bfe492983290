/* SPDX-License-Identifier: MIT */
/* Lists of notes once they are read. Invariants: `set` is the union of the notes' pitch classes; a
 * note with a MIDI number has the pitch class of that number. */
#include <holdfast/notes.h>

#include <stdio.h>
#include <string.h>

const struct hf_strings hf_strings_guitar = {6, {40, 45, 50, 55, 59, 64}, 24};

enum { LOWEST_PLACED = 48 /* C3 */, MIDI_MOST = 127 };

struct hf_notes hf_notes_of_set(hf_pcset set)
{
    int pcs[HF_PCS];
    struct hf_notes notes = {.kind = set ? HF_NOTES_NUMBERS : HF_NOTES_EMPTY, .set = set};
    notes.count = hf_pcset_list(set, pcs);
    for (int i = 0; i < notes.count; i++)
        notes.note[i] =
            (struct hf_note){.pc = pcs[i], .midi = HF_NO_OCTAVE, .string = -1, .fret = -1};
    return notes;
}

bool hf_notes_placed(const struct hf_notes *notes)
{
    for (int i = 0; i < notes->count; i++)
        if (notes->note[i].midi == HF_NO_OCTAVE)
            return false;
    return true;
}

enum hf_status hf_notes_place(struct hf_notes *notes, struct hf_diag *diag)
{
    struct hf_notes placed = *notes;
    int last = LOWEST_PLACED - 1;
    if (hf_notes_placed(notes))
        return HF_OK;
    for (int i = 0; i < placed.count; i++) {
        last += 1 + hf_pc(placed.note[i].pc - last - 1);
        placed.note[i].midi = last;
    }
    if (last > MIDI_MOST) {
        hf_fail(diag, HF_E_USAGE, "placed one above the other, these notes pass G9");
        hf_advise(diag, "write them from low to high, or with octaves: C3 E3 G#3");
        return HF_E_USAGE;
    }
    *notes = placed;
    return HF_OK;
}

static bool takes_own(enum hf_names names)
{
    return names == HF_NAMES_SIMPLE || names == HF_NAMES_GERMAN;
}

int hf_notes_spelling(const struct hf_notes *notes, enum hf_names names,
                      struct hf_spelled out[HF_PCS])
{
    int pcs[HF_PCS];
    int count = hf_pcset_list(notes->set, pcs);
    hf_spelling_of(notes->set, names, out);
    for (int i = 0; takes_own(names) && i < count; i++)
        for (int j = notes->count - 1; j >= 0; j--)
            if (notes->note[j].pc == pcs[i] && notes->note[j].spelled.letter)
                out[i] = notes->note[j].spelled;
    return count;
}

static struct hf_spelled spelled_in(const struct hf_notes *in, const struct hf_note *note,
                                    enum hf_names names)
{
    struct hf_spelled spelled[HF_PCS];
    int pcs[HF_PCS], at = 0;
    if (takes_own(names) && note->spelled.letter)
        return note->spelled;
    int count = hf_pcset_list(in->set, pcs);
    hf_notes_spelling(in, names, spelled);
    while (at + 1 < count && pcs[at] != note->pc)
        at++;
    return spelled[at];
}

char *hf_note_format(const struct hf_notes *in, int index, enum hf_names names,
                     char text[HF_SPELLED_TEXT])
{
    const struct hf_note *note = &in->note[index];
    struct hf_spelled spelled = spelled_in(in, note, names);
    if (note->midi == HF_NO_OCTAVE)
        return hf_spelled_format(spelled, names, text);
    return hf_spelled_format_pitch(spelled, note->midi, names, text);
}

char *hf_notes_format(const struct hf_notes *notes, enum hf_names names, char text[HF_NOTES_TEXT])
{
    size_t length = 0;
    snprintf(text, HF_NOTES_TEXT, "%s", notes->count ? "" : "{}");
    for (int i = 0; i < notes->count; i++) {
        char name[HF_SPELLED_TEXT];
        hf_note_format(notes, i, names, name);
        int wrote = snprintf(text + length, HF_NOTES_TEXT - length, "%s%s", i ? " " : "", name);
        length += wrote > 0 ? (size_t)wrote : 0; /* twelve names always fit */
    }
    return text;
}
