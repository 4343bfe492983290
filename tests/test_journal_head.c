/* SPDX-License-Identifier: MIT */
/*
 * The session record and the journal as a whole: each member of the head missing, of a wrong type
 * or out of its limits, with the words that a player is told; what stands where; and, past damage,
 * what is left.
 */
#include "check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include <holdfast/crc32.h>
#include <holdfast/journal.h>
#include <holdfast/journal_scan.h>

#define HEAD                                                                                       \
    "{\"n\":0,\"t\":\"session\",\"at\":0,\"holdfast\":1,\"program\":\"holdfast test\","            \
    "\"started\":\"2026-11-25T08:39:17+00:00\",\"label\":\"Monday\",\"continues\":\"a.jsonl\","    \
    "\"done\":3,\"rate\":8000,\"seed\":\"7\",\"request\":{\"held\":\"C3 E3 G#3\"},"                \
    "\"patches\":{\"held\":\"h\",\"added\":\"a\"}}"
#define HOLD "{\"n\":1,\"t\":\"hold\",\"at\":0,\"pcs\":[0],\"notes\":[60],\"names\":[\"C\"]}"
#define STAY(n, at) "{\"n\":" n ",\"t\":\"stay\",\"at\":" at "}"
#define TEXT_31 "0123456789012345678901234567890"
#define TEXT_127 TEXT_31 TEXT_31 TEXT_31 TEXT_31 "012"

enum { ROOM = 1 << 14 };

static struct hf_crc32_tables tables;

/* Adds a line with its check sum; `text` ends with its brace. */
static void add(char text[ROOM], const char *line)
{
    size_t used = strlen(text), body = strlen(line) - 1;
    int size = snprintf(text + used, ROOM - used, "%.*s,\"crc\":\"%08x\"}\n", (int)body, line,
                        hf_crc32(line, body));
    assert_in_range(size, 1, ROOM - used - 1);
}

/* The head with a member as `value` (JSON), or without it. */
static void add_head(char text[ROOM], const char *member, const char *value)
{
    json_t *object = json_loads(HEAD, 0, NULL);
    assert_non_null(object);
    if (value && member)
        json_object_set_new(object, member, json_loads(value, JSON_DECODE_ANY, NULL));
    else if (member)
        json_object_del(object, member);
    char *line = json_dumps(object, JSON_COMPACT);
    add(text, line);
    free(line);
    json_decref(object);
}

/* The quick way sees the same opening as the strict one, or says that it does not know. */
static void compare_opening(const char *text, const struct hf_head *head)
{
    struct hf_journal_opening quick;
    size_t length = strcspn(text, "\n");
    if (!hf_journal_scan_opening(&tables, text, length, &quick))
        return;
    assert_non_null(head);
    assert_int_equal(quick.rate_hz, head->request.rate_hz);
    assert_int_equal(quick.started_length, strlen(head->started));
    assert_memory_equal(quick.started, head->started, quick.started_length);
    assert_int_equal(quick.label_length, strlen(head->request.text[HF_OPT_LABEL]));
    assert_memory_equal(quick.label, head->request.text[HF_OPT_LABEL], quick.label_length);
}

#define WRONG "the journal's session record (0) is wrong: "

