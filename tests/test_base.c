/* SPDX-License-Identifier: MIT */
/* The small things that the rest stands on: numbers, check sum, random, text, ring, statuses. */
#include "check.h"

#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/crc32.h>
#include <holdfast/number.h>
#include <holdfast/random.h>
#include <holdfast/ring.h>
#include <holdfast/text.h>

static void the_check_sum_has_its_check_value(void **state)
{
    (void)state;
    /* published: CRC-32 (IEEE 802.3), the check value of the usual catalogues of CRCs */
    assert_int_equal(hf_crc32("123456789", 9), 0xcbf43926u);
    assert_int_equal(hf_crc32("", 0), 0);
}

static void the_sliced_check_sum_is_the_same(void **state)
{
    (void)state;
    static struct hf_crc32_tables tables;
    unsigned char bytes[100];
    hf_crc32_tables_init(&tables);
    assert_int_equal(hf_crc32_sliced(&tables, "123456789", 9),
                     0xcbf43926u); /* published: as above */
    for (size_t i = 0; i < sizeof bytes; i++)
        bytes[i] = (unsigned char)(i * 37 + (i >> 3));
    for (size_t from = 0; from < 17; from++) /* every length and alignment about a slice */
        for (size_t length = 0; from + length <= sizeof bytes; length++)
            assert_int_equal(hf_crc32_sliced(&tables, bytes + from, length),
                             hf_crc32(bytes + from, length));
}

static enum hf_number_fault real(const char *text, double *out)
{
    return hf_number_real(text, strlen(text), -1e30, 1e30, out);
}

static void a_real_is_the_double_nearest_to_its_text(void **state)
{
    (void)state;
    static const char *const texts[] = {"0",
                                        "1",
                                        "-2.5",
                                        "0.1",
                                        "1.5e-6",
                                        "440",
                                        "0.0003",
                                        "1e22",
                                        "123456789012345",
                                        "5e-22",
                                        "0.30000000000000",
                                        ".5",
                                        "7.",
                                        "+3",
                                        "1E3",
                                        "-0.1e2",
                                        "100000000000000000000"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        double value = -1;
        assert_int_equal(real(texts[i], &value), HF_NUMBER_FINE);
        /* independent: strtod of the C library, in the C locale, rounds correctly (glibc) */
        assert_true(value == strtod(texts[i], NULL));
    }
    for (int i = 0; i < 200000; i++) { /* every thousandth of 200, and its neighbours in text */
        char text[32];
        double value = -1;
        snprintf(text, sizeof text, "%d.%03d", i / 1000, i % 1000);
        assert_int_equal(real(text, &value), HF_NUMBER_FINE);
        assert_true(value == strtod(text, NULL));
    }
}

static void what_is_no_number_is_refused(void **state)
{
    (void)state;
    static const char *const texts[] = {"",     ".",     "-",     "e5",       "inf",  "nan",
                                        "0x10", "1,5",   "1 ",    " 1",       "1e",   "1e+",
                                        "--1",  "1.2.3", "1e1e1", "infinity", "1e5.5"};
    double value = 42;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        assert_int_equal(real(texts[i], &value), HF_NUMBER_MALFORMED);
    assert_int_equal(real("1e999", &value), HF_NUMBER_RANGE);
    assert_int_equal(real("1e9999", &value), HF_NUMBER_RANGE);
    assert_int_equal(real("1e-23", &value), HF_NUMBER_RANGE);
    assert_int_equal(real("1234567890123456", &value), HF_NUMBER_DIGITS);
    assert_int_equal(hf_number_real("5", 1, 6, 7, &value), HF_NUMBER_RANGE);
    assert_int_equal(hf_number_real("7.1", 3, 6, 7, &value), HF_NUMBER_RANGE);
    assert_true(value == 42); /* untouched */
}

static void whole_numbers_keep_to_their_range(void **state)
{
    (void)state;
    long value = 42;
    uint64_t large = 42;
    assert_int_equal(hf_number_whole("-7", 2, -7, 7, &value), HF_NUMBER_FINE);
    assert_int_equal(value, -7);
    assert_int_equal(hf_number_whole("8", 1, -7, 7, &value), HF_NUMBER_RANGE);
    assert_int_equal(hf_number_whole("99999999999999999999", 20, -7, 7, &value), HF_NUMBER_RANGE);
    assert_int_equal(hf_number_whole("2147483648", 10, -7, LONG_MAX, &value), HF_NUMBER_RANGE);
    assert_int_equal(hf_number_whole("1.0", 3, -7, 7, &value), HF_NUMBER_MALFORMED);
    assert_int_equal(value, -7);
    assert_int_equal(hf_number_u64("18446744073709551615", 20, &large), HF_NUMBER_FINE);
    assert_true(large == UINT64_MAX);
    assert_int_equal(hf_number_u64("18446744073709551616", 20, &large), HF_NUMBER_RANGE);
    assert_int_equal(hf_number_u64("-1", 2, &large), HF_NUMBER_MALFORMED);
    assert_int_equal(hf_number_u64("", 0, &large), HF_NUMBER_MALFORMED);
}

