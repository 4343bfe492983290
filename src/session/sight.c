/* SPDX-License-Identifier: MIT */
/*
 * Invariant: a real chord and a foil come from one draw. First a real chord is drawn in a voicing
 * for which there are foils that look the same (struct hf_sight_look; in the hand: with the same
 * outer notes and as many fingers), then a coin says whether it stays or gives way to one of these.
 * So nothing that they have in common can tell which it is.
 */
#include <holdfast/sight.h>

#include <string.h>

#include <holdfast/pairing.h>
#include <holdfast/setclass.h>
#include <holdfast/shapes.h>
#include <holdfast/text.h>

enum { TRIES = 1000 };

/* ---- parting --------------------------------------------------------------------------------- */

static bool is_real(hf_pcset set)
{
    return hf_setclass_all_trichord(hf_setclass_of(set));
}

static void part_real(hf_pcset set, hf_pcset *first, hf_pcset *second)
{
    for (int root = 0; root < 4; root++) {
        hf_pcset triad = hf_pcset_transpose(1u << 0 | 1u << 4 | 1u << 8, root);
        if ((set & triad) == triad) {
            *first = triad;
            *second = (hf_pcset)(set & ~triad);
        }
    }
}

/* The real chord that shares most notes, of these the one at the least movement; the first of
 * equals. */
static hf_pcset nearest_real(hf_pcset set)
{
    hf_pcset forms[HF_SETCLASS_FORMS], best = 0;
    int count = hf_setclass_members(hf_setclass_find(6, 17), forms), least = -1;
    for (int i = 0; i < count; i++) {
        int others = HF_SIGHT_NOTES - hf_pcset_size(set & forms[i]);
        int movement = 100 * others + hf_pcset_movement(set, forms[i], NULL);
        if (least >= 0 && movement >= least)
            continue;
        least = movement;
        best = forms[i];
    }
    return best;
}

bool hf_sight_part(hf_pcset set, struct hf_sight_chord *out)
{
    if (hf_pcset_size(set) != HF_SIGHT_NOTES)
        return false;
    out->real = is_real(set);
    if (out->real) {
        part_real(set, &out->first, &out->second);
        return true;
    }
    hf_pcset near = nearest_real(set), triad = 0, rest = 0;
    int moves[HF_PCS], pcs[HF_PCS];
    part_real(near, &triad, &rest);
    hf_pcset_list(set, pcs);
    hf_pcset_movement(set, near, moves);
    out->first = out->second = 0;
    for (int i = 0; i < HF_SIGHT_NOTES; i++) {
        bool held = hf_pcset_has(triad, hf_pc(pcs[i] + moves[i]));
        hf_pcset *half = held ? &out->first : &out->second;
        *half = (hf_pcset)(*half | 1u << pcs[i]);
    }
    return true;
}

/* ---- looks ----------------------------------------------------------------------------------- */

void hf_sight_look_at(const struct hf_voicing *notes, struct hf_sight_look *out)
{
    unsigned letters = 0;
    *out = (struct hf_sight_look){.low = notes->notes[0], .high = notes->notes[notes->count - 1]};
    for (int i = 0; i < notes->count; i++) {
        struct hf_spelled name = hf_spelling_pc(notes->notes[i] % HF_PCS, HF_NAMES_SIMPLE);
        out->sharps += name.accidental > 0;
        out->flats += name.accidental < 0;
        letters |= 1u << (name.letter - 'A');
    }
    for (; letters; letters &= letters - 1)
        out->letters++;
}

/* ---- a player's own -------------------------------------------------------------------------- */

