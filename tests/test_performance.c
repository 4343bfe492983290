/* SPDX-License-Identifier: MIT */
/*
 * The promise of the replay with the engine in it: what was rendered while a player pressed keys,
 * the journal renders again, to the bit, also where the engine runs out of places for notes
 * (derived: from the promise itself). The clock is the test's; the conductor is tended as seldom as
 * a live loop would.
 */
#include "asking.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/patchfile.h>
#include <holdfast/performance.h>
#include <holdfast/replay.h>

enum { RATE = 8000, TICK = 80 /* samples: the live loop's 10 ms */, MOST = RATE * 90 };

static struct hf_schedule schedule; /* large */
static struct hf_conductor conductor;
static float played[2 * MOST], replayed[2 * MOST];
static char *lines;
static size_t length, room;

static enum hf_status keep(void *self, const struct hf_record *record, struct hf_diag *diag)
{
    char *line = NULL;
    size_t size = 0;
    (void)self;
    enum hf_status status = hf_journal_format(record, &line, &size, diag);
    assert_true(status == HF_OK && length + size < room);
    memcpy(lines + length, line, size);
    length += size;
    free(line);
    return HF_OK;
}

static enum hf_status ignore(void *self, const struct hf_record *record, struct hf_diag *diag)
{
    (void)self;
    (void)record;
    (void)diag;
    return HF_OK;
}

static struct hf_patch patch_of(const char *name)
{
    struct hf_patch patch;
    const char *text = hf_patchfile_find_builtin(name);
    assert_ok(hf_patchfile_parse(text, strlen(text), name, &patch, NULL));
    return patch;
}

static struct hf_engine *engine_of(const struct hf_request *request)
{
    struct hf_engine *engine = NULL;
    struct hf_engine_setting setting = {.rate_hz = RATE,
                                        .a4_mhz = 440000,
                                        .room_db = HF_ENGINE_NO_ROOM_DB,
                                        .held = {.rate_hz = RATE,
                                                 .a4_mhz = 440000,
                                                 .seed = request->seed,
                                                 .patch = patch_of("soft-sine")},
                                        .added_patch = patch_of("plucked-nylon")};
    assert_ok(hf_engine_new(&engine, &setting, NULL));
    return engine;
}

static struct hf_request request_of(const struct setting *settings)
{
    struct hf_request request;
    hf_request_init(&request);
    set_options(&request, settings);
    request.rate_hz = RATE;
    assert_ok(hf_request_resolve(&request, NULL));
    return request;
}

/* Which keys are pressed in turn, how many ticks apart, how often in all. */
struct hand {
    enum hf_key keys[8];
    int kinds, ticks, presses;
};

/* Plays until the last key and quits; how many samples. */
static long play(const struct hf_request *request, const struct hand *hand)
{
    struct hf_performance p = {.sink = {keep, NULL}, .engine = engine_of(request)};
    struct hf_diag diag;
    long done = 0;
    int pressed = 0;
    length = write_head(lines, request, STARTED, "[patch]\n", "[patch]\n");
    assert_ok(hf_schedule_init(&schedule, request, NULL));
    assert_ok(hf_conductor_init(&conductor, request, &schedule, NULL));
    p.source = hf_conductor_source(&conductor);
    for (int tick = 0; !hf_engine_over(p.engine); tick++) {
        assert_true(done + TICK <= MOST);
        if (tick % hand->ticks == hand->ticks - 1 && pressed <= hand->presses) {
            enum hf_key key =
                pressed < hand->presses ? hand->keys[pressed % hand->kinds] : HF_KEY_QUIT;
            pressed++;
            enum hf_status status =
                hf_conductor_key(&conductor, key, hf_engine_now(p.engine), &diag);
            assert_true(status == HF_OK || status == HF_E_USAGE);
        }
        if (hf_performance_tend(&p, &diag) != HF_OK)
            fail_msg("%s", diag.message);
        done += hf_engine_render(p.engine, TICK, played + 2 * done);
    }
    assert_ok(hf_performance_tend(&p, &diag));
    hf_engine_free(p.engine);
    return done;
}

static long replay(const struct hf_request *request)
{
    struct hf_journal journal;
    struct hf_replay replay;
    struct hf_diag diag;
    long done = 0;
    if (hf_journal_parse(lines, length, &journal, &diag) != HF_OK ||
        hf_replay_init(&replay, &journal, RATE, &diag) != HF_OK)
        fail_msg("%s", diag.message);
    struct hf_performance p = {
        .source = hf_replay_source(&replay), .sink = {ignore, NULL}, .engine = engine_of(request)};
    while (!hf_engine_over(p.engine)) {
        assert_true(done + HF_CHUNK <= MOST);
        assert_ok(hf_performance_tend(&p, NULL));
        done += hf_engine_render(p.engine, HF_CHUNK, replayed + 2 * done);
    }
    assert_int_equal(done, replay.length);
    hf_engine_free(p.engine);
    hf_replay_deinit(&replay);
    hf_journal_deinit(&journal);
    return done;
}

static void try_keys(const struct setting *settings, struct hand hand)
{
    struct hf_request request = request_of(settings);
    room = 1 << 20;
    lines = malloc(room);
    assert_non_null(lines);
    long count = play(&request, &hand);
    long again = replay(&request);
    /* What is left in a pause has some silence more, which no record needs to know. */
    memset(replayed + 2 * again, 0,
           (size_t)(2 * (count > again ? count - again : 0)) * sizeof(float));
    if (count < again)
        fail_msg("%ld samples, replayed %ld\n%.*s", count, again, (int)length, lines);
    for (long i = 0; i < 2 * count; i++)
        if (played[i] != replayed[i])
            fail_msg("sample %ld of %ld differs\n%.*s", i / 2, count, (int)length, lines);
    free(lines);
    hf_conductor_deinit(&conductor);
}

/* Twenty times next in a second, each with other notes to hold: more sets fade than there is room
 * for. */
static void a_held_set_that_changes_fast_replays_exactly(void **state)
{
    (void)state;
    const struct setting settings[] = {
        {"cue", "reverse"}, {"every", "2s"}, {"lead-in", "0.5s"}, {"rounds", "4"}, {NULL, NULL}};
    try_keys(settings, (struct hand){{HF_KEY_NEXT}, 1, 5, 20});
    try_keys(settings, (struct hand){{HF_KEY_NEXT}, 1, 3, 40});
    const enum hf_key many[] = {HF_KEY_NEXT, HF_KEY_NEXT,  HF_KEY_STAY,  HF_KEY_NEXT,
                                HF_KEY_NEXT, HF_KEY_AGAIN, HF_KEY_PAUSE, HF_KEY_PAUSE};
    for (int ticks = 2; ticks < 60; ticks += 3) {
        struct hand hand = {.kinds = 8, .ticks = ticks, .presses = 100};
        memcpy(hand.keys, many, sizeof many);
        try_keys(settings, hand);
    }
}

/* Eleven notes a cue, again and again: more strings ring than there is room for. */
static void again_held_down_replays_exactly(void **state)
{
    (void)state;
    const struct setting settings[] = {{"held", "C3"},        {"added", "11-1"}, {"every", "4s"},
                                       {"lead-in", "0"},      {"rounds", "1"},   {"cue", "lead"},
                                       {"register", "C3:C9"}, {NULL, NULL}};
    try_keys(settings, (struct hand){{HF_KEY_AGAIN}, 1, 1, 300});
    try_keys(settings, (struct hand){{HF_KEY_AGAIN}, 1, 3, 100});
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_held_set_that_changes_fast_replays_exactly),
        cmocka_unit_test(again_held_down_replays_exactly),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
