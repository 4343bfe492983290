/* SPDX-License-Identifier: MIT */
/* What a player of ear and sight reads. The words are the project's own; what is checked is that
 * they fit the moment and give nothing away before its time. */
#include "player.h"

#include "../src/cli/quiz.h"

enum { RATE = 8000 };

static struct scene_source source;

static void begin_over(const char *held, const char *level, bool near_miss)
{
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_PRACTICE, "ear", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_HELD, held, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_RATE, "8000", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_LEAD_IN, "1s", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_EVERY, "3s", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_LEVEL, level, NULL));
    if (near_miss)
        assert_ok(hf_request_set(&request, HF_OPT_NEAR_MISS, "yes", NULL));
    begin_session();
    source = (struct scene_source){.timeline = &conductor.timeline,
                                   .request = &request,
                                   .rate_hz = RATE,
                                   .held = request.held.set,
                                   .total = schedule.total};
}

static void begin(const char *level, bool near_miss)
{
    begin_over("C E G#", level, near_miss);
}

static void choose(int choice)
{
    enum hf_key key = choice ? (enum hf_key)(HF_KEY_CHOICE_1 + choice - 1) : HF_KEY_CHOICE_NONE;
    assert_ok(press(key));
    run_to(v.transport.now + HF_GRID);
}

static void before_it_is_told_only_the_answers_are_in_view(void **state)
{
    (void)state;
    for (int level = 1; level <= 6; level++) {
        char text[QUIZ_TEXT], digit[2] = {(char)('0' + level), 0};
        struct scene scene;
        begin(digit, true);
        run_to(RATE + 8000);
        scene_at(&source, v.transport.now, &scene);
        assert_int_equal(scene.count, level == 1 ? 3 : level == 2 ? 4 : 7);
        for (int i = 0; i < scene.count; i++) {
            assert_int_equal(scene.items[i].mark, SCENE_PLAIN);
            assert_int_equal(scene.items[i].key, i + 1 < scene.count ? '1' + i : '0');
        }
        assert_null(scene.adding);
        assert_string_equal(scene.large, "? ? ?");
        quiz_begins(&source, 0, text);
        assert_non_null(strstr(text, level == 1   ? "which kind"
                                     : level == 2 ? "one of: 1 "
                                                  : "1 C# D G"));
        finish();
    }
}

static void the_answers_of_c_e_g_sharp_are_its_six(void **state)
{
    (void)state;
    char text[QUIZ_TEXT];
    begin("3", false);
    /* published: 127 167 239 39T 56E 5TE, the six completions of 048 */
    assert_non_null(strstr(quiz_begins(&source, 0, text),
                           "1 C# D G   2 C# F# G   3 D Eb A   4 Eb A Bb   5 F F# B   6 F Bb B"));
    assert_null(strstr(text, "none"));
    finish();
    begin("1", false);
    assert_non_null(strstr(quiz_begins(&source, 0, text), "1 C# D G or Eb A Bb or F F# B\n"));
    finish();
}

/* The longest line; what is said goes to terminals of 80 columns. */
static size_t widest(const char *text)
{
    size_t most = 0;
    for (const char *at = text; *at; at += strcspn(at, "\n"), at += *at == '\n')
        most = strcspn(at, "\n") > most ? strcspn(at, "\n") : most;
    return most;
}

static void what_is_asked_fits_a_terminal(void **state)
{
    (void)state;
    static const char *const levels[] = {"1", "2", "3", "4", "5", "6"};
    char text[QUIZ_TEXT];
    for (int near_miss = 0; near_miss < 2; near_miss++)
        for (int i = 0; i < 6; i++) {
            begin(levels[i], near_miss);
            assert_in_range(widest(quiz_begins(&source, 0, text)), 20, 80);
            assert_int_equal(strstr(text, "0 none of them") != NULL, near_miss);
            finish();
        }
}

/* derived: a single note leaves 18 of the 24 016s free (24 x 9/12), and there are nine number keys.
 */
static void those_without_a_number_are_told_of(void **state)
{
    (void)state;
    char text[QUIZ_TEXT];
    struct scene scene;
    begin_over("C", "3", false);
    quiz_begins(&source, 0, text);
    assert_non_null(strstr(text, "which of the 18 is it?"));
    assert_non_null(strstr(text, "\n        or another: r tells which"));
    assert_in_range(widest(text), 20, 80);
    run_to(RATE + 8000);
    scene_at(&source, v.transport.now, &scene);
    assert_non_null(strstr(scene.under, "which of the 18 is it?"));
    assert_non_null(strstr(scene.todo, "or another: r"));
    finish();
    begin("3", false);
    assert_null(strstr(quiz_begins(&source, 0, text), "or another"));
    finish();
}

static void the_level_is_told_where_it_begins(void **state)
{
    (void)state;
    char text[QUIZ_TEXT];
    begin("3", false);
    run_to(RATE + 3 * 24000);
    assert_int_equal(strncmp(quiz_begins(&source, 0, text), "        Level 3: ", 17), 0);
    assert_string_equal(quiz_begins(&source, 1, text), "");
    conductor.timeline.cues[2].level = 4;
    assert_int_equal(strncmp(quiz_begins(&source, 2, text), "        Level 4: ", 17), 0);
    finish();
}

static void after_an_answer_it_says_what_it_was_and_what_was_said(void **state)
{
    (void)state;
    char text[QUIZ_TEXT];
    struct scene scene;
    for (int wrong = 0; wrong < 2; wrong++) {
        begin("3", false);
        run_to(RATE + 8000);
        int id = conductor.timeline.cues[0].record.id;
        int said = wrong ? id % 6 + 1 : id;
        choose(said);
        quiz_told(&source, 0, text);
        char expected[32];
        snprintf(expected, sizeof expected, "you said: %d", said);
        assert_non_null(strstr(text, expected));
        assert_non_null(strstr(text, wrong ? ", missed" : ", right"));
        scene_at(&source, v.transport.now, &scene);
        for (int i = 0; i < 6; i++)
            assert_int_equal(scene.items[i].mark, i + 1 == id     ? SCENE_RIGHT
                                                  : i + 1 == said ? SCENE_WRONG
                                                                  : SCENE_PLAIN);
        finish();
    }
}

static void a_near_miss_is_said_to_be_none_of_them(void **state)
{
    (void)state;
    char text[QUIZ_TEXT];
    struct scene scene;
    begin("3", true);
    size_t i = 0;
    while (conductor.timeline.cues[i].record.id != 0) {
        i++;
        run_to(RATE + (int64_t)i * 24000 + 8000);
    }
    run_to(conductor.timeline.cues[i].at + 8000);
    choose(0);
    quiz_told(&source, i, text);
    assert_non_null(strstr(text, "none of them   you said: none of them, right"));
    scene_at(&source, v.transport.now, &scene);
    assert_int_equal(scene.items[6].mark, SCENE_RIGHT);
    finish();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(before_it_is_told_only_the_answers_are_in_view),
        cmocka_unit_test(the_answers_of_c_e_g_sharp_are_its_six),
        cmocka_unit_test(what_is_asked_fits_a_terminal),
        cmocka_unit_test(those_without_a_number_are_told_of),
        cmocka_unit_test(the_level_is_told_where_it_begins),
        cmocka_unit_test(after_an_answer_it_says_what_it_was_and_what_was_said),
        cmocka_unit_test(a_near_miss_is_said_to_be_none_of_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
