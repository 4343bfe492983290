/* SPDX-License-Identifier: MIT */
#include "notes.h"

#include <ebur128.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/drone.h>
#include <holdfast/loudness.h>
#include <holdfast/patchfile.h>
#include <holdfast/room.h>
#include <holdfast/sine.h>
#include <holdfast/struck.h>

#include "measure.h"

#define A4 440000L
#define PI 3.14159265358979323846

const char *const notes_drones[] = {"soft-sine",    "glass",     "stopped-pipe",
                                    "flute",        "open-pipe", "hum-voice",
                                    "bowed-string", "reed",      NULL};
const char *const notes_strucks[] = {"plucked-nylon", "plucked-steel", "felt-hammer", "struck-bar",
                                     NULL};

struct hf_patch notes_patch(const char *name)
{
    struct hf_patch patch;
    struct hf_diag diag = {0};
    const char *text = hf_patchfile_find_builtin(name);
    if (!text || hf_patchfile_parse(text, strlen(text), name, &patch, &diag) != HF_OK) {
        fprintf(stderr, "no patch %s: %s\n", name, diag.message);
        exit(1);
    }
    return patch;
}

static void *memory(size_t size)
{
    void *m = aligned_alloc(HF_ALIGNMENT, (size + HF_ALIGNMENT - 1) / HF_ALIGNMENT * HF_ALIGNMENT);
    if (!m)
        exit(1);
    return m;
}

/* Whole chunks, so that the last one has room. */
static float *chunks(long samples)
{
    return memory((size_t)(samples + 2 * HF_CHUNK) * sizeof(float));
}

float *notes_drone(const struct hf_patch *patch, int midi, long rate, long samples, uint64_t seed)
{
    struct hf_drone *drone = memory(sizeof *drone);
    float *x = chunks(samples);
    hf_drone_init(drone, patch, midi, 0, A4, rate, seed, 0, 1.0);
    for (long at = 0; at < samples; at += HF_CHUNK)
        hf_drone_render(drone, at, x + at);
    free(drone);
    return x;
}

float *notes_struck(const struct hf_patch *patch, int midi, long rate, long samples)
{
    struct hf_struck *struck = memory(sizeof *struck);
    float *x = chunks(samples);
    double gain = hf_loudness_struck_gain(patch, midi, A4, rate, HF_LOUDNESS_ADDED_LUFS);
    hf_struck_init(struck, patch, midi, 0, A4, rate, gain);
    for (long at = 0; at < samples; at += HF_CHUNK)
        hf_struck_render(struck, 0, x + at);
    free(struck);
    return x;
}

static void add_note(struct hf_drone *drone, long at, double place, float side[2][HF_CHUNK])
{
    float note[HF_CHUNK];
    float left = (float)cos((place + 1) * PI / 4), right = (float)sin((place + 1) * PI / 4);
    hf_drone_render(drone, at, note);
    for (int i = 0; i < HF_CHUNK; i++) {
        side[0][i] += left * note[i];
        side[1][i] += right * note[i];
    }
}

float *notes_chord_from(const struct hf_patch *patch, const int *midi, int count, long rate,
                        long from, long frames, uint64_t seed, bool wet)
{
    struct hf_drone *drone = memory((size_t)count * sizeof *drone);
    struct hf_room *room = memory(sizeof *room);
    float *stereo = chunks(2 * frames + 2 * HF_CHUNK);
    double gain = hf_loudness_drone_gain(patch, midi, count, A4, rate);
    hf_room_init(room, rate);
    for (int n = 0; n < count; n++)
        hf_drone_init(&drone[n], patch, midi[n], 0, A4, rate, seed, n, gain);
    for (long at = 0; at < frames; at += HF_CHUNK) {
        float side[2][HF_CHUNK] = {{0}}, send[2][HF_CHUNK];
        for (int n = 0; n < count; n++)
            add_note(&drone[n], from + at, count > 1 ? 0.35 * (2.0 * n / (count - 1) - 1) : 0,
                     side);
        for (int i = 0; i < HF_CHUNK; i++) {
            send[0][i] = side[0][i] * 0.1f;
            send[1][i] = side[1][i] * 0.1f;
        }
        hf_room_render(room, send[0], send[1], send[0], send[1]);
        for (int i = 0; i < 2 * HF_CHUNK; i++)
            stereo[2 * at + i] = side[i % 2][i / 2] + (wet ? send[i % 2][i / 2] : 0);
    }
    free(drone);
    free(room);
    return stereo;
}

