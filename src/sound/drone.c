/* SPDX-License-Identifier: MIT */
/*
 * Invariants: a partial's phase is start + step * session sample, so nothing accumulates and no
 * control moves a pitch; control values belong to multiples of HF_CHUNK on the session's clock,
 * with straight lines between.
 *
 * Three copies cost one: the sides lie d hertz above and below the middle with start phases
 * p(-) = 2 p(0) - p(+), so sin(a + b) + sin(a - b) = 2 sin a cos b makes them a slow change of
 * level, 1 + 2 side cos b, of a partial whose pitch stands still.
 */
#include <holdfast/drone.h>

#include <math.h>
#include <string.h>

#include <holdfast/sine.h>

#define TWO_PI 6.283185307179586

/* Rate of the slower sine of a drift against the other's. */
#define DRIFT_RATIO 0.618

/* Phase step a chunk of a frequency. */
static uint32_t chunk_step(double hz, long rate)
{
    return (uint32_t)(hz * HF_CHUNK / (double)rate * 4294967296.0 + 0.5);
}

static void init_control(struct hf_drone_control *control, const struct hf_patch *patch, long rate,
                         struct hf_random *random)
{
    control->start[0] = hf_random_next(random);
    control->start[1] = hf_random_next(random);
    control->beat = hf_random_next(random);
    double hz = patch->drift_hz * (0.6 + 0.8 * (double)hf_random_unit(random));
    control->step[0] = chunk_step(hz, rate);
    control->step[1] = chunk_step(hz * DRIFT_RATIO, rate);
}

/* Every partial draws its numbers, sounding or not, so that leaving one out alters no other. */
static void init_partials(struct hf_drone *drone, const struct hf_patch *patch, uint64_t increment,
                          long rate, struct hf_random *random, double gain)
{
    double amplitude[HF_PATCH_PARTIALS_MOST];
    double f0_hz = (double)increment * (double)rate / 4294967296.0;
    hf_patch_spectrum(patch, f0_hz, rate, NULL, amplitude);
    drone->count = 0;
    for (int n = 0; n < patch->count; n++) {
        int to = drone->count;
        uint32_t start = hf_random_next(random);
        init_control(&drone->control[to], patch, rate, random);
        if (amplitude[n] <= 0)
            continue;
        drone->start[to] = start;
        drone->level[to] = (float)(amplitude[n] * gain);
        drone->partial[to].step = hf_patch_step(patch, n, increment);
        drone->count++;
    }
}

/* What a one-pole low-pass keeps of its state each sample. */
static double one_pole(double hz, long rate)
{
    double highest = 0.45 * (double)rate;
    return hf_exp2(-TWO_PI * (hz < highest ? hz : highest) / (double)rate * 1.4426950408889634);
}

/* White noise through the high low-pass minus the low one; the power of the difference of the two
 * impulse responses (1 - k) k^n is summed in closed form, so the level is exact. */
static void init_breath(struct hf_drone *drone, const struct hf_patch *patch, long rate,
                        double gain)
{
    double high = one_pole(patch->breath_high_hz, rate), low = one_pole(patch->breath_low_hz, rate);
    double a = 1.0 - high, b = 1.0 - low;
    double power =
        a * a / (1.0 - high * high) + b * b / (1.0 - low * low) - 2.0 * a * b / (1.0 - high * low);
    if (power < 1e-12)
        return;
    double uniform = power / 3.0;
    double note = gain * sqrt(HF_PATCH_DRONE_POWER);
    drone->breath_gain = (float)(note * hf_gain(patch->breath_db) / sqrt(uniform));
    for (int i = 0; i < 4; i++) {
        drone->breath_keep[0][i] = (float)hf_power(high, i + 1);
        drone->breath_keep[1][i] = (float)hf_power(low, i + 1);
    }
    drone->breath_take[0] = (float)a;
    drone->breath_take[1] = (float)b;
}

void hf_drone_init(struct hf_drone *drone, const struct hf_patch *patch, int midi, double cents,
                   long a4_mhz, long rate, uint64_t seed, int index, double gain)
{
    struct hf_random random;
    *drone = (struct hf_drone){.vector = hf_vector_best(), .control_at = -1};
    hf_random_init(&random, seed, HF_STREAM_DRONE + (uint64_t)index);
    hf_random_init(&drone->noise, seed, HF_STREAM_BREATH + (uint64_t)index);
    drone->drift_depth = (float)(hf_gain(patch->drift_db) - 1.0);
    if (patch->copies == 3) {
        drone->beat_depth = (float)(2.0 * patch->side_gain);
        drone->beat_step = chunk_step(patch->detune_hz, rate);
    }
    uint64_t increment = hf_pitch_increment_cents(midi, cents, a4_mhz, rate);
    init_partials(drone, patch, increment, rate, &random, gain);
    if (patch->breath)
        init_breath(drone, patch, rate, gain);
}

