/* SPDX-License-Identifier: MIT */
/* What is said, word for word. Sentences that the specification gives are marked so; the others are
 * ours (pinned). */
#include "check.h"

#include <stdio.h>
#include <string.h>

#include <holdfast/wording.h>

static struct hf_record record_of(enum hf_record_type type, int count, const int *notes,
                                  const char *const *names)
{
    struct hf_record record = {.type = type, .count = count};
    for (int i = 0; i < count; i++) {
        record.notes[i] = (uint8_t)notes[i];
        record.pcs = (hf_pcset)(record.pcs | 1 << hf_pc(notes[i]));
        snprintf(record.names[i], sizeof record.names[i], "%s", names[i]);
    }
    return record;
}

static struct hf_record cue_of(int a, const char *x, int b, const char *y, int c, const char *z)
{
    return record_of(HF_RECORD_CUE, 3, (int[]){a, b, c}, (const char *[]){x, y, z});
}

static const char *said(const struct hf_record *record)
{
    static char text[HF_UTTERANCE_TEXT];
    return hf_wording_names(record, text);
}

static void names_are_words(void **state)
{
    (void)state;
    struct hf_record cue = cue_of(61, "C#", 62, "D", 67, "G");
    assert_string_equal(said(&cue), "C sharp, D, G"); /* published: interface, "C sharp, D, G" */
    cue = cue_of(63, "Eb", 69, "A", 70, "Bb");
    assert_string_equal(said(&cue), "E flat, A, B flat");
    cue = cue_of(67, "F##", 69, "Bbb", 70, "Bb");
    assert_string_equal(said(&cue), "F double sharp, B double flat, B flat");
    cue = cue_of(61, "Cis", 70, "B", 71, "H");
    assert_string_equal(said(&cue), "Cis, B, H");
    cue = cue_of(61, "1", 70, "10", 71, "11");
    assert_string_equal(said(&cue), "1, 10, 11");
}

/* A letter that comes twice is told apart. */
static void naturals_are_named_where_they_would_be_missed(void **state)
{
    (void)state;
    struct hf_record cue = cue_of(60, "C", 61, "C#", 67, "G");
    assert_string_equal(said(&cue), "C natural, C sharp, G");
    cue = cue_of(60, "C", 72, "C", 67, "G");
    assert_string_equal(said(&cue), "C, C, G");
}

static const char *of_cue(const char *way, const char *speak, enum hf_moment moment,
                          const struct hf_record *cue)
{
    static char text[HF_UTTERANCE_TEXT];
    static struct hf_request request;
    struct hf_record held =
        record_of(HF_RECORD_HOLD, 3, (int[]){48, 52, 56}, (const char *[]){"C", "E", "G#"});
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_CUE, way, NULL));
    assert_ok(hf_request_set(&request, HF_OPT_SPEAK, speak, NULL));
    struct hf_wording wording = {.request = &request, .all = request.speak == HF_SPEAK_ALL};
    return hf_wording_cue(&wording, moment, cue, &held, text);
}

static void nothing_is_given_away_at_the_beginning(void **state)
{
    (void)state;
    static const char *const ways[] = {"lead", "confirm", "silent", "ear", "gap", "reverse"};
    struct hf_record cue = cue_of(62, "D", 67, "G", 73, "C#");
    for (int way = 0; way < 6; way++)
        for (int all = 0; all < 2; all++) {
            const char *text = of_cue(ways[way], all ? "all" : "names", HF_MOMENT_BEGINS, &cue);
            assert_null(strstr(text, "C sharp"));
            if (way != 4)
                assert_null(strstr(text, "D"));
        }
}

static void gap_says_the_fourth_alone(void **state)
{
    (void)state;
    struct hf_record cue = cue_of(62, "D", 67, "G", 73, "C#");
    /* published: interface and the issue, "fourth, D, G" */
    assert_string_equal(of_cue("gap", "names", HF_MOMENT_BEGINS, &cue), "fourth, D, G");
    cue = cue_of(67, "G", 73, "C#", 74, "D"); /* the same notes, the other way round */
    assert_string_equal(of_cue("gap", "names", HF_MOMENT_BEGINS, &cue), "fourth, D, G");
    assert_string_equal(of_cue("gap", "names", HF_MOMENT_NAMED, &cue), "G, C sharp, D");
}

