/* SPDX-License-Identifier: MIT */
/* Invariant: the fades multiply the volume; where none runs it is the gain, exactly. */
#include "master.h"

#include <holdfast/loudness.h>
#include <holdfast/sine.h>

static const double RAMP_S = 0.05; /* swift enough for a key that is held, and without a click */

void hf_master_init(struct hf_master *m, double volume_db, int rate_hz)
{
    hf_ramp_init(&m->volume, (float)hf_gain(volume_db));
    m->length = (int64_t)(RAMP_S * rate_hz);
}

void hf_master_set(struct hf_master *m, int db, int64_t at)
{
    hf_ramp_set(&m->volume, (float)hf_gain(db), m->length, at);
}

void hf_master_gain(const struct hf_master *m, const struct hf_transport *t, int64_t chunk_at,
                    float gain[HF_CHUNK])
{
    float fade[HF_CHUNK];
    hf_ramp_gain(&m->volume, chunk_at, gain);
    if (t->in_at != HF_NEVER && chunk_at < t->in_at + t->pause_fade) {
        hf_fade_chunk(chunk_at - t->in_at, t->pause_fade, fade);
        for (int i = 0; i < HF_CHUNK; i++)
            gain[i] *= fade[i];
    }
    if (t->out_at != HF_NEVER) {
        hf_fade_chunk(chunk_at - t->out_at, t->pause_fade, fade);
        for (int i = 0; i < HF_CHUNK; i++)
            gain[i] *= 1 - fade[i];
    }
    if (t->end_at != HF_NEVER) {
        hf_fade_chunk(chunk_at - t->end_at, t->end_fade, fade);
        for (int i = 0; i < HF_CHUNK; i++)
            gain[i] *= 1 - fade[i];
    }
}
