/* SPDX-License-Identifier: MIT */
/* One rule for names: what --names says holds wherever a session writes a note: before it, while it
 * runs, in what is taken away, on a page. derived: sharps know no flat, flats no sharp, German
 * names and numbers neither. */
#define _XOPEN_SOURCE 700

#include <stdio.h>

#include "run.h"

#include "check.h"
#include "player.h"

#include "../src/cli/grid.h"
#include "../src/cli/quiz.h"

static const char *const ways[] = {"sharps", "flats", "german", "numbers"};
static const char *const strangers[] = {"b", "#", "#b", "#b"};

/* No word of the text is a letter with one of these signs. */
static void assert_no_sign(const char *text, const char *signs, const char *where)
{
    for (const char *c = text; *c; c++)
        if (*c >= 'A' && *c <= 'G' && c[1] && strchr(signs, c[1]) &&
            (c == text || strchr(" ,[\"", c[-1])) && !(c[2] >= 'a' && c[2] <= 'z'))
            fail_msg("%s: \"%.40s\"", where, c);
}

static void every_practice_and_table_writes_names_as_asked(void **state)
{
    (void)state;
    static const char *const rows[][3] = {
        {"improvise", "--unfold", "all"},  {"improvise", "--cue", "gap"}, {"ear", "--level", "1"},
        {"improvise", "--cue", "reverse"}, {"sight", "--rounds", "2"},    {"warmup", "--for", "4m"},
        {"roam", "--for", "10s"},          {"hunt", "--for", "10s"}};
    for (size_t row = 0; row < sizeof rows / sizeof rows[0]; row++)
        for (int way = 0; way < 4; way++) {
            run("play", rows[row][0], rows[row][1], rows[row][2], "--seed", "3", "--names",
                ways[way], "--dry-run", NULL);
            assert_ran();
            assert_true(strlen(ran.out) > 100);
            assert_no_sign(ran.out, strangers[way], rows[row][0]);
        }
}

static void what_is_taken_away_has_the_same_names(void **state)
{
    (void)state;
    static const char *const files[] = {"a.csv", "a.vtt", "a.jsonl"};
    for (int way = 0; way < 4; way++) {
        run("render", "--held", "0 4 8", "--rounds", "1", "--every", "1s", "--rate", "8000", "-o",
            scratch("a.wav"), "--names", ways[way], "--times", scratch("a.csv"), "--captions",
            scratch("a.vtt"), "--journal", scratch("a.jsonl"), NULL);
        assert_ran();
        for (int file = 0; file < 3; file++) {
            size_t length = 0;
            char *text = (char *)scratch_read(files[file], &length);
            assert_non_null(text);
            /* the head of a journal keeps the request in one way of writing */
            assert_no_sign(file == 2 ? strchr(text, '\n') : text, strangers[way], files[file]);
            free(text);
        }
    }
}

/* The page's hints and keys for the twelve notes. */
static void a_page_of_hunt_has_the_same_names(void **state)
{
    (void)state;
    static const char *const seconds[] = {
        "[\"C\",\"C#\",\"D\",\"D#\"", "[\"C\",\"Db\",\"D\",\"Eb\"", "[\"C\",\"Cis\",\"D\",\"Es\"",
        "[\"0\",\"1\",\"2\",\"3\""};
    for (int way = 0; way < 4; way++) {
        size_t length = 0;
        run("sheet", "hunt", "--synth", "--seed", "3", "--names", ways[way], "-o",
            scratch("hunt.html"), NULL);
        assert_ran();
        char *text = (char *)scratch_read("hunt.html", &length);
        assert_non_null(text);
        assert_non_null(strstr(text, seconds[way]));
        free(text);
    }
}

/* ---- while it runs --------------------------------------------------------------------------- */

static void a_chord_in_view_has_the_same_names(void **state)
{
    (void)state;
    for (int way = 0; way < 4; way++) {
        hf_request_init(&request);
        assert_ok(hf_request_set(&request, HF_OPT_PRACTICE, "sight", NULL));
        assert_ok(hf_request_set(&request, HF_OPT_RATE, "8000", NULL));
        assert_ok(hf_request_set(&request, HF_OPT_NAMES, ways[way], NULL));
        begin_session();
        const struct scene_source source = {.timeline = &conductor.timeline,
                                            .request = &request,
                                            .rate_hz = 8000,
                                            .total = schedule.total,
                                            .picked = 63};
        char text[QUIZ_TEXT];
        assert_no_sign(quiz_begins(&source, 0, text), strangers[way], "begins");
        assert_no_sign(quiz_picks(&source, 0, text), strangers[way], "picks");
        assert_no_sign(quiz_told(&source, 0, text), strangers[way], "told");
        finish();
    }
}

/* Where the note heads stand is the same by German names as by ours. */
static void a_staff_reads_german_names(void **state)
{
    (void)state;
    static const struct {
        uint8_t midi;
        const char *ours, *german;
    } rows[] = {{70, "Bb", "B"},   {71, "B", "H"}, {68, "Ab", "As"},     {63, "Eb", "Es"},
                {66, "F#", "Fis"}, {60, "C", "C"}, {69, "Bbb", "Heses"}, {61, "C#", "Cis"}};
    static struct grid ours, german;
    for (size_t row = 0; row < sizeof rows / sizeof rows[0]; row++) {
        struct hf_record note = {.type = HF_RECORD_CUE, .count = 1, .notes = {rows[row].midi}};
        struct scene scene = {.adding = &note};
        struct grid_area area = {0, 0, 40, 40};
        snprintf(note.names[0], sizeof note.names[0], "%s", rows[row].ours);
        grid_clear(&ours, 40, 40);
        grid_staff(&ours, area, &scene);
        snprintf(note.names[0], sizeof note.names[0], "%s", rows[row].german);
        grid_clear(&german, 40, 40);
        grid_staff(&german, area, &scene);
        int heads = 0;
        for (int i = 0; i < 40 * 40; i++) {
            assert_int_equal(ours.cells[i].code == 0x2588, german.cells[i].code == 0x2588);
            heads += ours.cells[i].code == 0x2588;
        }
        assert_int_equal(heads, 2);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_practice_and_table_writes_names_as_asked),
        cmocka_unit_test(what_is_taken_away_has_the_same_names),
        cmocka_unit_test(a_page_of_hunt_has_the_same_names),
        cmocka_unit_test(a_chord_in_view_has_the_same_names),
        cmocka_unit_test(a_staff_reads_german_names),
    };
    return cmocka_run_group_tests(tests, scratch_make, scratch_remove);
}