/* Of a chord that unfolds the class is named, by the numbers of its prime form, never the notes. */
static void a_step_is_named_by_its_class(void **state)
{
    (void)state;
    struct hf_record step = cue_of(60, "C", 64, "E", 69, "A");
    step.type = HF_RECORD_STEP;
    assert_string_equal(of_cue("confirm", "names", HF_MOMENT_NAMED, &step), "0, 3, 7");
    assert_string_equal(of_cue("gap", "all", HF_MOMENT_NAMED, &step), "find 0, 3, 7");
    assert_string_equal(of_cue("gap", "all", HF_MOMENT_BEGINS, &step), "");
}

static void speak_only_says_what_to_do(void **state)
{
    (void)state;
    struct hf_record cue = cue_of(62, "D", 67, "G", 73, "C#");
    assert_string_equal(of_cue("confirm", "names", HF_MOMENT_NAMED, &cue), "D, G, C sharp");
    assert_string_equal(of_cue("confirm", "all", HF_MOMENT_NAMED, &cue), "find D, G, C sharp");
    assert_string_equal(of_cue("ear", "all", HF_MOMENT_NAMED, &cue), "it is D, G, C sharp");
    assert_string_equal(of_cue("reverse", "all", HF_MOMENT_BEGINS, &cue),
                        "find the triad for C, E, G sharp");
    assert_string_equal(of_cue("reverse", "names", HF_MOMENT_BEGINS, &cue), "over C, E, G sharp");
}

static void who_chooses_is_not_told_to_find(void **state)
{
    (void)state;
    static struct hf_request request;
    struct hf_record cue = cue_of(62, "D", 67, "G", 73, "C#");
    struct hf_record held =
        record_of(HF_RECORD_HOLD, 3, (int[]){48, 52, 56}, (const char *[]){"C", "E", "G#"});
    char text[HF_UTTERANCE_TEXT];
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_PRACTICE, "roam", NULL));
    struct hf_wording wording = {.request = &request, .all = true};
    assert_string_equal(hf_wording_cue(&wording, HF_MOMENT_NAMED, &cue, &held, text),
                        "D, G, C sharp");
    assert_string_equal(hf_wording_opening(&wording, &held, 0, text), "listen to C, E, G sharp");
    assert_string_equal(hf_wording_opening(&wording, &held, 1, text),
                        "listen to C, E, G sharp. 1 cue");
    assert_string_equal(hf_wording_opening(&wording, &held, 24, text),
                        "listen to C, E, G sharp. 24 cues");
}

static const char *of_record(const char *speak, const struct hf_record *record,
                             const struct hf_timeline *timeline)
{
    static char text[HF_UTTERANCE_TEXT];
    static struct hf_request request;
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_SPEAK, speak, NULL));
    request.rate_hz = 48000;
    struct hf_wording wording = {.request = &request, .all = request.speak == HF_SPEAK_ALL};
    return hf_wording_record(&wording, record, timeline, text);
}

