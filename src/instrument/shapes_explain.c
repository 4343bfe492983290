/* SPDX-License-Identifier: MIT */
/* Why a search found nothing. Invariant: a reason is only given after the same search without what
 * it names has found something, or where it holds for every way to place the notes. */
#include <holdfast/shapes.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { LIST_TEXT = 160 };

struct why {
    const struct hf_fretboard *board;
    const struct hf_shapes_ask *ask; /* what was asked */
    struct hf_shapes_ask plain;      /* the same without wishes about strings, frets and places */
    int notes;
    int note[HF_STRINGS_MOST];         /* MIDI, or pitch classes */
    unsigned strings[HF_STRINGS_MOST]; /* on which each lies, of the free ones */
    int free;
    struct hf_diag *diag;
};

/* ---- words ----------------------------------------------------------------------------------- */

/* A note as the player spells it, where the player does. */
static struct hf_spelled spelling_of(const struct why *why, int note)
{
    struct hf_spelled own[HF_PCS];
    int pcs[HF_PCS];
    if (!why->ask->spelled || !hf_pcset_has(why->ask->spelled->set, hf_pc(note)))
        return hf_spelling_pc(hf_pc(note), why->ask->names);
    int count = hf_notes_spelling(why->ask->spelled, why->ask->names, own);
    hf_pcset_list(why->ask->spelled->set, pcs);
    while (count > 1 && pcs[count - 1] != hf_pc(note))
        count--;
    return own[count - 1];
}

static char *pitch_name(const struct why *why, int midi, char text[HF_SPELLED_TEXT])
{
    return hf_spelled_format_pitch(spelling_of(why, midi), midi, why->ask->names, text);
}

static char *name_of(const struct why *why, int note, char text[HF_SPELLED_TEXT])
{
    if (why->ask->count)
        return pitch_name(why, note, text);
    return hf_spelled_format(spelling_of(why, note), why->ask->names, text);
}

static void add_word(char text[LIST_TEXT], const char *between, const char *word)
{
    size_t used = strlen(text);
    snprintf(text + used, LIST_TEXT - used, "%s%s", used ? between : "", word);
}

static enum hf_status refuse(const struct why *why, const char *advice)
{
    hf_advise(why->diag, "%s", advice);
    return HF_E_USAGE;
}

static const char *plural(int count)
{
    return count == 1 ? "" : "s";
}

/* ---- what is where --------------------------------------------------------------------------- */

static bool is_free(const struct why *why, int string)
{
    return !why->ask->held || why->ask->held->fret[string] == HF_SILENT;
}

static bool string_has(const struct why *why, int string, int note)
{
    int open = why->board->midi[string] + why->board->capo;
    int fret = why->ask->count ? note - open : hf_pc(note - open);
    return fret >= 0 && fret <= hf_fretboard_last(why->board);
}

static void look(struct why *why)
{
    int pcs[HF_PCS];
    why->notes = why->ask->count ? why->ask->count : hf_pcset_list(why->ask->set, pcs);
    for (int s = 0; s < why->board->strings; s++)
        why->free += is_free(why, s);
    for (int i = 0; i < why->notes; i++) {
        why->note[i] = why->ask->count ? why->ask->midi[i] : pcs[i];
        for (int s = 0; s < why->board->strings; s++)
            if (is_free(why, s) && string_has(why, s, why->note[i]))
                why->strings[i] |= 1u << s;
    }
}

/* ---- reasons that hold for every way --------------------------------------------------------- */

static enum hf_status out_of_range(const struct why *why, int note)
{
    int low = 127, high = 0, last = hf_fretboard_last(why->board);
    char name[HF_SPELLED_TEXT], end[HF_SPELLED_TEXT];
    bool some_string = false;
    for (int s = 0; s < why->board->strings; s++) {
        int open = why->board->midi[s] + why->board->capo;
        low = open < low ? open : low;
        high = open + last > high ? open + last : high;
        some_string = some_string || string_has(why, s, note);
    }
    name_of(why, note, name);
    if (some_string) {
        hf_fail(why->diag, HF_E_USAGE, "%s lies only on strings that are held", name);
        return refuse(why, "hold the notes elsewhere");
    }
    if (why->ask->count && note < low) {
        hf_fail(why->diag, HF_E_USAGE, "%s is too low by %d semitone%s: the lowest string is %s",
                name, low - note, plural(low - note), pitch_name(why, low, end));
        return refuse(why, "write it an octave higher, or choose a lower --instrument");
    }
    if (why->ask->count && note > high) {
        hf_fail(why->diag, HF_E_USAGE, "%s is too high by %d semitone%s: the highest fret is %s",
                name, note - high, plural(note - high), pitch_name(why, high, end));
        return refuse(why, "write it an octave lower, or choose another --instrument");
    }
    hf_fail(why->diag, HF_E_USAGE, "no string has %s within %d fret%s", name, last, plural(last));
    return refuse(why, "choose an --instrument with more frets");
}

