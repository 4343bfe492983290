/* SPDX-License-Identifier: MIT */
/*
 * What is typed in hunt and what is said in return. Expectations are derived by hand from the
 * rules in chooser.h; which notes are a completion is for test_hunt to say.
 */
#include "player.h"

#include <stdio.h>

#include "../src/cli/chooser.h"
#include "../src/cli/scene.h"

enum { RATE = 8000 };

static struct chooser chooser;
static char reply[CHOOSER_TEXT];

static void begin(const char *practice, const char *held, bool tell)
{
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_PRACTICE, practice, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_HELD, held, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_RATE, "8000", NULL));
    begin_session();
    chooser = (struct chooser){.request = &request, .conductor = &conductor, .tell = tell};
}

static void begin_named(const char *names, const char *held)
{
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_PRACTICE, "hunt", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_HELD, held, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_NAMES, names, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_RATE, "8000", NULL));
    begin_session();
    chooser = (struct chooser){.request = &request, .conductor = &conductor};
}

static void pass_time(void)
{
    struct hf_report late[HF_TRANSPORT_REPORTS];
    for (int i = 0; i < 4; i++) {
        int count = 0;
        virtual_tend(&v);
        virtual_chunk(&v, late, &count);
        virtual_reports(&v, late, &count);
    }
}

/* Types bytes, and gives what the last of them brought. */
static enum chooser_press type(const char *bytes)
{
    enum chooser_press press = CHOOSER_LEFT;
    for (; *bytes; bytes++)
        press = chooser_feed(&chooser, (unsigned char)*bytes, v.transport.now, reply);
    pass_time();
    return press;
}

static void assert_reply(const char *bytes, const char *expected)
{
    assert_int_equal(type(bytes), CHOOSER_SAYS);
    assert_string_equal(reply, expected);
    assert_int_equal(chooser.length, 0);
}

static void names_in_small_letters_become_capitals_and_numbers_stay(void **state)
{
    (void)state;
    static const char *const rows[][2] = {
        {"c# d g", "C# D G"},
        {"bb b ab", "Bb B Ab"},
        {"C#,d,g", "C#,D,G"},
        {"e f bb", "E F Bb"},
        {"e4 g4 bb4", "E4 G4 Bb4"},
        {"1 2 7", "1 2 7"},
        {"127", "127"},
        {"t e 9", "t e 9"},
        {"9te", "9te"},
        {"e12", "e12"},
        {"10 11 5", "10 11 5"},
        {"e 10 5", "e 10 5"},
        {"(127)", "(127)"},
        {"[1,2,7]", "[1,2,7]"},
        {"x-x-5-6-8-x", "x-x-5-6-8-x"},
        {"e", "E"},
        {"", ""},
        {"d\xe2\x99\xaf g c", "D\xe2\x99\xaf G C"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char out[CHOOSER_LINE];
        chooser_tidy(rows[i][0], false, out);
        assert_string_equal(out, rows[i][1]);
    }
}

static void every_notation_finds_the_same(void **state)
{
    (void)state;
    /* {1,2,7}; as frets on the guitar: D4 = 7 on the G string, C#5 9 and G4 8... in any octave */
    static const char *const rows[] = {
        "C# D G\r", "c# d g\r", "g,d,c#\r",    "Db D G\r",  "1 2 7\r",       "127\r",
        "(127)\r",  "7 2 1\n",  "C#4 D5 G2\r", "[1,2,7]\r", "x-x-x-7-8-9\r", "d\xe2\x99\xad d g\r"};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        begin("hunt", "C E G#", false);
        assert_reply(rows[i], "C# D G: yes, 1 of 6");
        finish();
    }
}

