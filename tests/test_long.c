/* SPDX-License-Identifier: MIT */
/*
 * A day's work without a break: eight hours and ten thousand cues on a virtual clock, without a key
 * and with a player who stays, pauses, skips and hears again. What is heard lies where the timeline
 * says, to the sample, at the end as at the beginning (derived: the contract's "`at` and all times
 * count samples of the session's clock"); memory grows by the cues alone; the journal reads back.
 */
#include "check.h"

#include <malloc.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/conductor.h>
#include <holdfast/patchfile.h>
#include <holdfast/performance.h>
#include <holdfast/random.h>
#include <holdfast/replay.h>
#include <holdfast/source.h>
#include <holdfast/transport.h>

enum { RATE = 44100, CUES = 10002, HOURS = 8 };

static struct hf_schedule schedule;
static struct hf_conductor conductor;
static struct hf_transport transport;

struct heard {
    int64_t session, output;
    uint8_t notes[3];
};

static struct {
    char *bytes;
    size_t length, room;
    struct heard *heard;
    int count;
    int64_t output;
    struct hf_step kept; /* the transport had no room for it */
    bool holds;
} it;

/* Bytes in use, but for the cues of the timeline, which a session keeps for its end page. */
static size_t memory_but_for_cues(void)
{
    struct mallinfo2 all = mallinfo2();
    if (all.uordblks == 0) /* a sanitizer's allocator does not tell */
        return 0;
    return all.uordblks + all.hblkhd - conductor.timeline.room * sizeof(struct hf_timeline_cue);
}

enum { MEMORY_SPARE = 65536 }; /* the allocator's own, where large pieces begin */

static struct hf_request request_of(const char *const *settings)
{
    struct hf_request request;
    struct hf_diag diag;
    hf_request_init(&request);
    for (; settings[0]; settings += 2)
        for (int key = 0; key < HF_OPTIONS; key++)
            if (strcmp(hf_option_name((enum hf_option)key), settings[0]) == 0 &&
                hf_request_set(&request, (enum hf_option)key, settings[1], &diag) != HF_OK)
                fail_msg("%s", diag.message);
    if (hf_request_resolve(&request, &diag) != HF_OK)
        fail_msg("%s", diag.message);
    return request;
}

static void keep(char *line, size_t length)
{
    assert_true(it.length + length <= it.room);
    memcpy(it.bytes + it.length, line, length);
    it.length += length;
    free(line);
}

static void tend(struct hf_source source)
{
    while (it.holds || source.step(source.self, &it.kept)) {
        char *line;
        size_t length;
        it.holds = false;
        if (it.kept.is_record) {
            assert_ok(hf_journal_format(&it.kept.record, &line, &length, NULL));
            keep(line, length);
        } else if (!hf_transport_take(&transport, &it.kept.event)) {
            it.holds = true;
            return;
        }
    }
}

static void one_chunk(struct hf_source source)
{
    int64_t at = transport.now;
    bool was_done = hf_transport_done(&transport);
    hf_transport_chunk(&transport);
    for (int i = 0; i < transport.action_count; i++) {
        const struct hf_action *action = &transport.actions[i];
        if (action->kind != HF_ACTION_SOUND)
            continue;
        assert_true(it.count < 2 * CUES);
        struct heard *heard = &it.heard[it.count++];
        heard->session = at + action->offset;
        heard->output = it.output + action->offset;
        memcpy(heard->notes, action->event.notes, 3);
    }
    for (int i = 0; i < transport.report_count; i++)
        assert_ok(source.report(source.self, &transport.reports[i], NULL));
    if (!was_done && !transport.cut)
        it.output += HF_GRID;
    tend(source);
}

static void begin_session(const struct hf_request *request)
{
    struct hf_head head;
    char *line;
    size_t length;
    it.length = 0;
    it.count = 0;
    it.output = 0;
    assert_ok(hf_schedule_init(&schedule, request, NULL));
    assert_ok(hf_conductor_init(&conductor, request, &schedule, NULL));
    hf_transport_init(&transport, request->rate_hz);
    assert_ok(hf_head_init(&head, "holdfast test", "2026-11-25T08:39:17+00:00", request,
                           "[patch]\n", "[patch]\n", NULL));
    assert_ok(hf_journal_format_head(&head, &line, &length, NULL));
    keep(line, length);
    hf_head_deinit(&head);
    tend(hf_conductor_source(&conductor));
}