float *notes_chord(const struct hf_patch *patch, const int *midi, int count, long rate, long frames,
                   uint64_t seed, bool wet)
{
    return notes_chord_from(patch, midi, count, rate, 0, frames, seed, wet);
}

static double pitch_hz(int midi, long rate)
{
    return (double)hf_pitch_increment(midi, A4, rate) * (double)rate * 0x1p-32;
}

double notes_drone_cents(const struct hf_patch *patch, int midi, double seconds, double *worst)
{
    const long rate = 48000;
    long n = lround(seconds * (double)rate);
    double true_hz = measure_note_hz(midi, 440);
    float *x = notes_drone(patch, midi, rate, n, 7);
    double cents = measure_cents(x, n, (double)rate, true_hz, 0.5, worst);
    free(x);
    return cents;
}

double notes_struck_cents(const struct hf_patch *patch, int midi, double *weighted)
{
    const long rate = 48000, from = lround(0.15 * 48000), n = lround(1.25 * 48000);
    double f0 = measure_note_hz(midi, 440), sum = 0, weights = 0, first = 0;
    double hz[HF_PATCH_PARTIALS_MOST], a[HF_PATCH_PARTIALS_MOST];
    float *x = notes_struck(patch, midi, rate, from + n);
    hf_patch_spectrum(patch, f0, rate, hz, a);
    for (int k = 0; k < patch->count; k++) {
        struct measure_tone tone = measure_tone(x + from, lround(0.2 * 48000), (double)rate, hz[k]);
        if (a[k] <= 0 || tone.amplitude < 1e-5)
            continue;
        double cents = measure_cents(x + from, n, (double)rate, hz[k], 0.2, NULL);
        cents += measure_cents_between(hz[k], patch->ratio[k] * f0);
        sum += tone.amplitude * cents;
        weights += tone.amplitude;
        if (k == 0)
            first = cents;
    }
    free(x);
    if (weighted)
        *weighted = sum / weights;
    return first;
}

/* A partial that dies fast is wide in the spectrum: 4 Hz more for each neper a second. */
static bool near_partial(const struct hf_patch *patch, double f0, double hz, double near_hz)
{
    for (int n = 0; n < patch->count; n++) {
        double r = patch->ratio[n], b = patch->stiffness;
        double at = f0 * r * sqrt((1 + b * r * r) / (1 + b));
        double wide = near_hz;
        if (patch->kind == HF_PATCH_STRUCK)
            wide = fmin(wide + 4 * hf_patch_damping(patch, n, f0, at), f0 / 3);
        if (fabs(hz - at) < wide)
            return true;
    }
    return false;
}

static struct notes_residue residue(const struct hf_patch *patch, const float *x, long n, double f0,
                                    long rate, double near_hz)
{
    double *power = memory((size_t)(n / 2 + 1) * sizeof *power);
    double all = 0, between = 0, above = 0, highest = fmin(8000, 0.45 * (double)rate);
    measure_power_spectrum(x, n, power);
    for (long k = 0; k <= n / 2; k++) {
        double hz = (double)k * (double)rate / (double)n;
        all += power[k];
        if (!near_partial(patch, f0, hz, near_hz))
            between += power[k];
        if (hz > highest + near_hz && !near_partial(patch, f0, hz, near_hz))
            above += power[k];
    }
    free(power);
    return (struct notes_residue){10 * log10(between / all + 1e-40),
                                  10 * log10(above / all + 1e-40)};
}

struct notes_residue notes_drone_residue(const struct hf_patch *patch, int midi, long rate)
{
    const long n = 1 << 19;
    struct hf_patch still = *patch;
    still.breath = false;
    float *x = notes_drone(&still, midi, rate, n, 7);
    struct notes_residue result = residue(&still, x, n, pitch_hz(midi, rate), rate, 6);
    free(x);
    return result;
}

