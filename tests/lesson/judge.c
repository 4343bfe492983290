/* SPDX-License-Identifier: MIT */
/* What hunt says of every set of pitch classes, whatever was found before: a line each of the held
 * set, the added class, the found ones as bits, the set as bits and the finding. Then hunts at
 * random, with hints: "hunt" begins one, "hint" asks, a number answers with that completion; after
 * it where hints lead to now, how many were given and are there, and how many the answer had. */
#include <stdio.h>
#include <string.h>

#include <holdfast/hunt.h>
#include <holdfast/request.h>

static uint32_t drawn = 1;

static int draw(int bound)
{
    drawn = drawn * 1664525u + 1013904223u; /* Numerical Recipes' quick generator */
    return (int)((drawn >> 8) % (uint32_t)bound);
}

static void say(const char *held, const char *added, const char *what, const struct hf_hunt *hunt,
                int helped)
{
    printf("%s %s %s %d %d %d %d\n", held, added, what, hunt->target, hunt->step,
           hf_hunt_steps(hunt), helped);
}

static void hunt_once(struct hf_hunt hunt, const char *held, const char *added)
{
    say(held, added, "hunt", &hunt, 0);
    for (int turn = 0; turn < 24; turn++) {
        char what[16] = "hint";
        struct hf_record record = {.type = HF_RECORD_HINT, .hints = hunt.step + 1};
        if (draw(2)) {
            int index = draw(hunt.count);
            struct hf_verdict verdict = hf_hunt_judge(&hunt, hunt.completions[index].pcs);
            record = hf_hunt_answer(&verdict, 0);
            snprintf(what, sizeof what, "%d", index);
        }
        hf_hunt_apply(&hunt, &record);
        say(held, added, what, &hunt, record.type == HF_RECORD_ANSWER ? record.hints : 0);
    }
}

static int judge(const char *held, const char *listed, const char *added)
{
    struct hf_request request;
    struct hf_hunt hunt;
    struct hf_diag diag;
    hf_request_init(&request);
    if (hf_request_set(&request, HF_OPT_PRACTICE, "hunt", &diag) != HF_OK ||
        hf_request_set(&request, HF_OPT_HELD, held, &diag) != HF_OK ||
        hf_request_set(&request, HF_OPT_ADDED, added, &diag) != HF_OK ||
        hf_request_set(&request, HF_OPT_SEED, "5", &diag) != HF_OK)
        return 1;
    hf_hunt_init(&hunt, &request);
    uint32_t all = hunt.count < 8 ? (1u << hunt.count) - 1 : 3;
    for (uint32_t found = 0; found <= all; found++)
        for (unsigned set = 0; set < HF_SETS; set += found % 7 ? 5 : 1) {
            hunt.found = found;
            struct hf_verdict verdict = hf_hunt_judge(&hunt, (hf_pcset)set);
            printf("%s %s %u %u %d\n", listed, added, found, set, (int)verdict.finding);
        }
    hf_hunt_init(&hunt, &request);
    for (int i = 0; i < 100; i++)
        hunt_once(hunt, listed, added);
    return 0;
}

int main(void)
{
    return judge("0 4 8", "0,4,8", "3-5") || judge("1 5 9", "1,5,9", "3-5") ||
           judge("0 5 11", "0,5,11", "3-3");
}
