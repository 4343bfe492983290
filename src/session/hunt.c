/* SPDX-License-Identifier: MIT */
/* Invariants: `found`, `order`, `last` and `target` agree; the target is not found; no hint but the
 * last holds every note of a completion. */
#include <holdfast/hunt.h>

#include <string.h>

/* ---- the target ------------------------------------------------------------------------------ */

static bool is_found(const struct hf_hunt *h, int index)
{
    return h->found >> index & 1;
}

/* The nearest to the one found last, of equals the first; before any was found one by the seed. */
static void choose_target(struct hf_hunt *h)
{
    int least = 0;
    h->step = 0;
    h->target = -1;
    if (h->last < 0 && h->count > 0)
        h->target = (int)(h->seed % (uint64_t)h->count);
    for (int i = 0; h->last >= 0 && i < h->count; i++) {
        if (is_found(h, i))
            continue;
        int movement = hf_pcset_movement(h->completions[h->last].pcs, h->completions[i].pcs, NULL);
        if (h->target < 0 || movement < least) {
            h->target = i;
            least = movement;
        }
    }
}

void hf_hunt_init(struct hf_hunt *h, const struct hf_request *request)
{
    memset(h, 0, sizeof *h);
    h->held = request->held.set;
    h->added = request->added;
    h->seed = request->seed;
    h->names = request->names;
    h->count = hf_pairing_complete(h->held, h->added, h->completions);
    h->last = -1;
    choose_target(h);
}

bool hf_hunt_done(const struct hf_hunt *h)
{
    return h->found_count == h->count;
}

/* ---- answers --------------------------------------------------------------------------------- */

static int index_of(const struct hf_hunt *h, hf_pcset pcs)
{
    for (int i = 0; i < h->count; i++)
        if (h->completions[i].pcs == pcs)
            return i;
    return -1;
}

struct hf_verdict hf_hunt_judge(const struct hf_hunt *h, hf_pcset pcs)
{
    struct hf_verdict verdict = {.finding = HF_FOUND_OTHER,
                                 .pcs = pcs,
                                 .index = -1,
                                 .shared = pcs & h->held,
                                 .set = hf_setclass_of(pcs)};
    if (verdict.shared) {
        verdict.finding = HF_FOUND_SHARES;
        return verdict;
    }
    verdict.index = index_of(h, pcs);
    if (verdict.index < 0)
        return verdict;
    bool again = is_found(h, verdict.index);
    verdict.finding = again ? HF_FOUND_AGAIN : HF_FOUND;
    /* The first step tells of none in particular. */
    if (!again && verdict.index == h->target && h->step > 1)
        verdict.hints = h->step;
    verdict.nth = again ? h->order[verdict.index] : h->found_count + 1;
    return verdict;
}

struct hf_record hf_hunt_answer(const struct hf_verdict *verdict, int64_t at)
{
    return (struct hf_record){.type = HF_RECORD_ANSWER,
                              .at = at,
                              .pcs = verdict->pcs,
                              .finding = verdict->finding,
                              .hints = verdict->hints};
}

static void take_found(struct hf_hunt *h, int index, int hints)
{
    h->found |= 1u << index;
    h->order[index] = ++h->found_count;
    h->hints[index] = hints;
    h->last = index;
    if (index == h->target || h->step == 0)
        choose_target(h);
}

void hf_hunt_apply(struct hf_hunt *h, const struct hf_record *record)
{
    if (record->type == HF_RECORD_HINT && record->hints == h->step + 1 &&
        record->hints <= hf_hunt_steps(h))
        h->step++;
    if (record->type != HF_RECORD_ANSWER || record->cue > 0)
        return;
    int index = index_of(h, record->pcs);
    if (index < 0)
        return;
    if (!is_found(h, index))
        take_found(h, index, record->hints);
    h->last = index;
}

/* ---- hints ----------------------------------------------------------------------------------- */

