/* SPDX-License-Identifier: MIT */
/*
 * The ear is protected: whatever a patch, a voice or the keys do, no sample passes the ceiling,
 * none is no number, and nothing that the program does to the sound is a click. Patches are drawn
 * at random over the whole range of every key, both ends among them; keys at random times.
 * published: the contract's ceiling of -6 dB of full scale. derived: a click is a jump, so it
 * stands out in the second difference of a low, steady tone: a step of height h has one of at least
 * h / 2, a sine of amplitude a at f Hz never more than a (2 pi f / rate)^2.
 */
#include "check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/ceiling.h>
#include <holdfast/conductor.h>
#include <holdfast/patchfile.h>
#include <holdfast/performance.h>
#include <holdfast/random.h>
#include <holdfast/sine.h>

#include "../src/sound/patchfile_keys.h"

enum { TEXT = 8192, BLOCK_MOST = 4096, LISTED = 16 };

static struct hf_schedule schedule;
static struct hf_conductor conductor;
static struct hf_request request;

/* ---- patches at random ----------------------------------------------------------------------- */

static double draw(struct hf_random *random, double low, double high)
{
    uint32_t end = hf_random_below(random, 4);
    return end == 0 ? low : end == 1 ? high : low + (high - low) * (double)hf_random_unit(random);
}

/* `partials`: how many there are; a list has a number for each. */
static void add_key(char *text, const struct hf_patchfile_key *key, int partials,
                    struct hf_random *random)
{
    size_t used = strlen(text);
    char name[64];
    snprintf(name, sizeof name, "%s", key->name);
    char *number = strstr(name, "_N_");
    if (number)
        number[1] = (char)('1' + hf_random_below(random, 9));
    int count = key->type == HF_KEY_LIST ? partials : 1;
    used += (size_t)snprintf(text + used, TEXT - used, "%s =", name);
    for (int i = 0; i < count; i++) {
        double value = draw(random, key->low, key->high);
        value = key->type == HF_KEY_COPIES  ? (value < 2 ? 1 : 3)
                : key->type == HF_KEY_WHOLE ? partials
                                            : value;
        used += (size_t)snprintf(text + used, TEXT - used, "%s %.3g", i ? "," : "", value);
    }
    snprintf(text + used, TEXT - used, "\n");
}

/* Is that key there? Of what a section may do without, half. */
static bool wants_key(const struct hf_patchfile_key *key, int partials, struct hf_random *random)
{
    static const char *const needed[] = {"count", "t60_s", "attack_ms"};
    for (size_t i = 0; i < sizeof needed / sizeof *needed; i++)
        if (strcmp(key->name, needed[i]) == 0)
            return true;
    if (key->type == HF_KEY_LIST && partials > LISTED) /* a line has at most 199 bytes */
        return false;
    bool free = strcmp(key->section, "partials") == 0 || strcmp(key->section, "string") == 0;
    return !free || hf_random_below(random, 2);
}

/* One that is allowed, whatever it sounds like. */
static struct hf_patch patch_at_random(struct hf_random *random, bool struck)
{
    static const char *const of_drones[] = {"partials", "formant", "drift",
                                            "copies",   "breath",  NULL};
    static const char *const of_struck[] = {"partials", "string", NULL};
    struct hf_patch patch;
    for (int tries = 0; tries < 1000; tries++) {
        char text[TEXT];
        int partials = (int)draw(random, 1, hf_random_below(random, 2) ? LISTED : 64);
        snprintf(text, sizeof text, "[patch]\nkind = %s\nabout = any\n",
                 struck ? "struck" : "drone");
        for (const char *const *s = struck ? of_struck : of_drones; *s; s++) {
            bool needed = strcmp(*s, "partials") == 0 || strcmp(*s, "string") == 0;
            if (!needed && hf_random_below(random, 2))
                continue;
            size_t used = strlen(text);
            snprintf(text + used, TEXT - used, "[%s%s]\n", *s,
                     strcmp(*s, "formant") == 0 ? ".1" : "");
            for (int k = 0; k < HF_PATCHFILE_KEYS; k++)
                if (strcmp(hf_patchfile_keys[k].section, *s) == 0 &&
                    wants_key(&hf_patchfile_keys[k], partials, random))
                    add_key(text, &hf_patchfile_keys[k], partials, random);
        }
        if (hf_patchfile_parse(text, strlen(text), "any", &patch, NULL) == HF_OK)
            return patch;
    }
    fail_msg("no patch in so many is allowed");
    return patch;
}

/* ---- sessions -------------------------------------------------------------------------------- */

static enum hf_status forget(void *self, const struct hf_record *record, struct hf_diag *diag)
{
    (void)self, (void)record, (void)diag;
    return HF_OK;
}

