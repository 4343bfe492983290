/* SPDX-License-Identifier: MIT */
/* The lines of the journal against the contract's own examples, and every way they can be damaged.
 */
#include "check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include <holdfast/crc32.h>
#include <holdfast/journal.h>

/* A line without its check sum against what the contract shows; then the check sum itself. */
static void assert_line(const struct hf_record *record, const char *expected)
{
    char *line = NULL, crc[9];
    size_t length = 0;
    assert_ok(hf_journal_format(record, &line, &length, NULL));
    assert_int_equal(strlen(line), length);
    assert_int_equal(line[length - 1], '\n');
    size_t body = strlen(expected);
    assert_memory_equal(line, expected, body);
    snprintf(crc, sizeof crc, "%08x", hf_crc32(line, body));
    assert_memory_equal(line + body, ",\"crc\":\"", 8);
    assert_memory_equal(line + body + 8, crc, 8);
    assert_string_equal(line + body + 16, "\"}\n");
    free(line);
}

static struct hf_record cue_record(void)
{
    return (struct hf_record){.type = HF_RECORD_CUE,
                              .n = 2,
                              .at = 480000,
                              .id = 3,
                              .pcs = 1 << 2 | 1 << 3 | 1 << 9,
                              .count = 3,
                              .notes = {62, 69, 75},
                              .names = {"D", "A", "Eb"},
                              .tell = 480000,
                              .hear = 1280000,
                              .end = 1680000};
}

static void the_lines_are_those_of_the_contract(void **state)
{
    (void)state;
    /* published: the journal section of the project's interface contract */
    struct hf_record hold = {.type = HF_RECORD_HOLD,
                             .n = 1,
                             .pcs = 0x111,
                             .count = 3,
                             .notes = {48, 52, 56},
                             .names = {"C", "E", "G#"}};
    struct hf_record cue = cue_record();
    struct hf_record mark = {
        .type = HF_RECORD_MARK, .n = 4, .at = 1500000, .cue = 2, .as = HF_MARK_GOT};
    struct hf_record end = {
        .type = HF_RECORD_END, .n = 15, .at = 14880000, .why = HF_WHY_FINISHED, .fade = 240000};
    assert_line(&hold, "{\"n\":1,\"t\":\"hold\",\"at\":0,\"pcs\":[0,4,8],\"notes\":[48,52,56],"
                       "\"names\":[\"C\",\"E\",\"G#\"]");
    assert_line(&cue, "{\"n\":2,\"t\":\"cue\",\"at\":480000,\"id\":3,\"pcs\":[2,3,9],"
                      "\"notes\":[62,69,75],\"names\":[\"D\",\"A\",\"Eb\"],\"tell\":480000,"
                      "\"hear\":1280000,\"end\":1680000");
    assert_line(&mark, "{\"n\":4,\"t\":\"mark\",\"at\":1500000,\"cue\":2,\"as\":\"got\"");
    assert_line(&end, "{\"n\":15,\"t\":\"end\",\"at\":14880000,\"why\":\"finished\","
                      "\"fade\":240000");
    cue.hear = HF_NEVER;
    assert_line(&cue, "{\"n\":2,\"t\":\"cue\",\"at\":480000,\"id\":3,\"pcs\":[2,3,9],"
                      "\"notes\":[62,69,75],\"names\":[\"D\",\"A\",\"Eb\"],\"tell\":480000,"
                      "\"hear\":null,\"end\":1680000");
}

