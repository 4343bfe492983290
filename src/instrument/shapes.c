/* SPDX-License-Identifier: MIT */
/*
 * Invariants: the strings are taken from the lowest on, each silent or with one of its choices; a
 * partial shape is left only when no choice on the strings above can make it one that is asked for
 * (a reach or a number of fingers never shrinks, a note that no string above has stays missing).
 */
#include <holdfast/shapes.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { CHOICES_MOST = HF_FRETS_MOST + 1, ROOM_FIRST = 256, HELD_NOTE = -1 };

struct choice {
    int8_t fret;
    int8_t note; /* which of the notes that are asked for, or HELD_NOTE */
};

/* Where the search stands on a string. */
struct level {
    int next;      /* choice to try; -1: silence */
    unsigned used; /* notes on the strings below */
    uint64_t lies; /* frets on which a finger of those can go on */
    int fingers;   /* of those */
};

struct search {
    const struct hf_fretboard *board;
    const struct hf_shapes_ask *ask;
    unsigned all; /* a bit for each note */
    struct choice choice[HF_STRINGS_MOST][CHOICES_MOST];
    int choices[HF_STRINGS_MOST];
    unsigned offer[HF_STRINGS_MOST + 1]; /* notes that a string and those above have */
    int free[HF_STRINGS_MOST + 1];       /* how many of them can take a note */
    double along[HF_FRETS_MOST + 1];
    double across[HF_STRINGS_MOST][HF_FRETS_MOST + 1];
    double limit; /* square of the longest reach, a little more for rounding */
    struct level level[HF_STRINGS_MOST + 1];
    struct hf_shape shape;
    long steps;
};

/* ---- asking ---------------------------------------------------------------------------------- */

void hf_shapes_ask_init(struct hf_shapes_ask *ask, const struct hf_fretboard *board)
{
    *ask = (struct hf_shapes_ask){.string_high = board->strings - 1,
                                  .fret_high = hf_fretboard_last(board),
                                  .position_low = HF_POSITION_ANY,
                                  .position_high = HF_FRETS_MOST,
                                  .reach_mm = board->reach_mm,
                                  .fingers = board->fingers};
}

void hf_shapes_ask_notes(struct hf_shapes_ask *ask, const struct hf_notes *notes)
{
    ask->set = notes->set;
    ask->spelled = notes;
    ask->count = 0;
    if (!hf_notes_placed(notes))
        return;
    for (int i = 0; i < notes->count; i++)
        ask->midi[ask->count++] = notes->note[i].midi;
}

/* ---- choices --------------------------------------------------------------------------------- */

/* Which note a pitch is, or -1. */
static int note_of(const struct hf_shapes_ask *ask, int midi)
{
    if (ask->count == 0)
        return hf_pcset_has(ask->set, hf_pc(midi)) ? hf_pc(midi) : -1;
    for (int i = 0; i < ask->count; i++)
        if (ask->midi[i] == midi)
            return i;
    return -1;
}

static bool within_reach(const struct search *s, int string_a, int fret_a, int string_b, int fret_b)
{
    double along = s->along[fret_a] - s->along[fret_b];
    double across = s->across[string_a][fret_a] - s->across[string_b][fret_b];
    return along * along + across * across <= s->limit;
}

static int held_fret(const struct search *s, int string)
{
    return s->ask->held ? s->ask->held->fret[string] : HF_SILENT;
}

static bool suits_held(const struct search *s, int string, int fret)
{
    for (int t = 0; t < s->board->strings; t++)
        if (held_fret(s, t) > 0 && fret > 0 && !within_reach(s, string, fret, t, held_fret(s, t)))
            return false;
    return true;
}

static void list_choices(struct search *s, int string)
{
    const struct hf_shapes_ask *ask = s->ask;
    int last = hf_fretboard_last(s->board);
    s->choices[string] = 0;
    if (held_fret(s, string) != HF_SILENT) {
        s->choice[string][0] = (struct choice){(int8_t)held_fret(s, string), HELD_NOTE};
        s->choices[string] = 1;
        return;
    }
    if (string < ask->string_low || string > ask->string_high)
        return;
    for (int fret = ask->no_open; fret <= last && fret <= ask->fret_high; fret++) {
        int note = note_of(ask, s->board->midi[string] + s->board->capo + fret);
        if (note < 0 || (fret > 0 && fret < ask->position_low) || !suits_held(s, string, fret))
            continue;
        s->choice[string][s->choices[string]++] = (struct choice){(int8_t)fret, (int8_t)note};
        s->offer[string] |= 1u << note;
    }
}

