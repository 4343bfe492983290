/* SPDX-License-Identifier: MIT */
/* The engine at its edges: a block that is longer than what is left of the session, and a control
 * thread that takes nothing. Expected values are derived from the promises in engine.h. */
#include "check.h"

#include <string.h>
#include <unistd.h>

#include <holdfast/engine.h>
#include <holdfast/patchfile.h>

enum { RATE = 8000, BLOCK = 1024 };

static struct hf_engine *engine_of(const char *held, const char *added)
{
    struct hf_engine *engine = NULL;
    struct hf_engine_setting setting = {
        .rate_hz = RATE, .a4_mhz = 440000, .held = {.rate_hz = RATE, .a4_mhz = 440000, .seed = 7}};
    const char *text = hf_patchfile_find_builtin(held);
    assert_non_null(text);
    assert_ok(hf_patchfile_parse(text, strlen(text), held, &setting.held.patch, NULL));
    text = hf_patchfile_find_builtin(added);
    assert_non_null(text);
    assert_ok(hf_patchfile_parse(text, strlen(text), added, &setting.added_patch, NULL));
    assert_ok(hf_engine_new(&engine, &setting, NULL));
    assert_true(hf_engine_send(
        engine, &(struct hf_event){.kind = HF_EVENT_HOLD, .count = 3, .notes = {48, 52, 56}}));
    return engine;
}

/* The callback fills its block, always: what was in the memory would be heard. */
static void the_rest_of_a_block_after_the_end_is_silence(void **state)
{
    (void)state;
    struct hf_engine *e = engine_of("stopped-pipe", "plucked-nylon");
    assert_true(
        hf_engine_send(e, &(struct hf_event){.kind = HF_EVENT_END, .at = 64 * 100, .fade = 640}));
    long length = 64 * 100 + 640, done = 0;
    float stereo[2 * BLOCK];
    for (int block = 0; block < 9; block++) {
        for (int i = 0; i < 2 * BLOCK; i++)
            stereo[i] = 0.7f;
        done += hf_engine_render(e, BLOCK, stereo);
        for (int i = 0; i < BLOCK; i++)
            if ((long)block * BLOCK + i >= length)
                assert_true(stereo[2 * i] == 0 && stereo[2 * i + 1] == 0);
    }
    assert_int_equal(done, length);
    hf_engine_free(e);
}

/* The ring of reports fills up, and the sound goes on: nothing on the audio thread waits. A turn of
 * the volume is answered by two reports; there is room for 512. */
static void a_control_thread_that_takes_nothing_stops_nothing(void **state)
{
    (void)state;
    struct hf_engine *e = engine_of("stopped-pipe", "plucked-nylon");
    float stereo[2 * HF_CHUNK];
    alarm(60); /* waiting would be for ever */
    for (int turn = 0; turn < 1000; turn++) {
        assert_true(hf_engine_send(e, &(struct hf_event){.kind = HF_EVENT_VOLUME,
                                                         .at = HF_AT_ONCE,
                                                         .db = turn % 2 ? -1 : -2}));
        assert_int_equal(hf_engine_render(e, HF_CHUNK, stereo), HF_CHUNK);
    }
    alarm(0);
    struct hf_report report;
    int reports = 0;
    while (hf_engine_receive(e, &report))
        reports++;
    assert_true(reports >= 500);
    assert_true(reports < 1000); /* else it never was full */
    hf_engine_free(e);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_rest_of_a_block_after_the_end_is_silence),
        cmocka_unit_test(a_control_thread_that_takes_nothing_stops_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
