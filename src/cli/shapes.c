/* SPDX-License-Identifier: MIT */
/* The command `shapes`. Invariant: a query without a result is an empty list with its reason, no
 * error; only what cannot be understood is one. */
#include "shapes.h"

#include <stdlib.h>
#include <string.h>

#include <holdfast/number.h>

enum {
    TAKE_INSTRUMENT = 1,
    TAKE_REACH,
    TAKE_ALL,
    TAKE_TOP,
    TAKE_POSITION,
    TAKE_STRINGS,
    TAKE_FRETS,
    TAKE_OPEN,
    TAKE_DOUBLE,
    TAKE_WITH,
    TAKE_ADDED,
    TAKE_FAMILIES,
    TAKE_TOUR,
    TAKE_LEFT,
    TAKE_LIST
};

const struct hf_cli_option hf_cli_shapes_options[] = {
    {"instrument", 0, "NAME", "guitar unless told otherwise; or a file", TAKE_INSTRUMENT},
    {"instruments", 0, NULL, "list them", TAKE_LIST},
    {"reach", 0, "MM", "longest reach of the hand (100, or the instrument's)", TAKE_REACH},
    {"all", 0, NULL, "show all, not only the first", TAKE_ALL},
    {"top", 0, "N", "show N", TAKE_TOP},
    {"position", 0, "N", "lowest stopped fret: 5, or from 5 to 7 as 5-7", TAKE_POSITION},
    {"strings", 0, "N", "only on these: 2, or 1-4; string 1 is the lowest", TAKE_STRINGS},
    {"frets", 0, "N", "highest fret used", TAKE_FRETS},
    {"open", 0, "yes|no", "whether open strings may sound (yes)", TAKE_OPEN},
    {"double", 0, NULL, "notes may sound on several strings, in any octave", TAKE_DOUBLE},
    {"with", 0, "NOTES",
     "what completes these, while they stay held: frets\n"
     "(x-3-2-1-x-x) or any notes",
     TAKE_WITH},
    {"added", 0, "CLASS", "class that is added: 016 (3-5) unless told otherwise", TAKE_ADDED},
    {"families", 0, NULL,
     "NOTES are held: grips that give all completions by\n"
     "moving along the neck",
     TAKE_FAMILIES},
    {"tour", 0, NULL, "NOTES are held: the shortest walk over all grips\naround them", TAKE_TOUR},
    {"left-handed", 0, NULL, "draw for a left-handed player", TAKE_LEFT},
    {NULL, 0, NULL, NULL, 0},
};

static enum hf_status take_top(struct shapes *asked, const char *text, struct hf_diag *diag)
{
    long top = 0;
    if (hf_number_whole(text, strlen(text), 1, HF_SHAPES_MOST, &top) != HF_NUMBER_FINE)
        return hf_fail(diag, HF_E_USAGE, "--top %.20s is no number from 1 to %d", text,
                       HF_SHAPES_MOST);
    asked->top = (size_t)top;
    return HF_OK;
}

static enum hf_status take_open(struct shapes *asked, const char *text, struct hf_diag *diag)
{
    if (strcmp(text, "yes") != 0 && strcmp(text, "no") != 0)
        return hf_fail(diag, HF_E_USAGE, "--open %.20s is neither yes nor no", text);
    asked->no_open = text[0] == 'n';
    return HF_OK;
}

static void take_text(struct shapes *asked, int code, const char *text)
{
    const char **into = code == TAKE_INSTRUMENT ? &asked->instrument
                        : code == TAKE_REACH    ? &asked->reach
                        : code == TAKE_POSITION ? &asked->position
                        : code == TAKE_STRINGS  ? &asked->strings
                        : code == TAKE_FRETS    ? &asked->frets
                                                : &asked->with;
    *into = text;
}

static void take_flag(struct shapes *asked, int code)
{
    bool *into = code == TAKE_ALL        ? &asked->all
                 : code == TAKE_DOUBLE   ? &asked->doubled
                 : code == TAKE_FAMILIES ? &asked->families
                 : code == TAKE_TOUR     ? &asked->tour
                 : code == TAKE_LEFT     ? &asked->left_handed
                                         : &asked->list;
    *into = true;
}

