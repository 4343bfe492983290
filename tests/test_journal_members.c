/* SPDX-License-Identifier: MIT */
/*
 * Every member of every record: missing, of a wrong type, one under and one over its limits, and at
 * them; each line cut at every byte. A journal with one of these is refused with its line and
 * record, and the quick reader takes nothing that the strict one would not.
 *
 * Limits: derived from journal.h, which says what a member counts; times: 2^42 samples, nine months
 * at 192 kHz (journal_record.c).
 */
#include "check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include <holdfast/crc32.h>
#include <holdfast/journal.h>
#include <holdfast/journal_scan.h>
#include <holdfast/support.h>
#include <holdfast/unfold.h>

#define TIME_MOST (INT64_C(1) << 42)
#define TONE "\"pcs\":[2,7],\"notes\":[62,67],\"names\":[\"D\",\"G\"]"
#define TIMES "\"tell\":5,\"hear\":6,\"end\":9"

enum { LINE = 1200 };

enum base {
    HOLD,
    CUE,
    GO,
    RESUME,
    STEP,
    DRONE,
    BREAK,
    MARK,
    TO_CUE,
    IN_HUNT,
    HINT,
    LEVEL,
    VOLUME,
    SPEECH,
    END,
    STAY,
    BASES
};

/* One right record of each shape, as number 2 of a journal. */
static const char *const bases[BASES] = {
    [HOLD] = ("{\"n\":2,\"t\":\"hold\",\"at\":5," TONE ",\"frets\":[null,3,0]}"),
    [CUE] = ("{\"n\":2,\"t\":\"cue\",\"at\":5,\"id\":1," TONE "," TIMES
             ",\"frets\":[3,0],\"stagger\":4,\"apart\":8,\"rests\":true}"),
    [GO] = "{\"n\":2,\"t\":\"go\",\"at\":5,\"shift\":-64}",
    [RESUME] = "{\"n\":2,\"t\":\"resume\",\"at\":5,\"after\":64}",
    [STEP] = ("{\"n\":2,\"t\":\"step\",\"at\":5,\"cue\":1,\"step\":2,\"steps\":3,\"class\":\"2-5\","
              "\"which\":1,\"of\":2," TONE "," TIMES ",\"under\":-12}"),
    [DRONE] = "{\"n\":2,\"t\":\"drone\",\"at\":5,\"gain_db\":-6,\"over\":64,\"hold\":640}",
    [BREAK] = "{\"n\":2,\"t\":\"break\",\"at\":5,\"sounded\":4}",
    [MARK] = "{\"n\":2,\"t\":\"mark\",\"at\":5,\"cue\":1,\"as\":\"got\"}",
    [TO_CUE] = "{\"n\":2,\"t\":\"answer\",\"at\":5,\"cue\":1,\"id\":1,\"right\":true,\"pcs\":[1]}",
    [IN_HUNT] = "{\"n\":2,\"t\":\"answer\",\"at\":5,\"pcs\":[1,6],\"as\":\"found\",\"hints\":1}",
    [HINT] = "{\"n\":2,\"t\":\"hint\",\"at\":5,\"step\":1}",
    [LEVEL] = "{\"n\":2,\"t\":\"level\",\"at\":5,\"level\":1,\"why\":\"up\"}",
    [VOLUME] = "{\"n\":2,\"t\":\"volume\",\"at\":5,\"db\":-3}",
    [SPEECH] = ("{\"n\":2,\"t\":\"speech\",\"at\":5,\"cue\":1,\"text\":\"D, G\",\"length\":640,"
                "\"sum\":\"0123cdef\"}"),
    [END] = "{\"n\":2,\"t\":\"end\",\"at\":5,\"why\":\"quit\",\"fade\":64}",
    [STAY] = "{\"n\":2,\"t\":\"stay\",\"at\":5}",
};

static struct hf_crc32_tables tables;
static char opening[8000]; /* a head and a hold */
static size_t opening_length;

/* ---- journals of one line more --------------------------------------------------------------- */

static size_t seal(char line[LINE], const char *text, size_t body)
{
    int size =
        snprintf(line, LINE, "%.*s,\"crc\":\"%08x\"}", (int)body, text, hf_crc32(text, body));
    assert_in_range(size, 1, LINE - 1);
    return (size_t)size;
}