static void a_cue_tells_how_its_notes_come_where_that_is_unusual(void **state)
{
    (void)state;
    struct hf_record cue = {.type = HF_RECORD_CUE,
                            .n = 2,
                            .at = 480,
                            .id = 0,
                            .pcs = 0x20c,
                            .count = 3,
                            .notes = {62, 69, 75},
                            .names = {"D", "A", "Eb"},
                            .tell = 1280,
                            .hear = 480,
                            .end = 1680};
    const char *plain = "{\"n\":2,\"t\":\"cue\",\"at\":480,\"id\":0,\"pcs\":[2,3,9],"
                        "\"notes\":[62,69,75],\"names\":[\"D\",\"A\",\"Eb\"],\"tell\":1280,"
                        "\"hear\":480,\"end\":1680%s";
    static const struct {
        struct hf_manner manner;
        const char *more;
    } rows[] = {{{0}, ""},
                {{.staggered = true, .stagger = 336}, ",\"stagger\":336"},
                {{.staggered = true}, ",\"stagger\":0"},
                {{.staggered = true, .rests = true}, ",\"stagger\":0,\"rests\":true"},
                {{.apart = 960}, ",\"apart\":960"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char expected[400];
        cue.manner = rows[i].manner;
        snprintf(expected, sizeof expected, plain, rows[i].more);
        assert_line(&cue, expected);
    }
}

static void answers_hints_and_levels_have_lines_of_their_own(void **state)
{
    (void)state;
    /* derived: the contract's rules for any record (n, t, at, its own, crc) and, for an answer, its
     * two shapes: to a cue, and in hunt, where what was played is told and nothing else */
    struct hf_record ear = {
        .type = HF_RECORD_ANSWER, .n = 5, .at = 700, .cue = 4, .id = 3, .right = true};
    struct hf_record none = {.type = HF_RECORD_ANSWER, .n = 6, .at = 800, .cue = 4};
    struct hf_record hunt = {
        .type = HF_RECORD_ANSWER, .n = 7, .at = 900, .pcs = 0x20c, .finding = HF_FOUND, .hints = 2};
    struct hf_record other = {
        .type = HF_RECORD_ANSWER, .n = 8, .at = 960, .pcs = 0x7, .finding = HF_FOUND_SHARES};
    struct hf_record hint = {.type = HF_RECORD_HINT, .n = 9, .at = 970, .hints = 1};
    struct hf_record level = {
        .type = HF_RECORD_LEVEL, .n = 10, .at = 990, .level = 2, .level_why = HF_LEVEL_UP};
    assert_line(&ear, "{\"n\":5,\"t\":\"answer\",\"at\":700,\"cue\":4,\"id\":3,\"right\":true");
    assert_line(&none, "{\"n\":6,\"t\":\"answer\",\"at\":800,\"cue\":4,\"id\":0,\"right\":false");
    assert_line(&hunt, "{\"n\":7,\"t\":\"answer\",\"at\":900,\"pcs\":[2,3,9],\"as\":\"found\","
                       "\"hints\":2");
    assert_line(&other, "{\"n\":8,\"t\":\"answer\",\"at\":960,\"pcs\":[0,1,2],\"as\":\"shares\"");
    assert_line(&hint, "{\"n\":9,\"t\":\"hint\",\"at\":970,\"step\":1");
    assert_line(&level, "{\"n\":10,\"t\":\"level\",\"at\":990,\"level\":2,\"why\":\"up\"");
}

static const char *const held_text = "[patch]\nkind = drone\nabout = \"quotes\" and \xe2\x99\xaf\n";

static char *journal_text(size_t *length)
{
    static const struct hf_record records[] = {
        {.type = HF_RECORD_HOLD,
         .n = 1,
         .pcs = 0x111,
         .count = 3,
         .notes = {48, 52, 56},
         .names = {"C", "E", "G#"}},
        {.type = HF_RECORD_CUE,
         .n = 2,
         .at = 480000,
         .id = 3,
         .pcs = 0x20c,
         .count = 3,
         .notes = {62, 69, 75},
         .names = {"D", "A", "Eb"},
         .tell = 480000,
         .hear = 1280000,
         .end = 1680000,
         .manner = {.staggered = true, .stagger = 48, .apart = 9600, .rests = true}},
        {.type = HF_RECORD_STAY, .n = 3, .at = 64},
        {.type = HF_RECORD_GO, .n = 4, .at = 640, .shifted = true, .shift = 576},
        {.type = HF_RECORD_PAUSE, .n = 5, .at = 704},
        {.type = HF_RECORD_RESUME, .n = 6, .at = 15104, .after = 128},
        {.type = HF_RECORD_NEXT, .n = 7, .at = 20480, .shifted = true, .shift = -460096},
        {.type = HF_RECORD_REVEAL, .n = 8, .at = 20544},
        {.type = HF_RECORD_AGAIN, .n = 9, .at = 20608},
        {.type = HF_RECORD_MARK, .n = 10, .at = 20700, .cue = 2, .as = HF_MARK_MISSED},
        {.type = HF_RECORD_NEXT, .n = 11, .at = 30720},
        {.type = HF_RECORD_LEVEL, .n = 12, .at = 30720, .level = 1},
        {.type = HF_RECORD_ANSWER, .n = 13, .at = 30800, .cue = 2, .id = 6, .right = true},
        {.type = HF_RECORD_ANSWER, .n = 14, .at = 30800, .pcs = 0x86, .finding = HF_FOUND_AGAIN},
        {.type = HF_RECORD_ANSWER, .n = 15, .at = 30800, .pcs = 0x86, .hints = 4},
        {.type = HF_RECORD_HINT, .n = 16, .at = 30900, .hints = 3},
        {.type = HF_RECORD_VOLUME, .n = 17, .at = 30976, .db = -40},
        {.type = HF_RECORD_BREAK, .n = 18, .at = 30976, .sounded = 30000},
        {.type = HF_RECORD_DRONE, .n = 19, .at = 40000, .gain_db = -12, .over = 64, .held_for = 9},
        {.type = HF_RECORD_DRONE, .n = 20, .at = HF_NEVER, .gain_db = -60, .over = 64},
        {.type = HF_RECORD_STEP,
         .n = 21,
         .at = HF_NEVER,
         .cue = 2,
         .step = 2,
         .steps = 12,
         .which = 1,
         .of = 5,
         .pcs = 0x86,
         .count = 3,
         .notes = {61, 62, 67},
         .names = {"C#", "D", "G"},
         .tell = HF_NEVER,
         .hear = HF_NEVER,
         .end = HF_NEVER,
         .strings = 6,
         .frets = {HF_SILENT, 4, 0, 0, HF_SILENT, HF_SILENT},
         .manner = {.under_db = -12}},
        {.type = HF_RECORD_END, .n = 22, .at = 40000, .why = HF_WHY_SIGNAL, .fade = 1920},
    };
    struct hf_request request;
    struct hf_head head;
    struct hf_diag diag;
    char *line, *text = NULL;
    size_t size;
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_SEED, "18446744073709551615", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_LABEL, "lesson \xe2\x99\xad", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_RATE, "44100", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_HELD, "C E G#", NULL));
    assert_ok(hf_request_resolve(&request, NULL));
    assert_ok(hf_head_init(&head, "holdfast test", "2026-11-25T08:39:17+00:00", &request, held_text,
                           "added", NULL));
    assert_ok(hf_journal_format_head(&head, &text, length, &diag));
    for (size_t i = 0; i < sizeof records / sizeof records[0]; i++) {
        assert_ok(hf_journal_format(&records[i], &line, &size, NULL));
        text = realloc(text, *length + size + 1);
        assert_non_null(text);
        memcpy(text + *length, line, size + 1);
        *length += size;
        free(line);
    }
    hf_head_deinit(&head);
    return text;
}

