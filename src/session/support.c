/* SPDX-License-Identifier: MIT */
/* Invariant: from one cue to the next the level never rises. */
#include <holdfast/support.h>

struct hf_support hf_support_at(uint32_t place, uint32_t total)
{
    uint64_t whole = ((uint64_t)total + 1) / 2;
    uint64_t start = (2 * (total - whole) + 1) / 3;
    if (place < whole)
        return (struct hf_support){HF_SUPPORT_WHOLE,
                                   (int)(HF_SUPPORT_LOW_DB * (int64_t)place / (int64_t)whole)};
    if (place < whole + start)
        return (struct hf_support){HF_SUPPORT_START, HF_SUPPORT_LOW_DB};
    return (struct hf_support){HF_SUPPORT_NONE, HF_DRONE_NONE_DB};
}

struct hf_support_times hf_support_times(int64_t length, int rate_hz)
{
    enum { HOLD_S = 5, OVER_S = 2 };
    int64_t hold = length > 0 ? length / 4 : (int64_t)HOLD_S * rate_hz;
    int64_t over = (int64_t)OVER_S * rate_hz;
    return (struct hf_support_times){.hold = hold, .over = hold / 2 < over ? hold / 2 : over};
}