static const struct {
    const char *member, *value, *message;
} faults[] = {
    {"n", NULL, "record 0 of the journal is missing or out of order"},
    {"n", "1", "record 0 of the journal is missing or out of order"},
    {"t", "\"cue\"", "this is no journal: it has no session record first"},
    {"t", NULL, "this is no journal: it has no session record first"},
    {"holdfast", NULL, "this is no journal: it has no session record first"},
    {"holdfast", "0", "this is no journal: it has no session record first"},
    {"holdfast", "\"1\"", "this is no journal: it has no session record first"},
    {"holdfast", "2", "this journal is from a newer version (2; this program reads 1)"},
    {"patches", NULL, "the journal's session record (0) lacks its patches"},
    {"patches", "[]", "the journal's session record (0) lacks its patches"},
    {"patches", "{\"added\":\"a\"}", "the journal's session record (0) lacks its patches"},
    {"patches", "{\"held\":\"h\"}", "the journal's session record (0) lacks its patches"},
    {"patches", "{\"held\":1,\"added\":\"a\"}",
     "the journal's session record (0) lacks its patches"},
    {"patches", "{\"held\":\"h\",\"added\":null}",
     "the journal's session record (0) lacks its patches"},
    {"program", NULL, WRONG "its program is no line of text"},
    {"program", "1", WRONG "its program is no line of text"},
    {"program", "\"" TEXT_31 "1\"", WRONG "its program is no line of text"},
    {"program", "\"a\\nb\"", WRONG "its program is no line of text"},
    {"program", "\"\\u009b2J\"", WRONG "its program is no line of text"},
    {"started", NULL, WRONG "its started is no line of text"},
    {"started", "2026", WRONG "its started is no line of text"},
    {"started", "\"" TEXT_31 "1\"", WRONG "its started is no line of text"},
    {"started", "\"\\u007f\"", WRONG "its started is no line of text"},
    {"request", NULL, WRONG "its request or seed is missing"},
    {"request", "[]", WRONG "its request or seed is missing"},
    {"request", "\"held\"", WRONG "its request or seed is missing"},
    {"seed", NULL, WRONG "its request or seed is missing"},
    {"seed", "7", WRONG "its request or seed is missing"},
    {"label", "7", WRONG "its label is no text"},
    {"request", "{\"held\":48}", WRONG "its held is no text"},
    {"rate", NULL, WRONG "its rate is missing or outside 8000 to 192000"},
    {"rate", "7999", WRONG "its rate is missing or outside 8000 to 192000"},
    {"rate", "192001", WRONG "its rate is missing or outside 8000 to 192000"},
    {"rate", "\"8000\"", WRONG "its rate is missing or outside 8000 to 192000"},
};

static void each_fault_of_a_head_is_told_in_words(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof faults / sizeof faults[0]; i++) {
        char text[ROOM] = "";
        struct hf_journal journal;
        struct hf_diag diag = {0};
        add_head(text, faults[i].member, faults[i].value);
        /* Of what the quick way does not look at it says nothing. */
        if (strcmp(faults[i].member, "request") != 0 && strcmp(faults[i].member, "patches") != 0)
            compare_opening(text, NULL);
        add(text, HOLD);
        assert_int_equal(hf_journal_parse(text, strlen(text), &journal, &diag), HF_E_DATA);
        assert_string_equal(diag.message, faults[i].message);
        assert_int_equal(diag.line, 1);
        /* Without its head nothing of a journal can be saved. */
        assert_int_equal(hf_journal_salvage(text, strlen(text), &journal, &diag), HF_E_DATA);
        assert_string_equal(diag.message, faults[i].message);
        assert_int_equal(hf_journal_salvage(text, strlen(text), &journal, NULL), HF_E_DATA);
    }
}