static void a_check_sum_in_text_is_eight_digits_in_lower_case(void **state)
{
    (void)state;
    static const char *const bad[] = {"",          "0123456",  "012345678", "0123456g",
                                      "0123456F",  " 1234567", "0x123456",  "-1234567",
                                      "0123456\n", "0123456:", "0123456/",  "0123456`"};
    uint32_t value = 42;
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        assert_false(hf_number_hex32(bad[i], &value));
    assert_false(hf_number_hex32(NULL, &value));
    assert_int_equal(value, 42); /* untouched */
    for (int i = 0; i < 1000; i++) {
        char text[9];
        uint32_t number = (uint32_t)i * 4294967u;
        snprintf(text, sizeof text, "%08x", number); /* independent: the C library's */
        assert_true(hf_number_hex32(text, &value));
        assert_int_equal(value, number);
    }
}

static void random_numbers_are_those_of_the_published_generator(void **state)
{
    (void)state;
    /* published: the demonstration program of the PCG basic C library (M. E. O'Neill,
     * pcg-random.org) prints these first for the seeds 42 and 54; value from memory */
    static const uint32_t expected[] = {0xa15c02b7, 0x7b47f409, 0xba1d3330,
                                        0x83d2f293, 0xbfa4784b, 0xcbed606e};
    struct hf_random random;
    hf_random_init(&random, 42, 54);
    for (size_t i = 0; i < sizeof expected / sizeof expected[0]; i++)
        assert_int_equal(hf_random_next(&random), expected[i]);
}

static void a_bounded_draw_is_uniform(void **state)
{
    (void)state;
    enum { BOUND = 6, DRAWS = 600000 };
    struct hf_random random;
    double count[BOUND] = {0}, chi = 0;
    hf_random_init(&random, 1, HF_STREAM_SCHEDULE);
    for (int i = 0; i < DRAWS; i++)
        count[hf_random_below(&random, BOUND)]++;
    for (int i = 0; i < BOUND; i++)
        chi += (count[i] - DRAWS / BOUND) * (count[i] - DRAWS / BOUND) / (DRAWS / BOUND);
    /* published: chi-squared with 5 degrees of freedom exceeds 20.515 once in a thousand */
    assert_true(chi < 20.515);
    assert_int_equal(hf_random_below(&random, 1), 0);
    /* Below three quarters of all 32-bit numbers: the rest, taken modulo, would fall on the first
     * third. chi-squared with 2 degrees of freedom exceeds 13.816 once in a thousand (published).
     */
    double third[3] = {0}, skew = 0;
    for (int i = 0; i < 60000; i++)
        third[hf_random_below(&random, 3u << 30) >> 30]++;
    for (int i = 0; i < 3; i++)
        skew += (third[i] - 20000) * (third[i] - 20000) / 20000;
    assert_true(skew < 13.816);
    for (int i = 0; i < 1000; i++) {
        float unit = hf_random_unit(&random);
        assert_true(unit >= 0 && unit < 1);
    }
}

static void utf8_is_told_from_what_is_not(void **state)
{
    (void)state;
    /* published: Unicode 15, table 3-7 */
    static const char *const good[] = {
        "", "C\xe2\x99\xaf", "\xc2\x80", "\xf0\x90\x80\x80", "\xf4\x8f\xbf\xbf", "\xed\x9f\xbf"};
    static const char *const bad[] = {
        "\x80",         "\xc0\x80",         "\xc1\xbf",         "\xe0\x9f\xbf",
        "\xed\xa0\x80", "\xf0\x8f\xbf\xbf", "\xf4\x90\x80\x80", "\xe2\x99",
        "\xff"};
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++)
        assert_true(hf_text_is_utf8(good[i], strlen(good[i])));
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        assert_false(hf_text_is_utf8(bad[i], strlen(bad[i])));
    assert_true(hf_text_is_plain("a\tb\n", 4, "\t\n"));
    assert_false(hf_text_is_plain("a\tb", 3, ""));
    assert_false(hf_text_is_plain("a\0b", 3, ""));
    assert_false(hf_text_is_plain("\033[2J", 4, "\n"));
    assert_false(hf_text_is_plain("\xc2\x9b", 2, "")); /* C1: control sequence introducer */
    assert_true(hf_text_is_plain("\xc2\xa0", 2, ""));  /* the first behind C1 */
    assert_true(hf_text_is_plain("\xc2", 1, ""));      /* its second byte is not looked for */
    assert_true(hf_text_is_plain("\xc2\x7e", 2, ""));
    assert_false(hf_text_is_plain("\x7f", 1, "\t"));
}

