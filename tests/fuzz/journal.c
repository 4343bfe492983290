/* SPDX-License-Identifier: MIT */
/* Journals, those of a lesson page among them: what is taken can be written again, and its timeline
 * and replay can be made or say why not. */
#include "fuzz.h"

#include <holdfast/replay.h>

static void write_again(const struct hf_journal *journal)
{
    for (size_t i = 0; i < journal->count; i++) {
        char *line = NULL;
        size_t length = 0;
        struct hf_diag diag = {0};
        if (hf_journal_format(&journal->records[i], &line, &length, &diag) == HF_OK)
            MUST(hf_text_is_utf8(line, length) && line[length - 1] == '\n');
        free(line);
    }
}

static void play_again(const struct hf_journal *journal)
{
    struct hf_timeline timeline;
    struct hf_replay replay;
    struct hf_diag diag = {0};
    enum hf_status status = hf_replay_timeline(journal, &timeline, &diag);
    if (status != HF_OK) {
        must_fail_well(status, HF_E_DATA, &diag);
        return;
    }
    MUST(timeline.end_at != HF_NEVER);
    hf_timeline_deinit(&timeline);
    status = hf_replay_init(&replay, journal, 48000, &diag);
    if (status != HF_OK) {
        must_fail_well(status, HF_E_DATA, &diag);
        return;
    }
    MUST(replay.length >= 0);
    hf_replay_deinit(&replay);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct hf_journal journal;
    struct hf_diag diag = {0};
    char *text = string_of(data, size);
    enum hf_status status = hf_journal_parse(text, size, &journal, &diag);
    if (status != HF_OK) {
        must_fail_well(status, HF_E_DATA, &diag);
    } else {
        MUST(journal.whole_length <= size);
        write_again(&journal);
        play_again(&journal);
        hf_journal_deinit(&journal);
    }
    free(text);
    return 0;
}
