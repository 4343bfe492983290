/* SPDX-License-Identifier: MIT */
/*
 * Invariants: gains are whole numbers, ONE = 1, so that nothing drifts and a gain that comes back
 * is exactly 1 again; no state depends on how the signal is cut into calls.
 *
 * What is wanted at a sample -> least over a window -> slow release -> average over half a window,
 * twice (once makes corners, which ring between the samples). With a window of W, sample s leaves
 * at time s + W + 6. The detector sees what lies around s at times s + 5 and s + 6; the averages at
 * s + W + 6 take at most the W least values from s + 7 on, and each of them must reach back to
 * s + 5: so the least is taken over W + 2.
 */
#include <holdfast/ceiling.h>

#include <stdbool.h>
#include <string.h>

#define ONE (UINT32_C(1) << 30)
#define TAIL HF_CEILING_TAIL
#define SPARE HF_CEILING_SPARE
#define SLOT(n) ((n) & (HF_CEILING_WANTED_MOST - 1))
#define PLACE(n) ((n) & (HF_CEILING_RING - 1))

/* A larger input counts as this in the detector: far over any ceiling, far from overflow. */
#define ENORMOUS 1e9f
#define ENORMOUS_BITS UINT32_C(0x4e6e6b28)
#define INFINITE UINT32_C(0x7f800000)

/* The detector makes at most this of samples up to 1: the sum of the magnitudes of one phase's
 * taps, 16571/8192. */
#define OVERSHOOT 2.03f

static void init_average(struct hf_ceiling_average *average, int32_t size)
{
    average->size = size;
    average->sum = (uint64_t)ONE * (uint64_t)size;
    for (int i = 0; i < size; i++)
        average->gain[i] = ONE;
}

static uint32_t next_average(struct hf_ceiling_average *average, uint32_t gain)
{
    average->sum += gain;
    average->sum -= average->gain[average->next];
    average->gain[average->next] = gain;
    average->next = average->next + 1 == average->size ? 0 : average->next + 1;
    return (uint32_t)(average->sum / (uint64_t)average->size);
}

void hf_ceiling_init(struct hf_ceiling *ceiling, long rate, float threshold)
{
    *ceiling = (struct hf_ceiling){.vector = hf_vector_best(), .threshold = threshold};
    ceiling->window = (int32_t)((rate * 3 + 1000) / 2000);
    ceiling->release = (uint32_t)(((uint64_t)48000 << 30) / ((uint64_t)8192 * (uint64_t)rate));
    ceiling->released = ONE;
    init_average(&ceiling->smooth[0], ceiling->window / 2);
    init_average(&ceiling->smooth[1], ceiling->window - ceiling->window / 2);
}

int hf_ceiling_latency(const struct hf_ceiling *ceiling)
{
    return ceiling->window + HF_CEILING_INTERPOLATOR;
}

/* What is no finite number becomes 0; a larger one than ENORMOUS counts as that in the detector. */
static void mend(struct hf_ceiling *ceiling, float *delayed, float *seen)
{
    uint32_t bits;
    memcpy(&bits, delayed, sizeof bits);
    if ((bits & INFINITE) == INFINITE) {
        *delayed = 0;
        ceiling->not_numbers++;
    }
    *seen = *delayed > ENORMOUS ? ENORMOUS : *delayed < -ENORMOUS ? -ENORMOUS : *delayed;
}

/* Takes a piece of one side in: into the delay, and after the tail for the detector. Returns the
 * largest magnitude in tail and piece. */
static float take_in(struct hf_ceiling *ceiling, int side, const float *samples, int count)
{
    float *recent = ceiling->recent[side], largest;
    uint32_t at = PLACE(ceiling->now), before_end = HF_CEILING_RING - at;
    uint32_t first = (uint32_t)count < before_end ? (uint32_t)count : before_end;
    float *history = ceiling->history[side];
    memcpy(history + at, samples, first * sizeof *samples);
    memcpy(history, samples + first, ((size_t)count - first) * sizeof *samples);
    memcpy(recent + TAIL, samples, (size_t)count * sizeof *samples);
    memset(recent + TAIL + count, 0, SPARE * sizeof *recent);
    uint32_t bits = ceiling->vector->largest(recent, (TAIL + count + 15) / 16 * 16);
    if (bits > ENORMOUS_BITS) {
        for (int i = 0; i < count; i++)
            mend(ceiling, &history[PLACE(ceiling->now + (uint32_t)i)], &recent[TAIL + i]);
        bits = ceiling->vector->largest(recent, (TAIL + count + 15) / 16 * 16);
    }
    memcpy(&largest, &bits, sizeof largest);
    return largest;
}