static void marks_levels_stays_and_the_end_are_said(void **state)
{
    (void)state;
    struct hf_timeline_cue cues[3] = {{.marked = true, .mark = HF_MARK_GOT},
                                      {.marked = true, .mark = HF_MARK_MISSED},
                                      {.marked = true, .mark = HF_MARK_GOT}};
    struct hf_timeline empty = {0}, marked = {.cues = cues, .count = 3};
    const struct {
        struct hf_record record;
        const struct hf_timeline *timeline;
        const char *text;
    } rows[] = {
        {{.type = HF_RECORD_MARK, .as = HF_MARK_GOT}, &empty, "got"},
        {{.type = HF_RECORD_MARK, .as = HF_MARK_MISSED}, &empty, "missed"},
        {{.type = HF_RECORD_LEVEL, .level = 3}, &empty, ""}, /* with what is asked at it */
        {{.type = HF_RECORD_STAY}, &empty, "staying"},
        {{.type = HF_RECORD_GO}, &empty, "going on"},
        {{.type = HF_RECORD_RESUME}, &empty, "going on"},
        {{.type = HF_RECORD_NEXT}, &empty, ""},
        {{.type = HF_RECORD_ANSWER, .finding = HF_FOUND}, &empty, "found"},
        {{.type = HF_RECORD_ANSWER, .finding = HF_FOUND_OTHER}, &empty, "another chord"},
        {{.type = HF_RECORD_ANSWER, .finding = HF_FOUND_SHARES}, &empty, "one of these is held"},
        {{.type = HF_RECORD_ANSWER, .cue = 3, .right = true}, &empty, ""}, /* a mark follows */
        {{.type = HF_RECORD_END, .fade = 96000}, &empty, "the end"},
        {{.type = HF_RECORD_END, .fade = 240000}, &marked, "the end, 2 got, 1 missed"},
        {{.type = HF_RECORD_END, .fade = 1920}, &marked, ""}, /* nobody would hear it */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_string_equal(of_record("all", &rows[i].record, rows[i].timeline), rows[i].text);
        assert_string_equal(of_record("names", &rows[i].record, rows[i].timeline), "");
    }
}

static const char *question(const char *names, int level, bool near, hf_pcset pcs, bool begins)
{
    static char text[HF_UTTERANCE_TEXT];
    struct hf_request request;
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_PRACTICE, "ear", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_HELD, "C E G#", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_SPEAK, "all", NULL));
    if (names)
        assert_ok(hf_request_set(&request, HF_OPT_NAMES, names, NULL));
    if (near)
        assert_ok(hf_request_set(&request, HF_OPT_NEAR_MISS, "yes", NULL));
    assert_ok(hf_request_resolve(&request, NULL));
    struct hf_wording wording = {.request = &request, .all = true, .level = level};
    struct hf_record cue = {.type = HF_RECORD_CUE, .pcs = pcs};
    return hf_wording_question(&wording, &cue, begins, text);
}

/* What 1 and 2 are can be understood without the screen; pcs by hand. */
static void a_question_says_what_its_numbers_are(void **state)
{
    (void)state;
    const hf_pcset cdg = 1 << 1 | 1 << 2 | 1 << 7, ebab = 1 << 3 | 1 << 9 | 1 << 10;
    assert_string_equal(question(NULL, 1, false, cdg, true),
                        "level 1, which kind. 1, a semitone, then a fourth. 2, a fourth, then a "
                        "semitone");
    assert_string_equal(question(NULL, 1, true, cdg, false),
                        "which kind. 1, a semitone, then a fourth, as in C sharp, D, G. 2, a "
                        "fourth, then a semitone, as in C sharp, F sharp, G. 0, none of them");
    assert_string_equal(question(NULL, 2, false, ebab, true),
                        "level 2, which of 3. 1, C sharp, D, G. 2, F natural, F sharp, B. 3, E "
                        "flat, A, B flat");
    assert_string_equal(question("german", 2, false, cdg, false),
                        "which of 3. 1, Cis, D, G. 2, F, Fis, H. 3, Es, A, B");
    assert_string_equal(question(NULL, 4, false, cdg, true),
                        "level 4, which of 6, in any register");
    assert_string_equal(question(NULL, 6, false, cdg, false),
                        "which of 6, and the held notes fall silent");
}

/* The question is the same whatever the answer, but for the kind, which level 2 tells. */
static void a_question_gives_no_answer_away(void **state)
{
    (void)state;
    char first[HF_UTTERANCE_TEXT];
    struct hf_completion all[HF_COMPLETIONS_MOST];
    int count = hf_pairing_complete(1 << 0 | 1 << 4 | 1 << 8, hf_setclass_find(3, 5), all);
    assert_int_equal(count, 6); /* published: six completions */
    for (int level = 1; level <= 6; level++)
        for (int i = 0; i < count; i++)
            for (int j = 0; j < count; j++) {
                if (level == 2 && all[i].kind != all[j].kind)
                    continue;
                snprintf(first, sizeof first, "%s",
                         question(NULL, level, false, all[i].pcs, false));
                assert_string_equal(question(NULL, level, false, all[j].pcs, false), first);
            }
}

