/* SPDX-License-Identifier: MIT */
/* The practice sight on a virtual clock: what is in view before and after the answer, what a
 * player's keys come to, and ten minutes of it. Rate 8000. */
#include <string.h>

#include <holdfast/instrumentfile.h>

#include "player.h"

#include "../src/cli/quiz.h"

enum { RATE = 8000 };

static struct scene_source source;
static const char *view; /* of the next to begin; NULL: as it comes */

static void begin(const char *every, const char *rounds, uint64_t seed)
{
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_PRACTICE, "sight", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_RATE, "8000", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_EVERY, every, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_ROUNDS, rounds, NULL));
    if (view) {
        struct hf_fretboard board;
        const char *text = hf_instrumentfile_find_builtin("guitar");
        assert_ok(hf_instrumentfile_parse(text, strlen(text), "guitar", "guitar", &board, NULL));
        assert_ok(hf_request_set(&request, HF_OPT_VIEW, view, NULL));
        hf_request_take_board(&request, &board);
    }
    request.seed = seed;
    begin_session();
    source = (struct scene_source){.timeline = &conductor.timeline,
                                   .request = &request,
                                   .rate_hz = RATE,
                                   .held = request.held.set,
                                   .total = schedule.total};
}

static enum hf_status choose(enum hf_key key)
{
    enum hf_status status = press(key);
    source.picked = conductor.picks_of == conductor.running ? conductor.picked : 0;
    return status;
}

static const struct hf_timeline_cue *reach(uint32_t number)
{
    while (conductor.running < number + 1 && !hf_transport_done(&v.transport))
        run_to(v.transport.now + HF_GRID);
    run_to(conductor.timeline.cues[number].at + 4000);
    return &conductor.timeline.cues[number];
}

/* The places of a cue's own notes in the chord, as keys. */
static void press_halves(uint32_t number, hf_pcset half)
{
    struct hf_voicing chord;
    hf_timeline_chord(&conductor.timeline, number, &chord);
    for (int i = 0; i < chord.count; i++)
        if (half & 1u << chord.notes[i] % 12)
            assert_ok(choose((enum hf_key)(HF_KEY_CHOICE_1 + i)));
}

static void before_the_answer_nothing_parts_the_chord(void **state)
{
    (void)state;
    for (uint64_t seed = 0; seed < 20; seed++) {
        struct scene scene;
        begin("9s", "1", seed);
        reach(0);
        scene_at(&source, v.transport.now, &scene);
        assert_null(scene.holding);
        assert_null(scene.adding);
        assert_string_equal(scene.held, "");
        assert_string_equal(scene.word, "look");
        assert_int_equal(scene.count, 6);
        for (int i = 0; i < 6; i++)
            assert_int_equal(scene.items[i].mark, SCENE_PLAIN);
        run_to(conductor.timeline.cues[0].tell + HF_GRID);
        scene_at(&source, v.transport.now, &scene);
        assert_non_null(
            strstr(scene.todo, conductor.timeline.cues[0].record.id ? "6-Z17: " : "no 6-Z17 but "));
        finish();
    }
}

/* In frames the grip is in view from the beginning, as one shape; told, its halves are told apart.
 */
static void a_grip_is_in_view_before_the_answer(void **state)
{
    (void)state;
    struct scene scene;
    view = "frame";
    begin("9s", "1", 3);
    view = NULL;
    const struct hf_timeline_cue *cue = reach(0);
    const struct hf_record *held = hf_timeline_held(&conductor.timeline, 0);
    scene_at(&source, v.transport.now, &scene);
    assert_null(scene.holding);
    assert_null(scene.adding);
    assert_int_equal(scene.strings, 6);
    for (int i = 0; i < scene.count; i++)
        assert_string_equal(scene.items[i].names, ""); /* to read the frets is what is asked */
    for (int i = 0; i < 6; i++)
        assert_int_equal(scene.frets[i],
                         held->frets[i] != HF_SILENT ? held->frets[i] : cue->record.frets[i]);
    run_to(cue->tell + HF_GRID);
    scene_at(&source, v.transport.now, &scene);
    assert_int_equal(scene.strings, 0);
    assert_non_null(scene.holding);
    assert_non_null(scene.adding);
    finish();
}

static void three_numbers_are_an_answer(void **state)
{
    (void)state;
    begin("9s", "2", 2);
    int seen = 0;
    for (uint32_t i = 0; i < 12; i++) {
        const struct hf_timeline_cue *cue = reach(i);
        hf_pcset half = cue->record.pcs;
        bool real = cue->record.id > 0;
        size_t length = v.length;
        assert_int_equal(choose(HF_KEY_CHOICE_YES), HF_E_USAGE);
        assert_int_equal(v.length, length);
        press_halves(i, half);
        cue = &conductor.timeline.cues[i];
        assert_true(cue->answered && cue->marked);
        assert_int_equal(cue->answer, 1);
        assert_int_equal(cue->picked, half);
        assert_int_equal(cue->right, real); /* a foil has no right three */
        assert_int_equal(cue->mark, real ? HF_MARK_GOT : HF_MARK_MISSED);
        run_to(v.transport.now + HF_GRID);
        assert_true(hf_timeline_shown(&conductor.timeline, cue->tell, v.transport.now));
        length = v.length; /* once more does nothing */
        assert_int_equal(choose(HF_KEY_CHOICE_1), HF_E_USAGE);
        assert_int_equal(choose(HF_KEY_CHOICE_NONE), HF_E_USAGE);
        assert_int_equal(v.length, length);
        seen |= real ? 1 : 2;
    }
    assert_int_equal(seen, 3);
    run_to(INT64_MAX);
    finish();
}