static enum hf_status take(void *self, int code, const char *text, struct hf_diag *diag)
{
    struct shapes *asked = self;
    if (code >= HF_QUERY_FIRST)
        return hf_query_take(&asked->query, code, text, diag);
    if (code == TAKE_TOP)
        return take_top(asked, text, diag);
    if (code == TAKE_OPEN)
        return take_open(asked, text, diag);
    if (code == TAKE_ADDED)
        return hf_setclass_parse(text, &asked->added, diag);
    if (text)
        take_text(asked, code, text);
    else
        take_flag(asked, code);
    return HF_OK;
}

size_t shapes_shown(const struct shapes *asked, size_t count, size_t usual)
{
    size_t most = asked->all ? count : asked->top ? asked->top : usual;
    return most < count ? most : count;
}

/* ---- wishes ---------------------------------------------------------------------------------- */

/* Reads "5" or "5-7", from `low` to `high`; no text leaves both as they are. */
static enum hf_status read_range(const char *name, const char *text, int low, int high, int *from,
                                 int *to, struct hf_diag *diag)
{
    long first = 0, last = 0;
    if (!text)
        return HF_OK;
    size_t length = strcspn(text, "-");
    const char *second = text[length] ? text + length + 1 : text;
    if (hf_number_whole(text, length, low, high, &first) != HF_NUMBER_FINE ||
        hf_number_whole(second, strlen(second), low, high, &last) != HF_NUMBER_FINE ||
        first > last) {
        hf_fail(diag, HF_E_USAGE, "--%s %.20s is not within %d to %d", name, text, low, high);
        hf_advise(diag, "write one number, or two from low to high: %d-%d", low, high);
        return HF_E_USAGE;
    }
    *from = (int)first;
    *to = (int)last;
    return HF_OK;
}

static enum hf_status read_wishes(struct shapes *asked, struct hf_diag *diag)
{
    struct hf_shapes_ask *ask = &asked->ask;
    int last = hf_fretboard_last(&asked->board), from = 0, strings[2] = {1, asked->board.strings};
    double reach = asked->board.reach_mm;
    hf_shapes_ask_init(ask, &asked->board);
    ask->no_open = asked->no_open;
    ask->doubled = asked->doubled;
    ask->names = asked->query.names;
    if (asked->reach &&
        hf_number_real(asked->reach, strlen(asked->reach), 1, 1000, &reach) != HF_NUMBER_FINE)
        return hf_fail(diag, HF_E_USAGE, "--reach %.20s is no length from 1 to 1000 mm",
                       asked->reach);
    ask->reach_mm = asked->board.reach_mm = reach;
    enum hf_status status = read_range("position", asked->position, 0, last, &ask->position_low,
                                       &ask->position_high, diag);
    if (status == HF_OK)
        status = read_range("strings", asked->strings, 1, asked->board.strings, &strings[0],
                            &strings[1], diag);
    if (status == HF_OK && asked->frets && strchr(asked->frets, '-'))
        status = hf_fail(diag, HF_E_USAGE, "--frets takes the highest fret, from 0 to %d", last);
    if (status == HF_OK)
        status = read_range("frets", asked->frets, 0, last, &from, &ask->fret_high, diag);
    ask->string_low = strings[0] - 1;
    ask->string_high = strings[1] - 1;
    return status;
}

static enum hf_status prepare(struct shapes *asked, struct hf_diag *diag)
{
    enum hf_status status = hf_cli_load_instrument(asked->instrument ? asked->instrument : "guitar",
                                                   &asked->board, diag);
    if (status != HF_OK)
        return status;
    asked->board.left_handed = asked->board.left_handed || asked->left_handed;
    asked->open = hf_fretboard_strings(&asked->board);
    asked->query.how.strings = &asked->open;
    if (!asked->added)
        asked->added = hf_setclass_find(3, 5);
    return read_wishes(asked, diag);
}

/* ---- notes ----------------------------------------------------------------------------------- */