static enum hf_status too_many(const struct why *why)
{
    if (why->ask->held)
        hf_fail(why->diag, HF_E_USAGE, "%d note%s to add, and %d string%s free", why->notes,
                plural(why->notes), why->free, why->free == 1 ? " is" : "s are");
    else
        hf_fail(why->diag, HF_E_USAGE, "too many notes: %d, and the instrument has %d string%s",
                why->notes, why->board->strings, plural(why->board->strings));
    return refuse(why,
                  "one string sounds one note: take fewer, or an --instrument with more strings");
}

/* The fewest notes that have fewer strings than they are, as a mask; 0 where there are none. After
 * P. Hall, "On representatives of subsets", J. London Math. Soc. 10 (1935). */
static unsigned crowded(const struct why *why)
{
    unsigned best = 0;
    int least = HF_STRINGS_MOST + 1;
    for (unsigned set = 1; set < 1u << why->notes; set++) {
        unsigned strings = 0;
        int size = 0, room = 0;
        for (int i = 0; i < why->notes; i++)
            if (set >> i & 1) {
                strings |= why->strings[i];
                size++;
            }
        for (unsigned left = strings; left; left &= left - 1)
            room++;
        if (room < size && size < least) {
            least = size;
            best = set;
        }
    }
    return best;
}

static enum hf_status tell_crowded(const struct why *why, unsigned set)
{
    char notes[LIST_TEXT] = "", strings[LIST_TEXT] = "", word[HF_SPELLED_TEXT];
    unsigned on = 0;
    int count = 0;
    for (int i = 0; i < why->notes; i++)
        if (set >> i & 1) {
            add_word(notes, ", ", name_of(why, why->note[i], word));
            on |= why->strings[i];
        }
    for (int s = 0; s < why->board->strings; s++)
        if (on >> s & 1) {
            snprintf(word, sizeof word, "%d", s + 1);
            add_word(strings, ", ", word);
            count++;
        }
    hf_fail(why->diag, HF_E_USAGE, "%s lie only on string%s %s, and a string sounds one note",
            notes, plural(count), strings);
    return refuse(why, "move one of them by an octave (string 1 is the lowest)");
}

static enum hf_status no_place(const struct why *why, bool *told)
{
    *told = true;
    for (int i = 0; i < why->notes; i++)
        if (why->strings[i] == 0 && why->free > 0)
            return out_of_range(why, why->note[i]);
    if (why->notes > why->free)
        return too_many(why);
    unsigned set = crowded(why);
    if (set)
        return tell_crowded(why, set);
    *told = false;
    return HF_OK;
}

/* ---- reasons of the hand --------------------------------------------------------------------- */

static void add_place(const struct why *why, const struct hf_shape *shape, int string,
                      char text[LIST_TEXT])
{
    int midi = why->board->midi[string] + why->board->capo + shape->fret[string];
    char name[HF_SPELLED_TEXT], place[LIST_TEXT];
    snprintf(place, sizeof place, "%s (string %d, fret %d)", pitch_name(why, midi, name),
             string + 1, shape->fret[string]);
    add_word(text, " to ", place);
}

static enum hf_status too_far(const struct why *why, const struct hf_shape *shape)
{
    char stretch[LIST_TEXT] = "", fingers[48] = "";
    int a = 0, b = 0;
    if (hf_shape_stretch(why->board, shape, &a, &b)) {
        add_place(why, shape, a, stretch);
        add_place(why, shape, b, stretch);
    }
    if (shape->fingers > why->ask->fingers)
        snprintf(fingers, sizeof fingers, "%d fingers over %d, and ", shape->fingers,
                 why->ask->fingers);
    hf_fail(why->diag, HF_E_USAGE, "%sreach %.0f mm over %.0f: from %s", fingers,
            ceil(shape->reach_mm), why->ask->reach_mm, stretch);
    return refuse(why, "--reach allows more, if your hand does; string 1 is the lowest");
}