static void end_session(void)
{
    hf_conductor_deinit(&conductor);
    hf_schedule_deinit(&schedule);
}

/* 8 hours: 10,002 cues of 2.88 s. */
static struct hf_request long_request(void)
{
    const char *const settings[] = {"held",    "C E G#", "every",  "2.88s",
                                    "lead-in", "500ms",  "rounds", "1667",
                                    "rate",    "44100",  "seed",   "18446744073709551615",
                                    NULL};
    return request_of(settings);
}

/* What was heard is what the journal says of it, and a replay is the same at every sample. */
static void assert_reads_back(int64_t length)
{
    struct hf_journal journal;
    struct hf_replay replay;
    struct heard *first = malloc((size_t)it.count * sizeof *first);
    int count = it.count;
    assert_non_null(first);
    memcpy(first, it.heard, (size_t)count * sizeof *first);
    assert_ok(hf_journal_parse(it.bytes, it.length, &journal, NULL));
    assert_false(journal.torn);
    assert_ok(hf_replay_init(&replay, &journal, RATE, NULL));
    assert_int_equal(replay.length, length);
    hf_transport_init(&transport, RATE);
    it.count = 0;
    it.output = 0;
    tend(hf_replay_source(&replay));
    while (!hf_transport_done(&transport))
        one_chunk(hf_replay_source(&replay));
    assert_int_equal(it.count, count);
    assert_memory_equal(it.heard, first, (size_t)count * sizeof *first);
    free(first);
    hf_replay_deinit(&replay);
    hf_journal_deinit(&journal);
}

static void eight_hours_do_not_drift(void **state)
{
    (void)state;
    struct hf_request request = long_request();
    size_t after_an_hour = 0;
    begin_session(&request);
    while (!hf_transport_done(&transport)) {
        one_chunk(hf_conductor_source(&conductor));
        if (!after_an_hour && transport.now > (int64_t)RATE * 3600)
            after_an_hour = memory_but_for_cues();
    }
    const struct hf_timeline *timeline = &conductor.timeline;
    assert_true(transport.now > (int64_t)HOURS * 3600 * RATE);
    assert_int_equal(timeline->count, CUES);
    assert_int_equal(it.count, CUES);
    for (int i = 0; i < CUES; i++) {
        /* derived: 500 ms and i times 2.88 s, then two thirds of one; nothing adds up */
        int64_t at = RATE / 2 + (int64_t)i * RATE * 288 / 100;
        assert_int_equal(timeline->cues[i].at, at);
        assert_int_equal(it.heard[i].session, timeline->cues[i].hear);
        assert_int_equal(it.heard[i].output, timeline->cues[i].hear);
        assert_true(llabs((long long)(it.heard[i].session - at - RATE * 192 / 100)) <= 1);
    }
    assert_true(memory_but_for_cues() < after_an_hour + MEMORY_SPARE);
    int64_t length = hf_timeline_length(timeline);
    assert_true(it.output >= length && it.output < length + HF_GRID);
    end_session();
    assert_reads_back(length);
}

static void eight_hours_with_a_player_do_not_drift(void **state)
{
    (void)state;
    static const enum hf_key keys[] = {HF_KEY_STAY, HF_KEY_PAUSE,  HF_KEY_AGAIN,
                                       HF_KEY_NEXT, HF_KEY_REVEAL, HF_KEY_GOT};
    struct hf_request request = long_request();
    struct hf_random random;
    struct hf_diag diag;
    hf_random_init(&random, 8, 1);
    begin_session(&request);
    while (!hf_transport_done(&transport)) {
        one_chunk(hf_conductor_source(&conductor));
        bool stands = conductor.timeline.stay_at != HF_NEVER;
        bool silent = conductor.timeline.pause_at != HF_NEVER;
        if (hf_random_below(&random, stands || silent ? 300 : 12000) > 0) /* every 17 s */
            continue;
        enum hf_key key = silent   ? HF_KEY_PAUSE
                          : stands ? HF_KEY_STAY
                                   : keys[hf_random_below(&random, 6)];
        assert_true(hf_conductor_key(&conductor, key, transport.now, &diag) != HF_E_BUG);
        tend(hf_conductor_source(&conductor));
    }
    const struct hf_timeline *timeline = &conductor.timeline;
    assert_int_equal(timeline->count, CUES);
    int at = 0;
    for (size_t i = 0; i < timeline->count && at < it.count; i++)
        if (it.heard[at].session == timeline->cues[i].hear)
            at++;
    assert_int_equal(at, it.count); /* each where the timeline has it, in order */
    assert_true(it.count > CUES * 9 / 10);
    int64_t length = hf_timeline_length(timeline);
    assert_true(timeline->silence > 0);
    assert_true(it.output >= length && it.output < length + HF_GRID);
    end_session();
    assert_reads_back(length);
}