static void what_is_written_reads_back_the_same(void **state)
{
    (void)state;
    size_t length, size;
    char *text = journal_text(&length), *line, *again;
    struct hf_journal journal;
    assert_ok(hf_journal_parse(text, length, &journal, NULL));
    assert_int_equal(journal.count, 22);
    assert_false(journal.torn);
    assert_int_equal(journal.whole_length, length);
    assert_string_equal(journal.head.held_patch, held_text);
    assert_true(journal.head.request.seed == UINT64_MAX);
    assert_int_equal(journal.head.request.rate_hz, 44100);
    assert_string_equal(journal.head.request.text[HF_OPT_LABEL], "lesson \xe2\x99\xad");
    /* Written again it is the same text, byte for byte. */
    assert_ok(hf_journal_format_head(&journal.head, &again, &size, NULL));
    assert_memory_equal(again, text, size);
    free(again);
    for (size_t i = 0, at = size; i < journal.count; i++, at += size) {
        assert_ok(hf_journal_format(&journal.records[i], &line, &size, NULL));
        assert_memory_equal(line, text + at, size);
        free(line);
    }
    hf_journal_deinit(&journal);
    free(text);
}

static void keys_stand_in_the_order_of_the_contract(void **state)
{
    (void)state;
    static const char *const keys[] = {"n",     "t",    "at",   "holdfast", "program", "started",
                                       "label", "rate", "seed", "request",  "patches", "crc"};
    size_t length, at = 0;
    char *text = journal_text(&length);
    json_t *head = json_loadb(text, strcspn(text, "\n"), 0, NULL);
    const char *key;
    json_t *value;
    json_object_foreach(head, key, value) assert_string_equal(key, keys[at++]);
    assert_int_equal(at, sizeof keys / sizeof keys[0]);
    assert_string_equal(json_string_value(json_object_get(head, "seed")), "18446744073709551615");
    json_decref(head);
    free(text);
}

