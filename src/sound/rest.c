/* SPDX-License-Identifier: MIT */
/* Invariant: a fade begins at the gain that the chunk before it ended with, also within another
 * fade; outside of fades the gain is 1 or 0, exactly. */
#include "rest.h"

#include <holdfast/sine.h>

void hf_rest_init(struct hf_rest *r, int rate_hz)
{
    r->from = r->to = 1;
    r->length = (int64_t)(HF_REST_S * rate_hz);
    r->at = -r->length;
}

static float gain(const struct hf_rest *r, float risen)
{
    return r->from + (r->to - r->from) * risen;
}

void hf_rest_set(struct hf_rest *r, bool silent, int64_t chunk_at)
{
    float fade[HF_CHUNK];
    hf_fade_chunk(chunk_at - r->at, r->length, fade);
    r->from = chunk_at - r->at < r->length ? gain(r, fade[0]) : r->to;
    r->to = silent ? 0 : 1;
    r->at = chunk_at;
}

void hf_rest_apply(const struct hf_rest *r, int64_t chunk_at, struct hf_bus *bus)
{
    float fade[HF_CHUNK];
    bool fades = chunk_at - r->at < r->length;
    if (!fades && r->to >= 1)
        return;
    hf_fade_chunk(chunk_at - r->at, r->length, fade);
    for (int i = 0; i < HF_CHUNK; i++) {
        float now = chunk_at + i - r->at < r->length ? gain(r, fade[i]) : r->to;
        bus->left[i] *= now;
        bus->right[i] *= now;
    }
}