/* ---- with its sound -------------------------------------------------------------------------- */

static enum hf_status forget(void *self, const struct hf_record *record, struct hf_diag *diag)
{
    (void)self, (void)record, (void)diag;
    return HF_OK;
}

static struct hf_patch patch_of(const char *name)
{
    struct hf_patch patch;
    const char *text = hf_patchfile_find_builtin(name);
    assert_non_null(text);
    assert_ok(hf_patchfile_parse(text, strlen(text), name, &patch, NULL));
    return patch;
}

/* Nothing held, no room: between two cues there is silence, and the first sample after it is a
 * cue's. An attack begins at nothing, so it may come a sample late, but always the same. */
static void samples_lie_where_the_timeline_says(void **state)
{
    (void)state;
    enum { LOW = 8000, BLOCK = 1000, SILENCE = LOW / 2 };
    static float block[2 * BLOCK];
    static const char *const settings[] = {
        "held", "C E G#", "every", "30s",    "lead-in", "1s",  "drone",   "off", "room",
        "-60",  "rate",   "8000",  "rounds", "160",     "cue", "confirm", NULL};
    struct hf_request request = request_of(settings);
    struct hf_engine *engine = NULL;
    struct hf_engine_setting setting = {.rate_hz = LOW,
                                        .a4_mhz = 440000,
                                        .room_db = HF_ENGINE_NO_ROOM_DB,
                                        .held = {.way = HF_HELD_OFF,
                                                 .rate_hz = LOW,
                                                 .a4_mhz = 440000,
                                                 .patch = patch_of("stopped-pipe")},
                                        .added_patch = patch_of("plucked-nylon")};
    assert_ok(hf_schedule_init(&schedule, &request, NULL));
    assert_ok(hf_conductor_init(&conductor, &request, &schedule, NULL));
    assert_ok(hf_engine_new(&engine, &setting, NULL));
    struct hf_performance performance = {
        .source = hf_conductor_source(&conductor), .sink = {forget, NULL}, .engine = engine};
    int64_t frames = 0, silent = SILENCE, hours = HOURS;
    size_t memory = 0;
    int onsets = 0;
    long late = -1;
    assert_ok(hf_performance_tend(&performance, NULL));
    while (!hf_engine_over(engine) && frames < hours * 3600 * LOW) {
        long made = hf_engine_render(engine, BLOCK, block);
        for (long i = 0; i < made; i++, frames++) {
            bool sounds = block[2 * i] != 0 || block[2 * i + 1] != 0;
            if (sounds && silent >= SILENCE) {
                long now = (long)(frames - conductor.timeline.cues[onsets].hear);
                late = late < 0 ? now : late;
                assert_true(now >= 0 && now <= 2);
                assert_int_equal(now, late);
                onsets++;
            }
            silent = sounds ? 0 : silent + 1;
        }
        assert_ok(hf_performance_tend(&performance, NULL));
        if (!memory && frames > LOW * 600)
            memory = memory_but_for_cues();
    }
    assert_true(onsets >= hours * 119);
    assert_true(memory_but_for_cues() < memory + MEMORY_SPARE);
    hf_engine_free(engine);
    end_session();
}

static int begin(void **state)
{
    (void)state;
    it.room = 16 << 20;
    it.bytes = malloc(it.room);
    it.heard = malloc(2 * CUES * sizeof *it.heard);
    return it.bytes && it.heard ? 0 : -1;
}

static int end(void **state)
{
    (void)state;
    free(it.bytes);
    free(it.heard);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(eight_hours_do_not_drift),
        cmocka_unit_test(eight_hours_with_a_player_do_not_drift),
        cmocka_unit_test(samples_lie_where_the_timeline_says),
    };
    return cmocka_run_group_tests(tests, begin, end);
}
