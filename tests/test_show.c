/* SPDX-License-Identifier: MIT */
/* What a player reads on the last line, and which key does what. The words are the project's own;
 * what is checked is that they fit the moment: expectations are derived by hand from the timeline.
 */
#include "virtual.h"

#include "../src/cli/show.h"

enum { RATE = 8000 };

static struct hf_request request;
static struct hf_timeline timeline;

static struct hf_record cue_record(long n, int64_t at, int64_t tell, int64_t hear, int64_t end)
{
    return (struct hf_record){.type = HF_RECORD_CUE,
                              .n = n,
                              .id = 3,
                              .at = at,
                              .tell = tell,
                              .hear = hear,
                              .end = end,
                              .pcs = 1 << 2 | 1 << 3 | 1 << 9,
                              .count = 3,
                              .notes = {63, 69, 74},
                              .names = {"Eb", "A", "D"}};
}

/* A lead-in of 2 s and two cues of 6 s. */
static struct show begin(const char *way, const char *every)
{
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_CUE, way, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_EVERY, every, NULL));
    request.rate_hz = RATE;
    bool wait = request.every.wait;
    struct hf_record hold = {.type = HF_RECORD_HOLD,
                             .n = 1,
                             .pcs = 0x111,
                             .count = 3,
                             .notes = {48, 52, 56},
                             .names = {"C", "E", "G#"}};
    hf_timeline_init(&timeline, &request);
    assert_ok(hf_timeline_apply(&timeline, &hold, NULL));
    for (int i = 0; i < 2; i++) {
        int64_t at = (2 + 6 * i) * RATE;
        struct hf_laid laid = hf_timeline_lay(request.cue, false, at, 6 * RATE);
        struct hf_record cue = cue_record(2 + i, at, laid.tell, laid.hear, laid.end);
        if (wait) {
            cue.hear = laid.hear > at ? HF_NEVER : cue.hear;
            cue.tell = laid.tell > at ? HF_NEVER : cue.tell;
            cue.end = HF_NEVER;
            if (i)
                cue.at = cue.tell = cue.hear = HF_NEVER;
        }
        assert_ok(hf_timeline_apply(&timeline, &cue, NULL));
    }
    return (struct show){.of = {.timeline = &timeline, .rate_hz = RATE, .held = 0x111, .total = 2}};
}

static void assert_status(const struct show *show, double seconds, const char *expected)
{
    char text[SHOW_TEXT];
    assert_string_equal(show_status(show, (int64_t)(seconds * RATE), text), expected);
}

static void the_last_line_says_what_to_do_and_for_how_long(void **state)
{
    (void)state;
    struct show show = begin("confirm", "6s");
    assert_status(&show, 0.5, "listen to the held notes    next cue in 0:02");
    assert_status(&show, 2, "find  D Eb A    sound in 0:04");
    assert_status(&show, 5.5, "find  D Eb A    sound in 0:01");
    assert_status(&show, 6.5, "play  Eb4 A4 D5    next cue in 0:02");
    assert_status(&show, 13, "play  Eb4 A4 D5    end in 0:01");
    hf_timeline_deinit(&timeline);
}

static void nothing_hidden_is_shown_before_its_time(void **state)
{
    (void)state;
    static const char *const ways[] = {"ear", "gap", "reverse"};
    static const char *const hidden[] = {"listen: which one is it?    name in 0:03",
                                         "find the third note:  A D + ?    answer in 0:03",
                                         "find the triad that completes  C E G#    answer in 0:03"};
    for (int i = 0; i < 3; i++) {
        struct show show = begin(ways[i], "6s");
        assert_status(&show, 3.5, hidden[i]);
        assert_status(&show, 6.5, "play  Eb4 A4 D5    next cue in 0:02");
        hf_timeline_deinit(&timeline);
    }
}

static void silent_says_play_and_lead_gives_pitches(void **state)
{
    (void)state;
    struct show silent = begin("silent", "6s");
    assert_status(&silent, 3, "play  D Eb A    next cue in 0:05");
    hf_timeline_deinit(&timeline);
    struct show lead = begin("lead", "6s");
    assert_status(&lead, 3, "play  Eb4 A4 D5    next cue in 0:05");
    hf_timeline_deinit(&timeline);
}