/* A voice gone mad: louder than anything, or no number. */
static float voice_gain;
static const struct hf_utterance *scream(void *self, uint32_t words)
{
    static int16_t samples[8000];
    static struct hf_utterance it = {.text = "a", .length = 8000, .samples = samples};
    (void)self, (void)words;
    for (int i = 0; i < 8000; i++)
        samples[i] = i / 50 % 2 ? 32767 : -32768;
    it.gain = voice_gain;
    return &it;
}

static void begin_session(const char *const *settings)
{
    hf_request_init(&request);
    for (; settings[0]; settings += 2)
        for (int key = 0; key < HF_OPTIONS; key++)
            if (strcmp(hf_option_name((enum hf_option)key), settings[0]) == 0)
                assert_ok(hf_request_set(&request, (enum hf_option)key, settings[1], NULL));
    assert_ok(hf_request_resolve(&request, NULL));
    assert_ok(hf_schedule_init(&schedule, &request, NULL));
    assert_ok(hf_conductor_init(&conductor, &request, &schedule, NULL));
}

static void end_session(struct hf_engine *engine)
{
    hf_engine_free(engine);
    hf_conductor_deinit(&conductor);
    hf_schedule_deinit(&schedule);
}

static const enum hf_key any_key[] = {HF_KEY_STAY,   HF_KEY_STAY,  HF_KEY_PAUSE, HF_KEY_PAUSE,
                                      HF_KEY_NEXT,   HF_KEY_AGAIN, HF_KEY_AGAIN, HF_KEY_REVEAL,
                                      HF_KEY_SOFTER, HF_KEY_LOUDER};

static void press(enum hf_key key, struct hf_engine *engine)
{
    struct hf_diag diag;
    (void)!hf_conductor_key(&conductor, key, hf_engine_now(engine), &diag);
}

/* A key, or the output goes away or comes back. */
static void do_anything(struct hf_random *random, struct hf_engine *engine)
{
    if (hf_random_below(random, 8) > 0)
        press(any_key[hf_random_below(random, 10)], engine);
    else if (conductor.away)
        hf_conductor_back(&conductor);
    else
        hf_conductor_away(&conductor);
}

static void no_patch_and_no_key_passes_the_ceiling(void **state)
{
    (void)state;
    static const char *const rates[] = {"8000", "48000", "44100", "192000", "8000", "22050"};
    static const float gains[] = {0.1f / 32768, 1e30f, INFINITY, NAN, 1, -1e38f};
    static float block[2 * BLOCK_MOST];
    const float most = 0.501188f; /* 10^(-6 / 20), rounded up */
    float loudest = 0;
    int sessions = getenv("SOAK") ? 6000 : 120;
    for (int seed = 1; seed <= sessions; seed++) {
        struct hf_random random;
        struct hf_engine *engine = NULL;
        hf_random_init(&random, (uint64_t)seed, 9);
        const char *const settings[] = {"held",    seed % 3 ? "C E G#" : "E1 G#1 C2 E2 G#2 C3 E6",
                                        "every",   seed % 2 ? "0.7s" : "0.1s",
                                        "lead-in", "0.2s",
                                        "cue",     "lead",
                                        "rate",    rates[seed % 6],
                                        "rounds",  "3",
                                        NULL};
        bool struck = hf_random_below(&random, 4) == 0;
        begin_session(settings);
        int rate = request.rate_hz;
        struct hf_engine_setting setting = {
            .rate_hz = rate,
            .a4_mhz = seed % 2 ? 380000 : 480000,
            .room_db = 6,
            .held = {.way = struck ? HF_HELD_STRUCK : HF_HELD_SUSTAINED,
                     .rate_hz = rate,
                     .a4_mhz = seed % 2 ? 380000 : 480000,
                     .seed = (uint64_t)seed,
                     .restrike = rate / 2,
                     .patch = patch_at_random(&random, struck)},
            .added_patch = patch_at_random(&random, true),
            .speaker = {.get = scream}};
        voice_gain = gains[hf_random_below(&random, 6)];
        assert_ok(hf_engine_new(&engine, &setting, NULL));
        struct hf_performance performance = {
            .source = hf_conductor_source(&conductor), .sink = {forget, NULL}, .engine = engine};
        assert_ok(hf_performance_tend(&performance, NULL));
        for (int64_t frames = 0; !hf_engine_over(engine) && frames < 12 * (int64_t)rate;) {
            long size = 1 + (long)hf_random_below(&random, BLOCK_MOST);
            hf_engine_render(engine, size, block);
            for (long i = 0; i < 2 * size; i++) {
                if (!isfinite(block[i]) || fabsf(block[i]) > most)
                    fail_msg("session %d: sample %g at %lld", seed, (double)block[i],
                             (long long)(frames + i / 2));
                loudest = fmaxf(loudest, fabsf(block[i]));
            }
            frames += size;
            if (hf_random_below(&random, 3) == 0)
                do_anything(&random, engine);
            if (hf_random_below(&random, 20) == 0)
                hf_engine_send(engine, &(struct hf_event){
                                           .kind = HF_EVENT_SAY,
                                           .words = 1,
                                           .at = (hf_engine_now(engine) / HF_GRID + 4) * HF_GRID,
                                           .length = 8000});
            if (frames > 10 * (int64_t)rate)
                press(HF_KEY_QUIT, engine);
            assert_ok(hf_performance_tend(&performance, NULL));
        }
        end_session(engine);
    }
    assert_true(loudest > 0.9f * most); /* some of them came against it */
}

