/* SPDX-License-Identifier: MIT */
/* What hunt says of every set of pitch classes, whatever was found before: a line each of the held
 * set, the added class, the found ones as bits, the set as bits and the finding. */
#include <stdio.h>
#include <string.h>

#include <holdfast/hunt.h>
#include <holdfast/request.h>

static int judge(const char *held, const char *listed, const char *added)
{
    struct hf_request request;
    struct hf_hunt hunt;
    struct hf_diag diag;
    hf_request_init(&request);
    if (hf_request_set(&request, HF_OPT_PRACTICE, "hunt", &diag) != HF_OK ||
        hf_request_set(&request, HF_OPT_HELD, held, &diag) != HF_OK ||
        hf_request_set(&request, HF_OPT_ADDED, added, &diag) != HF_OK)
        return 1;
    hf_hunt_init(&hunt, &request);
    uint32_t all = hunt.count < 8 ? (1u << hunt.count) - 1 : 3;
    for (uint32_t found = 0; found <= all; found++)
        for (unsigned set = 0; set < HF_SETS; set += found % 7 ? 5 : 1) {
            hunt.found = found;
            struct hf_verdict verdict = hf_hunt_judge(&hunt, (hf_pcset)set);
            printf("%s %s %u %u %d\n", listed, added, found, set, (int)verdict.finding);
        }
    return 0;
}

int main(void)
{
    return judge("0 4 8", "0,4,8", "3-5") || judge("1 5 9", "1,5,9", "3-5") ||
           judge("0 5 11", "0,5,11", "3-3");
}