static void where_the_player_decides_it_says_what_enter_does(void **state)
{
    (void)state;
    struct show show = begin("confirm", "wait");
    assert_status(&show, 3, "find  D Eb A    Enter: hear it");
    struct hf_record reveal = {.type = HF_RECORD_REVEAL, .n = 4, .at = 4 * RATE};
    assert_ok(hf_timeline_apply(&timeline, &reveal, NULL));
    assert_status(&show, 5, "play  Eb4 A4 D5    Enter: next cue");
    struct hf_record next = {.type = HF_RECORD_NEXT, .n = 5, .at = 6 * RATE};
    assert_ok(hf_timeline_apply(&timeline, &next, NULL));
    reveal.at = 7 * RATE;
    assert_ok(hf_timeline_apply(&timeline, &reveal, NULL));
    assert_status(&show, 8, "play  Eb4 A4 D5    Enter: end");
    struct hf_record end = {.type = HF_RECORD_END, .n = 6, .at = 9 * RATE, .fade = 5 * RATE};
    struct scene scene;
    assert_ok(hf_timeline_apply(&timeline, &end, NULL));
    scene_at(&show.of, 10 * RATE, &scene);
    assert_string_equal(scene.word, "the end");
    assert_string_equal(scene.hint, ""); /* Enter does nothing more */
    assert_string_equal(scene.todo, "the end");
    hf_timeline_deinit(&timeline);
    struct show left = begin("ear", "6s"); /* in the middle of a cue */
    left.of.preview = true;
    end.at = 3 * RATE;
    end.n = 4;
    assert_ok(hf_timeline_apply(&timeline, &end, NULL));
    scene_at(&left.of, 4 * RATE, &scene);
    assert_string_equal(scene.todo, "the end");
    assert_string_equal(scene.what, "");
    assert_true(scene.in == HF_NEVER);
    hf_timeline_deinit(&timeline);
}

/* A warm-up of two cues with a rest between: what it is, and to leave the hands off. */
static void a_warm_up_says_what_a_step_is_and_when_to_rest(void **state)
{
    (void)state;
    struct hf_record hold = {
        .type = HF_RECORD_HOLD, .n = 1, .pcs = 0x111, .count = 3, .notes = {48, 52, 56}};
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_PRACTICE, "warmup", NULL));
    request.rate_hz = RATE;
    hf_timeline_init(&timeline, &request);
    assert_ok(hf_timeline_apply(&timeline, &hold, NULL));
    for (int i = 0; i < 2; i++) {
        int64_t at = (2 + 20 * i) * RATE;
        struct hf_record cue = {.type = HF_RECORD_CUE,
                                .n = 2 + i,
                                .id = 1,
                                .at = at,
                                .tell = at,
                                .hear = at + 4 * RATE,
                                .end = at + 6 * RATE,
                                .pcs = 1 << 2 | 1 << 7,
                                .count = 2,
                                .notes = {62, 67},
                                .names = {"D", "G"}};
        assert_ok(hf_timeline_apply(&timeline, &cue, NULL));
    }
    struct show show = {.of = {.timeline = &timeline,
                               .request = &request,
                               .rate_hz = RATE,
                               .held = 0x111,
                               .total = 2}};
    struct scene scene;
    assert_status(&show, 3, "find  D G   fourth    sound in 0:03");
    assert_status(&show, 8, "rest: hands off    next in 0:14"); /* derived: 22 s - 8 s */
    scene_at(&show.of, 15 * RATE, &scene);
    assert_int_equal(scene.state, SCENE_REST);
    assert_true(scene.left == 0.5 && scene.has_bar && !scene.adding);
    assert_status(&show, 22, "find  D G   fourth    sound in 0:04");
    hf_timeline_deinit(&timeline);
}

