/* SPDX-License-Identifier: MIT */
/*
 * Records that can't follow those before them: each is refused in words, and the timeline stays as
 * it was. derived: the journal's rules in the contract (what moves which times, what needs what),
 * and its clock: steps of 64 samples, a fade of 300 ms, which is 14,400 samples at 48 kHz.
 */
#include "asking.h"

#include <stdio.h>

#include <holdfast/timeline.h>

enum { RECORDS = 9, FADE = 14400 };

#define NOTED .pcs = 0x86, .count = 3, .notes = {73, 74, 79}
#define HOLD(when)                                                                                 \
    {                                                                                              \
        .type = HF_RECORD_HOLD, .at = when, .pcs = 0x111, .count = 3, .notes = { 48, 52, 56 }      \
    }
#define CUE(when, told, heard, ended)                                                              \
    {                                                                                              \
        .type = HF_RECORD_CUE, .at = when, .tell = told, .hear = heard, .end = ended, .id = 1,     \
        NOTED                                                                                      \
    }
#define STEP(when, told, heard, ended)                                                             \
    {                                                                                              \
        .type = HF_RECORD_STEP, .at = when, .tell = told, .hear = heard, .end = ended, NOTED,      \
        .cue = 2, .step = 1, .steps = 2, .which = 1, .of = 1                                       \
    }
#define DRONE(when)                                                                                \
    {                                                                                              \
        .type = HF_RECORD_DRONE, .at = when, .gain_db = -6, .over = 64                             \
    }
#define PLAIN(which, when)                                                                         \
    {                                                                                              \
        .type = HF_RECORD_##which, .at = when                                                      \
    }
#define MOVED(which, when, by)                                                                     \
    {                                                                                              \
        .type = HF_RECORD_##which, .at = when, .shifted = true, .shift = by                        \
    }
#define RESUME(when, silence)                                                                      \
    {                                                                                              \
        .type = HF_RECORD_RESUME, .at = when, .after = silence                                     \
    }
#define BREAK(when, sound)                                                                         \
    {                                                                                              \
        .type = HF_RECORD_BREAK, .at = when, .sounded = sound                                      \
    }
#define END(when)                                                                                  \
    {                                                                                              \
        .type = HF_RECORD_END, .at = when, .fade = 96000                                           \
    }
#define NEVER HF_NEVER
#define OPENED HOLD(0), CUE(48000, 48000, 64000, 96000)
#define ENDLESS CUE(NEVER, NEVER, NEVER, NEVER)