/* Cut at every byte: never a crash, and the whole lines before the cut are read. */
static void a_journal_torn_at_any_byte_keeps_its_whole_lines(void **state)
{
    (void)state;
    size_t length, whole = 0, lines = 0;
    char *text = journal_text(&length);
    for (size_t cut = 0; cut <= length; cut++) {
        struct hf_journal journal;
        struct hf_diag diag;
        if (cut > 0 && text[cut - 1] == '\n') {
            whole = cut;
            lines++;
        }
        char *copy = malloc(cut ? cut : 1); /* so that a read past the end is caught */
        memcpy(copy, text, cut);
        enum hf_status status = hf_journal_parse(copy, cut, &journal, &diag);
        free(copy);
        if (lines < 2) {
            assert_int_equal(status, HF_E_DATA);
            continue;
        }
        assert_ok(status);
        assert_int_equal(journal.count, lines - 1);
        assert_int_equal(journal.torn, whole != cut);
        assert_int_equal(journal.whole_length, whole);
        hf_journal_deinit(&journal);
    }
    free(text);
}

/* Any byte changed in the middle is found, and the record is named. */
static void a_changed_byte_is_found_and_its_record_named(void **state)
{
    (void)state;
    size_t length, n = 0;
    char *text = journal_text(&length);
    size_t last = length - 1;
    while (text[last - 1] != '\n')
        last--;
    for (size_t at = 0; at < last; at++) {
        struct hf_journal journal;
        struct hf_diag diag = {0};
        char expected[32];
        char byte = text[at];
        if (byte == '\n') {
            n++;
            continue;
        }
        text[at] = (char)(byte ^ 1);
        enum hf_status status = hf_journal_parse(text, length, &journal, &diag);
        text[at] = byte;
        assert_int_equal(status, HF_E_DATA);
        snprintf(expected, sizeof expected, "record %zu", n);
        assert_true(n == 0 || strstr(diag.message, expected));
    }
    free(text);
}

/* A line with a right check sum but a wrong content. */
static enum hf_status parse_with(const char *body, struct hf_diag *diag)
{
    struct hf_journal journal;
    size_t length;
    char *text = journal_text(&length);
    size_t head = strcspn(text, "\n") + 1;
    size_t hold = head + strcspn(text + head, "\n") + 1;
    char line[2000];
    int size =
        snprintf(line, sizeof line, "%s,\"crc\":\"%08x\"}\n", body, hf_crc32(body, strlen(body)));
    text = realloc(text, hold + (size_t)size + 1);
    memcpy(text + hold, line, (size_t)size + 1);
    enum hf_status status = hf_journal_parse(text, hold + (size_t)size, &journal, diag);
    if (status == HF_OK)
        hf_journal_deinit(&journal);
    free(text);
    return status;
}

#define CUE_2                                                                                      \
    "{\"n\":2,\"t\":\"cue\",\"at\":5,\"id\":1,\"pcs\":[2],\"notes\":[62],\"names\":[\"D\"],"       \
    "\"tell\":5,\"hear\":5,\"end\":9"

