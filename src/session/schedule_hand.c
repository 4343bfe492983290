/* SPDX-License-Identifier: MIT */
/* Invariant: with a hand every cue has a shape, and its voicing is what that shape sounds. */
#include "schedule_parts.h"

#include <stdlib.h>
#include <string.h>

enum { CUES_TRIED = 2000, WIDEN_BY = 5, CLOSE_SPAN = 11 };

/* ---- voicings -------------------------------------------------------------------------------- */

/* White keys from a note to another, both counted; a black key counts as the white one below it. */
static int white_keys(int low, int high)
{
    static const int white[HF_PCS] = {0, 0, 1, 1, 2, 3, 3, 4, 4, 5, 5, 6};
    int from = low / HF_PCS * 7 + white[low % HF_PCS],
        to = high / HF_PCS * 7 + white[high % HF_PCS];
    return to - from + 1;
}

static bool in_one_hand(const struct hf_schedule *s, const uint8_t *notes, int count)
{
    return count == 0 || white_keys(notes[0], notes[count - 1]) <= s->span;
}

/* Two hands share the notes by register: the lower ones left, the higher ones right. */
static bool in_two_hands(const struct hf_schedule *s, const uint8_t *notes, int count)
{
    for (int left = 0; left <= count; left++)
        if (in_one_hand(s, notes, left) && in_one_hand(s, notes + left, count - left))
            return true;
    return false;
}

bool schedule_in_reach_of_keys(const struct hf_schedule *s, const struct hf_voicing *added)
{
    uint8_t all[2 * HF_PCS];
    int count = 0;
    if (!s->holds)
        return hf_voicing_between(added, s->held_low, s->held_high)
                   ? in_two_hands(s, added->notes, added->count)
                   : in_one_hand(s, added->notes, added->count);
    for (int i = 0, j = 0; i < added->count || j < s->held.count;) {
        bool take = j == s->held.count || (i < added->count && added->notes[i] < s->held.notes[j]);
        all[count++] = take ? added->notes[i++] : s->held.notes[j++];
    }
    return in_two_hands(s, all, count);
}

static bool is_wished(const struct hf_schedule *s, const struct hf_voicing *voicing, uint32_t round)
{
    int span = voicing->notes[voicing->count - 1] - voicing->notes[0];
    switch (s->voicing) {
    case HF_VOICING_ANY:
        return true;
    case HF_VOICING_CLOSE:
        return span <= CLOSE_SPAN;
    case HF_VOICING_OPEN:
        return span > CLOSE_SPAN;
    case HF_VOICING_WIDENING: /* close at first, a fourth wider with every round */
        return round > 20 || span <= CLOSE_SPAN + (int)round * WIDEN_BY;
    }
    return true;
}

/* Leaves of the first `count` choices those that --voicing and the keyboard hand allow. */
int schedule_filter_voicings(struct hf_schedule *s, int count, uint32_t round)
{
    int kept = 0;
    for (int i = 0; i < count; i++)
        if (is_wished(s, &s->choices[i], round) &&
            (!s->keys || schedule_in_reach_of_keys(s, &s->choices[i])))
            s->choices[kept++] = s->choices[i];
    return kept;
}

/* ---- stops: families and tours --------------------------------------------------------------- */

static enum hf_status make_stops(struct hf_schedule *s, size_t count, struct hf_diag *diag)
{
    s->stops = calloc(count ? count : 1, sizeof *s->stops);
    s->stop_count = count;
    return s->stops ? HF_OK : hf_fail(diag, HF_E_MEMORY, "out of memory");
}

static int index_of_id(const struct hf_schedule *s, int id)
{
    for (int i = 0; i < s->count; i++)
        if (s->completions[i].id == id)
            return i;
    return 0;
}

static void add_family(struct hf_schedule *s, const struct hf_fretboard *board,
                       const struct hf_family *family, size_t *at)
{
    for (int i = 0; i < family->positions; i++)
        s->stops[(*at)++] = (struct hf_schedule_stop){.shape = hf_family_member(board, family, i),
                                                      .index = index_of_id(s, family->id[i])};
}

/* The pair of families whose hands are nearest: one through its positions, then the other. */
static enum hf_status take_families(struct hf_schedule *s, const struct hf_request *request,
                                    struct hf_diag *diag)
{
    const struct hf_fretboard *board = &request->board;
    struct hf_shapes_ask ask;
    struct hf_families families = {0};
    struct hf_family_pairs pairs = {0};
    size_t at = 0;
    hf_shapes_ask_init(&ask, board);
    enum hf_status status =
        hf_families_find(board, &ask, request->held.set, s->completions, s->count, &families, diag);
    if (status == HF_OK)
        status = hf_family_pairs_find(board, &families, &pairs, diag);
    if (status == HF_OK && pairs.count == 0) {
        status =
            hf_families_explain(board, &ask, request->held.set, s->completions, s->count, diag);
        if (status == HF_OK)
            status = hf_fail(diag, HF_E_USAGE, "order grip: no two families give every completion");
    }
    if (status == HF_OK) {
        const struct hf_family *a = &families.family[pairs.pair[0].a];
        const struct hf_family *b = &families.family[pairs.pair[0].b];
        status = make_stops(s, (size_t)a->positions + (size_t)b->positions, diag);
        if (status == HF_OK) {
            add_family(s, board, a, &at);
            add_family(s, board, b, &at);
        }
    }
    hf_family_pairs_free(&pairs);
    hf_families_free(&families);
    return status;
}