/* The head and the hold before every line that is tried. */
static int prepare(void **state)
{
    (void)state;
    static struct hf_request request;
    struct hf_head head;
    char line[LINE], *text;
    size_t length;
    hf_crc32_tables_init(&tables);
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_SEED, "1", NULL));
    assert_ok(hf_request_resolve(&request, NULL));
    assert_ok(hf_head_init(&head, "holdfast test", "2026-11-25T08:39:17+00:00", &request,
                           "[patch]\n", "[patch]\n", NULL));
    assert_ok(hf_journal_format_head(&head, &text, &length, NULL));
    hf_head_deinit(&head);
    const char *hold = "{\"n\":1,\"t\":\"hold\",\"at\":0," TONE;
    seal(line, hold, strlen(hold));
    opening_length = (size_t)snprintf(opening, sizeof opening, "%s%s\n", text, line);
    free(text);
    return opening_length < sizeof opening ? 0 : -1;
}

/* Is the line taken as record 2? If so `*out` has it; if not, the journal is refused in words. */
static bool taken(const char *line, size_t length, const char *words, struct hf_record *out)
{
    static char text[sizeof opening + LINE];
    struct hf_journal journal;
    struct hf_diag diag = {0};
    size_t size = (size_t)snprintf(text, sizeof text, "%s%.*s\n", opening, (int)length, line);
    enum hf_status status = hf_journal_parse(text, size, &journal, &diag);
    if (status == HF_OK) {
        assert_true(journal.count <= 2); /* the hold, and the record if its type is known */
        *out = journal.records[journal.count - 1];
        bool torn = journal.torn;
        hf_journal_deinit(&journal);
        return !torn;
    }
    assert_int_equal(status, HF_E_DATA);
    assert_int_equal(diag.line, 3);
    assert_string_equal(diag.message, words);
    return false;
}

/* Both readers on one line; a quick yes must be the strict one, byte for byte. */
static bool read_by_both(const char *text, size_t body, struct hf_record *out)
{
    char line[LINE];
    struct hf_record quick;
    size_t length = seal(line, text, body);
    bool known = hf_journal_scan(&tables, line, length, 2, &quick);
    bool right = taken(
        line, length, "record 2 of the journal is damaged: a member is wrong or out of range", out);
    if (known && (!right || memcmp(&quick, out, sizeof quick) != 0))
        fail_msg("read otherwise by the quick reader: %s", line);
    return right;
}

/* A shape with one member as `value` (JSON), or without it where that is NULL. */
static bool with(enum base base, const char *member, const char *value, struct hf_record *out)
{
    json_t *object = json_loads(bases[base], 0, NULL);
    assert_non_null(object);
    if (value)
        json_object_set_new(object, member, json_loads(value, JSON_DECODE_ANY, NULL));
    else
        json_object_del(object, member);
    char *text = json_dumps(object, JSON_COMPACT);
    bool right = read_by_both(text, strlen(text) - 1, out);
    free(text);
    json_decref(object);
    return right;
}

static void must(bool right, enum base base, const char *member, const char *value)
{
    struct hf_record record;
    if (with(base, member, value, &record) != right)
        fail_msg("%s with %s = %s is %s", bases[base], member, value ? value : "(missing)",
                 right ? "refused" : "taken");
}

/* ---- the tables ------------------------------------------------------------------------------ */

static void every_shape_is_a_right_one(void **state)
{
    (void)state;
    struct hf_record record;
    for (int i = 0; i < BASES; i++)
        if (!read_by_both(bases[i], strlen(bases[i]) - 1, &record))
            fail_msg("%s", bases[i]);
}