/* Transposed so that its normal order begins at 0: the same for all that are built alike. */
static hf_pcset form_of(hf_pcset pcs)
{
    int normal[HF_PCS];
    return hf_pcset_normal(pcs, normal) ? hf_pcset_transpose(pcs, -normal[0]) : 0;
}

static void count_forms(const struct hf_hunt *h, struct hf_hint *hint)
{
    for (int i = 0; i < h->count; i++) {
        hf_pcset form = form_of(h->completions[i].pcs);
        int at = 0;
        while (at < hint->forms && hint->form[at] != form)
            at++;
        if (at == hint->forms)
            hint->form[hint->forms++] = form;
        hint->form_left[at] += !is_found(h, i);
    }
}

/* How far up from `pc` the next held note is, and how far down. */
static int to_held(hf_pcset held, int pc, int direction)
{
    int distance = 1;
    while (!hf_pcset_has(held, hf_pc(pc + direction * distance)))
        distance++;
    return distance;
}

/* The smallest interval of the set that lies between two neighbours of the held set, by its lower
 * note: of equals the first. A set without one: its first note, as an interval of 0. */
static int closest(hf_pcset held, hf_pcset pcs, int *interval)
{
    int list[HF_PCS];
    int count = hf_pcset_list(pcs, list), low = list[0];
    *interval = 0;
    for (int i = 0; i < count; i++)
        for (int up = 1; up < to_held(held, list[i], 1); up++)
            if (hf_pcset_has(pcs, hf_pc(list[i] + up)) && (*interval == 0 || up < *interval)) {
                *interval = up;
                low = list[i];
            }
    return low;
}

static bool has_between(const struct hf_hunt *h)
{
    return hf_pcset_size(h->held) >= 2 && h->target >= 0 &&
           hf_pcset_size(h->completions[h->target].pcs) >= 2;
}

int hf_hunt_steps(const struct hf_hunt *h)
{
    if (h->target < 0 || h->count == 0) /* all are found; of another practice it is all zeros */
        return 0;
    return 1 + has_between(h) + hf_pcset_size(h->completions[h->target].pcs);
}

/* So many notes of the target, first those that were not spoken of before. */
static hf_pcset first_notes(const struct hf_hunt *h, int count)
{
    hf_pcset pcs = h->completions[h->target].pcs, spoken = 0, out = 0;
    int list[HF_PCS], interval = 0;
    int size = hf_pcset_list(pcs, list);
    if (has_between(h)) {
        int low = closest(h->held, pcs, &interval);
        spoken = (hf_pcset)(1u << low | 1u << hf_pc(low + interval));
    }
    for (int turn = 0; turn < 2; turn++)
        for (int i = 0; i < size && hf_pcset_size(out) < count; i++)
            if (hf_pcset_has(spoken, list[i]) == (turn == 1))
                out = (hf_pcset)(out | 1u << list[i]);
    return out;
}

bool hf_hunt_hint(const struct hf_hunt *h, struct hf_hint *out)
{
    if (h->step == 0 || h->target < 0)
        return false;
    struct hf_hint hint = {.step = h->step, .left = h->count - h->found_count};
    int notes = h->step - 1 - has_between(h);
    if (h->step == 1) {
        hint.kind = HF_HINT_FORMS;
        count_forms(h, &hint);
    } else if (notes == 0) {
        hint.kind = HF_HINT_BETWEEN;
        int low = closest(h->held, h->completions[h->target].pcs, &hint.interval);
        hint.low = hf_pc(low - to_held(h->held, low, -1));
        hint.high = hf_pc(low + to_held(h->held, low, 1));
    } else {
        hint.notes = first_notes(h, notes);
        bool whole = hint.notes == h->completions[h->target].pcs;
        hint.kind = whole ? HF_HINT_WHOLE : HF_HINT_NOTE;
    }
    *out = hint;
    return true;
}
