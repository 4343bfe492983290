/* SPDX-License-Identifier: MIT */
/* Invariant: a ramp begins at the gain that the sample before it had, also within another ramp;
 * outside of ramps the gain is `to`, exactly. */
#include "master.h"

#include <holdfast/loudness.h>

static const double RAMP_S = 0.05; /* swift enough for a key that is held, and without a click */

void hf_master_init(struct hf_master *m, double volume_db, int rate_hz)
{
    m->from = m->to = (float)hf_gain(volume_db);
    m->length = (int64_t)(RAMP_S * rate_hz);
    m->at = -m->length;
}

static float ramp(const struct hf_master *m, float risen)
{
    return m->from + (m->to - m->from) * risen;
}

void hf_master_set(struct hf_master *m, int db, int64_t at)
{
    float fade[HF_CHUNK];
    hf_fade_chunk(at - m->at, m->length, fade);
    m->from = at - m->at < m->length ? ramp(m, fade[0]) : m->to;
    m->to = (float)hf_gain(db);
    m->at = at;
}

static void volume(const struct hf_master *m, int64_t chunk_at, float gain[HF_CHUNK])
{
    for (int i = 0; i < HF_CHUNK; i++)
        gain[i] = m->to;
    if (chunk_at - m->at >= m->length)
        return;
    float fade[HF_CHUNK];
    hf_fade_chunk(chunk_at - m->at, m->length, fade);
    for (int i = 0; i < HF_CHUNK; i++)
        if (chunk_at + i - m->at < m->length)
            gain[i] = ramp(m, fade[i]);
}

void hf_master_gain(const struct hf_master *m, const struct hf_transport *t, int64_t chunk_at,
                    float gain[HF_CHUNK])
{
    float fade[HF_CHUNK];
    volume(m, chunk_at, gain);
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
