/* SPDX-License-Identifier: MIT */
/* Options of a session: lines `key text`. What is taken can be written and taken again; what
 * resolves can be scheduled, or says why not. */
#include "fuzz.h"

#include <holdfast/schedule.h>

static void set(struct hf_request *request, char *line)
{
    char *text = strchr(line, ' ');
    struct hf_diag diag = {0};
    if (!text)
        return;
    *text++ = 0;
    for (int key = 0; key < HF_OPTIONS; key++) {
        if (strcmp(hf_option_name((enum hf_option)key), line) != 0)
            continue;
        enum hf_status status = hf_request_set(request, (enum hf_option)key, text, &diag);
        if (status != HF_OK) {
            must_fail_well(status, HF_E_USAGE, &diag);
            return;
        }
        char taken[HF_REQUEST_TEXT];
        memcpy(taken, request->text[key], sizeof taken);
        MUST(memchr(taken, 0, sizeof taken));
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct hf_request request;
    static struct hf_schedule schedule;
    static struct hf_cue cue;
    struct hf_diag diag = {0};
    char *text = string_of(data, size), *state = NULL;
    hf_request_init(&request);
    for (char *line = strtok_r(text, "\n", &state); line; line = strtok_r(NULL, "\n", &state))
        set(&request, line);
    free(text);
    request.given[HF_OPT_SEED] = true;
    enum hf_status status = hf_request_resolve(&request, &diag);
    if (status == HF_OK)
        status = hf_schedule_init(&schedule, &request, &diag);
    if (status != HF_OK) {
        must_fail_well(status, HF_E_USAGE, &diag);
        return 0;
    }
    for (int i = 0; i < 20 && hf_schedule_next(&schedule, &cue); i++) {
        MUST(cue.voicing.count >= 0 && cue.voicing.count <= HF_EVENT_NOTES);
        for (int k = 0; k < cue.voicing.count; k++)
            MUST(cue.voicing.notes[k] <= 127);
    }
    hf_schedule_deinit(&schedule);
    return 0;
}