static void keep_tail(struct hf_ceiling *ceiling, int count)
{
    for (int side = 0; side < 2; side++)
        memmove(ceiling->recent[side], ceiling->recent[side] + count, TAIL * sizeof(float));
}

/* The least gain wanted in the last window + 2 samples, this one included. The queue rises from its
 * front, so each gain enters and leaves it once. */
static uint32_t least_wanted(struct hf_ceiling *ceiling, uint32_t wanted, uint32_t now)
{
    while (ceiling->last != ceiling->first && ceiling->wanted[SLOT(ceiling->last - 1)] >= wanted)
        ceiling->last--;
    ceiling->wanted[SLOT(ceiling->last)] = wanted;
    ceiling->wanted_at[SLOT(ceiling->last)] = now;
    ceiling->last++;
    while (now - ceiling->wanted_at[SLOT(ceiling->first)] >= (uint32_t)ceiling->window + 2)
        ceiling->first++;
    return ceiling->wanted[SLOT(ceiling->first)];
}

/* The gain for the sample that leaves when this peak has been seen. */
static float next_gain(struct hf_ceiling *ceiling, float peak, uint32_t now)
{
    uint32_t wanted = ONE;
    if (peak > ceiling->threshold)
        wanted = (uint32_t)(ceiling->threshold / peak * (float)ONE);
    uint32_t least = least_wanted(ceiling, wanted, now);
    uint32_t short_of_one = ONE - ceiling->released;
    uint32_t step = (uint32_t)((uint64_t)short_of_one * ceiling->release >> 30);
    if (step == 0 && short_of_one > 0)
        step = 1;
    ceiling->released += step;
    if (ceiling->released > least)
        ceiling->released = least;
    uint32_t gain =
        next_average(&ceiling->smooth[1], next_average(&ceiling->smooth[0], ceiling->released));
    ceiling->reduced += gain < ONE;
    return (float)gain * 0x1p-30f;
}

static void find_gains(struct hf_ceiling *ceiling, int count, float gain[HF_CHUNK])
{
    float peak[2][HF_CHUNK];
    int whole = (count + 15) / 16 * 16;
    for (int side = 0; side < 2; side++)
        ceiling->vector->true_peak(ceiling->recent[side], whole, peak[side]);
    for (int i = 0; i < count; i++) {
        float larger = peak[0][i] > peak[1][i] ? peak[0][i] : peak[1][i];
        gain[i] = next_gain(ceiling, larger, ceiling->now + (uint32_t)i);
    }
}

/* Nothing was wanted lately and every gain has come back: with nothing wanted now, all gains are 1
 * and the rings stay what they are. */
static bool at_rest(const struct hf_ceiling *ceiling)
{
    const struct hf_ceiling_average *first = &ceiling->smooth[0], *second = &ceiling->smooth[1];
    return first->sum == (uint64_t)ONE * (uint64_t)first->size &&
           second->sum == (uint64_t)ONE * (uint64_t)second->size &&
           (ceiling->first == ceiling->last || ceiling->wanted[SLOT(ceiling->first)] == ONE);
}

static void let_out(const struct hf_ceiling *ceiling, int side, int count, const float *gain,
                    float *samples)
{
    uint32_t at = PLACE(ceiling->now - (uint32_t)hf_ceiling_latency(ceiling));
    uint32_t before_end = HF_CEILING_RING - at;
    uint32_t first = (uint32_t)count < before_end ? (uint32_t)count : before_end;
    memcpy(samples, ceiling->history[side] + at, first * sizeof *samples);
    memcpy(samples + first, ceiling->history[side], ((size_t)count - first) * sizeof *samples);
    for (int i = 0; gain && i < count; i++)
        samples[i] *= gain[i];
}

static void render_piece(struct hf_ceiling *ceiling, float *left, float *right, int count)
{
    float gain[HF_CHUNK];
    float largest_left = take_in(ceiling, 0, left, count);
    float largest_right = take_in(ceiling, 1, right, count);
    float largest = largest_left > largest_right ? largest_left : largest_right;
    bool calm = largest * OVERSHOOT <= ceiling->threshold && at_rest(ceiling);
    if (calm)
        ceiling->first = ceiling->last;
    else
        find_gains(ceiling, count, gain);
    let_out(ceiling, 0, count, calm ? NULL : gain, left);
    let_out(ceiling, 1, count, calm ? NULL : gain, right);
    keep_tail(ceiling, count);
    ceiling->now += (uint32_t)count;
}

void hf_ceiling_render(struct hf_ceiling *ceiling, float *left, float *right, int count)
{
    while (count > 0) {
        int piece = count < HF_CHUNK ? count : HF_CHUNK;
        render_piece(ceiling, left, right, piece);
        left += piece;
        right += piece;
        count -= piece;
    }
}
