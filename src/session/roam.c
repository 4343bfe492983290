/* SPDX-License-Identifier: MIT */
/* Invariant: everything comes from the request and the timeline; nothing is remembered here. */
#include <holdfast/roam.h>

#include <stdio.h>
#include <string.h>

/* ---- the view -------------------------------------------------------------------------------- */

int hf_roam_next(const struct hf_completion *completions, int count, int from, int own)
{
    int ring[HF_COMPLETIONS_MOST];
    if (from < 0)
        return own >= 0 ? own : 0;
    if (hf_pairing_ring(completions, count, ring) == 0)
        return (from + 1) % count;
    for (int i = 0; i < count; i++)
        if (ring[i] == from + 1)
            return ring[(i + 1) % count] - 1;
    return from;
}

static void list_items(const struct hf_request *request, const struct hf_timeline *t,
                       struct hf_roam_view *view)
{
    struct hf_completion completions[HF_COMPLETIONS_MOST];
    int count = hf_pairing_complete(request->held.set, request->added, completions);
    bool hunts = request->practice == HF_PRACTICE_HUNT;
    view->count = count;
    for (int i = 0; i < count; i++) {
        struct hf_roam_item *item = &view->items[i];
        struct hf_spelled spelled[HF_PCS];
        item->completion = completions[i];
        item->size = hf_spelling_of(completions[i].pcs, request->names, spelled);
        for (int note = 0; note < item->size; note++)
            hf_spelled_format(spelled[note], request->names, item->names[note]);
        item->in_view = !hunts || t->hunt.order[i] > 0;
    }
    view->is_ring = hf_pairing_ring(completions, count, view->ring) > 0;
    for (int i = 0; i < count; i++)
        view->ring[i] = view->is_ring ? view->ring[i] - 1 : i;
}

void hf_roam_look(const struct hf_request *request, const struct hf_timeline *t, int64_t now,
                  struct hf_roam_view *out)
{
    memset(out, 0, sizeof *out);
    out->here = -1;
    list_items(request, t, out);
    int64_t last = t->end_at < now ? t->end_at : now;
    if (last == HF_NEVER)
        last = t->last_at;
    out->alone = last;
    for (size_t i = 0; i < t->count; i++) {
        const struct hf_timeline_cue *cue = &t->cues[i];
        if (!hf_timeline_reached(t, cue->at, last))
            break;
        if (i == 0)
            out->alone = cue->at;
        int index = cue->record.id - 1; /* of a record from elsewhere it may be anything */
        if (index < 0 || index >= out->count)
            continue;
        out->items[index].visits++;
        out->items[index].samples += (cue->end < last ? cue->end : last) - cue->at;
        out->here = index;
    }
    if (out->here >= 0)
        out->items[out->here].here = true;
}

/* ---- suggestions ----------------------------------------------------------------------------- */

struct writing {
    char *text;
    size_t used;
};

static void put(struct writing *w, const char *words)
{
    int more = snprintf(w->text + w->used, HF_SUGGESTION_TEXT - w->used, "%s", words);
    w->used += (size_t)more;
    if (w->used >= HF_SUGGESTION_TEXT)
        w->used = HF_SUGGESTION_TEXT - 1;
}

/* The names but one, parted by spaces; -1: all. */
static void put_names(struct writing *w, const struct hf_roam_item *item, int but)
{
    bool first = true;
    for (int i = 0; i < item->size; i++) {
        if (i == but)
            continue;
        put(w, first ? "" : " ");
        put(w, item->names[i]);
        first = false;
    }
}

/* A held note, an added one, and so on in turn, the held ones from low to high. */
static void put_interleaved(struct writing *w, const struct hf_roam_item *item,
                            const struct hf_record *held)
{
    for (int i = 0; i < held->count || i < item->size; i++) {
        put(w, i ? " " : "");
        if (i < held->count)
            put(w, held->names[i]);
        put(w, i < held->count && i < item->size ? " " : "");
        if (i < item->size)
            put(w, item->names[i]);
    }
}

char *hf_roam_suggest(const struct hf_roam_item *item, const struct hf_record *held, unsigned turn,
                      char text[HF_SUGGESTION_TEXT])
{
    static const enum hf_suggestion alone[] = {HF_SUGGEST_LINE, HF_SUGGEST_INTERLEAVED};
    struct writing w = {.text = text};
    bool one = item->size < 2;
    unsigned kinds = one ? 2 : HF_SUGGESTIONS;
    enum hf_suggestion kind = one ? alone[turn % 2] : (enum hf_suggestion)(turn % HF_SUGGESTIONS);
    int apart = item->size ? (int)(turn / kinds % (unsigned)item->size) : 0;
    text[0] = 0;
    switch (kind) {
    case HF_SUGGEST_LINE:
        put(&w, "A line: ");
        put_names(&w, item, -1);
        put(&w, one ? ", long and short, high and low." : " one after another, up and down.");
        break;
    case HF_SUGGEST_CHORD:
        put(&w, "A chord: ");
        put_names(&w, item, -1);
        put(&w, " together, and let it ring.");
        break;
    case HF_SUGGEST_SPLIT:
        put(&w, "Split by register: ");
        put(&w, item->names[apart]);
        put(&w, " low, ");
        put_names(&w, item, apart);
        put(&w, " high.");
        break;
    case HF_SUGGEST_INTERLEAVED:
        put(&w, "Interleaved with what is held: ");
        put_interleaved(&w, item, held);
        put(&w, ".");
        break;
    case HF_SUGGEST_HELD_NOTE:
        put(&w, "One note held: keep ");
        put(&w, item->names[apart]);
        put(&w, " sounding, play ");
        put_names(&w, item, apart);
        put(&w, " around it.");
        break;
    case HF_SUGGESTIONS:
        break;
    }
    return text;
}