static void prepare(struct search *s, const struct hf_fretboard *board,
                    const struct hf_shapes_ask *ask)
{
    memset(s, 0, sizeof *s);
    s->board = board;
    s->ask = ask;
    s->all = ask->count ? (1u << ask->count) - 1 : ask->set;
    s->limit = ask->reach_mm * ask->reach_mm * (1 + 1e-9) + 1e-9;
    hf_shape_init(&s->shape);
    for (int fret = 0; fret <= hf_fretboard_last(board); fret++) {
        s->along[fret] = hf_fretboard_along_mm(board, fret);
        for (int string = 0; string < board->strings; string++)
            s->across[string][fret] = hf_fretboard_across_mm(board, string, fret);
    }
    for (int string = board->strings - 1; string >= 0; string--) {
        list_choices(s, string);
        s->free[string] = s->free[string + 1] + (s->offer[string] != 0);
        s->offer[string] |= s->offer[string + 1];
    }
}

/* ---- the search ------------------------------------------------------------------------------ */

static int size_of(unsigned notes)
{
    int size = 0;
    for (; notes; notes &= notes - 1)
        size++;
    return size;
}

/* Whether the strings from `string` on can bring what is missing. */
static bool can_complete(const struct search *s, int string, unsigned used)
{
    unsigned missing = s->all & ~used;
    return (missing & ~s->offer[string]) == 0 && size_of(missing) <= s->free[string];
}

static bool reaches_lower(const struct search *s, int string, int fret)
{
    for (int t = 0; t < string; t++)
        if (s->shape.fret[t] > 0 && !within_reach(s, string, fret, t, s->shape.fret[t]))
            return false;
    return true;
}

/* Puts a choice on a string, if what stands below allows it, and readies the next string. */
static bool put(struct search *s, int string, struct choice choice)
{
    const struct level *here = &s->level[string];
    struct level next = {-1, here->used, here->lies, here->fingers};
    unsigned note = choice.note == HELD_NOTE ? 0 : 1u << choice.note;
    if ((here->used & note) && !(s->ask->doubled && s->ask->count == 0))
        return false;
    next.used |= note;
    next.lies &= (UINT64_C(2) << choice.fret) - 1;
    next.fingers += choice.fret > 0 && !(next.lies >> choice.fret & 1);
    next.lies |= UINT64_C(1) << choice.fret;
    if (next.fingers > s->ask->fingers || !can_complete(s, string + 1, next.used) ||
        (choice.fret > 0 && !reaches_lower(s, string, choice.fret)))
        return false;
    s->shape.fret[string] = choice.fret;
    s->level[string + 1] = next;
    return true;
}

static bool put_silence(struct search *s, int string)
{
    const struct level *here = &s->level[string];
    if (held_fret(s, string) != HF_SILENT || !can_complete(s, string + 1, here->used))
        return false;
    s->shape.fret[string] = HF_SILENT;
    s->level[string + 1] = (struct level){-1, here->used, here->lies, here->fingers};
    return true;
}

/* Goes to the next choice of a string that stands; false when there is none left. */
static bool step(struct search *s, int string)
{
    struct level *here = &s->level[string];
    while (here->next < s->choices[string]) {
        int choice = here->next++;
        if (choice < 0 ? put_silence(s, string) : put(s, string, s->choice[string][choice]))
            return true;
    }
    return false;
}

static bool position_suits(const struct hf_shapes_ask *ask, const struct hf_shape *shape)
{
    return ask->position_low == HF_POSITION_ANY ||
           (shape->position >= ask->position_low && shape->position <= ask->position_high);
}

static int movement_of(const struct search *s)
{
    struct hf_shape added = s->shape;
    if (!s->ask->from)
        return 0;
    for (int t = 0; t < s->board->strings; t++)
        if (held_fret(s, t) != HF_SILENT)
            added.fret[t] = HF_SILENT;
    struct hf_voicing voicing = hf_shape_voicing(s->board, &added);
    return hf_voicing_movement(s->ask->from, &voicing);
}