static enum hf_status read_chord(const char *line, struct hf_sight_chord *out, struct hf_diag *diag)
{
    struct hf_notes notes;
    enum hf_status status = hf_notes_parse(line, NULL, &notes, diag);
    if (status == HF_OK && (notes.count != HF_SIGHT_NOTES || !hf_sight_part(notes.set, out)))
        return hf_fail(diag, HF_E_DATA, "%d notes of %d names: a chord here has six, each once",
                       notes.count, hf_pcset_size(notes.set));
    if (status == HF_OK)
        status = hf_notes_place(&notes, diag);
    if (status == HF_OK)
        out->notes = hf_voicing_of_notes(&notes);
    return status == HF_OK ? HF_OK : HF_E_DATA;
}

enum hf_status hf_sight_read(const char *text, size_t length, struct hf_sight_chord *out,
                             size_t *count, struct hf_diag *diag)
{
    size_t found = 0;
    long number = 0;
    for (size_t at = 0; at < length;) {
        char line[HF_NOTES_TEXT];
        const char *newline = memchr(text + at, '\n', length - at);
        size_t size = newline ? (size_t)(newline - (text + at)) : length - at;
        size_t blank = 0;
        enum hf_status status = HF_OK;
        struct hf_sight_chord chord = {0};
        number++;
        while (blank < size && strchr(" \t\r", text[at + blank]))
            blank++;
        bool skip = blank == size || text[at + blank] == ';';
        if (!skip && (size >= sizeof line || memchr(text + at, 0, size))) {
            status = hf_fail(diag, HF_E_DATA, "this is no line of notes");
        } else if (!skip && found == HF_SIGHT_CHORDS_MOST) {
            status = hf_fail(diag, HF_E_DATA, "more than %d chords", HF_SIGHT_CHORDS_MOST);
        } else if (!skip) {
            memcpy(line, text + at, size);
            line[size - (text[at + size - 1] == '\r')] = 0;
            status = read_chord(line, &chord, diag);
        }
        if (status != HF_OK) {
            if (diag)
                diag->line = number;
            return status;
        }
        if (!skip)
            out[found++] = chord;
        at += size + 1;
    }
    if (found == 0)
        return hf_fail(diag, HF_E_DATA, "there is no chord in it");
    *count = found;
    return HF_OK;
}

static void next_own(struct hf_sight *s, struct hf_sight_chord *out)
{
    size_t place = s->own_given++ % s->own_count;
    if (place == 0) { /* a new round, which does not begin as the last one ended */
        size_t last = s->own_order[s->own_count - 1];
        do
            for (size_t i = 0; i < s->own_count; i++) {
                size_t j = hf_random_below(&s->random, (uint32_t)i + 1);
                s->own_order[i] = s->own_order[j];
                s->own_order[j] = i;
            }
        while (s->own_given > 1 && s->own_count > 1 && s->own_order[0] == last);
    }
    *out = s->own[s->own_order[place]];
}

/* ---- anywhere -------------------------------------------------------------------------------- */

static hf_pcset random_form(struct hf_sight *s)
{
    hf_pcset forms[HF_SETCLASS_FORMS];
    int count = hf_setclass_members(hf_setclass_find(6, 17), forms);
    hf_pcset form;
    do
        form = forms[hf_random_below(&s->random, (uint32_t)count)];
    while (form == s->last);
    return form;
}

/* Sets a semitone or a tone in one note away from a real one, and real ones themselves not; each
 * once. With semitones alone the names would tell: a semitone mostly adds or takes a sign, and then
 * some real chords have no foil that looks like them. */
static int list_foils(hf_pcset out[HF_SUBSETS_MOST])
{
    hf_pcset forms[HF_SETCLASS_FORMS];
    int count = hf_setclass_members(hf_setclass_find(6, 17), forms), found = 0;
    bool have[HF_SETS] = {false};
    for (int i = 0; i < count; i++)
        for (int pc = 0; pc < HF_PCS; pc++)
            for (int step = -2; hf_pcset_has(forms[i], pc) && step <= 2; step++) {
                unsigned moved = (forms[i] & ~(1u << pc)) | 1u << hf_pc(pc + step);
                have[moved] =
                    hf_pcset_size((hf_pcset)moved) == HF_SIGHT_NOTES && !is_real((hf_pcset)moved);
            }
    for (int set = 0; set < HF_SETS; set++)
        if (have[set])
            out[found++] = (hf_pcset)set;
    return found;
}

