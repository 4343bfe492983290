/* SPDX-License-Identifier: MIT */
/* Usage: tones WIDTH BLOCK - writes to stdout everything that the sound makes, as raw numbers: its
 * functions, notes of every patch, room, ceiling, a whole session in blocks of BLOCK frames. All
 * builds must write the same bytes. `tones widths` lists the widths that this machine runs. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/ceiling.h>
#include <holdfast/engine.h>
#include <holdfast/loudness.h>
#include <holdfast/random.h>
#include <holdfast/room.h>
#include <holdfast/sine.h>

extern const struct hf_patch patches[]; /* generated */
extern const int patch_count;

static void put(const void *bytes, size_t size)
{
    if (fwrite(bytes, 1, size, stdout) != size)
        exit(74);
}

static void put_double(double x)
{
    put(&x, sizeof x);
}

static void functions(void)
{
    for (uint32_t p = 0; p < 200000; p++) {
        float y = hf_sine(p * 21474u);
        put(&y, sizeof y);
    }
    for (int i = -2000; i < 2000; i++) {
        double x = i * 0.037;
        put_double(hf_exp2(x));
        put_double(hf_sine_radians(x));
        put_double(hf_cosine_radians(x));
        put_double(hf_log2(i + 2001.5));
        put_double(hf_gain(x));
    }
    for (int midi = 0; midi < 128; midi++) {
        for (long rate = 8000; rate <= 192000; rate *= 2) {
            uint64_t steps[2] = {hf_pitch_increment(midi, 440000 + midi, rate),
                                 hf_pitch_increment_cents(midi, midi - 50, 440000, rate)};
            put(steps, sizeof steps);
        }
    }
    for (int64_t at = 0; at < 20000; at += HF_CHUNK) {
        float fade[HF_CHUNK];
        hf_fade_chunk(at, 19200, fade);
        put(fade, sizeof fade);
    }
}

static void levels(const struct hf_patch *patch)
{
    for (int midi = 28; midi <= 100; midi += 3) {
        double a[HF_PATCH_PARTIALS_MOST];
        hf_patch_spectrum(patch, hf_sine_pitch_hz(midi, 440000), 44100, NULL, a);
        put(a, sizeof a);
        put_double(patch->kind == HF_PATCH_DRONE
                       ? hf_loudness_drone_gain(patch, &midi, 1, 440000, 44100)
                       : hf_loudness_struck_gain(patch, midi, 440000, 44100, -23));
    }
}

static void drone_notes(const struct hf_patch *patch, long rate)
{
    static struct hf_drone drone;
    for (int n = 0; n < 3; n++) {
        hf_drone_init(&drone, patch, 48 + 4 * n, n == 1 ? -13.686 : 0, 440000, rate, 7, n, 0.33);
        for (int64_t at = 0; at < 300 * HF_CHUNK; at += HF_CHUNK) {
            float out[HF_CHUNK];
            hf_drone_render(&drone, at, out);
            put(out, sizeof out);
        }
    }
}

static void struck_notes(const struct hf_patch *patch, long rate)
{
    static struct hf_struck struck;
    for (int n = 0; n < 3; n++) {
        hf_struck_init(&struck, patch, 52 + 11 * n, 0, 440000, rate, 0.5);
        for (int k = 0; k < 400; k++) {
            float out[HF_CHUNK];
            if (k == 250)
                hf_struck_damp(&struck, 13);
            hf_struck_render(&struck, k ? 0 : 21 * n, out);
            put(out, sizeof out);
        }
    }
}

static void rooms_and_ceilings(long rate)
{
    static struct hf_room room;
    static struct hf_ceiling ceiling;
    struct hf_random random;
    hf_random_init(&random, 3, 1);
    hf_room_init(&room, rate);
    hf_ceiling_init(&ceiling, rate, (float)hf_gain(HF_CEILING_INNER_DB));
    for (int k = 0; k < 500; k++) {
        float side[2][HF_CHUNK], loud = k / 50 % 2 ? 3.0f : 0.05f;
        for (int i = 0; i < HF_CHUNK; i++)
            for (int s = 0; s < 2; s++)
                side[s][i] = loud * (hf_random_unit(&random) - 0.5f);
        hf_ceiling_render(&ceiling, side[0], side[1], HF_CHUNK);
        put(side, sizeof side);
        hf_room_render(&room, side[0], side[1], side[0], side[1]);
        put(side, sizeof side);
    }
}