enum outcome { FOUND, FINISHED, GIVEN_UP };

/* The next shape, measured, in s->shape. `*string` is where the search stands, 0 at first. */
static enum outcome next_shape(struct search *s, int *string)
{
    int strings = s->board->strings;
    for (;;) {
        if (*string == strings)
            --*string;
        while (*string >= 0 && !step(s, *string))
            --*string;
        if (*string < 0)
            return FINISHED;
        if (++s->steps > HF_SHAPES_STEPS)
            return GIVEN_UP;
        if (++*string < strings)
            continue;
        hf_shape_measure(s->board, &s->shape);
        if (s->shape.reach_mm > s->ask->reach_mm || !position_suits(s->ask, &s->shape))
            continue;
        s->shape.movement = movement_of(s);
        return FOUND;
    }
}

/* Readies the search; false where no shape can be found from the start. */
static bool begin(struct search *s)
{
    const struct hf_shape *held = s->ask->held;
    s->level[0] = (struct level){.next = -1};
    if (held && (held->reach_mm > s->ask->reach_mm || held->fingers > s->ask->fingers))
        return false;
    return s->all != 0 && can_complete(s, 0, 0);
}

static enum hf_status given_up(struct hf_diag *diag)
{
    hf_fail(diag, HF_E_USAGE, "there are too many ways to try them all");
    hf_advise(diag, "narrow them with --strings, --frets, --position or a shorter --reach");
    return HF_E_USAGE;
}

/* ---- lists ----------------------------------------------------------------------------------- */

static enum hf_status keep(struct hf_shapes *list, size_t *room, const struct hf_shape *shape,
                           struct hf_diag *diag)
{
    if (list->count == HF_SHAPES_MOST) {
        hf_fail(diag, HF_E_USAGE, "there are more than %d shapes", HF_SHAPES_MOST);
        hf_advise(diag, "narrow them with --strings, --frets, --position or a shorter --reach");
        return HF_E_USAGE;
    }
    if (list->count == *room) {
        size_t more = *room ? 2 * *room : ROOM_FIRST;
        struct hf_shape *grown = realloc(list->shape, more * sizeof *grown);
        if (!grown)
            return hf_fail(diag, HF_E_MEMORY, "out of memory");
        list->shape = grown;
        *room = more;
    }
    list->shape[list->count++] = *shape;
    return HF_OK;
}

static int compare(const void *a, const void *b)
{
    return hf_shape_compare(a, b);
}

enum hf_status hf_shapes_find(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                              struct hf_shapes *out, struct hf_diag *diag)
{
    struct search s;
    struct hf_shapes list = {0};
    size_t room = 0;
    int string = 0;
    enum hf_status status = HF_OK;
    enum outcome outcome = FOUND;
    prepare(&s, board, ask);
    if (begin(&s))
        while (status == HF_OK && (outcome = next_shape(&s, &string)) == FOUND)
            status = keep(&list, &room, &s.shape, diag);
    if (outcome == GIVEN_UP)
        status = given_up(diag);
    if (status != HF_OK) {
        hf_shapes_free(&list);
        return status;
    }
    if (list.count)
        qsort(list.shape, list.count, sizeof *list.shape, compare);
    *out = list;
    return HF_OK;
}

void hf_shapes_free(struct hf_shapes *shapes)
{
    if (!shapes)
        return;
    free(shapes->shape);
    *shapes = (struct hf_shapes){0};
}

enum hf_status hf_shapes_first(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                               bool *found, struct hf_shape *out, struct hf_diag *diag)
{
    struct search s;
    struct hf_shape best;
    bool any = false;
    int string = 0;
    enum outcome outcome = FINISHED;
    prepare(&s, board, ask);
    if (begin(&s))
        while ((outcome = next_shape(&s, &string)) == FOUND) {
            if (!any || hf_shape_compare(&s.shape, &best) < 0)
                best = s.shape;
            any = true;
            if (!out)
                break;
            /* what is wider than the best cannot come before it */
            s.limit = best.reach_mm * best.reach_mm * (1 + 1e-9) + 1e-9;
        }
    if (outcome == GIVEN_UP)
        return given_up(diag);
    *found = any;
    if (any && out)
        *out = best;
    return HF_OK;
}
