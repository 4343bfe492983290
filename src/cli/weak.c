/* SPDX-License-Identifier: MIT */
/* Invariant: a session that says what it holds and in which order takes nothing from the journals.
 */
#include "weak.h"

#include <stdio.h>
#include <string.h>

#include <holdfast/paragraph.h>
#include <holdfast/random.h>

#include "review.h"

enum { TRIADS = 4, LABEL = 7 };

/* ---- the triad ------------------------------------------------------------------------------- */

static bool chooses_triad(const struct hf_request *r)
{
    return !r->given[HF_OPT_HELD] && !r->given[HF_OPT_FROM] && r->cue != HF_CUE_REVERSE;
}

bool weak_chooses(const struct hf_request *r)
{
    return chooses_triad(r) || r->order == HF_ORDER_WEAK;
}

static uint32_t cues_of(const struct hf_review *review, const struct hf_request *r, hf_pcset triad)
{
    struct hf_completion all[HF_COMPLETIONS_MOST];
    int count = hf_pairing_complete(triad, r->added, all);
    uint32_t cues = 0;
    for (int i = 0; i < count; i++) {
        const struct hf_review_cell *cell = hf_review_find(review, triad, all[i].pcs);
        cues += cell ? cell->cued : 0;
    }
    return cues;
}

static void say_triad(const struct hf_review *review, const struct hf_request *r, int chosen)
{
    struct hf_paragraph p;
    char names[HF_QUERY_TEXT];
    bool weak = r->order == HF_ORDER_WEAK;
    hf_paragraph_begin(&p, LABEL, "Why:");
    hf_paragraph_add(&p, "%s %s", hf_query_spell(hf_review_triad(chosen), r->names, names),
                     weak ? "asks for practice most" : "is the least practised triad");
    hf_paragraph_end(&p);
    hf_paragraph_begin(&p, LABEL, "");
    hf_paragraph_add(&p, "cues so far:");
    for (int i = 0; i < TRIADS; i++)
        hf_paragraph_add_whole(&p, "%s%s %u", i ? ", " : " ",
                               hf_query_spell(hf_review_triad(i), r->names, names),
                               cues_of(review, r, hf_review_triad(i)));
    hf_paragraph_end(&p);
}

/* Takes the triad that asks for it; of several that are equal one by the seed. */
static enum hf_status take_triad(struct session *s, const struct hf_review *review,
                                 struct hf_diag *diag)
{
    struct hf_request *r = &s->request;
    unsigned triads = hf_review_triads(review, r->added, r->order == HF_ORDER_WEAK, review_today());
    struct hf_random random;
    int list[TRIADS], count = 0;
    char names[HF_QUERY_TEXT];
    for (int i = 0; i < TRIADS; i++)
        if (triads >> i & 1)
            list[count++] = i;
    if (count == 0)
        return HF_OK;
    hf_random_init(&random, r->seed, HF_STREAM_HELD);
    int chosen = list[hf_random_below(&random, (uint32_t)count)];
    enum hf_status status = hf_request_set(
        r, HF_OPT_HELD, hf_query_spell(hf_review_triad(chosen), HF_NAMES_SIMPLE, names), diag);
    r->given[HF_OPT_HELD] = false; /* nobody asked for it */
    if (s->why)
        say_triad(review, r, chosen);
    return status;
}

/* ---- the weights ----------------------------------------------------------------------------- */

static void say_weight(const struct hf_review_cell *cell, hf_pcset pcs, enum hf_names spelled,
                       double weight)
{
    struct hf_paragraph p;
    char names[HF_QUERY_TEXT];
    int32_t days = hf_review_days_since(cell, review_today());
    uint32_t got = 0;
    for (int i = 0; cell && i < cell->recent_count; i++)
        got += cell->recent >> i & 1;
    hf_paragraph_begin(&p, LABEL, "");
    hf_paragraph_add(&p, "%-9s %.2f  ", hf_query_spell(pcs, spelled, names), weight);
    if (cell && cell->recent_count > 0)
        hf_paragraph_add(&p, "got %u of the last %d (at least %.0f %%), ", got, cell->recent_count,
                         100 * hf_review_lower(cell));
    else
        hf_paragraph_add(&p, "not marked, ");
    if (days < 0)
        hf_paragraph_add(&p, "never came");
    else
        hf_paragraph_add(&p, "came %d day%s ago", (int)days, days == 1 ? "" : "s");
    hf_paragraph_end(&p);
}

static void take_weights(struct session *s, const struct hf_review *review)
{
    struct hf_request *r = &s->request;
    struct hf_completion all[HF_COMPLETIONS_MOST];
    int count = hf_pairing_complete(r->held.set, r->added, all);
    if (s->why)
        hf_paragraph_print(LABEL, "Why:",
                           "weights of order weak: more for what the last marks leave "
                           "in doubt, and for every day that it has not come");
    r->weights = count;
    for (int i = 0; i < count; i++) {
        const struct hf_review_cell *cell = hf_review_find(review, r->held.set, all[i].pcs);
        double weight = hf_review_weight(cell, review_today());
        r->weight[i] = (struct hf_request_weight){all[i].pcs, weight};
        if (s->why)
            say_weight(cell, all[i].pcs, r->names, weight);
    }
}

enum hf_status weak_take(struct session *s, struct hf_diag *diag)
{
    struct hf_review_filter all = {0};
    struct hf_review_files files;
    struct hf_diag unread;
    char directory[1024];
    bool triad = chooses_triad(&s->request), weak = s->request.order == HF_ORDER_WEAK;
    if (!triad && !weak)
        return HF_OK;
    enum hf_status status = review_read_own(&all, &files, directory, sizeof directory, &unread);
    if (status == HF_E_MEMORY)
        return hf_fail(diag, status, "%.200s", unread.message);
    if (status != HF_OK)
        return HF_OK; /* no place for journals: that is told where one is to be written */
    if (files.review.sessions > 0) {
        if (triad)
            status = take_triad(s, &files.review, diag);
        if (status == HF_OK && weak)
            take_weights(s, &files.review);
        if (status == HF_OK)
            status = session_resolve(s, 0, diag);
    } else if (s->why) {
        printf("Why:   no journals yet: the triad by the seed, all six alike\n");
    }
    hf_review_files_deinit(&files);
    return status;
}

enum hf_status weak_refuse(const struct hf_request *request, const char *command,
                           struct hf_diag *diag)
{
    if (request->order != HF_ORDER_WEAK)
        return HF_OK;
    return hf_fail(diag, HF_E_USAGE,
                   "order weak goes by the journals, which %s never reads (play does)", command);
}
