/* SPDX-License-Identifier: MIT */
/* What to do today. Invariants: a plan is a function of the review, the date and the minutes; its
 * steps are whole commands, and last the minutes together. */
#include "review_parts.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <holdfast/spelling.h>

enum { TRIADS = 4, NAMES = 48, FAR_DAYS = 60 };

/* One of the 24. */
struct one {
    int triad, kind;
    hf_pcset pcs;
    const struct hf_review_cell *cell;
};

static char *names_of(hf_pcset set, char text[NAMES])
{
    struct hf_spelled spelled[HF_PCS];
    int count = hf_spelling_of(set, HF_NAMES_SIMPLE, spelled);
    text[0] = 0;
    for (int i = 0; i < count && i < 3; i++) {
        char name[HF_SPELLED_TEXT];
        size_t used = strlen(text);
        snprintf(text + used, NAMES - used, "%s%.8s", i ? " " : "",
                 hf_spelled_format(spelled[i], HF_NAMES_SIMPLE, name));
    }
    return text;
}

/* ---- choosing -------------------------------------------------------------------------------- */

static bool is_weaker(const struct one *a, const struct one *b, int32_t today)
{
    bool a_marked = a->cell && a->cell->recent_count > 0;
    bool b_marked = b->cell && b->cell->recent_count > 0;
    if (a_marked != b_marked)
        return a_marked;
    double a_low = hf_review_lower(a->cell), b_low = hf_review_lower(b->cell);
    if (a_low < b_low || a_low > b_low)
        return a_low < b_low;
    return hf_review_weight(a->cell, today) > hf_review_weight(b->cell, today);
}

/* The one whose last marks leave most in doubt; without any marks that which has not come for
 * longest. */
static struct one find_weakest(const struct hf_review *review, int32_t today)
{
    struct one weakest = {0};
    for (int triad = 0; triad < TRIADS; triad++) {
        struct hf_completion six[HF_COMPLETIONS_MOST];
        hf_pcset held = hf_review_triad(triad);
        int count = hf_pairing_complete(held, hf_setclass_find(3, 5), six);
        for (int i = 0; i < count; i++) {
            struct one it = {triad, six[i].kind, six[i].pcs,
                             hf_review_find(review, held, six[i].pcs)};
            if (!weakest.pcs || is_weaker(&it, &weakest, today))
                weakest = it;
        }
    }
    return weakest;
}

/* Days that the six of a triad have not come, together; cues that they had. */
static void look_at(const struct hf_review *review, int triad, int32_t today, long *days,
                    long *cues)
{
    struct hf_completion six[HF_COMPLETIONS_MOST];
    hf_pcset held = hf_review_triad(triad);
    int count = hf_pairing_complete(held, hf_setclass_find(3, 5), six);
    *days = *cues = 0;
    for (int i = 0; i < count; i++) {
        const struct hf_review_cell *cell = hf_review_find(review, held, six[i].pcs);
        int32_t since = hf_review_days_since(cell, today);
        *days += since < 0 || since > FAR_DAYS ? FAR_DAYS : since;
        *cues += cell ? (long)cell->cued : 0;
    }
}

/* Of the triads that are not taken yet the one left alone for longest, or with the fewest cues. */
static int choose_triad(const struct hf_review *review, int32_t today, unsigned taken, bool longest,
                        long *figure)
{
    int chosen = 0;
    bool any = false;
    for (int triad = 0; triad < TRIADS; triad++) {
        long days, cues;
        if (taken >> triad & 1)
            continue;
        look_at(review, triad, today, &days, &cues);
        bool better = !any || (longest ? days > *figure : cues < *figure);
        any = true;
        if (better) {
            chosen = triad;
            *figure = longest ? days : cues;
        }
    }
    return chosen;
}

/* ---- writing --------------------------------------------------------------------------------- */

static void add_word(struct hf_plan_step *step, const char *word)
{
    if (step->words < HF_PLAN_WORDS)
        snprintf(step->word[step->words++], sizeof step->word[0], "%.23s", word);
}

