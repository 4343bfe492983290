/* SPDX-License-Identifier: MIT */
/* Chords to look at. Invariant: what is held is the first half of the chord, what is added its
 * second, so that the two together are the chord. */
#include "schedule_parts.h"

#include <string.h>

static struct hf_voicing half_of(const struct hf_voicing *notes, hf_pcset half)
{
    int list[HF_PCS], count = 0;
    for (int i = 0; i < notes->count; i++)
        if (hf_pcset_has(half, notes->notes[i] % HF_PCS))
            list[count++] = notes->notes[i];
    return hf_voicing_of(list, count);
}

/* The strings of a shape that sound a half; the others silent. */
static struct hf_shape shape_of_half(const struct hf_schedule *s,
                                     const struct hf_sight_chord *chord, hf_pcset half)
{
    struct hf_shape shape = chord->shape;
    for (int i = 0; i < chord->strings; i++) {
        int midi = s->sight.board.midi[i] + s->sight.board.capo + chord->shape.fret[i];
        if (chord->shape.fret[i] != HF_SILENT && !hf_pcset_has(half, midi % HF_PCS))
            shape.fret[i] = HF_SILENT;
    }
    return shape;
}

static int id_of(const struct hf_sight_chord *chord)
{
    struct hf_completion completions[HF_COMPLETIONS_MOST];
    int count =
        chord->real ? hf_pairing_complete(chord->first, hf_setclass_find(3, 5), completions) : 0;
    for (int i = 0; i < count; i++)
        if (completions[i].pcs == chord->second)
            return completions[i].id;
    return 0;
}

bool schedule_next_sight(struct hf_schedule *s, struct hf_cue *out)
{
    struct hf_sight_chord *chord = &s->sight.next;
    if (!s->sight.is_next && hf_sight_next(&s->sight.deck, chord, NULL) != HF_OK)
        return false;
    s->sight.is_next = false;
    out->id = id_of(chord);
    out->has_hold = true;
    out->hold_pcs = chord->first;
    out->hold = half_of(&chord->notes, chord->first);
    out->pcs = chord->second;
    out->voicing = half_of(&chord->notes, chord->second);
    out->spelled_in = (hf_pcset)(chord->first | chord->second);
    out->manner.apart = s->sight.apart;
    out->strings = chord->strings;
    if (chord->strings > 0) {
        out->hold_shape = shape_of_half(s, chord, chord->first);
        out->shape = shape_of_half(s, chord, chord->second);
    }
    return true;
}

enum hf_status schedule_start_sight(struct hf_schedule *s, const struct hf_request *request,
                                    struct hf_diag *diag)
{
    struct hf_schedule_sight *sight = &s->sight;
    sight->on = true;
    sight->board = request->board;
    sight->round = request->chords ? (int)request->chord_count : HF_SIGHT_ROUND;
    sight->apart = hf_request_samples(request, (struct hf_span){.amount = HF_SIGHT_APART_S});
    hf_sight_init(&sight->deck, request->seed, request->has_board ? &sight->board : NULL,
                  request->chords, request->chord_count);
    enum hf_status status = hf_sight_next(&sight->deck, &sight->next, diag);
    if (status != HF_OK)
        return status;
    sight->is_next = true;
    struct hf_voicing first = half_of(&sight->next.notes, sight->next.first);
    schedule_take_held(s, &first);
    return schedule_count_cues(s, request, diag);
}