static void members_are_checked_and_unknown_types_are_skipped(void **state)
{
    (void)state;
    static const char *const bad[] = {
        "{\"n\":3,\"t\":\"stay\",\"at\":5",
        "{\"n\":2,\"t\":\"stay\",\"at\":-5",
        "{\"n\":2,\"t\":\"stay\",\"at\":null",
        "{\"n\":2,\"t\":\"stay\",\"at\":\"5\"",
        "{\"n\":2,\"t\":\"stay\",\"at\":5.5",
        "{\"n\":2,\"t\":\"stay\",\"at\":99999999999999999",
        "{\"n\":2,\"t\":\"end\",\"at\":5,\"why\":\"bored\",\"fade\":0",
        "{\"n\":2,\"t\":\"mark\",\"at\":5,\"cue\":2,\"as\":\"maybe\"",
        "{\"n\":2,\"t\":\"hold\",\"at\":5,\"pcs\":[0],\"notes\":[128],\"names\":[\"C\"]",
        "{\"n\":2,\"t\":\"hold\",\"at\":5,\"pcs\":[0],\"notes\":[60],\"names\":[\"\\u001b\"]",
        "{\"n\":2,\"t\":\"hold\",\"at\":5,\"pcs\":[12],\"notes\":[60],\"names\":[\"C\"]",
        "{\"n\":2,\"t\":\"hold\",\"at\":5,\"pcs\":[0],\"notes\":[60],\"names\":[\"C\",\"D\"]",
        "{\"n\":2,\"t\":\"hold\",\"at\":5,\"pcs\":[],\"notes\":[],\"names\":[]",
        "{\"n\":2,\"t\":\"session\",\"at\":0",
        CUE_2 ",\"stagger\":-1",
        CUE_2 ",\"stagger\":null",
        CUE_2 ",\"apart\":0",
        CUE_2 ",\"rests\":false",
        "{\"n\":2,\"t\":\"answer\",\"at\":5",
        "{\"n\":2,\"t\":\"answer\",\"at\":5,\"cue\":0,\"id\":1,\"right\":true",
        "{\"n\":2,\"t\":\"answer\",\"at\":5,\"cue\":2,\"id\":-1,\"right\":true",
        "{\"n\":2,\"t\":\"answer\",\"at\":5,\"cue\":2,\"id\":1,\"right\":1",
        "{\"n\":2,\"t\":\"answer\",\"at\":5,\"pcs\":[],\"as\":\"other\"",
        "{\"n\":2,\"t\":\"answer\",\"at\":5,\"pcs\":[12],\"as\":\"other\"",
        "{\"n\":2,\"t\":\"answer\",\"at\":5,\"pcs\":[1],\"as\":\"lost\"",
        "{\"n\":2,\"t\":\"answer\",\"at\":5,\"pcs\":[1],\"as\":\"found\",\"hints\":0",
        "{\"n\":2,\"t\":\"hint\",\"at\":5,\"step\":0",
        "{\"n\":2,\"t\":\"volume\",\"at\":5,\"db\":1",
        "{\"n\":2,\"t\":\"volume\",\"at\":5,\"db\":-41",
        "{\"n\":2,\"t\":\"volume\",\"at\":5,\"db\":-1.5",
        "{\"n\":2,\"t\":\"drone\",\"at\":5,\"gain_db\":1,\"over\":0",
        "{\"n\":2,\"t\":\"drone\",\"at\":5,\"gain_db\":-61,\"over\":0",
        "{\"n\":2,\"t\":\"drone\",\"at\":5,\"gain_db\":-6",
        "{\"n\":2,\"t\":\"drone\",\"at\":5,\"gain_db\":-6,\"over\":0,\"hold\":0",
        "{\"n\":2,\"t\":\"break\",\"at\":5",
        "{\"n\":2,\"t\":\"break\",\"at\":5,\"sounded\":-1",
        "{\"n\":2,\"t\":\"level\",\"at\":5,\"level\":0,\"why\":\"up\"",
        "{\"n\":2,\"t\":\"level\",\"at\":5,\"level\":1,\"why\":\"sideways\"",
    };
    struct hf_diag diag;
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        if (parse_with(bad[i], &diag) != HF_E_DATA)
            fail_msg("%s", bad[i]);
    assert_ok(parse_with("{\"n\":2,\"t\":\"stay\",\"at\":5", NULL));
    assert_ok(parse_with("{\"n\":2,\"t\":\"weather\",\"at\":5,\"sky\":[1,{\"a\":null}]", NULL));
}

static void a_newer_journal_is_refused(void **state)
{
    (void)state;
    struct hf_journal journal;
    struct hf_diag diag;
    const char *body = "{\"n\":0,\"t\":\"session\",\"at\":0,\"holdfast\":2";
    char line[200];
    int size =
        snprintf(line, sizeof line, "%s,\"crc\":\"%08x\"}\n", body, hf_crc32(body, strlen(body)));
    assert_int_equal(hf_journal_parse(line, (size_t)size, &journal, &diag), HF_E_DATA);
    assert_non_null(strstr(diag.message, "newer"));
    assert_int_equal(hf_journal_parse("", 0, &journal, &diag), HF_E_DATA);
    assert_non_null(strstr(diag.message, "empty"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_lines_are_those_of_the_contract),
        cmocka_unit_test(a_cue_tells_how_its_notes_come_where_that_is_unusual),
        cmocka_unit_test(answers_hints_and_levels_have_lines_of_their_own),
        cmocka_unit_test(what_is_written_reads_back_the_same),
        cmocka_unit_test(keys_stand_in_the_order_of_the_contract),
        cmocka_unit_test(a_journal_torn_at_any_byte_keeps_its_whole_lines),
        cmocka_unit_test(a_changed_byte_is_found_and_its_record_named),
        cmocka_unit_test(members_are_checked_and_unknown_types_are_skipped),
        cmocka_unit_test(a_newer_journal_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
