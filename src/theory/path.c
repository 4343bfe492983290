/* SPDX-License-Identifier: MIT */
/* Invariant: a cost is steps, then movement, in one number, since no chain moves as far as STEP. */
#include <holdfast/path.h>

#include <string.h>

enum { STEP = 10000, FAR = 1000 * STEP };

static bool are_neighbours(hf_pcset a, hf_pcset b, enum hf_path_share share)
{
    hf_pcset common = a & b;
    int size = hf_pcset_size(common);
    bool triad = false;
    for (int n = 0; n < 4; n++) {
        hf_pcset each = hf_pcset_transpose(hf_setclass_find(3, 12)->prime, n);
        triad = triad || (common & each) == each;
    }
    if (a == b)
        return false;
    switch (share) {
    case HF_PATH_ANY:
        return triad || size >= 4;
    case HF_PATH_TRIAD:
        return triad;
    case HF_PATH_FOUR:
        return size >= 4;
    case HF_PATH_FIVE:
        return size >= 5;
    }
    return false;
}

/* The members of a class and what it costs to get from each to the end. */
struct chart {
    hf_pcset member[HF_SETCLASS_FORMS];
    int cost[HF_SETCLASS_FORMS];
    int count;
    enum hf_path_share share;
};

/* The cost of going on from one member to another, FAR where they are no neighbours. */
static int step_cost(const struct chart *chart, int from, int to)
{
    if (!are_neighbours(chart->member[from], chart->member[to], chart->share))
        return FAR;
    return STEP + hf_pcset_movement(chart->member[from], chart->member[to], NULL);
}

static bool improve(struct chart *chart)
{
    bool better = false;
    for (int i = 0; i < chart->count; i++)
        for (int j = 0; j < chart->count; j++) {
            int cost = step_cost(chart, i, j) + chart->cost[j];
            if (cost < chart->cost[i]) {
                chart->cost[i] = cost;
                better = true;
            }
        }
    return better;
}

static void chart_init(struct chart *chart, hf_pcset to, enum hf_path_share share)
{
    chart->share = share;
    chart->count = hf_setclass_members(hf_setclass_of(to), chart->member);
    for (int i = 0; i < chart->count; i++)
        chart->cost[i] = chart->member[i] == to ? 0 : FAR;
    while (improve(chart))
        ;
}

static int place_of(const struct chart *chart, hf_pcset set)
{
    int at = 0;
    while (at < chart->count && chart->member[at] != set)
        at++;
    return at;
}

int hf_path_find(hf_pcset from, hf_pcset to, enum hf_path_share share,
                 hf_pcset out[HF_SETCLASS_FORMS])
{
    struct chart chart;
    hf_pcset chain[HF_SETCLASS_FORMS];
    int length = 0;
    if (hf_setclass_of(from) != hf_setclass_of(to))
        return 0;
    chart_init(&chart, to, share);
    int at = place_of(&chart, from);
    if (chart.cost[at] >= FAR)
        return 0;
    chain[length++] = from;
    while (chart.cost[at] > 0) {
        int next = 0;
        while (step_cost(&chart, at, next) + chart.cost[next] != chart.cost[at])
            next++;
        at = next;
        chain[length++] = chart.member[at];
    }
    memcpy(out, chain, (size_t)length * sizeof *out);
    return length;
}

/* The largest demand under which there is a chain; HF_PATH_ANY where only that one has. */
static enum hf_path_share possible_share(hf_pcset from, hf_pcset to)
{
    hf_pcset chain[HF_SETCLASS_FORMS];
    for (int share = HF_PATH_FIVE; share >= HF_PATH_TRIAD; share--)
        if (hf_path_find(from, to, (enum hf_path_share)share, chain))
            return (enum hf_path_share)share;
    return HF_PATH_ANY;
}

static int reachable(hf_pcset from, enum hf_path_share share)
{
    struct chart chart;
    int count = 0;
    chart_init(&chart, from, share);
    for (int i = 0; i < chart.count; i++)
        count += chart.cost[i] < FAR;
    return count;
}

enum hf_status hf_path_explain(hf_pcset from, hf_pcset to, enum hf_path_share share,
                               struct hf_diag *diag)
{
    hf_pcset chain[HF_SETCLASS_FORMS];
    const struct hf_setclass *one = hf_setclass_of(from), *other = hf_setclass_of(to);
    if (one != other) {
        hf_fail(diag, HF_E_USAGE, "a path stays in one class, and its ends are %s and %s",
                one->name, other->name);
        hf_advise(diag, "give two sets of the same class");
        return HF_E_USAGE;
    }
    if (hf_path_find(from, to, share, chain))
        return HF_OK;
    static const char *const demand[] = {"an augmented triad or four notes",
                                         "",
                                         "",
                                         "an augmented triad",
                                         "four notes",
                                         "five notes"};
    hf_fail(diag, HF_E_USAGE,
            "no path: by steps that share %s only %d of the %d forms of %s are reached",
            demand[share], reachable(from, share), one->forms, one->name);
    enum hf_path_share other_share = possible_share(from, to);
    if (other_share != HF_PATH_ANY)
        hf_advise(diag, "with --share %d there is one", (int)other_share);
    else if (share != HF_PATH_ANY && hf_path_find(from, to, HF_PATH_ANY, chain))
        hf_advise(diag, "without --share there is one");
    return HF_E_USAGE;
}
