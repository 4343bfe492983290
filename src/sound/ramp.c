/* SPDX-License-Identifier: MIT */
/* Invariant: a fade begins at the gain that the sample before it had, also within another fade;
 * outside of fades the gain is `to`, exactly. */
#include "ramp.h"

#include <holdfast/sine.h>

void hf_ramp_init(struct hf_ramp *r, float gain)
{
    *r = (struct hf_ramp){.from = gain, .to = gain};
}

static bool moves(const struct hf_ramp *r, int64_t at)
{
    return at - r->at < r->length;
}

static float risen(const struct hf_ramp *r, float fade)
{
    return r->from + (r->to - r->from) * fade;
}

void hf_ramp_set(struct hf_ramp *r, float gain, int64_t length, int64_t at)
{
    float fade[HF_CHUNK];
    if (moves(r, at)) {
        hf_fade_chunk(at - r->at, r->length, fade);
        r->from = risen(r, fade[0]);
    } else {
        r->from = r->to;
    }
    r->to = gain;
    r->at = at;
    r->length = length;
}

void hf_ramp_gain(const struct hf_ramp *r, int64_t chunk_at, float gain[HF_CHUNK])
{
    for (int i = 0; i < HF_CHUNK; i++)
        gain[i] = r->to;
    if (!moves(r, chunk_at))
        return;
    float fade[HF_CHUNK];
    hf_fade_chunk(chunk_at - r->at, r->length, fade);
    for (int i = 0; i < HF_CHUNK; i++)
        if (moves(r, chunk_at + i))
            gain[i] = risen(r, fade[i]);
}

void hf_ramp_apply(const struct hf_ramp *r, int64_t chunk_at, struct hf_bus *bus)
{
    float gain[HF_CHUNK];
    if (!moves(r, chunk_at) && r->to >= 1)
        return;
    hf_ramp_gain(r, chunk_at, gain);
    for (int i = 0; i < HF_CHUNK; i++) {
        bus->left[i] *= gain[i];
        bus->right[i] *= gain[i];
    }
}