static enum hf_status misused(const struct shapes *asked, struct hf_diag *diag)
{
    if (asked->all && asked->top)
        return hf_fail(diag, HF_E_USAGE, "--all and --top N exclude each other");
    if (asked->families + asked->tour + (asked->with != NULL) > 1)
        return hf_fail(diag, HF_E_USAGE, "--with, --families and --tour exclude each other");
    if (!asked->has_notes && !asked->with) {
        hf_fail(diag, HF_E_USAGE, "shapes needs notes");
        hf_advise(diag, "for example: holdfast shapes C E G#");
        return HF_E_USAGE;
    }
    if (asked->doubled && asked->has_notes && !asked->with && hf_notes_placed(&asked->notes)) {
        hf_fail(diag, HF_E_USAGE,
                "--double is for notes without octaves; each of these sounds once");
        hf_advise(diag, "write pitch classes: C E G#");
        return HF_E_USAGE;
    }
    return HF_OK;
}

static enum hf_status read_operands(struct shapes *asked, int argc, char **argv, int first,
                                    struct hf_diag *diag)
{
    char text[HF_NOTES_TEXT + 2];
    if (first == argc)
        return HF_OK;
    enum hf_status status = hf_cli_join(argc, argv, first, text, sizeof text, diag);
    if (status == HF_OK)
        status = hf_notes_parse(text, &asked->query.how, &asked->notes, diag);
    if (status == HF_OK && asked->notes.count == 0) {
        hf_fail(diag, HF_E_USAGE, "the empty set has no shape");
        hf_advise(diag, "write one note or more: C E G#");
        return HF_E_USAGE;
    }
    asked->has_notes = status == HF_OK;
    return status;
}

/* Movement is counted from the notes as they sound when they are given without octaves. */
static void count_from_notes(struct shapes *asked)
{
    struct hf_notes placed = asked->notes;
    int midi[HF_NOTES_MOST];
    if (hf_notes_placed(&placed) || hf_notes_place(&placed, NULL) != HF_OK)
        return;
    for (int i = 0; i < placed.count; i++)
        midi[i] = placed.note[i].midi;
    asked->from = hf_voicing_of(midi, placed.count);
    asked->ask.from = &asked->from;
}

/* Why nothing was found: a reason is fine, and whatever else came of asking is not. */
static enum hf_status explained(enum hf_status status, const struct hf_diag *why,
                                struct hf_diag *diag)
{
    if (status == HF_OK)
        return hf_fail(diag, HF_E_BUG, "what is there was not found");
    if (status == HF_E_USAGE)
        return HF_OK;
    *diag = *why;
    return status;
}

/* ---- the held grip --------------------------------------------------------------------------- */

/* Of all grips for the notes the one that allows most. */
static enum hf_status choose_grip(const struct shapes *asked, struct held *held,
                                  const struct hf_completion *completions, int count,
                                  struct hf_diag *diag)
{
    struct hf_shapes_ask named = asked->ask;
    struct hf_shapes grips = {0};
    size_t best = 0;
    int most = 0;
    hf_shapes_ask_notes(&named, &held->notes);
    struct hf_shapes_ask ask = hf_grip_ask_held(&named, held->notes.set, named.midi, named.count);
    enum hf_status status = hf_shapes_find(&asked->board, &ask, &grips, diag);
    if (status == HF_OK && grips.count == 0) {
        held->none = true;
        status = explained(hf_shapes_explain(&asked->board, &ask, &held->diag), &held->diag, diag);
    } else if (status == HF_OK) {
        status = hf_grip_best(&asked->board, &asked->ask, &grips, completions, count, &best, &most,
                              diag);
        held->grip = grips.shape[best];
        held->chosen = true;
        held->choices = grips.count;
    }
    hf_shapes_free(&grips);
    return status;
}

static enum hf_status take_held(const struct shapes *asked, const struct hf_notes *notes,
                                struct held *held, const struct hf_completion *completions,
                                int count, struct hf_diag *diag)
{
    held->notes = *notes;
    if (notes->kind == HF_NOTES_FRETS)
        return hf_shape_of_notes(&asked->board, notes, &held->grip, diag);
    hf_query_warn_repeated(notes, asked->query.names, 0);
    return choose_grip(asked, held, completions, count, diag);
}

