/* SPDX-License-Identifier: MIT */
/* Invariant: every choice is a function of the arguments, so that a rehearsal and the session that
 * follows it choose alike. */
#include <holdfast/unfold.h>

#include <stdio.h>
#include <string.h>

/* ---- what is asked for ----------------------------------------------------------------------- */

static bool has(const struct hf_unfold_ask *ask, const struct hf_setclass *class)
{
    for (int i = 0; i < ask->count; i++)
        if (ask->classes[i] == class)
            return true;
    return false;
}

static enum hf_status take_word(struct hf_unfold_ask *ask, const char *word, struct hf_diag *diag)
{
    const struct hf_setclass *class = NULL;
    struct hf_diag why;
    if (hf_setclass_parse(word, &class, &why) != HF_OK) {
        hf_fail(diag, HF_E_USAGE, "unfold \"%.40s\" is not known", word);
        hf_advise(diag, "choose all, tetrachords, or classes such as 3-5,3-11");
        return HF_E_USAGE;
    }
    if (class->size != 3 && class->size != 4)
        return hf_fail(diag, HF_E_USAGE,
                       "unfold takes classes of three or four notes, and %s has %d", class->name,
                       class->size);
    if (has(ask, class))
        return hf_fail(diag, HF_E_USAGE, "unfold: %s is there twice", class->name);
    ask->classes[ask->count++] = class;
    return HF_OK;
}

enum hf_status hf_unfold_parse(const char *text, struct hf_unfold_ask *out, struct hf_diag *diag)
{
    struct hf_unfold_ask ask = {.size = 3};
    bool tetrachords = strcmp(text, "tetrachords") == 0;
    if (tetrachords || strcmp(text, "all") == 0) {
        ask.size = tetrachords ? 4 : 3;
        *out = ask;
        return HF_OK;
    }
    for (const char *at = text + strspn(text, ", "); *at;) {
        char word[48];
        size_t length = strcspn(at, ", ");
        snprintf(word, sizeof word, "%.*s", (int)(length < 47 ? length : 47), at);
        enum hf_status status = take_word(&ask, word, diag);
        if (status != HF_OK)
            return status;
        at += length;
        at += strspn(at, ", ");
    }
    if (ask.count == 0)
        return take_word(&ask, text, diag);
    *out = ask;
    return HF_OK;
}

int hf_unfold_classes(const struct hf_unfold_ask *ask, hf_pcset chord,
                      const struct hf_setclass *out[HF_UNFOLD_MOST])
{
    int census[HF_SETCLASSES], count = 0;
    for (int size = 3; size <= 4; size++) {
        if (ask->count == 0 && ask->size != size)
            continue;
        hf_setclass_census(chord, size, census);
        for (int i = 0; ask->count == 0 && i < HF_SETCLASSES; i++)
            if (census[i] > 0)
                out[count++] = hf_setclass_at(i);
    }
    for (int i = 0; i < ask->count; i++) {
        hf_setclass_census(chord, ask->classes[i]->size, census);
        if (census[ask->classes[i]->index] > 0)
            out[count++] = ask->classes[i];
    }
    return count;
}

/* ---- which notes ----------------------------------------------------------------------------- */

/* The notes of the chord that have these pitch classes; of one that is there twice the lower. */
static struct hf_voicing part_of(const struct hf_voicing *chord, hf_pcset pcs)
{
    struct hf_voicing part = {.count = 0};
    for (int i = 0; i < chord->count; i++) {
        int pc = chord->notes[i] % HF_PCS;
        if (!hf_pcset_has(pcs, pc))
            continue;
        part.notes[part.count++] = chord->notes[i];
        pcs = (hf_pcset)(pcs & ~(1u << pc));
    }
    return part;
}

static int list_voicings(hf_pcset pcs, const struct hf_unfold_place *place,
                         struct hf_voicing choices[HF_VOICINGS_MOST])
{
    if (place->chord) {
        choices[0] = part_of(place->chord, pcs);
        return 1;
    }
    int count = hf_voicing_list(pcs, place->low, place->high, choices);
    return count ? count : hf_voicing_list(pcs, 0, 127, choices);
}

/* Among those that fit; false where there is none. */
static bool choose(hf_pcset chord, const struct hf_setclass *class, const struct hf_voicing *from,
                   const struct hf_unfold_place *place, struct hf_voicing choices[HF_VOICINGS_MOST],
                   struct hf_unfold_step *out)
{
    hf_pcset subsets[HF_SUBSETS_MOST];
    int count = hf_pcset_subsets(chord, class->size, subsets), best = -1, of = 0;
    struct hf_unfold_step found = {.pcs = 0};
    for (int i = 0; i < count; i++) {
        if (hf_setclass_of(subsets[i]) != class)
            continue;
        of++;
        int voicings = list_voicings(subsets[i], place, choices);
        for (int j = 0; j < voicings; j++) {
            int movement = hf_voicing_movement(from, &choices[j]);
            if ((best >= 0 && movement >= best) ||
                (place->fits && !place->fits(place->self, &choices[j])))
                continue;
            best = movement;
            found = (struct hf_unfold_step){.pcs = subsets[i], .which = of, .voicing = choices[j]};
        }
    }
    found.of = of;
    *out = found;
    return best >= 0;
}

void hf_unfold_choose(hf_pcset chord, const struct hf_setclass *class,
                      const struct hf_voicing *from, const struct hf_unfold_place *place,
                      struct hf_voicing choices[HF_VOICINGS_MOST], struct hf_unfold_step *out)
{
    struct hf_unfold_place wide = *place, any = *place;
    wide.low = 0; /* what fits goes before the register */
    wide.high = 127;
    any.fits = NULL;
    if (choose(chord, class, from, place, choices, out) ||
        choose(chord, class, from, &wide, choices, out))
        return;
    (void)choose(chord, class, from, &any, choices, out);
}