static enum hf_status take_tour(struct hf_schedule *s, const struct hf_request *request,
                                struct hf_diag *diag)
{
    struct hf_shapes_ask ask;
    struct hf_tour tour = {0};
    hf_shapes_ask_init(&ask, &request->board);
    enum hf_status status =
        hf_tour_find(&request->board, &ask, &s->hand->grip, s->completions, s->count, &tour, diag);
    if (status == HF_OK && tour.count == 0)
        status = hf_fail(diag, HF_E_USAGE, "order tour: nothing can be added to the held grip");
    if (status == HF_OK)
        status = make_stops(s, tour.count, diag);
    for (size_t i = 0; status == HF_OK && i < tour.count; i++)
        s->stops[i] = (struct hf_schedule_stop){.shape = tour.stop[i].shape,
                                                .index = index_of_id(s, tour.stop[i].id)};
    hf_tour_free(&tour);
    return status;
}

/* The strings of a shape that sound pitch classes of `set`. */
static struct hf_shape part_of(const struct hf_fretboard *board, const struct hf_shape *shape,
                               hf_pcset set)
{
    struct hf_shape part = *shape;
    struct hf_strings strings = hf_fretboard_strings(board);
    for (int i = 0; i < HF_STRINGS_MOST; i++)
        if (part.fret[i] != HF_SILENT && !hf_pcset_has(set, hf_pc(strings.midi[i] + part.fret[i])))
            part.fret[i] = HF_SILENT;
    hf_shape_measure(board, &part);
    return part;
}

void schedule_next_stop(struct hf_schedule *s, struct hf_cue *cue)
{
    const struct hf_fretboard *board = &s->hand->ask.board;
    const struct hf_schedule_stop *stop = &s->stops[s->given % s->stop_count];
    const struct hf_completion *completion = &s->completions[stop->index];
    struct hf_shape added = part_of(board, &stop->shape, completion->pcs);
    struct hf_shape held = part_of(board, &stop->shape, completion->united ^ completion->pcs);
    struct hf_voicing hold = hf_shape_voicing(board, &held);
    cue->id = completion->id;
    cue->pcs = completion->pcs;
    cue->voicing = hf_shape_voicing(board, &added);
    cue->strings = board->strings;
    cue->shape = stop->shape;
    cue->has_hold = s->given > 0 && !hf_voicing_same(&hold, &s->held);
    cue->hold_pcs = completion->united ^ completion->pcs;
    cue->hold = hold;
    cue->hold_shape = held;
    schedule_take_held(s, &hold);
}

/* The shape of notes that were given as frets, if they lie so on this instrument. */
bool schedule_shape_of(const struct hf_fretboard *board, const struct hf_notes *notes,
                       struct hf_shape *shape)
{
    struct hf_strings strings = hf_fretboard_strings(board);
    hf_shape_init(shape);
    for (int i = 0; i < notes->count; i++) {
        const struct hf_note *note = &notes->note[i];
        if (note->string < 0 || note->string >= strings.count ||
            strings.midi[note->string] + note->fret != note->midi)
            return false;
        shape->fret[note->string] = (int8_t)note->fret;
    }
    hf_shape_measure(board, shape);
    return notes->count > 0;
}

/* ---- start ----------------------------------------------------------------------------------- */

/* The fewest shapes that a completion has in any register of the session. */
static int least_room(struct hf_schedule *s)
{
    int least = 1 << 20;
    for (uint32_t round = 0; round < 3; round++)
        for (int i = 0; i < s->count; i++) {
            int low, high;
            hf_schedule_register(s, round, &low, &high);
            int room = hf_hand_room(s->hand, i, low, high);
            least = room < least ? room : least;
        }
    return least;
}

/* A held set that came without octaves goes where every register has the most room: of its close
 * voicings on the instrument, in any inversion, the lowest of those. */
