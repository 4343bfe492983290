/* SPDX-License-Identifier: MIT */
/* Invariants: the partials start together at phase 0 under the raised cosine of the attack; a gain
 * only falls; one that has fallen below INAUDIBLE is 0 from the next chunk on and costs nothing. */
#include <holdfast/struck.h>

#include <holdfast/sine.h>

/* -180 dB of full scale: leaving off there is no step that a 24-bit file could hold. */
#define INAUDIBLE 1e-9f
#define SILENT 1e-6f

static void init_decay(struct hf_struck *struck, int to, double damping, long rate)
{
    for (int i = 0; i < HF_CHUNK; i++) {
        double fallen = hf_exp2(-damping * i / (double)rate * 1.4426950408889634);
        struck->decay[to * HF_CHUNK + i] = (float)fallen;
    }
    struck->chunk_decay[to] =
        (float)hf_exp2(-damping * HF_CHUNK / (double)rate * 1.4426950408889634);
}

void hf_struck_init(struct hf_struck *struck, const struct hf_patch *patch, int midi, double cents,
                    long a4_mhz, long rate, double gain)
{
    double frequency[HF_PATCH_PARTIALS_MOST], amplitude[HF_PATCH_PARTIALS_MOST];
    uint64_t increment = hf_pitch_increment_cents(midi, cents, a4_mhz, rate);
    double f0_hz = (double)increment * (double)rate / 4294967296.0;
    *struck = (struct hf_struck){.vector = hf_vector_best(), .damp_at = -1, .damp_from = -1};
    struck->attack = (int32_t)(patch->attack_ms * (double)rate / 1000.0 + 0.5);
    struck->damp = (int32_t)(HF_STRUCK_DAMP_MS * rate / 1000);
    hf_patch_spectrum(patch, f0_hz, rate, frequency, amplitude);
    for (int n = 0; n < patch->count; n++) {
        int to = struck->count;
        if (amplitude[n] <= 0)
            continue;
        struck->partial[to].step = hf_patch_step(patch, n, increment);
        struck->partial[to].gain = (float)(amplitude[n] * gain);
        init_decay(struck, to, hf_patch_damping(patch, n, f0_hz, frequency[n]), rate);
        struck->count++;
    }
    struck->silent = struck->count == 0;
}

/* The next `count` samples (at most a chunk) before attack and damping; moves on by as many. */
static void ring(struct hf_struck *struck, int count, float out[HF_CHUNK])
{
    float sum = 0;
    for (int i = 0; i < HF_CHUNK; i++)
        out[i] = 0;
    struck->vector->decay(struck->partial, struck->count, struck->decay, out);
    for (int n = 0; n < struck->count; n++) {
        struct hf_vector_partial *partial = &struck->partial[n];
        partial->phase += partial->step * (uint32_t)count;
        partial->gain *=
            count == HF_CHUNK ? struck->chunk_decay[n] : struck->decay[n * HF_CHUNK + count];
        if (partial->gain < INAUDIBLE)
            partial->gain = 0;
        sum += partial->gain;
    }
    if (sum < SILENT)
        struck->silent = true;
}

static void shape(struct hf_struck *struck, int from, float out[HF_CHUNK])
{
    float envelope[HF_CHUNK];
    int64_t age_at_0 = struck->age - from;
    if (struck->age < struck->attack) {
        hf_fade_chunk(age_at_0, struck->attack, envelope);
        for (int i = 0; i < HF_CHUNK; i++)
            out[i] *= envelope[i];
    }
    if (struck->damp_at < 0 || age_at_0 + HF_CHUNK <= struck->damp_at)
        return;
    hf_fade_chunk(age_at_0 - struck->damp_at, struck->damp, envelope);
    for (int i = 0; i < HF_CHUNK; i++)
        out[i] *= 1.0f - envelope[i];
    if (age_at_0 + HF_CHUNK >= struck->damp_at + struck->damp)
        struck->silent = true;
}

void hf_struck_render(struct hf_struck *struck, int from, float out[HF_CHUNK])
{
    float rung[HF_CHUNK];
    int count = HF_CHUNK - from;
    for (int i = 0; i < HF_CHUNK; i++)
        out[i] = 0;
    if (struck->silent)
        return;
    if (struck->damp_from >= 0 && struck->damp_at < 0)
        struck->damp_at = struck->age + (struck->damp_from > from ? struck->damp_from - from : 0);
    ring(struck, count, rung);
    for (int i = 0; i < count; i++)
        out[from + i] = rung[i];
    shape(struck, from, out);
    struck->age += count;
}

void hf_struck_damp(struct hf_struck *struck, int from)
{
    if (struck->damp_from < 0)
        struck->damp_from = from;
}

bool hf_struck_silent(const struct hf_struck *struck)
{
    return struck->silent;
}
