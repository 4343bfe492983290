/* SPDX-License-Identifier: MIT */
/*
 * The journal when memory runs out: at every request for it, jansson's too, once and from then on.
 * Reading and writing give the whole of it or HF_E_MEMORY, and leave what they were given alone.
 */
#define _XOPEN_SOURCE 700
#include "check.h"

#include <stdio.h>
#include <string.h>
#include <sys/wait.h>

#include <holdfast/journal.h>
#include <holdfast/jsonmemory.h>

#include "faults.h"

enum { MOST = 2000, LINES = 300, DONE = 10, FAILED = 11, WRONG = 12 };

/* A fork takes long under a sanitizer. */
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
enum { STEP = 7 };
#else
enum { STEP = 1 };
#endif

static char *text;        /* a journal of many lines */
static size_t head_bytes; /* its first line, with its newline */
static size_t few;        /* its first three */
static size_t length;
static struct hf_head head;

static const struct hf_record hold = {.type = HF_RECORD_HOLD,
                                      .n = 1,
                                      .pcs = 0x111,
                                      .count = 3,
                                      .notes = {48, 52, 56},
                                      .names = {"C", "E", "G#"},
                                      .strings = 3,
                                      .frets = {3, HF_SILENT, 1}};

static int prepare(void **state)
{
    (void)state;
    static struct hf_request request;
    char *line;
    size_t size;
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_SEED, "1", NULL));
    assert_ok(hf_request_resolve(&request, NULL));
    assert_ok(hf_head_init(&head, "holdfast test", "2026-11-25T08:39:17+00:00", &request,
                           "[patch]\n", "[patch]\n", NULL));
    assert_ok(hf_journal_format_head(&head, &text, &head_bytes, NULL));
    length = head_bytes;
    for (long n = 1; n < LINES; n++) {
        struct hf_record stay = {.type = HF_RECORD_STAY, .n = n, .at = 64 * n};
        assert_ok(hf_journal_format(n == 1 ? &hold : &stay, &line, &size, NULL));
        text = realloc(text, length + size + 1);
        assert_non_null(text);
        memcpy(text + length, line, size + 1);
        length += size;
        few = n == 2 ? length : few;
        free(line);
    }
    return 0;
}

static int tidy(void **state)
{
    (void)state;
    free(text);
    hf_head_deinit(&head);
    return 0;
}

/* ---- what is tried: each leaves its out-parameters alone when it fails ----------------------- */

static bool untouched(const void *bytes, size_t size)
{
    const unsigned char *byte = bytes;
    for (size_t i = 0; i < size; i++)
        if (byte[i] != 0x5a)
            return false;
    return true;
}

static enum hf_status parse_with(enum hf_status (*parse)(const char *, size_t, struct hf_journal *,
                                                         struct hf_diag *),
                                 size_t bytes, struct hf_diag *diag)
{
    struct hf_journal journal;
    memset(&journal, 0x5a, sizeof journal);
    enum hf_status status = parse(text, bytes, &journal, diag);
    if (status == HF_OK)
        hf_journal_deinit(&journal);
    else if (!untouched(&journal, sizeof journal))
        return HF_E_BUG;
    return status;
}

static enum hf_status parse_few(struct hf_diag *diag)
{
    return parse_with(hf_journal_parse, few, diag);
}

static enum hf_status parse_many(struct hf_diag *diag)
{
    return parse_with(hf_journal_parse, length, diag);
}

/* Want of memory is no damage: nothing is left out for it. */
static enum hf_status salvage_many(struct hf_diag *diag)
{
    return parse_with(hf_journal_salvage, length, diag);
}

static enum hf_status read_head(struct hf_diag *diag)
{
    struct hf_head read;
    memset(&read, 0x5a, sizeof read);
    enum hf_status status = hf_journal_read_line(text, head_bytes - 1, 0, &read, NULL, diag);
    if (status == HF_OK)
        hf_head_deinit(&read);
    else if (!untouched(&read, sizeof read))
        return HF_E_BUG;
    return status;
}

static enum hf_status write_head(struct hf_diag *diag)
{
    char *line = NULL;
    size_t size = 0;
    enum hf_status status = hf_journal_format_head(&head, &line, &size, diag);
    bool same = status == HF_OK && size == head_bytes && memcmp(line, text, size) == 0;
    bool none = status != HF_OK && !line && size == 0;
    free(line);
    return same || none ? status : HF_E_BUG;
}