static const struct {
    const char *key, *value;
    struct hf_record records[RECORDS]; /* up to one without notes or time that is a SESSION */
    const char *says;                  /* of the last; NULL: all of them follow */
} rows[] = {
    /* what is held */
    {"every", "1s", {HOLD(64)}, "a hold out of its time"},
    {"every", "1s", {OPENED, HOLD(NEVER)}, "a hold out of its time"},
    {"every", "1s", {OPENED, HOLD(96000), HOLD(96000)}, "a hold out of its time"},
    {"every", "1s", {OPENED, HOLD(96000), CUE(96000, 96000, 96000, 144000)}, NULL},
    {"every",
     "1s",
     {OPENED, HOLD(96000), CUE(96064, 96064, 96064, 144000)},
     "a cue out of its time"},
    {"every", "wait", {HOLD(0), HOLD(NEVER)}, "a hold out of its time"},
    {"every", "wait", {HOLD(0), CUE(48000, 48000, 48000, NEVER), HOLD(NEVER), ENDLESS}, NULL},
    {"practice", "roam", {HOLD(0), HOLD(NEVER), ENDLESS}, NULL},
    /* its level */
    {"every", "1s", {OPENED, DRONE(96000), DRONE(96000)}, "a drone out of its time"},
    {"every", "1s", {OPENED, DRONE(NEVER)}, "a drone out of its time"},
    {"every", "1s", {OPENED, DRONE(96000), CUE(96000, 96000, 96000, 144000)}, NULL},
    {"every",
     "1s",
     {OPENED, DRONE(96000), CUE(97024, 97024, 97024, 144000)},
     "a cue out of its time"},
    {"every", "wait", {HOLD(0), DRONE(NEVER)}, "a drone out of its time"},
    {"every", "wait", {HOLD(0), CUE(48000, 48000, 48000, NEVER), DRONE(NEVER), ENDLESS}, NULL},
    /* cues */
    {"every", "1s", {HOLD(0), CUE(NEVER, 0, 0, 64)}, "a cue out of its time"},
    {"every", "1s", {HOLD(0), CUE(640, 576, 640, 1280)}, "a cue out of its time"},
    {"every", "1s", {HOLD(0), CUE(640, 640, 576, 1280)}, "a cue out of its time"},
    {"every", "1s", {HOLD(0), CUE(640, 640, 640, NEVER)}, "a cue out of its time"},
    {"every", "1s", {HOLD(0), CUE(640, 640, 640, 640)}, "a cue out of its time"},
    {"every", "1s", {HOLD(0), CUE(640, 1344, 640, 1280)}, "a cue out of its time"},
    {"every", "1s", {HOLD(0), CUE(640, 640, 1344, 1280)}, "a cue out of its time"},
    {"every", "1s", {HOLD(0), CUE(640, 640, NEVER, 1280)}, NULL}, /* never heard */
    {"every", "1s", {OPENED, CUE(95936, 95936, 95936, 144000)}, "a cue out of its time"},
    {"every", "wait", {HOLD(0), CUE(640, 640, 640, 1280)}, "a cue out of its time"},
    {"every", "wait", {HOLD(0), ENDLESS}, "a cue out of its time"},
    {"every",
     "wait",
     {HOLD(0), CUE(640, 640, 640, NEVER), CUE(1280, NEVER, NEVER, NEVER)},
     "a cue out of its time"},
    {"every",
     "wait",
     {HOLD(0), CUE(640, 640, 640, NEVER), CUE(NEVER, 1280, NEVER, NEVER)},
     "a cue out of its time"},
    {"every",
     "wait",
     {HOLD(0), CUE(640, 640, 640, NEVER), CUE(NEVER, NEVER, 1280, NEVER)},
     "a cue out of its time"},
    {"every",
     "wait",
     {HOLD(0), CUE(640, 640, 640, NEVER), CUE(NEVER, NEVER, NEVER, 1280)},
     "a cue out of its time"},
    {"practice", "roam", {HOLD(0), CUE(0, 0, 0, 64)}, "a cue out of its time"},
    {"practice", "roam", {HOLD(0), ENDLESS, ENDLESS}, "a cue out of its time"},
    /* steps */
    {"every", "1s", {HOLD(0), STEP(640, 640, 640, 1280)}, "a step out of its time"},
    {"every", "1s", {OPENED, STEP(96000, 96000, 96000, 144000)}, NULL},
    {"every", "1s", {OPENED, STEP(64000, 96000, 96000, 144000)}, "a step out of its time"},
    {"every",
     "1s",
     {OPENED, HOLD(96000), STEP(96000, 96000, 96000, 144000)},
     "a step out of its time"},
    {"every",
     "1s",
     {OPENED, DRONE(96000), STEP(96000, 96000, 96000, 144000)},
     "a step out of its time"},
    /* stays */
    {"every", "1s", {OPENED, PLAIN(STAY, 50048), PLAIN(STAY, 50112)}, "a stay within a stay"},
    {"every", "1s", {OPENED, MOVED(GO, 50048, 64)}, "it ends a stay that is not there"},
    {"every", "1s", {OPENED, PLAIN(STAY, 50048), MOVED(GO, 50112, 64)}, NULL},
    {"every", "1s", {OPENED, PLAIN(STAY, 50048), MOVED(GO, 50112, 128)}, "a shift that can't be"},
    {"every", "1s", {OPENED, PLAIN(STAY, 50048), PLAIN(GO, 50112)}, "a shift that can't be"},
    /* pauses */
    {"every", "1s", {OPENED, PLAIN(PAUSE, 50048), PLAIN(PAUSE, 50048)}, "a pause within a pause"},
    {"every", "1s", {OPENED, PLAIN(PAUSE, 50048), PLAIN(LOST, 50112)}, "a pause within a pause"},
    {"every", "1s", {OPENED, RESUME(64448, 64)}, "it ends a pause that is not there"},
    {"every", "1s", {OPENED, PLAIN(PAUSE, 50048), RESUME(50048 + FADE, 64)}, NULL},
    {"every",
     "1s",
     {OPENED, PLAIN(PAUSE, 50048), RESUME(50112 + FADE, 64)},
     "a pause of a length that can't be"},
    {"every",
     "1s",
     {OPENED, PLAIN(PAUSE, 50048), RESUME(50048 + FADE, 65)},
     "a pause of a length that can't be"},
    {"every",
     "1s",
     {OPENED, PLAIN(PAUSE, 50048), PLAIN(STAY, 50048 + FADE)},
     "a command in a pause"},
    {"every", "1s", {OPENED, PLAIN(PAUSE, 50048), PLAIN(STAY, 49984 + FADE)}, NULL},
    {"every", "1s", {OPENED, BREAK(50048, 50000)}, "a break without its pause"},
    {"every",
     "1s",
     {OPENED, PLAIN(PAUSE, 50048), BREAK(50112, 50000)},
     "a break without its pause"},
    {"every",
     "1s",
     {OPENED, PLAIN(PAUSE, 50048), BREAK(50048, 50049)},
     "a break without its pause"},
    {"every",
     "1s",
     {OPENED, PLAIN(PAUSE, 50048), BREAK(50048, 50048), BREAK(50048, 5)},
     "a break without its pause"},
    /* next */
    {"every", "1s", {OPENED, MOVED(NEXT, 64000, -32000)}, NULL},
    {"every", "1s", {OPENED, MOVED(NEXT, 64000, -31936)}, "a shift that can't be"},
    {"every", "1s", {OPENED, PLAIN(NEXT, 64000)}, "a shift that can't be"},
    {"every", "1s", {OPENED, MOVED(NEXT, 6400, -41600)}, NULL}, /* in the lead-in */
    {"every", "1s", {HOLD(0), MOVED(NEXT, 6400, 0)}, "a shift that can't be"},
    {"every",
     "1s",
     {OPENED, PLAIN(STAY, 50048), MOVED(NEXT, 50112, -45888)},
     "a next within a stay"},
    {"every",
     "wait",
     {HOLD(0), CUE(640, 640, 640, NEVER), MOVED(NEXT, 6400, 64)},
     "a shift that can't be"},
    {"every", "wait", {HOLD(0), CUE(640, 640, 640, NEVER), PLAIN(NEXT, 6400)}, NULL},
    {"practice", "roam", {HOLD(0), ENDLESS, MOVED(NEXT, 6400, 64)}, "a shift that can't be"},
    {"practice", "roam", {HOLD(0), ENDLESS, PLAIN(NEXT, 6400)}, NULL},
    {"practice", "roam", {HOLD(0), PLAIN(NEXT, 6400)}, "a shift that can't be"},
    /* when */
    {"every", "1s", {OPENED, PLAIN(STAY, 50050)}, "a time between the steps of the clock"},
    {"every", "1s", {OPENED, PLAIN(PAUSE, 50048), PLAIN(STAY, 49984)}, "it comes too early"},
    {"every",
     "1s",
     {OPENED, CUE(96000, 96000, 96000, 144000), PLAIN(STAY, 6400)},
     "it comes too early"},
    {"every", "1s", {OPENED, PLAIN(STAY, 50048), END(49984)}, "it comes too early"},
    {"every", "1s", {OPENED, PLAIN(AGAIN, 6400)}, "no cue runs at its time"},
    {"every", "1s", {OPENED, PLAIN(REVEAL, 96000)}, "no cue runs at its time"},
    {"every", "1s", {OPENED, PLAIN(REVEAL, 50048), PLAIN(AGAIN, 50048)}, NULL},
    {"every", "1s", {OPENED, END(96000), PLAIN(STAY, 96000)}, "it comes after the end"},
    {"every", "1s", {OPENED, END(96000), END(96000)}, "it comes after the end"},
};

