/* SPDX-License-Identifier: MIT */
/* How a paragraph is broken into lines. Every expected text is derived by hand from the rule: the
 * last blank that fits, else the last joint, else the middle of a word; no blanks at an end. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <holdfast/paragraph.h>

#define TEN "123456789 "
#define NINETEEN "1234567890123456789 "

static char written[8192];

static void writes(const struct hf_paragraph *p, const char *expected)
{
    FILE *file = tmpfile();
    assert_non_null(file);
    hf_paragraph_write(p, file);
    rewind(file);
    written[fread(written, 1, sizeof written - 1, file)] = '\0';
    fclose(file);
    assert_string_equal(written, expected);
}

static void eighty_columns_fit_and_eighty_one_do_not(void **state)
{
    (void)state;
    struct hf_paragraph p;
    hf_paragraph_begin(&p, 0, "");
    hf_paragraph_add(&p, TEN TEN TEN TEN TEN TEN TEN "1234567890");
    writes(&p, TEN TEN TEN TEN TEN TEN TEN "1234567890\n");
    hf_paragraph_add(&p, "1");
    writes(&p, TEN TEN TEN TEN TEN TEN "123456789\n12345678901\n");
}

static void words_stand_beside_their_label(void **state)
{
    (void)state;
    struct hf_paragraph p;
    hf_paragraph_begin(&p, 20, "a long label");
    hf_paragraph_add(&p, TEN TEN TEN TEN TEN TEN "one more");
    writes(&p, "a long label        " TEN TEN TEN TEN TEN "123456789\n"
               "                    one more\n");
    hf_paragraph_begin(&p, 4, "label");
    hf_paragraph_add(&p, "word");
    writes(&p, "label word\n");
    hf_paragraph_begin(&p, 10, "label");
    writes(&p, "label\n");
    hf_paragraph_hang(&p, 2, 6);
    hf_paragraph_add(&p, NINETEEN NINETEEN NINETEEN "1234567890123456789");
    writes(&p, "  " NINETEEN NINETEEN "1234567890123456789\n      1234567890123456789\n");
}

static void what_belongs_together_moves_to_the_next_line(void **state)
{
    (void)state;
    struct hf_paragraph p;
    hf_paragraph_begin(&p, 10, "Notes");
    hf_paragraph_add(&p, TEN TEN TEN TEN TEN TEN);
    hf_paragraph_add_whole(&p, "C E G# + C# D G");
    hf_paragraph_add(&p, " end");
    writes(&p, "Notes     " TEN TEN TEN TEN TEN "123456789\n          C E G# + C# D G end\n");
}

static void what_is_too_wide_is_broken_where_it_can_be(void **state)
{
    (void)state;
    struct hf_paragraph p;
    hf_paragraph_begin(&p, 20, "L");
    hf_paragraph_add_whole(&p, TEN TEN TEN TEN TEN TEN TEN "end");
    writes(&p, "L                   " TEN TEN TEN TEN TEN "123456789\n"
               "                    123456789 end\n");
    hf_paragraph_begin(&p, 70, "L");
    hf_paragraph_add(&p, "12345678901234");
    writes(&p, "L\n"
               "                                                                      1234567890\n"
               "                                                                      1234\n");
}

static void no_line_ends_in_blanks(void **state)
{
    (void)state;
    struct hf_paragraph p;
    hf_paragraph_begin(&p, 0, "");
    hf_paragraph_add(&p, TEN TEN TEN TEN TEN TEN TEN "1234567890    ");
    hf_paragraph_add_whole(&p, "end   ");
    writes(&p, TEN TEN TEN TEN TEN TEN TEN "1234567890\nend\n");
    hf_paragraph_begin(&p, 6, "");
    writes(&p, "\n");
    hf_paragraph_begin(&p, 0, "");
    hf_paragraph_add(&p, "  1   2    3  ");
    writes(&p, "  1   2    3\n");
}

/* A code point is one column, and none is cut: eighty of two bytes fit. */
static void code_points_are_counted(void **state)
{
    (void)state;
    struct hf_paragraph p;
    char expected[256] = "";
    hf_paragraph_begin(&p, 0, "");
    for (int i = 0; i < 81; i++)
        hf_paragraph_add(&p, "\u00e4");
    for (int i = 0; i < 81; i++)
        strncat(expected, i == 80 ? "\n\u00e4" : "\u00e4", 4);
    strncat(expected, "\n", 2);
    writes(&p, expected);
}

static void what_is_too_long_is_cut(void **state)
{
    (void)state;
    struct hf_paragraph p;
    hf_paragraph_begin(&p, 0, "");
    for (int i = 0; i < 1000; i++)
        hf_paragraph_add(&p, "%s", TEN);
    assert_int_equal(p.length, HF_PARAGRAPH_TEXT - 1);
    assert_int_equal(strlen(p.text), HF_PARAGRAPH_TEXT - 1);
    hf_paragraph_begin(&p, 1000, "");
    assert_int_equal(p.indent, HF_PARAGRAPH_INDENT);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(eighty_columns_fit_and_eighty_one_do_not),
        cmocka_unit_test(words_stand_beside_their_label),
        cmocka_unit_test(what_belongs_together_moves_to_the_next_line),
        cmocka_unit_test(what_is_too_wide_is_broken_where_it_can_be),
        cmocka_unit_test(no_line_ends_in_blanks),
        cmocka_unit_test(code_points_are_counted),
        cmocka_unit_test(what_is_too_long_is_cut),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
