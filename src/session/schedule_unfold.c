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

void schedule_next_unfold(struct hf_schedule *s, struct hf_cue *cue)
{
    struct hf_schedule_unfold *u = &s->unfold;
    struct hf_unfold_place place = {.chord = u->keep ? &u->whole : NULL};
    struct hf_unfold_step step;
    hf_schedule_register(s, (s->given - 1) / (uint32_t)s->count, &place.low, &place.high);
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