static enum hf_status too_many_fingers(const struct why *why, const struct hf_shape *shape)
{
    char text[HF_SHAPE_TEXT];
    hf_fail(why->diag, HF_E_USAGE, "%d fingers over %d, as in %s", shape->fingers,
            why->ask->fingers, hf_shape_format(why->board, shape, text));
    return refuse(why, "play fewer notes");
}

/* First with a longer reach, then with more fingers, then with as few more as a longer reach needs.
 */
static enum hf_status hand_cannot(const struct why *why)
{
    struct hf_shapes_ask ask = why->plain;
    for (int way = 0; way < 3; way++) {
        int most = way == 0 ? why->ask->fingers : HF_STRINGS_MOST;
        ask.reach_mm = way == 1 ? why->ask->reach_mm : HUGE_VAL;
        for (ask.fingers = why->ask->fingers + (way > 0); ask.fingers <= most; ask.fingers++) {
            struct hf_shape shape;
            bool found = false;
            enum hf_status status = hf_shapes_first(why->board, &ask, &found, &shape, why->diag);
            if (status != HF_OK)
                return status;
            if (found)
                return way == 1 ? too_many_fingers(why, &shape) : too_far(why, &shape);
        }
    }
    return hf_fail(why->diag, HF_E_USAGE, "the notes cannot be held together");
}

/* ---- reasons of the wishes ------------------------------------------------------------------- */

/* Takes one wish back; false where it was not made. */
static bool relax(const struct why *why, struct hf_shapes_ask *ask, int wish)
{
    switch (wish) {
    case 0:
        ask->position_low = why->plain.position_low;
        return why->ask->position_low != why->plain.position_low;
    case 1:
        ask->no_open = false;
        return why->ask->no_open;
    case 2:
        ask->string_low = why->plain.string_low;
        ask->string_high = why->plain.string_high;
        return why->ask->string_low > ask->string_low || why->ask->string_high < ask->string_high;
    default:
        ask->fret_high = why->plain.fret_high;
        return why->ask->fret_high < ask->fret_high;
    }
}

static enum hf_status wishes_forbid(const struct why *why)
{
    static const char *const words[] = {"--position", "--open no", "--strings", "--frets"};
    char made[LIST_TEXT] = "";
    for (int wish = 0; wish < 4; wish++) {
        struct hf_shapes_ask ask = *why->ask;
        bool found = false;
        if (!relax(why, &ask, wish))
            continue;
        add_word(made, " and ", words[wish]);
        enum hf_status status = hf_shapes_first(why->board, &ask, &found, NULL, why->diag);
        if (status != HF_OK)
            return status;
        if (!found)
            continue;
        hf_fail(why->diag, HF_E_USAGE, "no shape is left by %s", words[wish]);
        hf_advise(why->diag, "without it there are some");
        return HF_E_USAGE;
    }
    hf_fail(why->diag, HF_E_USAGE, "no shape is left by %s together", made);
    hf_advise(why->diag, "without them there are some");
    return HF_E_USAGE;
}

enum hf_status hf_shapes_explain(const struct hf_fretboard *board, const struct hf_shapes_ask *ask,
                                 struct hf_diag *diag)
{
    struct why why = {.board = board, .ask = ask, .plain = *ask, .diag = diag};
    bool found = false, told = false;
    enum hf_status status = hf_shapes_first(board, ask, &found, NULL, diag);
    if (status != HF_OK || found)
        return status;
    if (ask->count == 0 && ask->set == 0)
        return hf_fail(diag, HF_E_USAGE, "there are no notes to play");
    why.plain.no_open = false;
    why.plain.string_low = 0;
    why.plain.string_high = board->strings - 1;
    why.plain.fret_high = hf_fretboard_last(board);
    why.plain.position_low = HF_POSITION_ANY;
    look(&why);
    status = no_place(&why, &told);
    if (told)
        return status;
    status = hf_shapes_first(board, &why.plain, &found, NULL, diag);
    if (status != HF_OK)
        return status;
    return found ? wishes_forbid(&why) : hand_cannot(&why);
}