static void a_number_is_taken_up_to_its_limits_and_no_further(void **state)
{
    (void)state;
    enum need { MUST, MAY, TIME }; /* may be missing; null stands for "not yet" */
    static const struct {
        enum base base;
        const char *member;
        int64_t low, high;
        enum need need;
    } rows[] = {
        {HOLD, "at", 0, TIME_MOST, TIME},
        {CUE, "at", 0, TIME_MOST, TIME},
        {STEP, "at", 0, TIME_MOST, TIME},
        {DRONE, "at", 0, TIME_MOST, TIME},
        {STAY, "at", 0, TIME_MOST, MUST},
        {MARK, "at", 0, TIME_MOST, MUST},
        {SPEECH, "at", 0, TIME_MOST, MUST},
        {CUE, "id", 0, HF_SETS, MUST},
        {CUE, "tell", 0, TIME_MOST, TIME},
        {CUE, "hear", 0, TIME_MOST, TIME},
        {CUE, "end", 0, TIME_MOST, TIME},
        {CUE, "stagger", 0, TIME_MOST, MAY},
        {CUE, "apart", 1, TIME_MOST, MAY},
        {GO, "shift", -TIME_MOST, TIME_MOST, MAY},
        {RESUME, "after", 0, TIME_MOST, MUST},
        {STEP, "cue", 1, INT32_MAX, MUST},
        {STEP, "step", 1, 3, MUST},
        {STEP, "steps", 2, HF_UNFOLD_MOST, MUST},
        {STEP, "which", 1, 2, MUST},
        {STEP, "of", 1, HF_SUBSETS_MOST, MUST},
        {STEP, "under", HF_DRONE_NONE_DB, 0, MUST},
        {STEP, "tell", 0, TIME_MOST, TIME},
        {STEP, "hear", 0, TIME_MOST, TIME},
        {STEP, "end", 0, TIME_MOST, TIME},
        {DRONE, "gain_db", HF_DRONE_NONE_DB, 0, MUST},
        {DRONE, "over", 0, TIME_MOST, MUST},
        {DRONE, "hold", 1, TIME_MOST, MAY},
        {BREAK, "sounded", 0, TIME_MOST, MUST},
        {MARK, "cue", 0, INT32_MAX, MUST},
        {TO_CUE, "cue", 1, INT32_MAX, MUST},
        {TO_CUE, "id", 0, HF_SETS, MUST},
        {IN_HUNT, "hints", 1, HF_SETS, MAY},
        {HINT, "step", 1, HF_SETS, MUST},
        {LEVEL, "level", 1, INT16_MAX, MUST},
        {VOLUME, "db", HF_VOLUME_LOW, HF_VOLUME_HIGH, MUST},
        {SPEECH, "cue", 1, INT32_MAX, MAY},
        {SPEECH, "length", 1, TIME_MOST, MUST},
        {END, "fade", 0, TIME_MOST, MUST},
    };
    static const char *const never[] = {"\"5\"", "5.5", "true", "[5]", "4611686018427387904"};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const int64_t tried[] = {rows[i].low - 1, rows[i].low, rows[i].high, rows[i].high + 1};
        for (int k = 0; k < 4; k++) {
            char value[32];
            snprintf(value, sizeof value, "%lld", (long long)tried[k]);
            must(k == 1 || k == 2, rows[i].base, rows[i].member, value);
        }
        for (size_t k = 0; k < sizeof never / sizeof never[0]; k++)
            must(false, rows[i].base, rows[i].member, never[k]);
        must(rows[i].need == MAY, rows[i].base, rows[i].member, NULL);
        must(rows[i].need == TIME, rows[i].base, rows[i].member, "null");
    }
}

static void a_word_is_one_of_its_list(void **state)
{
    (void)state;
    static const struct {
        enum base base;
        const char *member, *words[5];
    } rows[] = {
        {MARK, "as", {"\"got\"", "\"missed\""}},
        {IN_HUNT, "as", {"\"found\"", "\"again\"", "\"other\"", "\"shares\""}},
        {LEVEL, "why", {"\"start\"", "\"up\"", "\"down\""}},
        {END, "why", {"\"finished\"", "\"quit\"", "\"lost\"", "\"signal\""}},
        {TO_CUE, "right", {"true", "false"}},
        {CUE, "rests", {"true"}},
    };
    static const char *const never[] = {"\"Got\"", "\"\"", "\"true\"", "1", "null", "[]", "{}"};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        for (int k = 0; rows[i].words[k]; k++) {
            struct hf_record r;
            assert_true(with(rows[i].base, rows[i].member, rows[i].words[k], &r));
            int is = rows[i].base == MARK      ? (int)r.as
                     : rows[i].base == IN_HUNT ? (int)r.finding
                     : rows[i].base == LEVEL   ? (int)r.level_why
                     : rows[i].base == END     ? (int)r.why
                     : rows[i].base == TO_CUE  ? !r.right
                                               : !r.manner.rests;
            assert_int_equal(is, k); /* derived: the words stand in the order of the enum */
        }
        for (size_t k = 0; k < sizeof never / sizeof never[0]; k++)
            must(false, rows[i].base, rows[i].member, never[k]);
        must(rows[i].base == CUE, rows[i].base, rows[i].member, NULL);
    }
    must(false, CUE, "rests", "false"); /* nobody writes that */
}

