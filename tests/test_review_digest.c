/* SPDX-License-Identifier: MIT */
/*
 * Digests of journals and packed reviews, as they lie in an index on the disk: cut, changed or not
 * theirs at all they are refused, never read past their end, and a whole one comes back as it was.
 * derived: review.h: HF_E_DATA for bytes that are no digest.
 */
#include "check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/pairing.h>
#include <holdfast/random.h>

#include "scratch.h"
#include "scripted.h"

static unsigned char *digest, *packed;
static size_t digest_length, packed_length;

static int prepare(void **state)
{
    (void)state;
    static const struct scripted cues[] = {
        {1, 1, 31}, {2, 0, 44}, {3, -1, 0}, {1, 1, 7}, {6, 0, 99}};
    static struct text text;
    struct hf_review_reader *reader = NULL;
    struct hf_review review;
    const void *bytes;
    void *all;
    write_script(&text, "2026-11-25T08:39:17+00:00", "Monday", 0, cues, 5, true);
    assert_ok(hf_review_reader_new(&reader, NULL));
    hf_review_reader_begin(reader);
    for (const char *at = text.bytes, *end; (end = strchr(at, '\n')); at = end + 1)
        assert_ok(hf_review_reader_line(reader, at, (size_t)(end - at), NULL));
    assert_ok(hf_review_reader_end(reader, &bytes, &digest_length, NULL));
    digest = malloc(digest_length);
    assert_non_null(digest);
    memcpy(digest, bytes, digest_length);
    hf_review_reader_free(reader);
    hf_review_init(&review);
    assert_ok(hf_review_add(&review, digest, digest_length, false, NULL));
    hf_review_finish(&review);
    assert_ok(hf_review_pack(&review, &all, &packed_length, NULL));
    packed = all;
    hf_review_deinit(&review);
    return 0;
}

static int tidy(void **state)
{
    (void)state;
    free(digest);
    free(packed);
    return 0;
}

/* From a copy that ends where the bytes end, so that a sanitizer sees any step past it. */
static enum hf_status add(const unsigned char *bytes, size_t length, bool came_again)
{
    struct hf_review review;
    unsigned char *copy = malloc(length ? length : 1);
    assert_non_null(copy);
    memcpy(copy, bytes, length);
    hf_review_init(&review);
    enum hf_status status = hf_review_add(&review, copy, length, came_again, NULL);
    hf_review_deinit(&review);
    free(copy);
    return status;
}

static enum hf_status unpack(const unsigned char *bytes, size_t length)
{
    struct hf_review review;
    unsigned char *copy = malloc(length ? length : 1);
    assert_non_null(copy);
    memcpy(copy, bytes, length);
    hf_review_init(&review);
    enum hf_status status = hf_review_unpack(&review, copy, length, NULL);
    hf_review_deinit(&review);
    free(copy);
    return status;
}

static void a_digest_cut_anywhere_is_none(void **state)
{
    (void)state;
    unsigned char *longer = calloc(1, digest_length + 1);
    assert_non_null(longer);
    memcpy(longer, digest, digest_length);
    assert_ok(add(digest, digest_length, false));
    for (size_t cut = 0; cut < digest_length; cut++)
        assert_int_equal(add(digest, cut, false), HF_E_DATA);
    assert_int_equal(add(longer, digest_length + 1, false), HF_E_DATA); /* nor one with more */
    free(longer);
}

/* What a digest says of itself stands in its first bytes: as long as they are there it is told. */
static void what_a_journal_is_about_is_told_whole_or_not(void **state)
{
    (void)state;
    struct hf_review_about whole, about;
    bool told = false;
    assert_ok(hf_review_about(digest, digest_length, &whole, NULL));
    assert_int_equal(whole.label_length, 6);
    assert_memory_equal(whole.label, "Monday", 6);
    assert_int_equal(whole.day, hf_review_day_of(2026, 11, 25));
    for (size_t cut = 0; cut <= digest_length; cut++) {
        struct hf_diag diag = {0};
        enum hf_status status = hf_review_about(digest, cut, &about, &diag);
        assert_true(status == HF_OK || status == HF_E_DATA);
        assert_true(!told || status == HF_OK); /* from some byte on always */
        told = status == HF_OK;
        if (told)
            assert_int_equal(about.day, whole.day);
        else
            assert_string_equal(diag.message,
                                "these bytes are no digest of a journal, nor of several");
    }
    assert_true(told);
}

static void a_review_comes_back_as_it_was_packed(void **state)
{
    (void)state;
    struct hf_review review;
    void *again;
    size_t length;
    hf_review_init(&review);
    assert_ok(hf_review_unpack(&review, packed, packed_length, NULL));
    assert_int_equal(review.sessions, 1);
    assert_int_equal(review.cell_count, 4); /* 1, 2, 3 and 6 of the six */
    assert_ok(hf_review_pack(&review, &again, &length, NULL));
    assert_int_equal(length, packed_length);
    assert_memory_equal(again, packed, length);
    free(again);
    hf_review_deinit(&review);
    for (size_t cut = 0; cut < packed_length; cut++)
        assert_int_equal(unpack(packed, cut), HF_E_DATA);
}

/* A number has at most ten bytes, and no more than it counts. */
static void numbers_without_end_are_refused(void **state)
{
    (void)state;
    unsigned char bytes[40];
    memset(bytes, 0xff, sizeof bytes);
    for (size_t length = 0; length <= sizeof bytes; length++) {
        assert_int_equal(add(bytes, length, false), HF_E_DATA);
        assert_int_equal(unpack(bytes, length), HF_E_DATA);
    }
}

/* Any bytes changed: refused, or read as another digest, never past the end (sanitizers watch). */
static void changed_bytes_do_no_harm(void **state)
{
    (void)state;
    struct hf_random random;
    hf_random_init(&random, 3, 1);
    for (int turn = 0; turn < 20000; turn++) {
        unsigned char copy[4096];
        const unsigned char *from = turn % 2 ? digest : packed;
        size_t length = turn % 2 ? digest_length : packed_length;
        assert_true(length <= sizeof copy);
        memcpy(copy, from, length);
        for (int i = 0; i < 1 + turn % 3; i++)
            copy[hf_random_below(&random, (uint32_t)length)] =
                (unsigned char)hf_random_below(&random, 256);
        enum hf_status status = turn % 2 ? add(copy, length, turn % 4 == 1) : unpack(copy, length);
        assert_true(status == HF_OK || status == HF_E_DATA);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_digest_cut_anywhere_is_none),
        cmocka_unit_test(what_a_journal_is_about_is_told_whole_or_not),
        cmocka_unit_test(a_review_comes_back_as_it_was_packed),
        cmocka_unit_test(numbers_without_end_are_refused),
        cmocka_unit_test(changed_bytes_do_no_harm),
    };
    return cmocka_run_group_tests(tests, prepare, tidy);
}
