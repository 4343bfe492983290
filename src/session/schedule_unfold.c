/* SPDX-License-Identifier: MIT */
/* Unfolding a chord after its cue. Invariant: it draws from a stream of its own, so that the cues
 * are the same with it and without. */
#include "schedule_parts.h"

#include <string.h>

static hf_pcset set_of(const struct hf_voicing *voicing)
{
    hf_pcset set = 0;
    for (int i = 0; i < voicing->count; i++)
        set = (hf_pcset)(set | 1u << voicing->notes[i] % HF_PCS);
    return set;
}

static struct hf_voicing together(const struct hf_voicing *a, const struct hf_voicing *b)
{
    int notes[HF_PCS], count = 0;
    for (int i = 0; i < a->count && count < HF_PCS; i++)
        notes[count++] = a->notes[i];
    for (int i = 0; i < b->count && count < HF_PCS; i++)
        if (!memchr(a->notes, b->notes[i], a->count))
            notes[count++] = b->notes[i];
    return hf_voicing_of(notes, count);
}

static void shuffle(struct hf_schedule_unfold *u)
{
    for (int i = u->count - 1; i > 0; i--) {
        int j = (int)hf_random_below(&u->random, (uint32_t)i + 1);
        const struct hf_setclass *class = u->classes[i];
        u->classes[i] = u->classes[j];
        u->classes[j] = class;
    }
}

void schedule_begin_unfold(struct hf_schedule *s, const struct hf_cue *cue)
{
    struct hf_schedule_unfold *u = &s->unfold;
    u->whole = together(&s->held, &cue->voicing);
    u->chord = set_of(&u->whole);
    u->count = hf_unfold_classes(&u->ask, u->chord, u->classes);
    u->place = 0;
    u->from = cue->voicing;
    u->id = cue->id;
    if (u->ask.count == 0) /* a fixed order would teach the order */
        shuffle(u);
}

/* The shape of a step on the instrument; false where it has none. */
static bool shape_of(const struct hf_fretboard *board, const struct hf_voicing *voicing,
                     struct hf_shape *shape)
{
    struct hf_shapes_ask ask;
    bool found = false;
    if (voicing->count > board->strings)
        return false;
    hf_shapes_ask_init(&ask, board);
    for (int i = 0; i < voicing->count; i++)
        ask.midi[ask.count++] = voicing->notes[i];
    return hf_shapes_first(board, &ask, &found, shape, NULL) == HF_OK && found;
}

static bool fits_frets(void *self, const struct hf_voicing *voicing)
{
    const struct hf_schedule *s = self;
    return shape_of(&s->hand->ask.board, voicing, NULL);
}

static bool fits_keys(void *self, const struct hf_voicing *voicing)
{
    return schedule_in_reach_of_keys(self, voicing);
}

/* Where the notes of a step may lie: in the register, and in the hand where there is one. */
static struct hf_unfold_place place_of(struct hf_schedule *s)
{
    struct hf_unfold_place place = {.chord = s->unfold.keep ? &s->unfold.whole : NULL, .self = s};
    hf_schedule_register(s, (s->given - 1) / (uint32_t)s->count, &place.low, &place.high);
    if (s->keys)
        place.fits = fits_keys;
    if (!s->hand)
        return place;
    const struct hf_fretboard *board = &s->hand->ask.board;
    struct hf_strings strings = hf_fretboard_strings(board);
    int low = strings.midi[0], high = strings.midi[strings.count - 1] + hf_fretboard_last(board);
    place.fits = fits_frets;
    place.low = place.low > low && !s->stop_count ? place.low : low; /* stops have no register */
    place.high = place.high < high && !s->stop_count ? place.high : high;
    return place;
}

void schedule_next_unfold(struct hf_schedule *s, struct hf_cue *cue)
{
    struct hf_schedule_unfold *u = &s->unfold;
    struct hf_unfold_place place = place_of(s);
    struct hf_unfold_step step;
    hf_unfold_choose(u->chord, u->classes[u->place], &u->from, &place, s->choices, &step);
    u->from = step.voicing;
    u->place++;
    u->given++;
    cue->id = u->id;
    cue->pcs = step.pcs;
    cue->voicing = step.voicing;
    cue->spelled_in = step.pcs;
    cue->length = s->every ? u->step : 0;
    cue->manner.under_db = HF_UNFOLD_UNDER_DB;
    cue->step = u->place;
    cue->steps = u->count;
    cue->which = step.which;
    cue->of = step.of;
    if (s->hand && shape_of(&s->hand->ask.board, &step.voicing, &cue->shape))
        cue->strings = s->hand->ask.board.strings;
}

/* ---- start ----------------------------------------------------------------------------------- */

static hf_pcset first_chord(const struct hf_schedule *s)
{
    if (s->legs)
        return (hf_pcset)(s->leg[0].held | s->leg[0].added);
    return s->completions[0].united;
}

/* How many steps each cue has, the same for all: else nobody could say how long the whole will be.
 */
enum hf_status schedule_start_unfold(struct hf_schedule *s, const struct hf_request *request,
                                     struct hf_diag *diag)
{
    struct hf_schedule_unfold *u = &s->unfold;
    if (request->unfold.size == 0)
        return HF_OK;
    u->ask = request->unfold;
    u->keep = request->keep_registers;
    u->step = hf_request_samples(request, request->step);
    hf_random_init(&u->random, request->seed, HF_STREAM_UNFOLD);
    for (int i = 1; !s->legs && i < s->count; i++)
        if (s->completions[i].result != s->completions[0].result)
            return hf_fail(
                diag, HF_E_USAGE,
                "unfold takes chords of one class, and these %d completions make several",
                s->count);
    u->steps = hf_unfold_classes(&u->ask, first_chord(s), u->classes);
    if (u->steps == 0)
        return hf_fail(diag, HF_E_USAGE, "unfold: %s has none of %s",
                       hf_setclass_of(first_chord(s))->name, request->text[HF_OPT_UNFOLD]);
    return HF_OK;
}
