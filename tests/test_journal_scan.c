/* SPDX-License-Identifier: MIT */
/*
 * The quick reader of journal lines beside the strict one (derived: where it says yes, both give
 * the same record), on lines of random sessions, whole and damaged.
 */
#define _GNU_SOURCE /* memmem */
#include "virtual.h"

#include <stdio.h>

#include <holdfast/journal_scan.h>
#include <holdfast/random.h>

#include "sessions.h"

static struct hf_crc32_tables tables;
/* Compares all that the records say, byte for byte: both begin as zeros. */
static void compare(const char *line, size_t length, long n, bool expected)
{
    struct hf_record quick, strict;
    bool known = hf_journal_scan(&tables, line, length, n, &quick);
    if (expected && !known)
        fail_msg("not known: %.*s", (int)length, line);
    if (!known)
        return;
    struct hf_diag diag;
    if (hf_journal_read_line(line, length, n, NULL, &strict, &diag) != HF_OK)
        fail_msg("%s, but known: %.*s", diag.message, (int)length, line);
    if (memcmp(&quick, &strict, sizeof quick) != 0)
        fail_msg("read otherwise: %.*s", (int)length, line);
}

/* One to three bytes become others, go or come; half of the time the check sum is put right. */
static void compare_damaged(const char *line, size_t length, long n, struct hf_random *random)
{
    static const char bytes[] = "0123456789,:\"[]{}ntue-. \\cfA\x80\n";
    char changed[2048];
    assert_true(length + 8 < sizeof changed);
    memcpy(changed, line, length);
    size_t tail = 18, body = length - tail;
    for (uint32_t i = 0, times = 1 + hf_random_below(random, 3); i < times; i++) {
        size_t at = hf_random_below(random, (uint32_t)(body ? body : 1));
        char byte = bytes[hf_random_below(random, sizeof bytes - 1)];
        uint32_t how = hf_random_below(random, 3);
        if (how == 0) {
            changed[at] = byte;
        } else if (how == 1 && body > 0) {
            memmove(changed + at, changed + at + 1, body + tail - at - 1);
            body--;
        } else {
            memmove(changed + at + 1, changed + at, body + tail - at);
            changed[at] = byte;
            body++;
        }
    }
    char sum[9];
    snprintf(sum, sizeof sum, "%08x", hf_crc32(changed, body));
    if (hf_random_below(random, 8) != 0)
        memcpy(changed + body + 8, sum, 8);
    compare(changed, body + tail, n, false);
}

/* What comes by the million; others may be left to the strict reader by those who add them. */
static bool quick_type(const char *line, size_t length)
{
    static const char *const types[] = {"cue", "mark", "answer", "next", "stay", "go", "hold"};
    for (size_t i = 0; i < sizeof types / sizeof *types; i++) {
        char key[24];
        int size = snprintf(key, sizeof key, "\"t\":\"%s\"", types[i]);
        if (memmem(line, length, key, (size_t)size))
            return true;
    }
    return false;
}

static void the_quick_reader_reads_as_the_strict_one_does(void **state)
{
    (void)state;
    static struct virtual_session v;
    static struct hf_request request;
    struct hf_random random;
    hf_crc32_tables_init(&tables);
    hf_random_init(&random, 1, 9);
    long lines = 0;
    for (uint64_t seed = 0; seed < 6 * SESSION_KINDS; seed++) {
        session_request(&request, seed);
        session_play(&v, &request, "2026-11-25T08:39:17+00:00", seed, 20);
        long n = 1;
        size_t at = (size_t)((char *)memchr(v.lines, '\n', v.length) - v.lines) + 1;
        for (; at < v.length; n++, lines++) {
            const char *line = v.lines + at;
            size_t length = (size_t)((char *)memchr(line, '\n', v.length - at) - line);
            compare(line, length, n, quick_type(line, length));
            compare(line, length, n + 1, false);
            for (int i = 0; i < 20; i++)
                compare_damaged(line, length, n, &random);
            at += length + 1;
        }
        virtual_end(&v);
    }
    assert_true(lines > 500);
}

/* derived: the members of the head's line as hf_journal_format_head writes them */
static void the_opening_of_a_head_is_found(void **state)
{
    (void)state;
    static struct hf_request request;
    struct hf_head head;
    struct hf_journal_opening opening;
    char *line;
    size_t length;
    session_request(&request, 3);
    assert_ok(hf_request_set(&request, HF_OPT_LABEL, "for Monday", NULL));
    assert_ok(hf_head_init(&head, "holdfast test", "2026-11-25T08:39:17+00:00", &request,
                           "[patch]\n", "[patch]\n", NULL));
    assert_ok(hf_journal_format_head(&head, &line, &length, NULL));
    assert_true(hf_journal_scan_opening(&tables, line, length - 1, &opening));
    assert_int_equal(opening.started_length, 25);
    assert_memory_equal(opening.started, "2026-11-25T08:39:17+00:00", 25);
    assert_int_equal(opening.label_length, 10);
    assert_memory_equal(opening.label, "for Monday", 10);
    assert_int_equal(opening.rate_hz, 8000);
    assert_memory_equal(line + opening.rest, ",\"request\":{", 12);
    line[20] ^= 1;
    assert_false(hf_journal_scan_opening(&tables, line, length - 1, &opening));
    free(line);
    hf_head_deinit(&head);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_quick_reader_reads_as_the_strict_one_does),
        cmocka_unit_test(the_opening_of_a_head_is_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