/* Every sequence of up to three bytes of the classes of table 3-7, and their neighbours. */
static void what_goes_to_a_terminal_is_text_and_no_command(void **state)
{
    (void)state;
    static const unsigned char bytes[] = {0x01, 0x1b, 0x1f, 0x20, 0x41, 0x7e, 0x7f, 0x80,
                                          0x9b, 0x9f, 0xa0, 0xbf, 0xc1, 0xc2, 0xc3, 0xdf,
                                          0xe0, 0xe2, 0xed, 0xef, 0xf0, 0xf4, 0xf5, 0xff};
    enum { KINDS = sizeof bytes };
    for (int i = 0; i < KINDS * KINDS * KINDS; i++) {
        char text[4] = {(char)bytes[i % KINDS], (char)bytes[i / KINDS % KINDS],
                        (char)bytes[i / KINDS / KINDS], 0};
        char was[4];
        memcpy(was, text, sizeof was);
        hf_text_disarm(text);
        assert_int_equal(strlen(text), 3);
        assert_true(hf_text_is_utf8(text, 3));
        assert_true(hf_text_is_plain(text, 3, ""));
        if (hf_text_is_utf8(was, 3) && hf_text_is_plain(was, 3, ""))
            assert_string_equal(text, was); /* what may stand stands */
    }
    char mixed[] = "caf\xc3\xa9 \xc2\xa0 \xc2\x9b[2J \x7f";
    hf_text_disarm(mixed);
    assert_string_equal(mixed, "caf\xc3\xa9 \xc2\xa0 ??[2J ?");
}

static void a_ring_gives_back_what_it_took_in_order(void **state)
{
    (void)state;
    int storage[4], out = 0;
    struct hf_ring ring;
    hf_ring_init(&ring, storage, sizeof storage[0], 4);
    assert_false(hf_ring_pop(&ring, &out));
    for (int round = 0; round < 1000; round++) { /* wraps many times */
        for (int i = 0; i < 4; i++)
            assert_true(hf_ring_push(&ring, &(int){round * 4 + i}));
        assert_int_equal(hf_ring_space(&ring), 0);
        assert_false(hf_ring_push(&ring, &out));
        assert_true(hf_ring_peek(&ring, &out));
        assert_int_equal(out, round * 4);
        for (int i = 0; i < 4; i++) {
            assert_true(hf_ring_pop(&ring, &out));
            assert_int_equal(out, round * 4 + i);
        }
    }
}

/* published: the contract's exit statuses, which are those of sysexits.h */
static void every_status_has_its_exit_and_its_words(void **state)
{
    (void)state;
    static const struct {
        enum hf_status status;
        int exit;
        const char *words;
    } rows[] = {{HF_OK, 0, "done"},
                {HF_E_USAGE, 64, "wrong use"},
                {HF_E_DATA, 65, "bad content in a file"},
                {HF_E_INPUT, 66, "cannot read"},
                {HF_E_DEVICE, 69, "no sound output, or not at that rate"},
                {HF_E_BUG, 70, "a fault of the program"},
                {HF_E_MEMORY, 70, "out of memory"},
                {HF_E_CREATE, 73, "cannot create"},
                {HF_E_IO, 74, "input or output error"},
                {HF_E_LOST, 75, "the sound output went away"},
                {(enum hf_status)(HF_E_LOST + 1), 70, "unknown status"}}; /* a fault of ours */
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_int_equal(hf_status_exit(rows[i].status), rows[i].exit);
        assert_string_equal(hf_status_text(rows[i].status), rows[i].words);
    }
}

static void a_message_can_not_command_a_terminal(void **state)
{
    (void)state;
    struct hf_diag diag;
    assert_int_equal(hf_fail(&diag, HF_E_DATA, "bad \033[31mword\n"), HF_E_DATA);
    assert_string_equal(diag.message, "bad ?[31mword?");
    assert_string_equal(diag.advice, "");
    assert_int_equal(hf_fail(NULL, HF_E_IO, "x"), HF_E_IO);
    hf_advise(&diag, "type \033[31m%d", 2);
    assert_string_equal(diag.advice, "type ?[31m2");
    assert_string_equal(diag.message, "bad ?[31mword?");
    hf_advise(NULL, "nobody asks");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_check_sum_has_its_check_value),
        cmocka_unit_test(the_sliced_check_sum_is_the_same),
        cmocka_unit_test(a_real_is_the_double_nearest_to_its_text),
        cmocka_unit_test(what_is_no_number_is_refused),
        cmocka_unit_test(whole_numbers_keep_to_their_range),
        cmocka_unit_test(a_check_sum_in_text_is_eight_digits_in_lower_case),
        cmocka_unit_test(random_numbers_are_those_of_the_published_generator),
        cmocka_unit_test(a_bounded_draw_is_uniform),
        cmocka_unit_test(utf8_is_told_from_what_is_not),
        cmocka_unit_test(what_goes_to_a_terminal_is_text_and_no_command),
        cmocka_unit_test(a_ring_gives_back_what_it_took_in_order),
        cmocka_unit_test(every_status_has_its_exit_and_its_words),
        cmocka_unit_test(a_message_can_not_command_a_terminal),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
