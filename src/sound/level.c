/* SPDX-License-Identifier: MIT */
/* Invariant: a fade begins at the gain that the chunk before it ended with, also within another
 * fade; outside of fades the gain is `to`, exactly. */
#include "level.h"

#include <holdfast/event.h>
#include <holdfast/sine.h>

void hf_level_init(struct hf_level *l)
{
    *l = (struct hf_level){.from = 1, .to = 1, .gone_at = HF_NEVER};
}

static float gain(const struct hf_level *l, float risen)
{
    return l->from + (l->to - l->from) * risen;
}

static void move(struct hf_level *l, float to, int64_t length, int64_t at)
{
    float fade[HF_CHUNK];
    if (at - l->at < l->length) {
        hf_fade_chunk(at - l->at, l->length, fade);
        l->from = gain(l, fade[0]);
    } else {
        l->from = l->to;
    }
    l->to = to;
    l->at = at;
    l->length = length;
}

void hf_level_set(struct hf_level *l, float to, int64_t length, int64_t hold, int64_t chunk_at)
{
    move(l, to, length, chunk_at);
    l->gone_at = hold > 0 ? chunk_at + hold : HF_NEVER;
    l->gone_length = length;
}

void hf_level_apply(struct hf_level *l, int64_t chunk_at, struct hf_bus *bus)
{
    float fade[HF_CHUNK];
    if (chunk_at >= l->gone_at) {
        move(l, 0, l->gone_length, chunk_at);
        l->gone_at = HF_NEVER;
    }
    bool fades = chunk_at - l->at < l->length;
    if (!fades && l->to >= 1)
        return;
    if (fades)
        hf_fade_chunk(chunk_at - l->at, l->length, fade);
    for (int i = 0; i < HF_CHUNK; i++) {
        float now = fades && chunk_at + i - l->at < l->length ? gain(l, fade[i]) : l->to;
        bus->left[i] *= now;
        bus->right[i] *= now;
    }
}