static void a_chord_in_view_is_read_out_and_its_halves_are_told(void **state)
{
    (void)state;
    char text[HF_UTTERANCE_TEXT];
    struct hf_request request;
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_PRACTICE, "sight", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_SPEAK, "all", NULL));
    assert_ok(hf_request_resolve(&request, NULL));
    struct hf_wording wording = {.request = &request, .all = true};
    struct hf_record held = cue_of(61, "Db", 65, "F", 69, "A"),
                     cue = cue_of(60, "C", 66, "F#", 67, "G");
    held.type = HF_RECORD_HOLD;
    cue.id = 1;
    /* by the simple rule, whatever the halves are called */
    assert_string_equal(hf_wording_chord(&wording, &cue, &held, true, text),
                        "from the lowest note: C natural, C sharp, F natural, F sharp, G, A. which "
                        "three are the 0, 1, 6, or none");
    assert_string_equal(hf_wording_cue(&wording, HF_MOMENT_BEGINS, &cue, &held, text),
                        "C natural, C sharp, F natural, F sharp, G, A");
    assert_string_equal(hf_wording_cue(&wording, HF_MOMENT_NAMED, &cue, &held, text),
                        "yes, D flat, F, A, and C, F sharp, G");
    cue.id = 0;
    assert_string_equal(hf_wording_cue(&wording, HF_MOMENT_NAMED, &cue, &held, text),
                        "no, D flat, F, A, and C, F sharp, G");
    wording.all = false;
    assert_string_equal(hf_wording_cue(&wording, HF_MOMENT_NAMED, &cue, &held, text),
                        "D flat, F, A, and C, F sharp, G");
    request.in_frames = true;
    held.strings = cue.strings = 6;
    memcpy(held.frets, (int8_t[]){3, HF_SILENT, 2, HF_SILENT, 0, HF_SILENT}, 6);
    memcpy(cue.frets, (int8_t[]){HF_SILENT, 5, HF_SILENT, HF_SILENT, HF_SILENT, 12}, 6);
    assert_string_equal(hf_wording_cue(&wording, HF_MOMENT_BEGINS, &cue, &held, text),
                        "3, 5, 2, x, 0, 12");
}

/* Twelve notes of the longest names fit, or are left out whole: nothing is cut in a name. */
static void long_texts_end_with_a_whole_name(void **state)
{
    (void)state;
    struct hf_record record = {.type = HF_RECORD_CUE, .count = 12};
    for (int i = 0; i < 12; i++)
        snprintf(record.names[i], sizeof record.names[i], i % 2 ? "B##" : "Gbb");
    const char *text = said(&record);
    assert_true(strlen(text) < HF_UTTERANCE_TEXT);
    size_t length = strlen(text);
    while (text[length - 1] == ' ' || text[length - 1] == ',')
        length--;
    assert_true(strncmp(text + length - 5, "sharp", 5) == 0 ||
                strncmp(text + length - 4, "flat", 4) == 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_are_words),
        cmocka_unit_test(naturals_are_named_where_they_would_be_missed),
        cmocka_unit_test(nothing_is_given_away_at_the_beginning),
        cmocka_unit_test(gap_says_the_fourth_alone),
        cmocka_unit_test(a_step_is_named_by_its_class),
        cmocka_unit_test(speak_only_says_what_to_do),
        cmocka_unit_test(who_chooses_is_not_told_to_find),
        cmocka_unit_test(marks_levels_stays_and_the_end_are_said),
        cmocka_unit_test(a_question_says_what_its_numbers_are),
        cmocka_unit_test(a_question_gives_no_answer_away),
        cmocka_unit_test(a_chord_in_view_is_read_out_and_its_halves_are_told),
        cmocka_unit_test(long_texts_end_with_a_whole_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