/* "play ear --held "C E G#" --order weak --for 7m" */
static struct hf_plan_step *add_step(struct hf_plan *plan, const char *practice, int triad,
                                     bool weak, int halves)
{
    struct hf_plan_step *step = &plan->step[plan->steps++];
    char text[NAMES];
    memset(step, 0, sizeof *step);
    add_word(step, "play");
    if (practice[0])
        add_word(step, practice);
    add_word(step, "--held");
    add_word(step, names_of(hf_review_triad(triad), text));
    if (weak) {
        add_word(step, "--order");
        add_word(step, "weak");
    }
    add_word(step, "--for");
    snprintf(text, sizeof text, "%d%sm", halves / 2, halves % 2 ? ".5" : "");
    add_word(step, text);
    return step;
}

/* The level that ear training ended with last; 0 for none. */
static int last_level(const struct hf_review *review)
{
    for (size_t i = review->day_count; i-- > 0;)
        if (review->days[i].level_last > 0)
            return review->days[i].level_last;
    return 0;
}

/* It goes on from where it was, and up and down from there. */
static void add_level(struct hf_plan_step *step, int level)
{
    char text[16];
    if (level < 2)
        return;
    snprintf(text, sizeof text, "%d+", level);
    add_word(step, "--level");
    add_word(step, text);
}

static void say_weakest(struct hf_plan *plan, const struct one *weakest)
{
    char pcs[NAMES], held[NAMES];
    uint32_t got = 0;
    int count = weakest->cell ? weakest->cell->recent_count : 0;
    for (int i = 0; i < count; i++)
        got += weakest->cell->recent >> i & 1;
    names_of(weakest->pcs, pcs);
    names_of(hf_review_triad(weakest->triad), held);
    if (count > 0)
        snprintf(plan->weakest, sizeof plan->weakest, "%s over %s, got %u of the last %d", pcs,
                 held, got, count);
    else
        snprintf(plan->weakest, sizeof plan->weakest, "%s over %s, never marked", pcs, held);
}

void hf_review_plan(const struct hf_review *review, int32_t today, int minutes, struct hf_plan *out)
{
    /* in halves of a minute: 15, 35, 20 and 30 of 100, at least a minute each */
    int whole = 2 * minutes, warm = whole * 3 / 20, roam = whole / 5, guided = whole * 3 / 10;
    long days = 0, cues = 0;
    warm = warm < 2 ? 2 : warm;
    roam = roam < 2 ? 2 : roam;
    guided = guided < 2 ? 2 : guided;
    struct one weakest = find_weakest(review, today);
    unsigned taken = 1u << weakest.triad;
    int alone = choose_triad(review, today, taken, true, &days);
    int least = choose_triad(review, today, taken | 1u << alone, false, &cues);
    memset(out, 0, sizeof *out);
    say_weakest(out, &weakest);
    char names[NAMES];
    bool never = days == 6 * FAR_DAYS;
    struct hf_plan_step *step = add_step(out, "warmup", weakest.triad, false, warm);
    add_word(step, "--kind");
    add_word(step, weakest.kind == 1 ? "1" : "2");
    snprintf(step->why, sizeof step->why, "from single notes to the chord, of the weakest's kind");
    step = add_step(out, "ear", weakest.triad, true, whole - warm - roam - guided);
    add_level(step, last_level(review));
    snprintf(step->why, sizeof step->why, "the weakest by ear: %s", names_of(weakest.pcs, names));
    step = add_step(out, "roam", alone, false, roam);
    snprintf(step->why, sizeof step->why, "nothing is asked, on %s",
             never ? "a triad that never came" : "the triad left alone for longest");
    step = add_step(out, "", least, true, guided);
    snprintf(step->why, sizeof step->why, "guided, on %s, with %ld cues so far",
             cues ? "the least practised of the others" : "another triad", cues);
}
