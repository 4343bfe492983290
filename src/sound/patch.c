/* SPDX-License-Identifier: MIT */
/* Invariants: every number of a timbre comes from its patch; amplitudes are never negative and are
 * scaled as a whole, so that the law fixes only their proportions. */
#include <holdfast/patch.h>

#include <math.h>

#include <holdfast/sine.h>

#define PI 3.141592653589793

/* A partial this far under the strongest is left out (-120 dB). */
#define NEGLIGIBLE 1e-6

/* Fletcher, "Normal vibration frequencies of a stiff piano string", JASA 36 (1964): f_n = n f
 * sqrt(1 + B n^2); here relative to the first, so that the note stays in tune. */
static double partial_ratio(const struct hf_patch *patch, int n)
{
    double r = patch->ratio[n];
    double b = patch->stiffness;
    return b > 0 ? r * sqrt((1.0 + b * r * r) / (1.0 + b)) : r;
}

static double formants_at(const struct hf_patch *patch, double hz)
{
    double product = 1.0;
    for (int i = 0; i < patch->formants; i++) {
        const struct hf_patch_formant *formant = &patch->formant[i];
        double off = (hz - formant->centre_hz) / formant->width_hz;
        product *= 1.0 + (hf_gain(formant->gain_db) - 1.0) / (1.0 + off * off);
    }
    return product;
}

/* The law, or the level given in its place; with what depends on the frequency. */
static double amplitude_at(const struct hf_patch *patch, int n, double hz)
{
    double db = patch->trim_db[n];
    if (patch->explicit_levels)
        db += patch->amplitude_db[n];
    else
        db += (n % 2 == 1 ? patch->even_db : 0.0) -
              patch->tilt_db_per_octave * hf_log2(patch->ratio[n]);
    double a = hf_gain(db) * formants_at(patch, hz);
    if (patch->soft_hz > 0) {
        double u = hz / patch->soft_hz * (hz / patch->soft_hz);
        a /= 1.0 + u * u;
    }
    if (patch->hard_hz > 0)
        a /= 1.0 + hz / patch->hard_hz * (hz / patch->hard_hz);
    if (patch->pluck_position > 0) {
        double comb = hf_sine_radians(PI * patch->ratio[n] * patch->pluck_position);
        a *= comb < 0 ? -comb : comb;
    }
    return a;
}

/* Scales to the power of the kind; what is negligible becomes 0 first. */
static void normalise(const struct hf_patch *patch, double strongest,
                      double amplitude[HF_PATCH_PARTIALS_MOST])
{
    double power = 0;
    for (int n = 0; n < patch->count; n++) {
        if (amplitude[n] < strongest * NEGLIGIBLE)
            amplitude[n] = 0;
        power += amplitude[n] * amplitude[n] * 0.5;
    }
    if (power <= 0)
        return;
    double asked = patch->kind == HF_PATCH_DRONE ? HF_PATCH_DRONE_POWER : HF_PATCH_STRUCK_POWER;
    double scale = sqrt(asked / power);
    for (int n = 0; n < patch->count; n++)
        amplitude[n] *= scale;
}

void hf_patch_spectrum(const struct hf_patch *patch, double f0_hz, long rate,
                       double frequency_hz[HF_PATCH_PARTIALS_MOST],
                       double amplitude[HF_PATCH_PARTIALS_MOST])
{
    double highest = 0.45 * (double)rate;
    double strongest = 0;
    if (highest > HF_PATCH_HIGHEST_HZ)
        highest = HF_PATCH_HIGHEST_HZ;
    for (int n = 0; n < HF_PATCH_PARTIALS_MOST; n++)
        amplitude[n] = 0;
    for (int n = 0; n < patch->count; n++) {
        double hz = f0_hz * partial_ratio(patch, n);
        if (frequency_hz)
            frequency_hz[n] = hz;
        if (hz > highest)
            continue;
        amplitude[n] = amplitude_at(patch, n, hz);
        if (amplitude[n] > strongest)
            strongest = amplitude[n];
    }
    normalise(patch, strongest, amplitude);
}

uint32_t hf_patch_step(const struct hf_patch *patch, int n, uint64_t increment)
{
    double ratio = partial_ratio(patch, n);
    uint64_t whole = (uint64_t)ratio;
    if ((double)whole == ratio)
        return (uint32_t)(increment * whole);
    return (uint32_t)(uint64_t)((double)increment * ratio + 0.5);
}

/* ln 1000, the 60 dB of a decay time, is 6.908. */
double hf_patch_damping(const struct hf_patch *patch, int n, double f0_hz, double frequency_hz)
{
    double khz = frequency_hz * 0.001;
    double rate = 6.907755278982137 / (patch->t60_s * patch->t60_scale[n]);
    if (patch->t60_at_hz > 0 && patch->t60_exponent != 0)
        rate *= hf_power(f0_hz / patch->t60_at_hz, patch->t60_exponent);
    return rate + patch->damping_per_s * khz * khz;
}

/* Operations a chunk: 21 a partial-sample, some 60 a partial for its control values, 20 a sample
 * for breath. Stopped-pipe has 9 partials and breath, plucked-nylon 16 partials. */
double hf_patch_cost(const struct hf_patch *patch)
{
    const double partial = 21 * 64 + 60;
    const double breath = 20 * 64;
    double here = patch->count * partial + (patch->breath ? breath : 0);
    return here / (patch->kind == HF_PATCH_DRONE ? 9 * partial + breath : 16 * partial);
}