/* The gains of all partials at a multiple of HF_CHUNK. */
static void gains_at(const struct hf_drone *drone, int64_t chunk_at,
                     float gain[HF_PATCH_PARTIALS_MOST])
{
    _Alignas(HF_ALIGNMENT) uint32_t phase[3 * HF_PATCH_PARTIALS_MOST];
    _Alignas(HF_ALIGNMENT) float slow[3 * HF_PATCH_PARTIALS_MOST];
    uint32_t chunk = (uint32_t)(chunk_at / HF_CHUNK);
    int row = (drone->count + 15) / 16 * 16;
    for (int n = 0; n < row; n++) {
        const struct hf_drone_control *control = &drone->control[n];
        phase[n] = control->start[0] + control->step[0] * chunk;
        phase[row + n] = control->start[1] + control->step[1] * chunk;
        phase[2 * row + n] = control->beat + drone->beat_step * chunk;
    }
    drone->vector->sine(phase, (drone->beat_depth > 0 ? 3 : 2) * row, slow);
    for (int n = 0; n < drone->count; n++) {
        float drift =
            (float)HF_DRONE_DRIFT_FIRST * slow[n] + (float)HF_DRONE_DRIFT_SECOND * slow[row + n];
        gain[n] = drone->level[n] * (1.0f + drone->drift_depth * drift);
    }
    for (int n = 0; drone->beat_depth > 0 && n < drone->count; n++)
        gain[n] *= 1.0f + drone->beat_depth * slow[2 * row + n];
}

/* Four samples of a one-pole low-pass at once: y[i] = x[i] + k x[i-1] + k^2 x[i-2] + ..., the sums
 * of two, then of four, then the power of k that remains of what came before. */
typedef float four __attribute__((vector_size(16)));

static four low_pass(four x, const float power[4], float *state)
{
    const four zero = {0};
    four sum = x + power[0] * __builtin_shufflevector(zero, x, 0, 4, 5, 6);
    sum += power[1] * __builtin_shufflevector(zero, sum, 0, 1, 4, 5);
    four kept = {power[0], power[1], power[2], power[3]};
    sum += kept * *state;
    *state = sum[3];
    return sum;
}

static void add_breath(struct hf_drone *drone, float out[HF_CHUNK])
{
    float white[HF_CHUNK];
    for (int i = 0; i < HF_CHUNK; i++) {
        int32_t drawn = (int32_t)(hf_random_next(&drone->noise) >> 8) - 0x800000;
        white[i] = (float)drawn * 0x1p-23f;
    }
    for (int i = 0; i < HF_CHUNK; i += 4) {
        four x, to;
        memcpy(&x, white + i, sizeof x);
        memcpy(&to, out + i, sizeof to);
        four high =
            low_pass(drone->breath_take[0] * x, drone->breath_keep[0], &drone->breath_state[0]);
        four low =
            low_pass(drone->breath_take[1] * x, drone->breath_keep[1], &drone->breath_state[1]);
        to += drone->breath_gain * (high - low);
        memcpy(out + i, &to, sizeof to);
    }
}

void hf_drone_render(struct hf_drone *drone, int64_t chunk_at, float out[HF_CHUNK])
{
    float next[HF_PATCH_PARTIALS_MOST];
    if (drone->control_at != chunk_at)
        gains_at(drone, chunk_at, drone->gain_at);
    gains_at(drone, chunk_at + HF_CHUNK, next);
    for (int n = 0; n < drone->count; n++) {
        struct hf_vector_partial *partial = &drone->partial[n];
        partial->phase = drone->start[n] + partial->step * (uint32_t)chunk_at;
        partial->gain = drone->gain_at[n];
        partial->gain_step = (next[n] - drone->gain_at[n]) * (1.0f / HF_CHUNK);
        drone->gain_at[n] = next[n];
    }
    drone->control_at = chunk_at + HF_CHUNK;
    for (int i = 0; i < HF_CHUNK; i++)
        out[i] = 0;
    drone->vector->ramp(drone->partial, drone->count, out);
    if (drone->breath_gain > 0)
        add_breath(drone, out);
}