static enum hf_status write_record(struct hf_diag *diag)
{
    char *line = NULL;
    size_t size = 0;
    enum hf_status status = hf_journal_format(&hold, &line, &size, diag);
    bool same = status == HF_OK && memcmp(line, text + head_bytes, size) == 0;
    bool none = status != HF_OK && !line && size == 0;
    free(line);
    return same || none ? status : HF_E_BUG;
}

/* ---- at every point -------------------------------------------------------------------------- */

/* DONE: none was struck, and all went well. FAILED: one was, and it was told as it should. */
static int outcome(enum hf_status (*run)(struct hf_diag *), long nth, bool stay)
{
    struct hf_diag diag = {0};
    faults_arm(true, nth, stay, 0);
    enum hf_status status = run(&diag);
    long struck = faults_end();
    if (struck == 0)
        return status == HF_OK ? DONE : WRONG;
    return status == HF_E_MEMORY && strcmp(diag.message, "out of memory") == 0 ? FAILED : WRONG;
}

static long fail_each_point(enum hf_status (*run)(struct hf_diag *), bool stay)
{
    for (long nth = 1; nth < MOST; nth++) {
        int was = outcome(run, nth, stay);
        assert_int_not_equal(was, WRONG);
        if (was == DONE)
            return nth - 1;
    }
    fail();
    return 0;
}

static void a_journal_is_read_whole_or_not_at_all(void **state)
{
    (void)state;
    for (int stay = 0; stay < 2; stay++) {
        /* derived: the two patches of the head, and records in 64, 128, 256 and 512 places */
        assert_int_equal(fail_each_point(parse_many, stay), 2 + 4);
        assert_int_equal(fail_each_point(salvage_many, stay), 2 + 4);
        assert_int_equal(fail_each_point(read_head, stay), 2);
        assert_int_equal(fail_each_point(write_head, stay), 1); /* its line */
    }
}

/* jansson's failures are kept for the process, so each is tried in one of its own. */
static int outcome_apart(enum hf_status (*run)(struct hf_diag *), long nth, bool stay)
{
    fflush(NULL);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        hf_jsonmemory_watch();
        int was = outcome(run, nth, stay);
        /* Afterwards nothing is read or written any more. */
        struct hf_diag diag = {0};
        bool after = was != FAILED || !hf_jsonmemory_failed() ||
                     (parse_few(&diag) == HF_E_MEMORY && write_record(&diag) == HF_E_MEMORY);
        exit(after ? was : WRONG);
    }
    int status = 0;
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    return WEXITSTATUS(status);
}

static void no_failure_of_the_json_library_goes_unnoticed(void **state)
{
    (void)state;
    static const struct {
        enum hf_status (*run)(struct hf_diag *);
        bool stay;
    } rows[] = {{parse_few, false}, {read_head, true}, {write_head, false}, {write_record, true}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        long nth = 1;
        int was = FAILED;
        for (; nth < MOST && was == FAILED; nth += STEP)
            was = outcome_apart(rows[i].run, nth, rows[i].stay);
        assert_int_equal(was, DONE);

        assert_true(nth > 20); /* the library's own were among them */
    }
}

/* A text far longer than any record, for which not enough is set aside: given up, not overrun. */
static enum hf_status load_numbers(struct hf_diag *diag)
{
    enum { NUMBERS = 2 << 20 };
    static char numbers[2 * NUMBERS + 1];
    for (size_t i = 0; i < NUMBERS; i++)
        memcpy(numbers + 1 + 2 * i, "7,", 2);
    numbers[0] = '[';
    numbers[2 * NUMBERS] = ']';
    json_t *object = hf_jsonmemory_load(numbers, sizeof numbers, 0);
    enum hf_status status = object ? HF_OK : hf_fail(diag, HF_E_MEMORY, "out of memory");
    json_decref(object);
    return status;
}

static void what_no_reserve_is_enough_for_is_given_up(void **state)
{
    (void)state;
    assert_int_equal(outcome_apart(load_numbers, MOST * MOST * 2, true), DONE);
    assert_int_equal(outcome_apart(load_numbers, 2, true), FAILED);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_journal_is_read_whole_or_not_at_all),
        cmocka_unit_test(no_failure_of_the_json_library_goes_unnoticed),
        cmocka_unit_test(what_no_reserve_is_enough_for_is_given_up),
    };
    return cmocka_run_group_tests(tests, prepare, tidy);
}