static struct hf_event cue(uint32_t number, int64_t at, int64_t hear, int64_t end)
{
    return (struct hf_event){.kind = HF_EVENT_CUE,
                             .cue = number,
                             .more = true,
                             .count = 3,
                             .notes = {(uint8_t)(61 + number), (uint8_t)(67 + number), 75},
                             .at = at,
                             .hear = hear,
                             .end = end};
}

/* Held, cues at odd times, next, pause, resume, end. */
static void session(const struct hf_patch *held, const struct hf_patch *added, int rate, long block)
{
    static float stereo[2 * 4096];
    bool drone = held->kind == HF_PATCH_DRONE;
    struct hf_engine *engine = NULL;
    struct hf_engine_setting setting = {.rate_hz = rate,
                                        .a4_mhz = 442000,
                                        .held = {.way = drone ? HF_HELD_SUSTAINED : HF_HELD_STRUCK,
                                                 .patch = *held,
                                                 .pure = true,
                                                 .rate_hz = rate,
                                                 .a4_mhz = 442000,
                                                 .seed = 11,
                                                 .restrike = rate},
                                        .added_patch = *added};
    const struct hf_event events[] = {
        {.kind = HF_EVENT_HOLD, .count = 3, .notes = {48, 52, 56}},
        cue(1, 3001, 5003, 40007),
        cue(2, 40007, 50011, 70001),
        cue(3, 70001, 70001, 200000),
        {.kind = HF_EVENT_NEXT, .at = 64 * 900},
        {.kind = HF_EVENT_PAUSE, .at = 64 * 1200},
        {.kind = HF_EVENT_RESUME, .at = 64 * 1200 + (rate * 3 / 10 + 63) / 64 * 64, .after = 640},
        {.kind = HF_EVENT_END, .at = 110000, .fade = 9000}};
    if (hf_engine_new(&engine, &setting, NULL) != HF_OK)
        exit(70);
    for (size_t i = 0; i < sizeof events / sizeof *events; i++)
        if (!hf_engine_send(engine, &events[i]))
            exit(70);
    while (!hf_engine_over(engine)) {
        long done = hf_engine_render(engine, block, stereo);
        put(stereo, (size_t)done * 2 * sizeof *stereo);
    }
    hf_engine_free(engine);
}

static int write_all(long block)
{
    static const long rates[] = {8000, 44100, 48000, 192000};
    functions();
    for (int i = 0; i < patch_count; i++) {
        levels(&patches[i]);
        if (patches[i].kind == HF_PATCH_DRONE)
            drone_notes(&patches[i], rates[i % 4]);
        else
            struck_notes(&patches[i], rates[i % 4]);
    }
    for (int i = 0; i < 4; i++)
        rooms_and_ceilings(rates[i]);
    for (int i = 0; i < patch_count; i += 2) {
        int struck = 0;
        while (patches[struck].kind != HF_PATCH_STRUCK)
            struck++;
        session(&patches[i], &patches[struck], i % 4 ? 44100 : 48000, block);
    }
    return fflush(stdout) ? 74 : 0;
}

int main(int argc, char **argv)
{
    bool list = argc == 2 && !strcmp(argv[1], "widths");
    for (const struct hf_vector *const *v = hf_vector_all(); *v; v++) {
        if (!hf_vector_runs(*v))
            continue;
        if (list)
            printf("%s\n", (*v)->name);
        else if (argc == 3 && !strcmp((*v)->name, argv[1])) {
            char *end;
            long block = strtol(argv[2], &end, 10);
            hf_vector_use(*v);
            return *end || block < 1 || block > 4096 ? 64 : write_all(block);
        }
    }
    return list ? 0 : 64;
}