/* What the options' own reader says stands in the message. */
static void an_option_that_no_session_has_is_told(void **state)
{
    (void)state;
    static const struct {
        const char *member, *value, *part;
    } rows[] = {
        {"seed", "\"-1\"", "seed"},
        {"seed", "\"18446744073709551616\"", "seed"},
        {"request", "{\"every\":\"soon\"}", "every"},
        {"request", "{\"added\":\"\"}", "set class"},
        {"request", "{\"held\":\"H3\"}", "H3"},
        {"request", "{\"rounds\":\"0\"}", "rounds"},
        {"request", "{\"cue\":\"reverse\",\"held\":\"C E G#\"}", "reverse"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[ROOM] = "";
        struct hf_journal journal;
        struct hf_diag diag = {0};
        add_head(text, rows[i].member, rows[i].value);
        add(text, HOLD);
        assert_int_equal(hf_journal_parse(text, strlen(text), &journal, &diag), HF_E_DATA);
        assert_int_equal(strncmp(diag.message, WRONG, strlen(WRONG)), 0);
        if (!strstr(diag.message + strlen(WRONG), rows[i].part))
            fail_msg("no %s in: %s", rows[i].part, diag.message);
    }
}

static void a_head_is_taken_at_its_limits(void **state)
{
    (void)state;
    static const struct {
        const char *member, *value;
    } rows[] = {
        {NULL, NULL},
        {"label", NULL},
        {"label", "\"\""},
        {"label", "\"\\\"x\\\"\""}, /* quotes: not for the quick way */
        {"program", "\"" TEXT_31 "\""},
        {"started", "\"" TEXT_31 "\""},
        {"rate", "8000"},
        {"rate", "192000"},
        {"seed", "\"18446744073709551615\""},
        {"request", "{}"},
        {"request", "{\"weather\":3}"}, /* an option of a later version */
        {"patches", "{\"held\":\"\",\"added\":\"\"}"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[ROOM] = "";
        struct hf_journal journal;
        struct hf_diag diag = {0};
        add_head(text, rows[i].member, rows[i].value);
        add(text, HOLD);
        if (hf_journal_parse(text, strlen(text), &journal, &diag) != HF_OK)
            fail_msg("%s = %s: %s", rows[i].member, rows[i].value, diag.message);
        compare_opening(text, &journal.head);
        hf_journal_deinit(&journal);
    }
}

/* Which journal a session goes on with: both members, or it stands alone. */
static void what_a_session_continues_is_said_by_two_members(void **state)
{
    (void)state;
    static const struct {
        const char *member, *value, *continues;
        uint32_t done;
    } rows[] = {
        {NULL, NULL, "a.jsonl", 3},
        {"continues", "\"" TEXT_127 "\"", TEXT_127, 3},
        {"continues", "\"" TEXT_127 "8\"", "", 0},
        {"continues", "\"\\u001b\"", "", 0},
        {"continues", NULL, "", 0},
        {"done", "0", "a.jsonl", 0},
        {"done", "1048576", "a.jsonl", 1048576}, /* derived: as many records as a journal has */
        {"done", "1048577", "", 0},
        {"done", "-1", "", 0},
        {"done", NULL, "", 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[ROOM] = "";
        struct hf_journal journal;
        add_head(text, rows[i].member, rows[i].value);
        add(text, HOLD);
        assert_ok(hf_journal_parse(text, strlen(text), &journal, NULL));
        assert_string_equal(journal.head.continues, rows[i].continues);
        assert_int_equal(journal.head.done, rows[i].done);
        hf_journal_deinit(&journal);
    }
}

/* derived: the members in the order in which heads are written; one that differs is not known */
static void the_quick_way_knows_heads_as_they_are_written_and_no_others(void **state)
{
    (void)state;
    static const char plain[] =
        "{\"n\":0,\"t\":\"session\",\"at\":0,\"holdfast\":1,\"program\":\"p\",\"started\":\"s\","
        "\"label\":\"l\",\"rate\":8000,\"seed\":\"7\"}";
    static const char *const changes[][2] = {
        {"\"at\":0", "\"at\":00"},
        {"\"holdfast\":1", "\"holdfast\":0"},
        {"\"holdfast\":1", "\"holdfast\":2"},
        {"\"program\":\"p\"", "\"program\":\"p\\\"\""},
        {"\"program\":\"p\"", "\"program\":\"" TEXT_31 "1\""},
        {"\"program\":\"p\"", "\"program\":\"\xff\""},
        {"\"started\":\"s\"", "\"started\":\"\x1b\""},
        {"\"started\":\"s\"", "\"starved\":\"s\""},
        {"\"label\":\"l\"", "\"label\":\"\xc2\x9b\""},
        {"\"label\"", "\"libel\""},
        {"\"rate\":8000", "\"rate\":7999"},
        {"\"rate\":8000", "\"rate\":192001"},
        {"\"rate\":8000", "\"rate\":08000"},
        {"\"seed\":\"7\"", "\"seed\":7"},
        {"\"seed\":\"7\"", "\"seed\":\"x\""},
        {"\"seed\":\"7\"", "\"seed\":\"7x\""},
        {"\"seed\":\"7\"", "\"sEed\":\"7\""},
        {"\"rate\"", "\"raTe\""},
    };
    struct hf_journal_opening opening;
    char text[ROOM] = "";
    add(text, plain);
    size_t length = strlen(text) - 1;
    assert_true(hf_journal_scan_opening(&tables, text, length, &opening));
    assert_int_equal(opening.rest, strlen(plain) - 1);
    for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
        const char *at = strstr(plain, changes[i][0]);
        char line[400];
        assert_non_null(at);
        snprintf(line, sizeof line, "%.*s%s%s", (int)(at - plain), plain, changes[i][1],
                 at + strlen(changes[i][0]));
        text[0] = 0;
        add(text, line);
        if (hf_journal_scan_opening(&tables, text, strlen(text) - 1, &opening))
            fail_msg("known: %s", text);
    }
    for (size_t body = 0; body < sizeof plain - 2; body++) { /* cut at every byte */
        char line[400];
        snprintf(line, sizeof line, "%.*s}", (int)body, plain);
        text[0] = 0;
        add(text, line);
        if (hf_journal_scan_opening(&tables, text, strlen(text) - 1, &opening))
            fail_msg("known: %s", text);
    }
    assert_false(hf_journal_scan_opening(&tables, text, 3, &opening));
}

/* ---- the whole ------------------------------------------------------------------------------- */

static void a_journal_begins_with_what_is_held(void **state)
{
    (void)state;
    static const char *const seconds[] = {NULL, STAY("1", "0"),
                                          "{\"n\":1,\"t\":\"weather\",\"at\":0}"};
    for (size_t i = 0; i < sizeof seconds / sizeof seconds[0]; i++) {
        char text[ROOM] = "";
        struct hf_journal journal;
        struct hf_diag diag = {0};
        add_head(text, NULL, NULL);
        if (seconds[i])
            add(text, seconds[i]);
        assert_int_equal(hf_journal_parse(text, strlen(text), &journal, &diag), HF_E_DATA);
        assert_string_equal(diag.message, "the journal has no hold record (1)");
    }
}

static void a_first_line_that_is_not_whole_is_no_journal(void **state)
{
    (void)state;
    static const char *const firsts[] = {"\n", "{}\n", "RIFF", "not a journal\nat all\n"};
    for (size_t i = 0; i < sizeof firsts / sizeof firsts[0]; i++) {
        struct hf_journal journal;
        struct hf_head head;
        struct hf_diag diag = {0};
        size_t length = strlen(firsts[i]);
        assert_int_equal(hf_journal_parse(firsts[i], length, &journal, &diag), HF_E_DATA);
        assert_string_equal(diag.message, "this is no journal: its first record is not whole");
        assert_int_equal(hf_journal_salvage(firsts[i], length, &journal, &diag), HF_E_DATA);
        assert_int_equal(diag.line, 1);
        assert_int_equal(hf_journal_read_line(firsts[i], length, 0, &head, NULL, &diag), HF_E_DATA);
        assert_string_equal(diag.message, "this is no journal: its first record is not whole");
    }
}

/* A head that a power cut left half written is no foreign file: it is told as what it is. */
static void a_head_that_was_cut_off_is_told_as_that(void **state)
{
    (void)state;
    static const char *const parts[] = {"{", "{\"n\":0",
                                        "{\"n\":0,\"t\":\"session\",\"at\":0,\"hol"};
    struct hf_diag diag = {0};
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        struct hf_journal journal;
        assert_int_equal(hf_journal_parse(parts[i], strlen(parts[i]), &journal, &diag), HF_E_DATA);
        assert_string_equal(diag.message,
                            "the journal was cut off in its first record: it has no session yet");
    }
    assert_int_equal(hf_journal_refuse_first("", 0, false, &diag), HF_E_DATA);
    assert_string_equal(diag.message, "this is no journal: its first record is not whole");
}

/* derived: journal.h: damaged and missing records are counted, and a sound journal has none */
static void past_damage_each_lost_record_is_counted(void **state)
{
    (void)state;
    static const struct {
        const char *lines[4]; /* behind a head and a hold; "!" damages what follows */
        size_t left_out, kept;
        bool torn;
    } rows[] = {
        {{STAY("2", "64"), STAY("3", "128")}, 0, 3, false},
        {{"!" STAY("2", "64"), STAY("3", "128")}, 1, 2, false},
        {{STAY("3", "128")}, 1, 2, false},                      /* one is missing */
        {{"!" STAY("2", "64"), STAY("5", "128")}, 3, 2, false}, /* damaged, then two missing */
        {{STAY("3", "64"), STAY("2", "128")}, 2, 2, false},     /* out of order */
        {{STAY("2", "64"), "{\"n\":3,\"t\":\"mark\",\"at\":1}"}, 1, 2, false},
        {{STAY("2", "64"), "!" STAY("3", "128")}, 0, 2, true}, /* only the last can be torn */
        {{"{\"n\":2,\"t\":\"weather\",\"at\":0}", STAY("3", "128")}, 0, 2, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[ROOM] = "";
        struct hf_journal journal;
        add_head(text, NULL, NULL);
        add(text, HOLD);
        for (int k = 0; k < 4 && rows[i].lines[k]; k++) {
            size_t at = strlen(text);
            bool bad = rows[i].lines[k][0] == '!';
            add(text, rows[i].lines[k] + bad);
            text[at + 6] = bad ? '9' : text[at + 6];
        }
        assert_ok(hf_journal_salvage(text, strlen(text), &journal, NULL));
        assert_int_equal(journal.left_out, rows[i].left_out);
        assert_int_equal(journal.count, rows[i].kept);
        assert_int_equal(journal.torn, rows[i].torn);
        hf_journal_deinit(&journal);
        assert_int_equal(hf_journal_parse(text, strlen(text), &journal, NULL),
                         rows[i].left_out ? HF_E_DATA : HF_OK);
        if (!rows[i].left_out)
            hf_journal_deinit(&journal);
    }
}

/* Lines without end, of a disk gone bad: reading stops at as many as a journal may have. */
static void a_journal_without_end_is_refused(void **state)
{
    (void)state;
    enum { LINES = HF_JOURNAL_RECORDS_MOST };
    char *text = malloc(ROOM + LINES);
    struct hf_journal journal;
    struct hf_diag diag = {0};
    assert_non_null(text);
    text[0] = 0;
    add_head(text, NULL, NULL);
    add(text, HOLD);
    size_t length = strlen(text);
    memset(text + length, '\n', LINES);
    assert_ok(hf_journal_salvage(text, length + LINES - 2, &journal, &diag));
    assert_int_equal(journal.left_out, LINES - 3); /* the last of them is a torn one */
    hf_journal_deinit(&journal);
    assert_int_equal(hf_journal_salvage(text, length + LINES - 1, &journal, &diag), HF_E_DATA);
    assert_string_equal(diag.message, "the journal has more than 1048576 records");
    free(text);
}

static void nothing_is_let_go_of_without_harm(void **state)
{
    (void)state;
    struct hf_journal none = {0};
    hf_journal_deinit(NULL);
    hf_journal_deinit(&none);
    hf_head_deinit(NULL);
}

static int prepare(void **state)
{
    (void)state;
    hf_crc32_tables_init(&tables);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_fault_of_a_head_is_told_in_words),
        cmocka_unit_test(an_option_that_no_session_has_is_told),
        cmocka_unit_test(a_head_is_taken_at_its_limits),
        cmocka_unit_test(what_a_session_continues_is_said_by_two_members),
        cmocka_unit_test(the_quick_way_knows_heads_as_they_are_written_and_no_others),
        cmocka_unit_test(a_journal_begins_with_what_is_held),
        cmocka_unit_test(a_first_line_that_is_not_whole_is_no_journal),
        cmocka_unit_test(a_head_that_was_cut_off_is_told_as_that),
        cmocka_unit_test(past_damage_each_lost_record_is_counted),
        cmocka_unit_test(a_journal_without_end_is_refused),
        cmocka_unit_test(nothing_is_let_go_of_without_harm),
    };
    return cmocka_run_group_tests(tests, prepare, NULL);
}
