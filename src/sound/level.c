/* SPDX-License-Identifier: MIT */
/* Invariant: a fade to nothing that waits is begun by the chunk that it was laid for. */
#include "level.h"

#include <holdfast/event.h>

void hf_level_init(struct hf_level *l)
{
    *l = (struct hf_level){.gone_at = HF_NEVER};
    hf_ramp_init(&l->ramp, 1);
}

void hf_level_set(struct hf_level *l, float to, int64_t length, int64_t hold, int64_t chunk_at)
{
    hf_ramp_set(&l->ramp, to, length, chunk_at);
    l->gone_at = hold > 0 ? chunk_at + hold : HF_NEVER;
    l->gone_length = length;
}

void hf_level_apply(struct hf_level *l, int64_t chunk_at, struct hf_bus *bus)
{
    if (chunk_at >= l->gone_at) {
        hf_ramp_set(&l->ramp, 0, l->gone_length, chunk_at);
        l->gone_at = HF_NEVER;
    }
    hf_ramp_apply(&l->ramp, chunk_at, bus);
}