/* The voicings of a set with these outer notes, at the front of `choices`; returns how many. How
 * names look is the same for all voicings of a set, so the first one tells. */
static int list_alike(struct hf_sight *s, hf_pcset set, const struct hf_sight_look *look)
{
    int pcs[HF_PCS], kept = 0;
    struct hf_sight_look other;
    hf_pcset_list(set, pcs);
    struct hf_voicing any = hf_voicing_of(pcs, HF_SIGHT_NOTES);
    hf_sight_look_at(&any, &other);
    if (other.sharps != look->sharps || other.flats != look->flats ||
        other.letters != look->letters || !hf_pcset_has(set, look->low % HF_PCS) ||
        !hf_pcset_has(set, look->high % HF_PCS))
        return 0;
    int count = hf_voicing_list(set, look->low, look->high, s->choices);
    for (int i = 0; i < count; i++)
        if (s->choices[i].notes[0] == look->low &&
            s->choices[i].notes[s->choices[i].count - 1] == look->high)
            s->choices[kept++] = s->choices[i];
    return kept;
}

/* A foil that looks as `look` does: each set that has such voicings is as likely. */
static bool draw_foil(struct hf_sight *s, const struct hf_sight_look *look,
                      struct hf_sight_chord *out)
{
    int found = 0;
    for (int i = 0; i < s->foil_count; i++) {
        int alike = s->foils[i] == s->last ? 0 : list_alike(s, s->foils[i], look);
        if (alike == 0 || hf_random_below(&s->random, (uint32_t)++found) != 0)
            continue;
        out->notes = s->choices[hf_random_below(&s->random, (uint32_t)alike)];
        hf_sight_part(s->foils[i], out);
    }
    return found > 0;
}

static bool draw_anywhere(struct hf_sight *s, struct hf_sight_chord *out)
{
    struct hf_sight_chord real = {0}, foil = {0};
    struct hf_sight_look look;
    hf_pcset form = random_form(s);
    hf_sight_part(form, &real);
    int count = hf_voicing_list(form, HF_SIGHT_LOW, HF_SIGHT_HIGH, s->choices);
    real.notes = s->choices[hf_random_below(&s->random, (uint32_t)count)];
    hf_sight_look_at(&real.notes, &look);
    if (!draw_foil(s, &look, &foil))
        return false;
    *out = hf_random_below(&s->random, 2) ? real : foil;
    return true;
}

/* ---- in the hand ----------------------------------------------------------------------------- */

/* Which notes of a shape are its lowest and highest, by string. */
static void outer_strings(const struct hf_fretboard *board, const struct hf_shape *shape, int *low,
                          int *high)
{
    int from = -1, to = -1;
    for (int i = 0; i < board->strings; i++) {
        if (shape->fret[i] == HF_SILENT)
            continue;
        int midi = board->midi[i] + board->capo + shape->fret[i];
        if (from < 0 || midi < board->midi[from] + board->capo + shape->fret[from])
            from = i;
        if (to < 0 || midi > board->midi[to] + board->capo + shape->fret[to])
            to = i;
    }
    *low = from;
    *high = to;
}

/* A neighbour of the shape in which one finger stands a fret beside, on a string between the outer
 * notes, so that span and register stay. */