/* The piece is some time constants of the note long, so that it has not died under the middle of
 * the window. */
struct notes_residue notes_struck_residue(const struct hf_patch *patch, int midi, long rate)
{
    const long from = rate / 10;
    double f0 = pitch_hz(midi, rate);
    long n = 1 << 17;
    while ((double)n > 3 * (double)rate / hf_patch_damping(patch, 0, f0, f0) && n > 1 << 14)
        n /= 2;
    float *x = notes_struck(patch, midi, rate, from + n);
    double lobe = (MEASURE_LOBE + 2) * (double)rate / (double)n;
    struct notes_residue result = residue(patch, x + from, n, f0, rate, 10 + lobe);
    free(x);
    return result;
}

double notes_lufs(const float *stereo, long frames, long rate)
{
    ebur128_state *state = ebur128_init(2, (unsigned long)rate, EBUR128_MODE_I);
    double lufs = -HUGE_VAL;
    ebur128_add_frames_float(state, stereo, (size_t)frames);
    ebur128_loudness_global(state, &lufs);
    ebur128_destroy(&state);
    return lufs;
}

double notes_momentary_lufs(const float *mono, long samples, long rate)
{
    ebur128_state *state = ebur128_init(1, (unsigned long)rate, EBUR128_MODE_M);
    double most = -HUGE_VAL, now;
    float *quiet = memory((size_t)rate * sizeof *quiet);
    memset(quiet, 0, (size_t)rate * sizeof *quiet);
    ebur128_add_frames_float(state, quiet, (size_t)rate);
    for (long at = 0; at + rate / 100 <= samples; at += rate / 100) {
        ebur128_add_frames_float(state, mono + at, (size_t)(rate / 100));
        ebur128_loudness_momentary(state, &now);
        most = fmax(most, now);
    }
    free(quiet);
    ebur128_destroy(&state);
    return most;
}

/* The partials as found in the sum of both sides' spectra. */
struct notes_character notes_character(const struct hf_patch *patch, const int *midi, int count)
{
    const long rate = 48000, n = 1 << 20;
    float *stereo = notes_chord(patch, midi, count, rate, n, 7, false), *x = chunks(n);
    double *power = memory((size_t)(n / 2 + 1) * sizeof *power),
           *sum = calloc((size_t)n, sizeof *sum);
    double hz[3 * HF_PATCH_PARTIALS_MOST], a[3 * HF_PATCH_PARTIALS_MOST], all = 0, peak = 0,
                                                                          moment = 0;
    int partials = 0;
    for (int side = 0; side < 2; side++) {
        for (long i = 0; i < n; i++)
            x[i] = stereo[2 * i + side];
        measure_power_spectrum(x, n, power);
        for (long k = 0; k <= n / 2; k++)
            sum[k] += power[k];
        peak = fmax(peak, measure_peak(x, n) / measure_rms(x, n));
    }
    for (int c = 0; c < count && partials < 3 * HF_PATCH_PARTIALS_MOST; c++) {
        double f0 = pitch_hz(midi[c], rate);
        for (int k = 0; k < patch->count; k++, partials++) {
            hz[partials] = f0 * patch->ratio[k];
            a[partials] =
                sqrt(measure_band(sum, n, (double)rate, hz[partials] - 2, hz[partials] + 2));
            all += a[partials] * a[partials];
            moment += a[partials] * a[partials] * hz[partials];
        }
    }
    for (int k = 0; k < partials; k++)
        a[k] /= sqrt(all);
    double total = measure_band(sum, n, (double)rate, 0, 24000);
    struct notes_character character = {
        .roughness = measure_roughness(hz, a, partials),
        .middle_db = 10 * log10(measure_band(sum, n, (double)rate, 2000, 5000) / total),
        .crest_db = measure_db(peak),
        .centroid_hz = moment / all};
    free(stereo), free(x), free(power), free(sum);
    return character;
}
