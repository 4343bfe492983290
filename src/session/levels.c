/* SPDX-License-Identifier: MIT */
/* Invariants: a level asks only what its completions can answer; what is a near miss is found by
 * trying every semitone, none is listed. */
#include <holdfast/levels.h>

#include <string.h>

enum { E1 = 28, OCTAVE = 12 };

/* ---- up and down ----------------------------------------------------------------------------- */

static int kinds_of(const struct hf_completion *completions, int count)
{
    int kinds = 0;
    for (int i = 0; i < count; i++)
        kinds = completions[i].kind > kinds ? completions[i].kind : kinds;
    return kinds;
}

static int positions_of(const struct hf_completion *completions, int count)
{
    int positions = 0;
    for (int i = 0; i < count; i++)
        positions = completions[i].position > positions ? completions[i].position : positions;
    return positions;
}

int hf_levels_lowest(const struct hf_completion *completions, int count)
{
    int kinds = kinds_of(completions, count), positions = positions_of(completions, count);
    if (kinds > 1 && kinds < count)
        return HF_LEVEL_KINDS;
    return positions > 1 && positions < count ? HF_LEVEL_POSITIONS : HF_LEVEL_IN_PLACE;
}

int hf_levels_take_round(struct hf_levels *levels, int cues, int got, int missed)
{
    if (levels->fixed)
        return 0;
    if (2 * missed > cues) {
        levels->good = 0;
        if (levels->level == levels->lowest)
            return 0;
        levels->level--;
        return -1;
    }
    levels->good = got >= cues - 1 ? levels->good + 1 : 0;
    if (levels->good < 2 || levels->level == HF_LEVELS)
        return 0;
    levels->good = 0;
    levels->level++;
    return 1;
}

/* ---- near misses ----------------------------------------------------------------------------- */

static bool is_class(hf_pcset set, const char *name)
{
    return strcmp(hf_setclass_of(set)->name, name) == 0;
}

/* The neighbour of a completion that is of a class: one note a semitone away, onto no held one. */
static hf_pcset neighbour(hf_pcset held, hf_pcset pcs, const char *name)
{
    for (int pc = 0; pc < HF_PCS; pc++)
        for (int step = -1; hf_pcset_has(pcs, pc) && step <= 1; step += 2) {
            int to = hf_pc(pc + step);
            hf_pcset moved = (hf_pcset)((pcs & ~(1u << pc)) | 1u << to);
            if (!hf_pcset_has(held | pcs, to) && is_class(moved, name))
                return moved;
        }
    return 0;
}

int hf_levels_near_misses(hf_pcset held, const struct hf_completion *completions, int count,
                          struct hf_near_miss out[HF_NEAR_MISSES_MOST])
{
    static const char *const names[] = {"3-4", "3-8"}; /* 015 and 026 */
    int found = 0;
    if (!is_class(held, "3-12") || count == 0 || !is_class(completions[0].pcs, "3-5"))
        return 0;
    for (int i = 0; i < count; i++)
        for (int n = 0; n < 2 && found < HF_NEAR_MISSES_MOST; n++) {
            hf_pcset pcs = neighbour(held, completions[i].pcs, names[n]);
            if (pcs)
                out[found++] = (struct hf_near_miss){pcs, completions[i].id};
        }
    return found;
}

/* ---- what is asked --------------------------------------------------------------------------- */

/* The completion that is meant: the one itself, or the one that a near miss lies beside. */
static const struct hf_completion *origin(hf_pcset held, const struct hf_completion *completions,
                                          int count, hf_pcset pcs)
{
    struct hf_near_miss near[HF_NEAR_MISSES_MOST];
    for (int i = 0; i < count; i++)
        if (completions[i].pcs == pcs)
            return &completions[i];
    int misses = hf_levels_near_misses(held, completions, count, near);
    for (int n = 0; n < misses; n++)
        if (near[n].pcs == pcs)
            return &completions[near[n].of - 1];
    return &completions[0];
}

static void add_to(struct hf_choice *choice, const struct hf_completion *one, int like)
{
    if (choice->count == 0 || one->position == like)
        choice->id = one->id;
    choice->ids[choice->count++] = one->id;
}

void hf_levels_ask(hf_pcset held, const struct hf_completion *completions, int count, int level,
                   bool near_misses, hf_pcset pcs, struct hf_question *out)
{
    memset(out, 0, sizeof *out);
    out->none = near_misses;
    out->answer = -1;
    if (count == 0)
        return;
    const struct hf_completion *asked = origin(held, completions, count, pcs);
    for (int i = 0; i < count; i++) {
        const struct hf_completion *one = &completions[i];
        int index = level == HF_LEVEL_KINDS       ? one->kind - 1
                    : level == HF_LEVEL_POSITIONS ? one->position - 1
                                                  : i;
        if (index >= HF_CHOICES_MOST || (level == HF_LEVEL_POSITIONS && one->kind != asked->kind))
            continue;
        add_to(&out->choice[index], one, asked->position);
        out->count = index + 1 > out->count ? index + 1 : out->count;
        if (one->pcs == pcs)
            out->answer = index;
    }
}

/* ---- how it sounds --------------------------------------------------------------------------- */

int hf_levels_place(hf_pcset pcs, const struct hf_voicing *voicings, int count)
{
    int normal[HF_PCS];
    int size = hf_pcset_normal(pcs, normal), best = -1;
    for (int i = 0; i < count; i++) {
        const struct hf_voicing *one = &voicings[i];
        bool in_order =
            one->count == size && hf_voicing_is_close(one) && one->notes[0] % HF_PCS == normal[0];
        if (in_order && (best < 0 || one->notes[0] < voicings[best].notes[0]))
            best = i;
    }
    return best >= 0 ? best : count > 0 ? 0 : -1;
}

struct hf_voicing hf_levels_clear(const struct hf_voicing *held)
{
    struct hf_voicing clear = *held;
    bool apart = held->count < 2 || held->notes[1] - held->notes[0] >= OCTAVE;
    if (!apart && held->notes[0] - OCTAVE >= E1)
        clear.notes[0] = (uint8_t)(held->notes[0] - OCTAVE);
    return clear;
}
