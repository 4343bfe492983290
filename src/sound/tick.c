/* SPDX-License-Identifier: MIT */
/* Invariant: silent until struck, and again once it has fallen by 120 dB. */
#include <holdfast/tick.h>

#include <holdfast/sine.h>

static const double peak_db = -18, t60_s = 0.060, attack_s = 0.001, hz[2] = {1000, 4000.0 / 3};

void hf_tick_init(struct hf_tick *tick, int rate_hz)
{
    *tick = (struct hf_tick){.age = -1};
    for (int i = 0; i < 2; i++)
        tick->step[i] = (uint32_t)(hz[i] * 4294967296.0 / rate_hz + 0.5);
    /* -60 dB after t60: a thousandth, log2(1000) = 9.965784 */
    tick->decay = (float)hf_exp2(-9.965784284662087 / (t60_s * rate_hz));
    tick->attack = (int32_t)(attack_s * rate_hz + 0.5);
}

void hf_tick_strike(struct hf_tick *tick, bool accent)
{
    tick->accent = accent;
    tick->age = 0;
    tick->phase = 0;
    tick->gain = (float)hf_gain(peak_db);
}

void hf_tick_render(struct hf_tick *tick, int from, float out[HF_CHUNK])
{
    if (tick->age < 0)
        return;
    for (int i = from; i < HF_CHUNK; i++) {
        float rise = tick->age < tick->attack ? hf_fade(tick->age, tick->attack) : 1;
        out[i] += hf_sine(tick->phase) * tick->gain * rise;
        tick->phase += tick->step[tick->accent];
        tick->gain *= tick->decay;
        tick->age++;
    }
    if (tick->gain < 1.25e-7f)
        tick->age = -1;
}