static void a_number_pressed_twice_is_taken_back(void **state)
{
    (void)state;
    char text[QUIZ_TEXT];
    begin("9s", "1", 5);
    run_to(1600);
    assert_int_equal(choose(HF_KEY_CHOICE_1), HF_E_USAGE);
    assert_string_equal(refusal.message, "no chord is in view yet");
    reach(0);
    size_t length = v.length;
    assert_ok(choose(HF_KEY_CHOICE_1));
    assert_ok(choose(HF_KEY_CHOICE_3));
    assert_non_null(strstr(quiz_picks(&source, 0, text), "picked 1 "));
    assert_non_null(strstr(text, ", 3 "));
    assert_ok(choose(HF_KEY_CHOICE_1));
    assert_ok(choose(HF_KEY_CHOICE_3));
    assert_string_equal(quiz_picks(&source, 0, text), "");
    assert_int_equal(choose(HF_KEY_CHOICE_7), HF_E_USAGE);
    assert_int_equal(v.length, length); /* what is no answer leaves no trace */
    assert_ok(choose(HF_KEY_CHOICE_1));
    reach(1); /* and what was picked of one chord is nothing to the next */
    assert_ok(choose(HF_KEY_CHOICE_2));
    assert_ok(choose(HF_KEY_CHOICE_4));
    assert_false(conductor.timeline.cues[1].answered);
    assert_ok(choose(HF_KEY_CHOICE_5));
    assert_true(conductor.timeline.cues[1].answered);
    finish();
}

static void ten_minutes_of_a_player_who_knows(void **state)
{
    (void)state;
    begin("25s", "5", 7); /* thirty chords, 12:30 */
    for (uint32_t i = 0; i < 30; i++) {
        const struct hf_timeline_cue *cue = reach(i);
        if (cue->record.id == 0)
            assert_ok(choose(HF_KEY_CHOICE_NONE));
        else
            press_halves(i, cue->record.pcs);
        assert_true(conductor.timeline.cues[i].right);
    }
    run_to(INT64_MAX);
    assert_true(conductor.timeline.end_at > 10 * 60 * (int64_t)RATE);
    assert_int_equal(conductor.timeline.count, 30);
    /* each sounds by its halves: three, three and six notes */
    int sounds = 0;
    for (int i = 0; i < v.rows; i++) {
        sounds += v.trace[i].kind == HF_ACTION_SOUND;
        if (v.trace[i].kind == HF_ACTION_SOUND)
            assert_int_equal(v.trace[i].count, 12);
    }
    assert_int_equal(sounds, 30);
    finish();
}

static void what_does_not_go_with_sight_is_refused(void **state)
{
    (void)state;
    static const struct {
        enum hf_option key;
        const char *text;
    } bad[] = {{HF_OPT_HELD, "C E G#"},    {HF_OPT_CUE, "ear"},         {HF_OPT_ORDER, "ring"},
               {HF_OPT_REGISTER, "below"}, {HF_OPT_DRONE, "struck"},    {HF_OPT_ADDED, "015"},
               {HF_OPT_HAND, "guitar"},    {HF_OPT_VOICING, "open"},    {HF_OPT_LEVEL, "3"},
               {HF_OPT_SPREAD, "wide"},    {HF_OPT_FROM, "0 1 2 4 7 8"}};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        hf_request_init(&request);
        assert_ok(hf_request_set(&request, HF_OPT_PRACTICE, "sight", NULL));
        assert_ok(hf_request_set(&request, bad[i].key, bad[i].text, NULL));
        assert_int_equal(hf_request_resolve(&request, &refusal), HF_E_USAGE);
    }
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_VIEW, "letters", NULL));
    assert_int_equal(hf_request_resolve(&request, &refusal), HF_E_USAGE); /* of improvise */
    assert_int_equal(hf_request_set(&request, HF_OPT_VIEW, "staff", &refusal), HF_E_USAGE);
}

static void a_request_of_sight_reads_back_the_same(void **state)
{
    (void)state;
    struct hf_request again;
    begin("9s", "1", 3);
    hf_request_init(&again);
    for (int key = 0; key < HF_OPTIONS; key++)
        if (request.text[key][0])
            assert_ok(hf_request_set(&again, (enum hf_option)key, request.text[key], &refusal));
    if (hf_request_resolve(&again, &refusal) != HF_OK)
        fail_msg("%s", refusal.message);
    assert_int_equal(again.cue, HF_CUE_CHORD);
    assert_int_equal(again.drone, HF_DRONE_OFF);
    finish();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(before_the_answer_nothing_parts_the_chord),
        cmocka_unit_test(a_grip_is_in_view_before_the_answer),
        cmocka_unit_test(three_numbers_are_an_answer),
        cmocka_unit_test(a_number_pressed_twice_is_taken_back),
        cmocka_unit_test(ten_minutes_of_a_player_who_knows),
        cmocka_unit_test(what_does_not_go_with_sight_is_refused),
        cmocka_unit_test(a_request_of_sight_reads_back_the_same),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