static void place_held(struct hf_schedule *s, hf_pcset pcs)
{
    const struct hf_fretboard *board = &s->hand->ask.board;
    struct hf_strings strings = hf_fretboard_strings(board);
    int high = strings.midi[strings.count - 1] + hf_fretboard_last(board);
    struct hf_voicing best = s->held;
    int count = hf_voicing_list(pcs, strings.midi[0], high, s->choices), most = -1;
    for (int i = 0; i < count; i++) {
        if (!hf_voicing_is_close(&s->choices[i]))
            continue;
        schedule_take_held(s, &s->choices[i]);
        int room = least_room(s);
        if (room > most || (room == most && s->held_low < best.notes[0])) {
            most = room;
            best = s->choices[i];
        }
    }
    schedule_take_held(s, &best);
}

/* With a fixed grip: only what can be added to it. Order and ids stay. */
static void leave_out(struct hf_schedule *s)
{
    int kept = 0;
    for (int i = 0; i < s->count; i++) {
        if (!s->hand->can[i])
            continue;
        struct hf_hand_list list = s->hand->lists[kept];
        s->completions[kept] = s->completions[i];
        s->hand->added[kept] = s->hand->added[i];
        s->hand->lists[kept] = s->hand->lists[i];
        s->hand->lists[i] = i == kept ? s->hand->lists[i] : list;
        kept++;
    }
    s->left_out = s->count - kept;
    s->count = kept;
}

/* The instrument has the notes, but in no shape there. */
static enum hf_status no_place(const struct hf_schedule *s, uint32_t round, hf_pcset pcs,
                               struct hf_diag *diag)
{
    static const char *const words[] = {[HF_REGISTER_ABOVE] = "over the held notes",
                                        [HF_REGISTER_THROUGH] = "among the held notes",
                                        [HF_REGISTER_BELOW] = "under the held notes",
                                        [HF_REGISTER_RANGE] = "in the register"};
    char names[HF_NOTES_TEXT];
    struct hf_notes notes = hf_notes_of_set(pcs);
    enum hf_register_way way = schedule_way_of_round(s, round);
    hf_fail(diag, HF_E_USAGE, "%s no shape on %s has %s: its strings and reach allow none there",
            s->any_register ? "anywhere" : words[way], s->hand->ask.board.name,
            hf_notes_format(&notes, HF_NAMES_SIMPLE, names));
    hf_advise(diag, "choose another --register, hold other notes, or allow more --reach");
    return HF_E_USAGE;
}

static enum hf_status check_strings(const struct hf_schedule *s, const struct hf_request *request,
                                    struct hf_diag *diag)
{
    int notes = request->held.count + request->added->size, strings = request->board.strings;
    if (!request->holds || notes <= strings)
        return HF_OK;
    hf_fail(diag, HF_E_USAGE, "held and added notes in one hand are %d, and %s has %d strings",
            notes, s->hand->ask.board.name, strings);
    hf_advise(diag, "leave out %s: the held notes sound by themselves",
              s->order == HF_ORDER_TOUR ? "--order tour" : "--hold hand");
    return HF_E_USAGE;
}

static enum hf_status check_room(struct hf_schedule *s, struct hf_diag *diag)
{
    for (uint32_t round = 0; round < 3; round++)
        for (int i = 0; i < s->count; i++) {
            int low, high;
            hf_schedule_register(s, round, &low, &high);
            if (hf_hand_room(s->hand, i, low, high) == 0 && !s->hand->ask.holds)
                return no_place(s, round, s->completions[i].pcs, diag);
        }
    return HF_OK;
}

enum hf_status schedule_take_hand(struct hf_schedule *s, const struct hf_request *request,
                                  struct hf_diag *diag)
{
    struct hf_hand_ask ask = {.board = request->board,
                              .holds = request->holds,
                              .fixed = request->grip_fixed,
                              .leap_mm = request->leap_mm};
    ask.has_grip = schedule_shape_of(&request->board, &request->held, &ask.grip);
    s->own_in_frets =
        request->has_own && schedule_shape_of(&request->board, &request->own_notes, &s->own_shape);
    bool grip = s->order == HF_ORDER_GRIP;
    s->hand = calloc(1, sizeof *s->hand);
    if (!s->hand)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    if (grip) { /* the families have the held notes in them */
        s->hand->ask = ask;
        enum hf_status found = take_families(s, request, diag);
        if (found == HF_OK) {
            struct hf_cue first = {0};
            schedule_next_stop(s, &first); /* what it holds is held from the start */
        }
        return found;
    }
    s->hand->ask = ask; /* for what may be said */
    enum hf_status status = check_strings(s, request, diag);
    if (status == HF_OK)
        status = hf_hand_init(s->hand, &ask, &s->held, !request->held_free, s->completions,
                              s->count, diag);
    if (status != HF_OK)
        return status;
    s->any_register = !request->given[HF_OPT_REGISTER];
    if (ask.holds) {
        struct hf_voicing held = hf_shape_voicing(&ask.board, &s->hand->grip);
        schedule_take_held(s, &held);
    } else if (request->held_free && !s->any_register) {
        place_held(s, request->held.set);
    }
    if (ask.fixed)
        leave_out(s);
    status = check_room(s, diag);
    return status == HF_OK && s->order == HF_ORDER_TOUR ? take_tour(s, request, diag) : status;
}

