/* SPDX-License-Identifier: MIT */
/* Files of chords, one a line: what is taken has six notes each, and can be shown. */
#include "fuzz.h"

#include <holdfast/sight.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct hf_sight_chord chords[HF_SIGHT_CHORDS_MOST];
    static struct hf_sight sight;
    struct hf_diag diag = {0};
    size_t count = 0;
    enum hf_status status = hf_sight_read((const char *)data, size, chords, &count, &diag);
    if (status != HF_OK) {
        must_fail_well(status, HF_E_DATA, &diag);
        return 0;
    }
    MUST(count > 0 && count <= HF_SIGHT_CHORDS_MOST);
    hf_sight_init(&sight, 1, NULL, chords, count);
    for (size_t i = 0; i < count; i++)
        MUST(hf_pcset_size(chords[i].first | chords[i].second) == 6);
    return 0;
}