/* derived: H is B natural, B is B flat, -is raises, -es lowers (A and E: -s) */
static void german_names_are_typed_as_they_are_shown(void **state)
{
    (void)state;
    static const struct {
        const char *held, *typed, *says;
    } rows[] = {
        {"C E G#", "cis d g\r", "Cis D G: yes, 1 of 6"},
        {"C E G#", "d es a\r", "D Es A: yes, 1 of 6"},
        {"C E G#", "F B H\r", "F B H: yes, 1 of 6"},
        {"C E G#", "f b h\r", "F B H: yes, 1 of 6"},
        {"C E G#", "Hfb\x7f\x7f f b\r", "F B H: yes, 1 of 6"}, /* a line that begins with it */
        {"C E G#", "es4 a4 b4\r", "Es A B: yes, 1 of 6"},
        {"C E G#", "f# f h\r", "F Fis H: yes, 1 of 6"},
        {"C E G#", "1 2 7\r", "Cis D G: yes, 1 of 6"},
        {"C E G#", "c d h\r", "C D H: C is held already"},
        {"Db F A", "eses g as\r", "D G As: yes, 1 of 6"},
        {"C E G#", "bb d g\r", "\"Bb\" (word 1, column 1) is no German note"},
        {"C E G#", "hs d g\r", NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        begin_named("german", rows[i].held);
        if (rows[i].says)
            assert_reply(rows[i].typed, rows[i].says);
        else /* with nothing typed h is the hint */
            assert_int_equal(type("h"), CHOOSER_SAYS);
        finish();
    }
    begin("hunt", "C E G#", false);
    assert_int_equal(type("H"), CHOOSER_LEFT);
    assert_reply("f b d\r", "D F B: no 016");
    finish();
}

static void answers_are_told_in_a_few_words(void **state)
{
    (void)state;
    begin("hunt", "C E G#", false);
    assert_reply("d eb f\r", "D Eb F: no 016");
    assert_reply("c d g\r", "C D G: C is held already");
    assert_reply("c e g\r", "C E G: C and E are held already");
    assert_reply("c e g#\r", "C E G#: C, E and G# are held already");
    assert_reply("c# d g\r", "C# D G: yes, 1 of 6");
    assert_reply("g d c#\r", "C# D G: found already, number 1 of 6");
    assert_reply("c# d\r", "name 3 different notes: these are 2");
    assert_reply("d d g\r", "name 3 different notes: these are 2");
    assert_reply("d eb a\r", "D Eb A: yes, 2 of 6");
    assert_int_equal(type("d h"), CHOOSER_SAYS);
    assert_string_equal(reply,
                        "while notes are typed: Enter gives the answer, Backspace takes back");
    assert_string_equal(chooser.line, "d ");
    finish();
    begin("hunt", "C E G#", true);
    assert_reply("d eb f\r", "D Eb F: no 016, it is 013 (3-2)");
    finish();
}

static void the_last_one_found_is_told_as_such(void **state)
{
    (void)state;
    begin("hunt", "C E G#", false);
    static const char *const lines[] = {"127\r", "167\r", "239\r", "39t\r", "56e\r"};
    for (int i = 0; i < 5; i++)
        assert_int_equal(type(lines[i]), CHOOSER_SAYS);
    assert_reply("5te\r",
                 "F Bb B: yes, 6 of 6\n        All are found. The sound goes on: type one to "
                 "hear it anew, q leaves");
    assert_reply("h", "all are found");
    assert_reply("127\r", "C# D G: found already, number 1 of 6");
    finish();
}

static void an_answer_that_comes_too_soon_stays_on_the_line(void **state)
{
    (void)state;
    begin("hunt", "C E G#", false);
    for (const char *byte = "127\r"; *byte; byte++)
        chooser_feed(&chooser, (unsigned char)*byte, 0, reply);
    for (const char *byte = "239"; *byte; byte++)
        chooser_feed(&chooser, (unsigned char)*byte, 0, reply);
    assert_int_equal(chooser_feed(&chooser, '\r', 0, reply), CHOOSER_TAKEN); /* the first waits */
    assert_string_equal(chooser.line, "239");
    pass_time();
    assert_reply("\r", "D Eb A: yes, 2 of 6");
    finish();
}

static void a_line_can_be_taken_back_and_is_never_too_long(void **state)
{
    (void)state;
    begin("hunt", "C E G#", false);
    type("c# d\xe2\x99\xaf");
    assert_string_equal(chooser.line, "c# d\xe2\x99\xaf");
    type("\x7f");
    assert_string_equal(chooser.line, "c# d"); /* the whole sign */
    type("\x08\x08");
    assert_string_equal(chooser.line, "c#");
    type("\x15");
    assert_string_equal(chooser.line, "");
    assert_int_equal(type("\x7f"), CHOOSER_LEFT);
    for (int i = 0; i < 300; i++)
        type("7");
    assert_int_equal(strlen(chooser.line), CHOOSER_LINE - 1);
    assert_int_equal(type("\r"), CHOOSER_SAYS); /* refused, in words */
    assert_int_equal(chooser.length, 0);
    finish();
}

/* With nothing typed, a key is a key unless notes begin with it. */
static void keys_work_when_nothing_is_typed(void **state)
{
    (void)state;
    static const char keys[] = " pqrm?+ns\r\n\t";
    begin("hunt", "C E G#", false);
    for (const char *key = keys; *key; key++)
        assert_int_equal(chooser_feed(&chooser, (unsigned char)*key, 0, reply), CHOOSER_LEFT);
    assert_int_equal(chooser_feed(&chooser, 0x1b, 0, reply), CHOOSER_LEFT);
    for (const char *key = "abcdefgABCDEFGtTxX0123456789(["; *key; key++) {
        assert_int_equal(chooser_feed(&chooser, (unsigned char)*key, 0, reply), CHOOSER_TAKEN);
        chooser.length = 0;
        chooser.line[0] = 0;
    }
    finish();
    begin("roam", "C E G#", false);
    for (int byte = 0; byte < 256; byte++)
        if (byte != 's')
            assert_int_equal(chooser_feed(&chooser, (unsigned char)byte, 0, reply), CHOOSER_LEFT);
    assert_reply("s", "choose one first: its number, or Page Down");
    assert_ok(hf_conductor_key(&conductor, HF_KEY_CHOICE_3, 0, NULL));
    pass_time();
    assert_reply("s", "A line: D Eb A one after another, up and down.");
    assert_reply("s", "A chord: D Eb A together, and let it ring.");
    finish();
    begin("improvise", "C E G#", false);
    for (int byte = 0; byte < 256; byte++)
        assert_int_equal(chooser_feed(&chooser, (unsigned char)byte, 0, reply), CHOOSER_LEFT);
    finish();
}

static struct scene scene_now(const char *length)
{
    struct scene scene;
    begin("roam", "C E G#", false);
    if (length)
        assert_ok(hf_request_set(&request, HF_OPT_FOR, length, NULL));
    assert_ok(hf_conductor_key(&conductor, HF_KEY_CHOICE_3, 0, NULL));
    pass_time();
    struct scene_source source = {
        .timeline = &conductor.timeline, .request = &request, .rate_hz = RATE, .held = 0x111};
    scene_at(&source, 6 * RATE, &scene);
    finish();
    return scene;
}

static void nothing_is_to_come_but_an_end_that_was_asked_for(void **state)
{
    (void)state;
    struct scene scene = scene_now(NULL);
    assert_false(scene.has_bar);
    assert_true(scene.in == HF_NEVER);
    assert_string_equal(scene.word, "play");
    assert_string_equal(scene.todo,
                        "1 C# D G  2 C# F# G  [3 D Eb A]  4 Eb A Bb  5 F F# B  6 F Bb B");
    assert_int_equal(scene.count, 6);
    assert_int_equal(scene.items[2].mark, SCENE_NOW);
    assert_int_equal(scene.items[2].key, '3');
    scene = scene_now("8s");
    assert_true(scene.has_bar);
    assert_true(scene.left > 0.249 && scene.left < 0.251); /* derived: two of eight seconds */
    assert_int_equal(scene.in, 2 * RATE);
    assert_string_equal(scene.what, "end in");
}

/* The names of notes in a line, as a set. */
static hf_pcset named_in(const char *line)
{
    hf_pcset set = 0;
    for (const char *at = line; *at;) {
        size_t length = strcspn(at, " ,:;.()[]_\n");
        struct hf_notes notes;
        char word[8] = "";
        if (length > 0 && length < 4 && *at >= 'A' && *at <= 'G') {
            snprintf(word, sizeof word, "%.*s", (int)length, at);
            if (hf_notes_parse(word, NULL, &notes, NULL) == HF_OK)
                set |= notes.set;
        }
        at += length + (at[length] != 0);
    }
    return set;
}

static void assert_no_leak(const char *line, hf_pcset given)
{
    const struct hf_hunt *hunt = &conductor.timeline.hunt;
    hf_pcset named = named_in(line);
    for (int i = 0; i < hunt->count; i++) {
        hf_pcset pcs = hunt->completions[i].pcs;
        if (!(hunt->found >> i & 1) && pcs != given && (named & pcs) == pcs)
            fail_msg("%s", line);
    }
}

/* Ten minutes of bytes, any that a keyboard has: neither what is said in return nor the scene holds
 * the names of one that is not found, but for the last of the hints, which is asked for five
 * times. */
static void nothing_that_is_said_gives_one_away(void **state)
{
    (void)state;
    static const char *const triads[] = {"C E G#", "Db F A", "D F# A#", "Eb G B"};
    static const char bytes[] = "abcdefgABCDEFG#b 0123456789te\r\r\r\rh ,-x\x7f\x15?";
    struct hf_random random;
    int hints = 0, answers = 0;
    for (int triad = 0; triad < 4; triad++) {
        begin("hunt", triads[triad], triad % 2 == 1);
        hf_random_init(&random, 9, (uint64_t)triad);
        hf_pcset names[HF_SUBSETS_MOST];
        int count = hf_pcset_subsets((hf_pcset)(0xfff & ~conductor.timeline.hunt.held), 3, names);
        struct scene_source source = {.timeline = &conductor.timeline,
                                      .request = &request,
                                      .rate_hz = RATE,
                                      .held = request.held.set,
                                      .typed = chooser.line};
        for (int i = 0; i < 4000; i++) {
            struct scene scene;
            char line[CHOOSER_LINE + 8];
            hf_pcset given = 0;
            if (hf_random_below(&random, 10) == 0) { /* three notes, whole */
                given = names[hf_random_below(&random, (uint32_t)count)];
                int list[HF_PCS];
                hf_pcset_list(given, list);
                snprintf(line, sizeof line, "\x15%d %d %d\r", list[0], list[1], list[2]);
            } else {
                snprintf(line, sizeof line, "%c",
                         bytes[hf_random_below(&random, sizeof bytes - 1)]);
            }
            bool last = conductor.timeline.hunt.step >= 4 && line[0] == 'h' && chooser.length == 0;
            if (last)
                continue;
            bool said = type(line) == CHOOSER_SAYS;
            answers += said && given;
            hints += said && strncmp(reply, "hint", 4) == 0;
            assert_no_leak(reply, given);
            scene_at(&source, v.transport.now, &scene);
            if (chooser.line[0] && !hf_hunt_done(&conductor.timeline.hunt)) {
                assert_string_equal(scene.word, "find"); /* it is another that is looked for */
                assert_string_equal(scene.large, "?");
            }
            char typed[CHOOSER_LINE];
            snprintf(typed, sizeof typed, "%s", chooser.line);
            chooser.line[0] = 0; /* what the player types is no leak */
            scene_at(&source, v.transport.now, &scene);
            snprintf(chooser.line, sizeof chooser.line, "%s", typed);
            assert_no_leak(scene.large, 0);
            if (scene.large[0] != '?') /* "find D Eb A" would ask for what is found */
                assert_string_not_equal(scene.word, "find");
            assert_no_leak(scene.todo, 0);
            assert_no_leak(scene.under, 0);
            assert_no_leak(scene.hint, 0);
            for (int item = 0; item < scene.count; item++)
                assert_no_leak(scene.items[item].names, 0);
            assert_int_equal(scene.count, 6);
        }
        finish();
    }
    assert_true(hints > 20 && answers > 500);
    for (int triad = 0; triad < 4; triad++) {
        begin("hunt", triads[triad], false);
        assert_no_leak(chooser_help(&request), 0);
        finish();
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_in_small_letters_become_capitals_and_numbers_stay),
        cmocka_unit_test(every_notation_finds_the_same),
        cmocka_unit_test(german_names_are_typed_as_they_are_shown),
        cmocka_unit_test(answers_are_told_in_a_few_words),
        cmocka_unit_test(the_last_one_found_is_told_as_such),
        cmocka_unit_test(an_answer_that_comes_too_soon_stays_on_the_line),
        cmocka_unit_test(a_line_can_be_taken_back_and_is_never_too_long),
        cmocka_unit_test(keys_work_when_nothing_is_typed),
        cmocka_unit_test(nothing_is_to_come_but_an_end_that_was_asked_for),
        cmocka_unit_test(nothing_that_is_said_gives_one_away),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
