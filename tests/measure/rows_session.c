/* SPDX-License-Identifier: MIT */
/* Whole sessions by the engine. */
#include <ebur128.h>
#include <fftw3.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/engine.h>

#include "measure.h"
#include "notes.h"
#include "rows.h"

enum { RATE = 48000, ROOM = 40 * RATE };

struct take {
    float *stereo;
    long frames;
    float *before; /* the sum of the stems, before the ceiling */
    long before_frames;
};

static void keep(void *self, const struct hf_bus stems[HF_STEMS], const struct hf_bus *sum)
{
    struct take *take = self;
    (void)stems;
    for (int i = 0; i < HF_CHUNK && take->before_frames < ROOM; i++, take->before_frames++) {
        take->before[2 * take->before_frames] = sum->left[i];
        take->before[2 * take->before_frames + 1] = sum->right[i];
    }
}

static struct take record(const char *held, const char *added, const struct hf_event *events,
                          int count)
{
    struct take take = {malloc(2 * ROOM * sizeof(float)), 0, malloc(2 * ROOM * sizeof(float)), 0};
    struct hf_engine_setting setting = {
        .rate_hz = RATE,
        .a4_mhz = 440000,
        .held = {.rate_hz = RATE, .a4_mhz = 440000, .seed = 7, .patch = notes_patch(held)},
        .added_patch = notes_patch(added)};
    struct hf_engine *engine = NULL;
    if (!take.stereo || !take.before || hf_engine_new(&engine, &setting, NULL) != HF_OK)
        exit(1);
    hf_engine_set_tap(engine, (struct hf_engine_tap){keep, &take});
    for (int i = 0; i < count; i++)
        if (!hf_engine_send(engine, &events[i]))
            exit(1);
    while (!hf_engine_over(engine) && take.frames + 1024 <= ROOM)
        take.frames += hf_engine_render(engine, 1024, take.stereo + 2 * take.frames);
    hf_engine_free(engine);
    return take;
}

static void drop(struct take *take)
{
    free(take->stereo);
    free(take->before);
}

static struct hf_event hold(void)
{
    return (struct hf_event){.kind = HF_EVENT_HOLD, .count = 3, .notes = {48, 52, 56}};
}

static struct hf_event cue(uint32_t number, double at_s, double hear_s, double end_s)
{
    return (struct hf_event){.kind = HF_EVENT_CUE,
                             .cue = number,
                             .more = true,
                             .count = 3,
                             .notes = {62, 69, 75},
                             .at = (int64_t)(at_s * RATE),
                             .hear = (int64_t)(hear_s * RATE),
                             .end = (int64_t)(end_s * RATE)};
}

static double true_peak_db(const float *stereo, long frames)
{
    ebur128_state *state = ebur128_init(2, RATE, EBUR128_MODE_TRUE_PEAK);
    double left, right;
    ebur128_add_frames_float(state, stereo, (size_t)frames);
    ebur128_true_peak(state, 0, &left);
    ebur128_true_peak(state, 1, &right);
    ebur128_destroy(&state);
    return measure_db(fmax(left, right));
}

static double mean_db(const struct take *take)
{
    double sum[2] = {0, 0};
    for (long i = 0; i < 2 * take->frames; i++)
        sum[i % 2] += (double)take->stereo[i];
    return measure_db(fmax(fabs(sum[0]), fabs(sum[1])) / (double)take->frames);
}

static void full_mix(struct rows *rows)
{
    double peak = -HUGE_VAL, dc = -HUGE_VAL;
    int reduced = 0;
    struct hf_event events[] = {
        hold(), cue(1, 5, 5, 8), {.kind = HF_EVENT_FINISH, .at = 8 * RATE, .fade = RATE}};
    for (int i = 0; notes_drones[i]; i++) {
        for (int k = 0; notes_strucks[k]; k++) {
            struct take take = record(notes_drones[i], notes_strucks[k], events, 3);
            size_t size = (size_t)take.frames * 2 * sizeof(float);
            reduced += memcmp(take.stereo, take.before, size) != 0;
            peak = fmax(peak, true_peak_db(take.stereo, take.frames));
            dc = fmax(dc, mean_db(&take));
            drop(&take);
        }
    }
    rows_add(rows, "full mix", "every patch x tone, three added notes: sessions with reduction", 0,
             reduced, 0, "");
    rows_add(rows, "full mix", "true peak, libebur128", -HUGE_VAL, peak, -6, "dBTP");
    rows_add(rows, "DC", "every patch x tone, whole session", -HUGE_VAL, dc, -80, "dBFS");
}

/* One side, with what lies over 10 kHz alone (a cosine from 9.5 to 10.5 kHz). */
static void over_10_khz(const struct take *take, int side, double *out)
{
    long n = take->frames + RATE / 10;
    fftw_complex *bins = fftw_alloc_complex((size_t)n / 2 + 1);
    fftw_plan there = fftw_plan_dft_r2c_1d((int)n, out, bins, FFTW_ESTIMATE);
    fftw_plan back = fftw_plan_dft_c2r_1d((int)n, bins, out, FFTW_ESTIMATE);
    for (long i = 0; i < n; i++)
        out[i] = i < take->frames ? (double)take->stereo[2 * i + side] / (double)n : 0;
    fftw_execute(there);
    for (long k = 0; k <= n / 2; k++) {
        double in = ((double)k * RATE / (double)n - 9500) / 1000;
        double gain = in <= 0 ? 0 : in >= 1 ? 1 : (1 - cos(acos(-1) * in)) / 2;
        bins[k][0] *= gain;
        bins[k][1] *= gain;
    }
    fftw_execute(back);
    fftw_destroy_plan(there);
    fftw_destroy_plan(back);
    fftw_free(bins);
}

