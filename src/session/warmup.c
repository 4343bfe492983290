/* SPDX-License-Identifier: MIT */
/* Invariant: the order of the steps is that of the stages, whatever was left out. */
#include <holdfast/warmup.h>

int hf_warmup_kinds(const struct hf_completion *completions, int count)
{
    int kinds = 0;
    for (int i = 0; i < count; i++)
        kinds = completions[i].kind > kinds ? completions[i].kind : kinds;
    return kinds;
}

/* ---- steps ----------------------------------------------------------------------------------- */

struct list {
    struct hf_warmup_step *steps;
    int count;
};

/* Of what is worth the same the later completion goes first. */
static void add(struct list *list, enum hf_warmup_stage stage, int index, hf_pcset pcs, int worth,
                int place)
{
    list->steps[list->count++] = (struct hf_warmup_step){
        .stage = stage, .index = index, .pcs = pcs, .worth = worth * HF_COMPLETIONS_MOST - place};
}

/* The completions of the kind in the order of their positions, `last` behind the others. */
static int order_kind(const struct hf_completion *completions, int count, int kind, int last,
                      int order[HF_COMPLETIONS_MOST])
{
    int found = 0;
    for (int position = 1; position <= count; position++)
        for (int i = 0; i < count; i++)
            if (completions[i].kind == kind && completions[i].position == position && i != last)
                order[found++] = i;
    if (last >= 0)
        order[found++] = last;
    return found;
}

enum { WORTH_NOTE = 2, WORTH_PAIR = 3, WORTH_SPREAD = 5, WORTH_FIRST_NOTE, WORTH_PERFECT };
enum { WORTH_CLOSE = 8, WORTH_LAST };

static void add_notes(struct list *list, const struct hf_completion *of, int index, int place)
{
    int pcs[HF_PCS];
    int count = hf_pcset_list(of->pcs, pcs);
    for (int i = 0; i < count; i++)
        add(list, HF_WARMUP_NOTE, index, (hf_pcset)(1u << pcs[i]),
            i == 0 ? WORTH_FIRST_NOTE : WORTH_NOTE, place);
}

/* The pairs of one interval class in a completion. */
static void add_pairs(struct list *list, const struct hf_completion *of, int index, int ic,
                      int place)
{
    hf_pcset pairs[HF_SUBSETS_MOST];
    int count = hf_pcset_subsets(of->pcs, 2, pairs);
    for (int i = 0; i < count; i++) {
        int pcs[HF_PCS];
        hf_pcset_list(pairs[i], pcs);
        int step = pcs[1] - pcs[0];
        if ((step <= HF_PCS / 2 ? step : HF_PCS - step) == ic)
            add(list, HF_WARMUP_PAIR, index, pairs[i],
                ic == 5   ? WORTH_PERFECT
                : ic == 1 ? WORTH_PAIR + 1
                          : WORTH_PAIR,
                place);
    }
}

int hf_warmup_steps(const struct hf_completion *completions, int count, int kind, int last,
                    struct hf_warmup_step out[HF_WARMUP_STEPS_MOST])
{
    static const int classes[] = {5, 1, 6, 4, 3, 2};
    int order[HF_COMPLETIONS_MOST];
    int found = order_kind(completions, count, kind, last, order);
    struct list list = {out, 0};
    for (int i = 0; i < found; i++)
        add_notes(&list, &completions[order[i]], order[i], i);
    for (int ic = 0; ic < 6; ic++)
        for (int i = 0; i < found; i++)
            if (hf_pcset_size(completions[order[i]].pcs) > 2)
                add_pairs(&list, &completions[order[i]], order[i], classes[ic], i);
    for (int i = 0; i < found; i++)
        add(&list, HF_WARMUP_CLOSE, order[i], completions[order[i]].pcs, WORTH_CLOSE, i);
    for (int i = 0; i < found; i++)
        add(&list, HF_WARMUP_SPREAD, order[i], completions[order[i]].pcs,
            order[i] == last ? WORTH_LAST : WORTH_SPREAD, i);
    return list.count;
}

int hf_warmup_shorten(struct hf_warmup_step *steps, int count, int keep)
{
    while (count > keep) {
        int least = 0;
        for (int i = 1; i < count; i++) /* of equals the last */
            if (steps[i].worth <= steps[least].worth)
                least = i;
        count--;
        for (int i = least; i < count; i++)
            steps[i] = steps[i + 1];
    }
    return count;
}

/* ---- time ------------------------------------------------------------------------------------ */

int64_t hf_warmup_group(int64_t step, int rate_hz)
{
    int64_t group = (int64_t)HF_WARMUP_WORK_S * rate_hz / step;
    return group < 1 ? 1 : group;
}

int64_t hf_warmup_length(int64_t steps, int64_t step, int rate_hz)
{
    int64_t rests = steps > 0 ? (steps - 1) / hf_warmup_group(step, rate_hz) : 0;
    return steps * step + rests * HF_WARMUP_REST_S * rate_hz;
}

int64_t hf_warmup_fit(int64_t span, int64_t step, int rate_hz)
{
    int64_t group = hf_warmup_group(step, rate_hz);
    int64_t turn = group * step + (int64_t)HF_WARMUP_REST_S * rate_hz;
    int64_t steps = span > 0 ? span / turn * group : 0;
    int64_t rest = span - span / turn * turn; /* of a turn that is not whole */
    int64_t more = span > 0 ? rest / step : 0;
    return steps + (more < group ? more : group);
}