static bool move_finger(const struct hf_sight *s, const struct hf_shape *shape, int string,
                        int step, struct hf_sight_chord *out)
{
    struct hf_shape moved = *shape;
    struct hf_voicing before = hf_shape_voicing(s->board, shape);
    int fret = shape->fret[string] + step;
    if (shape->fret[string] == HF_SILENT || fret < 1 || fret > hf_fretboard_last(s->board))
        return false;
    moved.fret[string] = (int8_t)fret;
    hf_shape_measure(s->board, &moved);
    hf_pcset set = hf_shape_set(s->board, &moved);
    struct hf_voicing after = hf_shape_voicing(s->board, &moved);
    bool fits = hf_pcset_size(set) == HF_SIGHT_NOTES && after.count == HF_SIGHT_NOTES &&
                !is_real(set) && set != s->last && hf_shape_fits(s->board, &moved) &&
                moved.fingers == shape->fingers && after.notes[0] == before.notes[0] &&
                after.notes[5] == before.notes[5];
    if (!fits)
        return false;
    out->notes = after;
    out->shape = moved;
    out->strings = s->board->strings;
    return hf_sight_part(set, out);
}

static bool draw_neighbour(struct hf_sight *s, const struct hf_shape *shape,
                           struct hf_sight_chord *out)
{
    int low, high, found = 0;
    struct hf_sight_chord foil = {0};
    outer_strings(s->board, shape, &low, &high);
    for (int string = 0; string < s->board->strings; string++)
        for (int step = -1; step <= 1; step += 2) {
            bool outer = string == low || string == high;
            if (outer || !move_finger(s, shape, string, step, &foil))
                continue;
            if (hf_random_below(&s->random, (uint32_t)++found) == 0)
                *out = foil;
        }
    return found > 0;
}

static enum hf_status draw_in_hand(struct hf_sight *s, struct hf_sight_chord *out, bool *drawn,
                                   struct hf_diag *diag)
{
    struct hf_sight_chord real = {0}, foil = {0};
    struct hf_shapes shapes;
    struct hf_shapes_ask ask;
    hf_pcset form = random_form(s);
    hf_shapes_ask_init(&ask, s->board);
    ask.set = form;
    ask.no_open = true; /* grips that a hand can hold; open strings far from it say nothing */
    enum hf_status status = hf_shapes_find(s->board, &ask, &shapes, diag);
    if (status != HF_OK)
        return status;
    *drawn = false;
    if (shapes.count > 0) {
        real.shape = shapes.shape[hf_random_below(&s->random, (uint32_t)shapes.count)];
        real.strings = s->board->strings;
        real.notes = hf_shape_voicing(s->board, &real.shape);
        hf_sight_part(form, &real);
        *drawn = draw_neighbour(s, &real.shape, &foil);
    }
    hf_shapes_free(&shapes);
    if (*drawn)
        *out = hf_random_below(&s->random, 2) ? real : foil;
    return HF_OK;
}

/* ---- the deck -------------------------------------------------------------------------------- */

void hf_sight_init(struct hf_sight *s, uint64_t seed, const struct hf_fretboard *board,
                   const struct hf_sight_chord *own, size_t own_count)
{
    memset(s, 0, sizeof *s);
    hf_random_init(&s->random, seed, HF_STREAM_SIGHT);
    s->board = board;
    s->own = own;
    s->own_count = own ? own_count : 0;
    if (!own)
        s->foil_count = list_foils(s->foils);
}

enum hf_status hf_sight_next(struct hf_sight *s, struct hf_sight_chord *out, struct hf_diag *diag)
{
    struct hf_sight_chord chord = {0};
    bool drawn = s->own_count > 0;
    enum hf_status status = HF_OK;
    if (drawn)
        next_own(s, &chord);
    for (int i = 0; i < TRIES && !drawn && status == HF_OK; i++) {
        if (s->board)
            status = draw_in_hand(s, &chord, &drawn, diag);
        else
            drawn = draw_anywhere(s, &chord);
    }
    if (status != HF_OK)
        return status;
    if (!drawn)
        return hf_fail(diag, HF_E_USAGE,
                       "no chord of six notes lies in this hand on this instrument");
    s->last = (hf_pcset)(chord.first | chord.second);
    *out = chord;
    return HF_OK;
}