static enum hf_status complete(const struct shapes *asked, hf_pcset set,
                               struct hf_completion completions[HF_COMPLETIONS_MOST], int *count,
                               struct hf_diag *diag)
{
    if (!set || set == HF_PCSET_ALL) {
        hf_fail(diag, HF_E_USAGE, "a held set of %s notes has no completion",
                set ? "twelve" : "no");
        hf_advise(diag, "hold 1 to 11 notes");
        return HF_E_USAGE;
    }
    *count = hf_pairing_complete(set, asked->added, completions);
    return HF_OK;
}

/* ---- answers --------------------------------------------------------------------------------- */

static enum hf_status tell_shapes(const struct shapes *asked, const struct hf_shapes_ask *ask,
                                  const struct held *held, struct hf_diag *diag)
{
    struct hf_shapes found = {0};
    struct hf_diag why = {0};
    enum hf_status status = HF_OK;
    if (held && held->none)
        why = held->diag;
    else
        status = hf_shapes_find(&asked->board, ask, &found, diag);
    if (status == HF_OK && found.count == 0 && !why.message[0])
        status = explained(hf_shapes_explain(&asked->board, ask, &why), &why, diag);
    if (status == HF_OK && asked->query.json)
        status = hf_query_print(shapes_json(asked, &found, held, &why), diag);
    else if (status == HF_OK)
        shapes_page(asked, &found, held, &why);
    hf_shapes_free(&found);
    return status;
}

static enum hf_status answer_plain(struct shapes *asked, struct hf_diag *diag)
{
    hf_query_warn_repeated(&asked->notes, asked->query.names, 0);
    count_from_notes(asked);
    hf_shapes_ask_notes(&asked->ask, &asked->notes);
    return tell_shapes(asked, &asked->ask, NULL, diag);
}

/* Given notes added to a held grip. */
static enum hf_status answer_added(struct shapes *asked, const struct hf_notes *notes,
                                   struct hf_diag *diag)
{
    struct held held = {0};
    struct hf_completion one = {.id = 1, .pcs = asked->notes.set, .kind = 1, .position = 1};
    enum hf_status status = take_held(asked, notes, &held, &one, 1, diag);
    if (status != HF_OK)
        return status;
    hf_query_warn_repeated(&asked->notes, asked->query.names, 0);
    count_from_notes(asked);
    hf_shapes_ask_notes(&asked->ask, &asked->notes);
    struct hf_shapes_ask ask = asked->ask;
    ask.held = &held.grip;
    return tell_shapes(asked, &ask, &held, diag);
}

static enum hf_status look_around(const struct shapes *asked, const struct held *held,
                                  struct around *around, struct hf_diag *diag)
{
    struct hf_shapes_ask ask = hf_grip_ask(&asked->ask, &held->grip, around->completion->pcs);
    enum hf_status status = hf_shapes_find(&asked->board, &ask, &around->shapes, diag);
    if (status != HF_OK || around->shapes.count)
        return status;
    status = explained(hf_shapes_explain(&asked->board, &ask, &around->why), &around->why, diag);
    if (status != HF_OK)
        return status;
    status = hf_grip_nearest(&asked->board, &asked->ask, &held->grip, around->completion->pcs,
                             &around->elsewhere, &around->grip, &around->same_pitches, diag);
    if (status != HF_OK || !around->elsewhere)
        return status;
    ask = hf_grip_ask(&asked->ask, &around->grip, around->completion->pcs);
    return hf_shapes_first(&asked->board, &ask, &around->elsewhere, &around->first, diag);
}