/* A chord unfolds behind its cue: the class is named, its notes are not until they sound. */
static void a_step_hides_its_notes_until_they_sound(void **state)
{
    (void)state;
    struct show show = begin("confirm", "6s");
    assert_ok(hf_request_set(&request, HF_OPT_UNFOLD, "3-11,3-5", NULL));
    show.of.request = &request;
    struct hf_record step = {.type = HF_RECORD_STEP,
                             .n = 4,
                             .cue = 3,
                             .step = 1,
                             .steps = 2,
                             .which = 2,
                             .of = 2,
                             .at = 14 * RATE,
                             .tell = 14 * RATE,
                             .hear = 18 * RATE,
                             .end = 20 * RATE,
                             .pcs = 1 << 9 | 1 << 0 | 1 << 4,
                             .count = 3,
                             .notes = {60, 64, 69},
                             .names = {"C", "E", "A"}};
    assert_ok(hf_timeline_apply(&timeline, &step, NULL));
    assert_status(&show, 13, "play  Eb4 A4 D5    next class in 0:01");
    assert_status(&show, 15,
                  "find  037 (3-11, major or minor triad) in the chord    sound in 0:03");
    assert_status(&show, 19, "play  C4 E4 A4   037, place 2 of 2    next class in 0:01");
    struct scene scene;
    scene_at(&show.of, 15 * RATE, &scene);
    assert_null(scene.adding);
    assert_string_equal(scene.large, "037"); /* what is to be found is read from two metres */
    assert_int_equal(scene.cue, 2);          /* a step counts with its cue */
    step.n = 5;
    step.step = 2;
    step.at = step.tell = 20 * RATE;
    step.hear = 24 * RATE;
    step.end = 26 * RATE;
    assert_ok(hf_timeline_apply(&timeline, &step, NULL));
    assert_status(&show, 25, "play  C4 E4 A4   037, place 2 of 2    end in 0:01");
    hf_timeline_deinit(&timeline);
}

/* A break is told as one, with its length so far where the clock on the wall is known. */
static void a_break_says_that_any_key_goes_on(void **state)
{
    (void)state;
    struct show show = begin("confirm", "6s");
    struct hf_record pause = {.type = HF_RECORD_PAUSE, .n = 4, .at = 3 * RATE};
    struct hf_record taken = {.type = HF_RECORD_BREAK, .n = 5, .at = 3 * RATE, .sounded = 3 * RATE};
    struct scene scene;
    assert_ok(hf_timeline_apply(&timeline, &pause, NULL));
    assert_status(&show, 3.1, "paused: p resumes");
    assert_ok(hf_timeline_apply(&timeline, &taken, NULL));
    show.of.break_s = 65;
    scene_at(&show.of, 3 * RATE, &scene);
    assert_int_equal(scene.state, SCENE_REST);
    assert_false(scene.has_bar);
    assert_string_equal(scene.word, "break");
    assert_string_equal(scene.hint, "any key: go on");
    assert_status(&show, 3.1, "break of 1:05 by now: rest ears and hands    any key: go on");
    hf_timeline_deinit(&timeline);
}

/* --preview names the next cue, but never one that is to be guessed. */
static void a_preview_names_only_what_is_not_asked(void **state)
{
    (void)state;
    static const char *const ways[] = {"lead", "confirm", "silent", "ear", "gap", "reverse"};
    for (int i = 0; i < 6; i++) {
        struct scene scene;
        struct show show = begin(ways[i], "6s");
        show.of.preview = true;
        scene_at(&show.of, 3 * RATE, &scene);
        assert_string_equal(scene.next, i < 3 ? "D Eb A" : "");
        show.of.preview = false;
        scene_at(&show.of, 3 * RATE, &scene);
        assert_string_equal(scene.next, "");
        hf_timeline_deinit(&timeline);
    }
}

static void a_stay_keeps_the_notes_in_view(void **state)
{
    (void)state;
    struct show show = begin("confirm", "6s");
    struct hf_record stay = {.type = HF_RECORD_STAY, .n = 4, .at = 3 * RATE};
    assert_ok(hf_timeline_apply(&timeline, &stay, NULL));
    /* far past the cue's end: the cues wait */
    assert_status(&show, 60, "staying on  find  D Eb A    Space: go on");
    for (int s = 3; s < 60; s += 3) { /* the bar stands; derived: 5 of 6 s are left */
        struct scene scene;
        scene_at(&show.of, s * RATE, &scene);
        assert_true(scene.has_bar && scene.left > 0.833 && scene.left < 0.834);
    }
    hf_timeline_deinit(&timeline);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_last_line_says_what_to_do_and_for_how_long),
        cmocka_unit_test(nothing_hidden_is_shown_before_its_time),
        cmocka_unit_test(silent_says_play_and_lead_gives_pitches),
        cmocka_unit_test(where_the_player_decides_it_says_what_enter_does),
        cmocka_unit_test(a_warm_up_says_what_a_step_is_and_when_to_rest),
        cmocka_unit_test(a_step_hides_its_notes_until_they_sound),
        cmocka_unit_test(a_break_says_that_any_key_goes_on),
        cmocka_unit_test(a_preview_names_only_what_is_not_asked),
        cmocka_unit_test(a_stay_keeps_the_notes_in_view),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