static enum hf_status no_shape(const struct hf_schedule *s, const struct hf_cue *cue,
                               struct hf_diag *diag)
{
    if (s->hand->in_want)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    if (cue->step > 0) {
        const struct hf_setclass *class = hf_setclass_of(cue->pcs);
        hf_fail(diag, HF_E_USAGE, "unfold: no %s of cue %u lies in one hand on %s", class->name,
                s->given, s->hand->ask.board.name);
        hf_advise(diag, "leave out --hand, allow more --reach, or unfold other classes");
        return HF_E_USAGE;
    }
    if (s->hand->ask.leap_mm > 0)
        return hf_fail(diag, HF_E_USAGE, "cue %u has no shape within a leap of %g mm; allow more",
                       s->given, s->hand->ask.leap_mm);
    hf_fail(diag, HF_E_USAGE, "%s %u has no shape in reach", s->chooses ? "completion" : "cue",
            s->chooses ? (uint32_t)cue->id : s->given);
    hf_advise(diag, "allow more --reach, or choose another --register");
    return HF_E_USAGE;
}

enum hf_status schedule_check_hand(struct hf_schedule *s, struct hf_diag *diag)
{
    struct hf_cue cue;
    for (int i = 0; s->chooses && i < 3 * s->count; i++) {
        hf_schedule_choose(s, i % s->count, &cue);
        if (cue.strings == 0 && i != s->own)
            return no_shape(s, &cue, diag);
    }
    for (int i = 0; i < CUES_TRIED && hf_schedule_next(s, &cue); i++)
        if (cue.strings == 0 && !(s->own >= 0 && cue.serial == 1) &&
            !(cue.step > 0 && s->unfold.keep)) /* where the chord has it, in reach or not */
            return no_shape(s, &cue, diag);
    return HF_OK;
}

/* ---- next ------------------------------------------------------------------------------------ */

static enum hf_hand_way way_of(const struct hf_schedule *s)
{
    return s->order == HF_ORDER_NEAR  ? HF_HAND_NEAR
           : s->order == HF_ORDER_FAR ? HF_HAND_FAR
                                      : HF_HAND_ANY;
}

/* A chord's own half, where it lies in the hand as it is. */
static bool own_in_hand(struct hf_schedule *s, struct hf_cue *cue)
{
    struct hf_shapes_ask ask;
    cue->voicing = s->own_voicing;
    if (s->own_in_frets) {
        cue->shape = s->own_shape;
        for (int i = 0; s->hand->ask.holds && i < HF_STRINGS_MOST; i++)
            if (s->hand->grip.fret[i] != HF_SILENT)
                cue->shape.fret[i] = s->hand->grip.fret[i];
        hf_shape_measure(&s->hand->ask.board, &cue->shape);
        return true;
    }
    hf_shapes_ask_init(&ask, &s->hand->ask.board);
    for (int i = 0; i < s->own_voicing.count && i < HF_STRINGS_MOST; i++)
        ask.midi[ask.count++] = s->own_voicing.notes[i];
    for (int i = 0; s->holds && i < s->held.count && ask.count < HF_STRINGS_MOST; i++)
        ask.midi[ask.count++] = s->held.notes[i];
    bool found = false;
    return hf_shapes_first(&s->hand->ask.board, &ask, &found, &cue->shape, NULL) == HF_OK && found;
}

bool schedule_next_in_hand(struct hf_schedule *s, int index, uint32_t round, struct hf_cue *cue)
{
    bool through = !s->any_register && schedule_way_of_round(s, round) == HF_REGISTER_THROUGH;
    struct hf_hand_want want = {
        .between = through, .held_low = s->held_low, .held_high = s->held_high, .way = way_of(s)};
    bool new_grip = false;
    if (index == s->own && s->visits[index] == 1) { /* as it lies in the chord, in reach or not */
        cue->strings = own_in_hand(s, cue) ? s->hand->ask.board.strings : 0;
        return true;
    }
    hf_schedule_register(s, round, &want.low, &want.high);
    if (!hf_hand_next(s->hand, index, &want, &s->voicings, &cue->shape, &new_grip))
        return false;
    cue->strings = s->hand->ask.board.strings;
    cue->voicing = hf_hand_added(s->hand, &cue->shape);
    if (new_grip) {
        struct hf_voicing held = hf_shape_voicing(&s->hand->ask.board, &s->hand->grip);
        schedule_take_held(s, &held);
        cue->has_hold = true;
        cue->hold_pcs = s->completions[index].united ^ s->completions[index].pcs;
        cue->hold = held;
        cue->hold_shape = s->hand->grip;
    }
    return true;
}