static enum hf_status answer_with(struct shapes *asked, struct hf_diag *diag)
{
    struct hf_completion completions[HF_COMPLETIONS_MOST];
    static struct around around[HF_COMPLETIONS_MOST];
    struct hf_notes notes;
    struct held held = {0};
    int count = 0;
    enum hf_status status = hf_notes_parse(asked->with, &asked->query.how, &notes, diag);
    if (status == HF_OK && asked->has_notes)
        return answer_added(asked, &notes, diag);
    if (status == HF_OK)
        status = complete(asked, notes.set, completions, &count, diag);
    if (status == HF_OK)
        status = take_held(asked, &notes, &held, completions, count, diag);
    for (int i = 0; i < count; i++)
        around[i] = (struct around){.completion = &completions[i]};
    for (int i = 0; i < count && status == HF_OK && !held.none; i++)
        status = look_around(asked, &held, &around[i], diag);
    if (status == HF_OK && asked->query.json)
        status = hf_query_print(shapes_around_json(asked, &held, around, count), diag);
    else if (status == HF_OK)
        shapes_around_page(asked, &held, around, count);
    for (int i = 0; i < count; i++)
        hf_shapes_free(&around[i].shapes);
    return status;
}

static enum hf_status answer_families(const struct shapes *asked, struct hf_diag *diag)
{
    struct hf_completion completions[HF_COMPLETIONS_MOST];
    struct hf_families families = {0};
    struct hf_family_pairs pairs = {0};
    struct hf_diag why = {0};
    int count = 0;
    hf_query_warn_repeated(&asked->notes, asked->query.names, 0);
    enum hf_status status = complete(asked, asked->notes.set, completions, &count, diag);
    if (status == HF_OK)
        status = hf_families_find(&asked->board, &asked->ask, asked->notes.set, completions, count,
                                  &families, diag);
    if (status == HF_OK)
        status = hf_family_pairs_find(&asked->board, &families, &pairs, diag);
    if (status == HF_OK && families.count == 0)
        status = explained(hf_families_explain(&asked->board, &asked->ask, asked->notes.set,
                                               completions, count, &why),
                           &why, diag);
    if (status == HF_OK && asked->query.json)
        status =
            hf_query_print(shapes_families_json(asked, completions, &families, &pairs, &why), diag);
    else if (status == HF_OK)
        shapes_families_page(asked, completions, &families, &pairs, &why);
    hf_family_pairs_free(&pairs);
    hf_families_free(&families);
    return status;
}

static enum hf_status answer_tour(const struct shapes *asked, struct hf_diag *diag)
{
    struct hf_completion completions[HF_COMPLETIONS_MOST];
    struct hf_tour tour = {0};
    struct held held = {0};
    int count = 0;
    enum hf_status status = complete(asked, asked->notes.set, completions, &count, diag);
    if (status == HF_OK)
        status = take_held(asked, &asked->notes, &held, completions, count, diag);
    if (status == HF_OK && !held.none)
        status =
            hf_tour_find(&asked->board, &asked->ask, &held.grip, completions, count, &tour, diag);
    if (status == HF_OK && asked->query.json)
        status = hf_query_print(shapes_tour_json(asked, &held, completions, &tour), diag);
    else if (status == HF_OK)
        shapes_tour_page(asked, &held, completions, count, &tour);
    hf_tour_free(&tour);
    return status;
}

static enum hf_status answer(struct shapes *asked, int argc, char **argv, int first,
                             struct hf_diag *diag)
{
    if (asked->list)
        return shapes_instruments(asked->query.json, diag);
    enum hf_status status = prepare(asked, diag);
    if (status == HF_OK)
        status = read_operands(asked, argc, argv, first, diag);
    if (status == HF_OK)
        status = misused(asked, diag);
    if (status != HF_OK)
        return status;
    if (asked->with)
        return answer_with(asked, diag);
    if (asked->families)
        return answer_families(asked, diag);
    return asked->tour ? answer_tour(asked, diag) : answer_plain(asked, diag);
}

int hf_cli_shapes(const struct hf_cli_command *command, int argc, char **argv)
{
    static struct shapes asked;
    struct hf_diag diag;
    int first = 0;
    bool stop = false;
    memset(&asked, 0, sizeof asked);
    enum hf_status status = hf_cli_parse(command, argc, argv, take, &asked, &first, &stop, &diag);
    if (status == HF_OK && !stop)
        status = answer(&asked, argc, argv, first, &diag);
    return status == HF_OK ? hf_cli_finish() : hf_cli_fail(status, &diag);
}