#define TEN "1,1,1,1,1,1,1,1,1,1,"
#define TEXT_10 "0123456789"
#define TEXT_90 TEXT_10 TEXT_10 TEXT_10 TEXT_10 TEXT_10 TEXT_10 TEXT_10 TEXT_10 TEXT_10

static void notes_names_frets_and_texts_are_looked_at_one_by_one(void **state)
{
    (void)state;
    static const struct {
        enum base base;
        const char *member, *value;
        bool right;
    } rows[] = {
        {CUE, "pcs", "[7,2]", true}, /* a set has no order */
        {CUE, "pcs", "[2]", false},  /* not what the notes are */
        {CUE, "pcs", "[2,7,8]", false},
        {CUE, "pcs", "[2,12]", false},
        {CUE, "pcs", "[-1,7]", false},
        {CUE, "pcs", "[2,\"7\"]", false},
        {CUE, "pcs", "[2,7.0]", false},
        {CUE, "pcs", "[]", false},
        {CUE, "pcs", "2", false},
        {CUE, "pcs", NULL, false},
        {CUE, "notes", "[2,127]", true}, /* the same pitch classes, low and high */
        {CUE, "notes", "[0,67]", false},
        {CUE, "notes", "[-10,67]", false},
        {CUE, "notes", "[62,128]", false},
        {CUE, "notes", "[62,67.0]", false},
        {CUE, "notes", "[62,\"67\"]", false},
        {CUE, "notes", "[62,null]", false},
        {CUE, "notes", "[62]", false}, /* two names */
        {CUE, "notes", "[62,67,74]", false},
        {CUE, "notes", "[]", false},
        {CUE, "notes", NULL, false},
        {CUE, "names", "[\"D\"]", false},
        {CUE, "names", "[\"D\",\"\"]", false},
        {CUE, "names", "[\"D\",7]", false},
        {CUE, "names", "[\"D\",null]", false},
        {CUE, "names", "[\" \",\"~\"]", true},
        {CUE, "names", "[\"D\",\"\\u001f\"]", false},
        {CUE, "names", "[\"D\",\"\\u007f\"]", false},
        {CUE, "names", "[\"D\",\"\\u266f\"]", false},
        {CUE, "names", "[\"D\",\"\\\"\"]", true},
        {CUE, "names", "[\"D\",\"" TEXT_10 TEXT_10 "123\"]", true}, /* 23 bytes and the end: 24 */
        {CUE, "names", "[\"D\",\"" TEXT_10 TEXT_10 "1234\"]", false},
        {CUE, "names", "{}", false},
        {CUE, "names", NULL, false},
        {CUE, "frets", NULL, true},
        {CUE, "frets", "[36,null]", true},
        {CUE, "frets", "[" TEN "1,1]", true},
        {CUE, "frets", "[" TEN "1,1,1]", false},
        {CUE, "frets", "[37]", false},
        {CUE, "frets", "[-1]", false},
        {CUE, "frets", "[3.0]", false},
        {CUE, "frets", "[\"x\"]", false},
        {CUE, "frets", "[]", false},
        {CUE, "frets", "null", false},
        {HOLD, "frets", "[-1]", false},
        {HOLD, "notes", NULL, false},
        {STEP, "notes", NULL, false},
        {STEP, "frets", "[3,0]", true},
        {STEP, "frets", "[37,0]", false},
        {TO_CUE, "pcs", NULL, true},
        {TO_CUE, "pcs", "[0,5,11]", true},
        {TO_CUE, "pcs", "[]", false},
        {TO_CUE, "pcs", "[12]", false},
        {IN_HUNT, "pcs", "[]", false},
        {IN_HUNT, "pcs", NULL, false},
        {SPEECH, "text", "\"" TEXT_90 TEXT_90 TEXT_10 "123456789\"", true}, /* 199 bytes */
        {SPEECH, "text", "\"" TEXT_90 TEXT_90 TEXT_10 TEXT_10 "\"", false},
        {SPEECH, "text", "\"\\u001b[2J\"", false}, /* a terminal would obey */
        {SPEECH, "text", "\"\\u009b2J\"", false},
        {SPEECH, "text", "\"\"", false},
        {SPEECH, "text", "7", false},
        {SPEECH, "text", NULL, false},
        {SPEECH, "sum", "\"0123CDEF\"", false},
        {SPEECH, "sum", "\"0123cde\"", false},
        {SPEECH, "sum", "\"0123cdef0\"", false},
        {SPEECH, "sum", "19088743", false},
        {SPEECH, "sum", NULL, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        must(rows[i].right, rows[i].base, rows[i].member, rows[i].value);
}

static void as_many_notes_as_there_are_pitch_classes_are_the_most(void **state)
{
    (void)state;
    static const char *const lists[][2] = {
        {"[60,61,62,63,64,65,66,67,68,69,70,71]", "[" TEN "1,1]"},
        {"[60,61,62,63,64,65,66,67,68,69,70,71,72]", "[" TEN "1,1,1]"},
    };
    for (int i = 0; i < 2; i++) {
        struct hf_record record;
        char text[LINE], names[200] = "\"C\"";
        for (int k = 1; k < HF_EVENT_NOTES + i; k++)
            strncat(names, ",\"C\"", sizeof names - strlen(names) - 1);
        snprintf(text, sizeof text,
                 "{\"n\":2,\"t\":\"cue\",\"at\":5,\"id\":1,\"pcs\":[0,1,2,3,4,5,6,7,8,9,10,11],"
                 "\"notes\":%s,\"names\":[%s]," TIMES,
                 lists[i][0], names);
        assert_int_equal(read_by_both(text, strlen(text), &record), i == 0);
    }
}

/* A type of a later version is skipped, whatever it holds; so is what is no word. */
static void a_type_that_is_not_known_is_skipped(void **state)
{
    (void)state;
    static const char *const types[] = {"\"weather\"", "\"Stay\"", "\"\"", "5", NULL};
    for (size_t i = 0; i < sizeof types / sizeof types[0]; i++) {
        struct hf_record record;
        assert_true(with(STAY, "t", types[i], &record));
        assert_int_equal(record.type, HF_RECORD_HOLD); /* the last that is kept */
    }
    must(false, STAY, "t", "\"session\""); /* a second head */
}

/* ---- lines that are not whole ---------------------------------------------------------------- */

static void a_line_cut_anywhere_and_sealed_again_is_no_record(void **state)
{
    (void)state;
    for (int i = 0; i < BASES; i++)
        for (size_t body = 0; body < strlen(bases[i]) - 1; body++) {
            char line[LINE];
            struct hf_record quick;
            struct hf_diag diag = {0};
            size_t length = seal(line, bases[i], body);
            bool known = hf_journal_scan(&tables, line, length, 2, &quick);
            enum hf_status status = hf_journal_read_line(line, length, 2, NULL, &quick, &diag);
            /* A cut behind a member leaves a line of JSON, which may be right without the rest;
             * one within a number leaves a number. */
            if (known && status != HF_OK)
                fail_msg("taken by the quick reader: %s", line);
            if (!strchr(",}0123456789", bases[i][body]) && status == HF_OK)
                fail_msg("taken: %s", line);
        }
}

static void a_line_without_its_check_sum_is_damaged(void **state)
{
    (void)state;
    static const char *const lines[] = {
        "",
        "}",
        ",\"crc\":\"00000000\"}", /* a tail of nothing */
        "{\"n\":2,\"t\":\"stay\",\"at\":5}",
        "{\"n\":2,\"t\":\"stay\",\"at\":5,\"crc\":\"00000000\"",
        "{\"n\":2,\"t\":\"stay\",\"at\":5,\"crc\":\"0000000g\"}",
        "{\"n\":2,\"t\":\"stay\",\"at\":5,\"crc\":\"0000000:\"}",
        "{\"n\":2,\"t\":\"stay\",\"at\":5,\"crc\":\"0000000/\"}",
        "{\"n\":2,\"t\":\"stay\",\"at\":5,\"crc\":\"0000000F\"}",
        "{\"n\":2,\"t\":\"stay\",\"at\":5,\"crc\":\"00000000\"]",
        "{\"n\":2,\"t\":\"stay\",\"at\":5,\"crc\":\"00000000\" ",
        "{\"n\":2,\"t\":\"stay\",\"at\":5,\"cRc\":\"00000000\"}",
    };
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        struct hf_record record;
        struct hf_diag diag = {0};
        size_t length = strlen(lines[i]);
        assert_false(hf_journal_scan(&tables, lines[i], length, 2, &record));
        assert_int_equal(hf_journal_read_line(lines[i], length, 2, NULL, &record, &diag),
                         HF_E_INPUT);
        assert_string_equal(diag.message, "record 2 of the journal is damaged");
    }
}

/* The sum is right, and yet it is no record: not JSON, a key twice, another number. */
static void what_is_sealed_is_still_read_with_care(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        enum hf_status status;
    } rows[] = {
        {"{\"n\":2,\"t\":\"stay\",\"at\":5", HF_OK},
        {" { \"n\" : 2,\"t\":\"stay\",\"at\":5", HF_OK}, /* not as we write it */
        {"{\"n\":2,\"n\":2,\"t\":\"stay\",\"at\":5", HF_E_INPUT},
        {"{\"n\":2,\"t\":\"stay\",\"at\":05", HF_E_INPUT},
        {"{\"n\":2,\"t\":\"st\xc3\",\"at\":5", HF_E_INPUT},
        {"\"n\":2,\"t\":\"stay\",\"at\":5", HF_E_INPUT},
        {"[{\"n\":2,\"t\":\"stay\",\"at\":5", HF_E_INPUT},
        {"{\"n\":3,\"t\":\"stay\",\"at\":5", HF_E_DATA},
        {"{\"n\":\"2\",\"t\":\"stay\",\"at\":5", HF_E_DATA},
        {"{\"n\":-2,\"t\":\"stay\",\"at\":5", HF_E_DATA},
        {"{\"t\":\"stay\",\"at\":5", HF_E_DATA},
        {"{\"n\":2,\"t\":\"go\",\"at\":5,\"shift\":-0", HF_OK}, /* nor this, which is JSON */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char line[LINE];
        struct hf_record record;
        struct hf_diag diag = {0};
        size_t length = seal(line, rows[i].text, strlen(rows[i].text));
        if (hf_journal_scan(&tables, line, length, 2, &record) && rows[i].status != HF_OK)
            fail_msg("taken by the quick reader: %s", line);
        assert_int_equal(hf_journal_read_line(line, length, 2, NULL, &record, &diag),
                         rows[i].status);
        if (rows[i].status == HF_E_DATA)
            assert_string_equal(diag.message, "record 2 of the journal is missing or out of order");
    }
}

/* The first line is a head: the quick reader of records leaves it alone, whatever it says it is. */
static void record_0_is_never_read_as_another(void **state)
{
    (void)state;
    char line[LINE];
    struct hf_record record;
    const char *text = "{\"n\":0,\"t\":\"stay\",\"at\":5";
    assert_false(hf_journal_scan(&tables, line, seal(line, text, strlen(text)), 0, &record));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_shape_is_a_right_one),
        cmocka_unit_test(a_number_is_taken_up_to_its_limits_and_no_further),
        cmocka_unit_test(a_word_is_one_of_its_list),
        cmocka_unit_test(notes_names_frets_and_texts_are_looked_at_one_by_one),
        cmocka_unit_test(as_many_notes_as_there_are_pitch_classes_are_the_most),
        cmocka_unit_test(a_type_that_is_not_known_is_skipped),
        cmocka_unit_test(a_line_cut_anywhere_and_sealed_again_is_no_record),
        cmocka_unit_test(a_line_without_its_check_sum_is_damaged),
        cmocka_unit_test(what_is_sealed_is_still_read_with_care),
        cmocka_unit_test(record_0_is_never_read_as_another),
    };
    return cmocka_run_group_tests(tests, prepare, NULL);
}