/* ---- clicks ---------------------------------------------------------------------------------- */

struct bends {
    float last[2], before[2], most;
};

static void bend(struct bends *b, const float *stereo, long frames)
{
    for (long i = 0; i < frames; i++)
        for (int side = 0; side < 2; side++) {
            float x = stereo[2 * i + side];
            b->most = fmaxf(b->most, fabsf(x - 2 * b->last[side] + b->before[side]));
            b->before[side] = b->last[side];
            b->last[side] = x;
        }
}

/* Sessions with keys bend no more than `spare` times what the same without keys do, given back. */
static float search_for_clicks(const char *cue, int sessions, float spare)
{
    enum { RATE = 48000, BLOCK = 480 };
    static float block[2 * BLOCK];
    const char *const settings[] = {"held", "C3 E3 G#3", "every", "1s",     "lead-in", "1s", "cue",
                                    cue,    "rate",      "48000", "rounds", "2",       NULL};
    static const enum hf_key ends[] = {HF_KEY_QUIT, HF_KEY_SIGNAL};
    const char *text = hf_patchfile_find_builtin("soft-sine");
    float steady = 0;
    for (int seed = 0; seed <= sessions; seed++) {
        struct hf_random random;
        struct hf_engine *engine = NULL;
        struct bends bends = {0};
        begin_session(settings);
        struct hf_engine_setting setting = {
            .rate_hz = RATE,
            .a4_mhz = 440000,
            .room_db = seed % 2 ? 0 : HF_ENGINE_NO_ROOM_DB,
            .held = {.rate_hz = RATE, .a4_mhz = 440000, .seed = (uint64_t)(seed / 2)}};
        assert_ok(hf_patchfile_parse(text, strlen(text), "soft-sine", &setting.held.patch, NULL));
        text = hf_patchfile_find_builtin("plucked-nylon");
        assert_ok(hf_patchfile_parse(text, strlen(text), "nylon", &setting.added_patch, NULL));
        text = hf_patchfile_find_builtin("soft-sine");
        assert_ok(hf_engine_new(&engine, &setting, NULL));
        struct hf_performance performance = {
            .source = hf_conductor_source(&conductor), .sink = {forget, NULL}, .engine = engine};
        hf_random_init(&random, (uint64_t)seed, 11);
        assert_ok(hf_performance_tend(&performance, NULL));
        for (int64_t frames = 0; !hf_engine_over(engine) && frames < 30 * RATE; frames += BLOCK) {
            hf_engine_render(engine, BLOCK, block);
            bend(&bends, block, BLOCK);
            if (seed > 1 && hf_random_below(&random, 12) == 0)
                do_anything(&random, engine);
            if (seed > 1 && frames > (5 + seed % 10) * (int64_t)RATE)
                press(ends[seed % 2], engine);
            assert_ok(hf_performance_tend(&performance, NULL));
        }
        /* The first two have no keys: what the tone itself bends, and the fades at both ends. */
        steady = seed <= 1 ? fmaxf(steady, bends.most) : steady;
        if (bends.most > spare * steady)
            fail_msg("session %d bends by %g, the tone alone by %g", seed, (double)bends.most,
                     (double)steady);
        end_session(engine);
    }
    return steady;
}

/* The drone alone, of a low triad in soft sines: what bends it most is its own tone. */
static void nothing_that_is_pressed_clicks(void **state)
{
    (void)state;
    float steady = search_for_clicks("silent", getenv("SOAK") ? 2000 : 60, 1.2f);
    /* derived: three sines of up to -26 LUFS in all, at most 208 Hz: (2 pi 208 / 48000)^2 = 7.4e-4
     * of an amplitude that is under 0.25; a step of a thousandth would stand out. */
    assert_true(steady > 0 && steady < 5e-4f);
}

/* Plucked notes bend the sound as they begin; one that is cut off, or begun at full, would more. */
static void nothing_that_is_pressed_clicks_under_a_cue(void **state)
{
    (void)state;
    assert_true(search_for_clicks("lead", getenv("SOAK") ? 500 : 40, 1.5f) > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_patch_and_no_key_passes_the_ceiling),
        cmocka_unit_test(nothing_that_is_pressed_clicks),
        cmocka_unit_test(nothing_that_is_pressed_clicks_under_a_cue),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