/* Largest RMS in dB over 10 ms, by 5 ms steps, from one time to another. */
static double largest_db(const double *x, double from_s, double to_s)
{
    const long window = RATE / 100;
    double most = 0;
    for (long at = lround(from_s * RATE); (double)at < to_s * RATE; at += window / 2) {
        double sum = 0;
        for (long i = at > 0 ? at : 0; i < at + window; i++)
            sum += x[i] * x[i];
        most = fmax(most, sum / (double)window);
    }
    return 10 * log10(most + 1e-40);
}

/* Start, the added notes' end by a skip, pause, resume, stop within 40 ms. */
static void clicks(struct rows *rows)
{
    static const double spans[][2] = {
        {0, 3.1}, {7.9, 8.4}, {9.9, 10.4}, {11.2, 11.8}, {12.9, 13.2}};
    static const char *const names[] = {"at start", "at a skip", "at a pause", "at resuming",
                                        "at a stop in 40 ms"};
    double over[5] = {-HUGE_VAL, -HUGE_VAL, -HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    struct hf_event events[] = {
        hold(),
        cue(1, 5, 5, 20),
        cue(2, 20, 30, 40),
        {.kind = HF_EVENT_NEXT, .at = 8 * RATE / 64 * 64},
        {.kind = HF_EVENT_PAUSE, .at = 10 * RATE / 64 * 64},
        {.kind = HF_EVENT_RESUME, .at = 10 * RATE / 64 * 64 + 14400, .after = RATE},
        {.kind = HF_EVENT_END, .at = 12 * RATE / 64 * 64, .fade = RATE / 25}};
    for (int i = 0; notes_drones[i]; i++) {
        struct take take = record(notes_drones[i], notes_strucks[i % 4], events, 7);
        double *x = fftw_alloc_real((size_t)(take.frames + RATE / 10));
        for (int side = 0; side < 2; side++) {
            over_10_khz(&take, side, x);
            double steady = largest_db(x, 3.5, 4.8), allowed = fmax(steady + 3, -100);
            for (int k = 0; k < 5; k++) {
                double to = fmin(spans[k][1], (double)take.frames / RATE + 0.05);
                over[k] = fmax(over[k], largest_db(x, spans[k][0], to) - allowed);
            }
        }
        fftw_free(x);
        drop(&take);
    }
    for (int k = 0; k < 5; k++) {
        char how[96];
        snprintf(how, sizeof how, "%s: over 10 kHz, 10 ms RMS, against what is allowed", names[k]);
        rows_add(rows, "clicks", how, -HUGE_VAL, over[k], 0, "dB");
    }
}

/* Glasberg and Moore, Hearing Research 47 (1990). */
static double erb_hz(double hz)
{
    return 24.7 * (4.37 * hz / 1000 + 1);
}

/* All completions of C E G# in the two octaves from C4. */
static double least_heard_db(const struct hf_patch *drone, const struct hf_patch *struck)
{
    enum { N = 1 << 19 };
    static const int triad[3] = {48, 52, 56}, added[9] = {1, 2, 3, 5, 6, 7, 9, 10, 11};
    float *stereo = notes_chord(drone, triad, 3, RATE, N, 7, false),
          *mono = malloc(N * sizeof *mono);
    double *power = malloc((N / 2 + 1) * sizeof *power), *sum = calloc(N / 2 + 1, sizeof *sum);
    double least = HUGE_VAL;
    for (int side = 0; side < 2; side++) {
        for (long i = 0; i < N; i++)
            mono[i] = stereo[2 * i + side];
        measure_power_spectrum(mono, N, power);
        for (long k = 0; k <= N / 2; k++)
            sum[k] += power[k];
    }
    for (int k = 0; k < 18; k++) {
        int midi = 60 + added[k % 9] + 12 * (k / 9);
        double hz = measure_note_hz(midi, 440), half = erb_hz(hz) / 2;
        float *note = notes_struck(struck, midi, RATE, RATE / 5);
        double a = measure_tone(note + RATE / 50, RATE / 10, RATE, hz).amplitude;
        double held = measure_band(sum, N, RATE, hz - half, hz + half);
        least = fmin(least, 10 * log10(a * a / 2 / held));
        free(note);
    }
    free(stereo), free(mono), free(power), free(sum);
    return least;
}

static void heard(struct rows *rows)
{
    double least = HUGE_VAL;
    for (int i = 0; notes_drones[i]; i++) {
        for (int k = 0; notes_strucks[k]; k++) {
            struct hf_patch drone = notes_patch(notes_drones[i]);
            struct hf_patch struck = notes_patch(notes_strucks[k]);
            least = fmin(least, least_heard_db(&drone, &struck));
        }
    }
    rows_add(rows, "added notes heard", "over the drone in the note's ERB, 20-120 ms, all pairs", 6,
             least, HUGE_VAL, "dB");
}

void rows_session(struct rows *rows)
{
    full_mix(rows);
    clicks(rows);
    heard(rows);
}
