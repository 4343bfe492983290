/* SPDX-License-Identifier: MIT */
/*
 * The quick reader of journal lines beside the strict one (derived: where it says yes, both give
 * the same record), on lines of random sessions, whole and damaged.
 */
#define _GNU_SOURCE /* memmem */
#include "virtual.h"

#include <stdio.h>

#include <holdfast/instrumentfile.h>
#include <holdfast/journal_scan.h>
#include <holdfast/random.h>

static struct hf_crc32_tables tables;
static struct hf_schedule schedule; /* large */

/* Plays a session with random keys on a virtual clock; its records' lines are in `v`. */
static void play(struct virtual_session *v, struct hf_request *request, uint64_t seed)
{
    static struct hf_conductor conductor;
    static struct hf_report late[100000];
    struct hf_random random;
    int count = 0;
    hf_random_init(&random, seed, 5);
    assert_ok(hf_schedule_init(&schedule, request, NULL));
    assert_ok(hf_conductor_init(&conductor, request, &schedule, NULL));
    virtual_begin(v, hf_conductor_source(&conductor), request->rate_hz);
    virtual_tend(v);
    while (!hf_transport_done(&v->transport)) {
        virtual_chunk(v, late, &count);
        if (hf_random_below(&random, 40) == 0) {
            enum hf_key key = (enum hf_key)hf_random_below(&random, HF_KEY_MISSED + 1);
            enum hf_status status =
                hf_conductor_key(&conductor, key, v->transport.now, &(struct hf_diag){0});
            assert_true(status == HF_OK || status == HF_E_USAGE);
        }
        virtual_tend(v);
        virtual_reports(v, late, &count);
    }
    virtual_tend(v);
    hf_conductor_deinit(&conductor);
    hf_schedule_deinit(&schedule);
}

static void request_of(struct hf_request *request, uint64_t seed)
{
    static const char *const ways[] = {"lead", "confirm", "silent", "ear", "gap", "reverse"};
    char number[24];
    snprintf(number, sizeof number, "%d", (int)seed);
    hf_request_init(request);
    assert_ok(hf_request_set(request, HF_OPT_SEED, number, NULL));
    assert_ok(hf_request_set(request, HF_OPT_RATE, "8000", NULL));
    assert_ok(hf_request_set(request, HF_OPT_LEAD_IN, "0.3s", NULL));
    assert_ok(hf_request_set(request, HF_OPT_CUE, ways[seed % 6], NULL));
    const char *every = seed % 5 == 4 ? "wait" : seed % 6 == 5 ? "4s" : "0.5s";
    assert_ok(hf_request_set(request, HF_OPT_EVERY, every, NULL));
    if (seed % 6 != 5 && seed % 7 == 0) {
        const char *text = hf_instrumentfile_find_builtin("guitar");
        struct hf_fretboard guitar;
        assert_ok(hf_request_set(request, HF_OPT_HAND, "guitar", NULL));
        assert_ok(hf_instrumentfile_parse(text, strlen(text), "guitar", "guitar", &guitar, NULL));
        hf_request_take_board(request, &guitar);
    }
    assert_ok(hf_request_resolve(request, NULL));
}

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

static bool quick_type(const char *line, size_t length)
{
    /* the end comes once; the others may be left to the strict reader by those who add them */
    return !memmem(line, length, "\"t\":\"end\"", 9);
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
    for (uint64_t seed = 0; seed < 60; seed++) {
        request_of(&request, seed);
        play(&v, &request, seed);
        long n = 1;
        for (size_t at = 0; at < v.length; n++, lines++) {
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
    request_of(&request, 3);
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