static void a_record_follows_those_before_it_or_is_refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        static struct hf_request request;
        struct hf_timeline timeline;
        struct hf_diag diag = {0};
        hf_request_init(&request);
        set_option(&request, rows[i].key, rows[i].value);
        set_option(&request, "held", "C3 E3 G#3");
        assert_ok(hf_request_resolve(&request, NULL));
        hf_timeline_init(&timeline, &request);
        enum hf_status status = HF_OK;
        long n = 0;
        while (n < RECORDS && rows[i].records[n].type != HF_RECORD_SESSION && status == HF_OK) {
            struct hf_record record = rows[i].records[n];
            record.n = ++n;
            status = hf_timeline_apply(&timeline, &record, &diag);
        }
        bool last = n == RECORDS || rows[i].records[n].type == HF_RECORD_SESSION;
        char expected[200] = "";
        if (rows[i].says)
            snprintf(expected, sizeof expected,
                     "record %ld of the journal contradicts those before it: %s", n, rows[i].says);
        if (!last || strcmp(diag.message, expected) != 0)
            fail_msg("row %zu, record %ld: \"%s\", not \"%s\"", i, n, diag.message, expected);
        assert_int_equal(status, rows[i].says ? HF_E_DATA : HF_OK);
        hf_timeline_deinit(&timeline);
    }
}

static void nothing_is_let_go_of_without_harm(void **state)
{
    (void)state;
    hf_timeline_deinit(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_record_follows_those_before_it_or_is_refused),
        cmocka_unit_test(nothing_is_let_go_of_without_harm),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
