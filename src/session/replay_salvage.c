/* SPDX-License-Identifier: MIT */
/* Invariant: a record that is refused has changed nothing in the timeline. */
#include <holdfast/replay.h>

enum hf_status hf_replay_salvage(struct hf_journal *journal, struct hf_diag *diag)
{
    struct hf_timeline timeline;
    enum hf_status status = HF_OK;
    size_t kept = 0;
    hf_timeline_init(&timeline, &journal->head.request);
    for (size_t i = 0; i < journal->count && status != HF_E_MEMORY; i++) {
        status = hf_timeline_apply(&timeline, &journal->records[i], diag);
        if (status == HF_OK)
            journal->records[kept++] = journal->records[i];
    }
    hf_timeline_deinit(&timeline);
    if (status == HF_E_MEMORY)
        return status;
    journal->left_out += journal->count - kept;
    journal->count = kept;
    return HF_OK;
}
