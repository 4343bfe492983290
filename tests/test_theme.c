/* SPDX-License-Identifier: MIT */
/* Colours by the contrast ratio of WCAG 2.2 (the definition: (L1 + 0.05) / (L2 + 0.05), L the
 * relative luminance of sRGB). The values of the palette are those of xterm. */
#include <math.h>
#include <stdbool.h>

#include "check.h"

#include "../src/cli/theme.h"

struct rgb {
    int of[3];
};

/* published: xterm, 256colres.pl (a cube of six levels, a ramp of greys) and its first eight. */
static struct rgb xterm(int number)
{
    static const struct rgb first[8] = {{{0, 0, 0}},     {{205, 0, 0}},    {{0, 205, 0}},
                                        {{205, 205, 0}}, {{0, 0, 238}},    {{205, 0, 205}},
                                        {{0, 205, 205}}, {{229, 229, 229}}};
    static const int levels[] = {0, 95, 135, 175, 215, 255};
    if (number < 8)
        return first[number];
    if (number >= 232)
        return (struct rgb){
            {8 + 10 * (number - 232), 8 + 10 * (number - 232), 8 + 10 * (number - 232)}};
    int place = number - 16;
    return (struct rgb){{levels[place / 36], levels[place / 6 % 6], levels[place % 6]}};
}

static double luminance(struct rgb colour)
{
    static const double weights[] = {0.2126, 0.7152, 0.0722};
    double sum = 0;
    for (int i = 0; i < 3; i++) {
        double c = colour.of[i] / 255.0;
        sum += weights[i] * (c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4));
    }
    return sum;
}

static double contrast(struct rgb a, struct rgb b)
{
    double first = luminance(a), second = luminance(b);
    return (fmax(first, second) + 0.05) / (fmin(first, second) + 0.05);
}

static void the_formula_gives_what_is_published(void **state)
{
    (void)state;
    /* published: WCAG 2.2, "contrast ratio" (from 1 to 21); Deque University, "Check Text and
     * Background for Sufficient Color Contrast", its four examples */
    static const struct {
        struct rgb one, other;
        double ratio;
    } rows[] = {{{{255, 255, 255}}, {{255, 255, 255}}, 1},  {{{0, 0, 0}}, {{255, 255, 255}}, 21},
                {{{0, 0, 0}}, {{255, 255, 0}}, 19.56},      {{{0, 0, 255}}, {{255, 165, 0}}, 4.35},
                {{{255, 255, 255}}, {{128, 0, 128}}, 9.42}, {{{0, 128, 0}}, {{255, 0, 0}}, 1.28}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_true(fabs(contrast(rows[i].one, rows[i].other) - rows[i].ratio) <= 0.01);
}

static void every_style_has_four_and_a_half_to_one(void **state)
{
    (void)state;
    static const int terminals[] = {8, 16, 88, 256, 1 << 24};
    for (int theme = THEME_DARK; theme <= THEME_LIGHT; theme++)
        for (size_t i = 0; i < sizeof terminals / sizeof terminals[0]; i++) {
            const struct theme_colours *c = theme_colours((enum theme)theme, terminals[i]);
            assert_false(c->own);
            for (int style = 0; style < GRID_STYLES; style++)
                assert_true(contrast(xterm(c->of[style]), xterm(c->ground)) >= 4.5);
        }
}

static void there_are_at_most_eight_colours(void **state)
{
    (void)state;
    assert_true(GRID_STYLES <= 8); /* the limit; one colour a style */
}

static void without_colours_it_is_mono(void **state)
{
    (void)state;
    assert_true(theme_colours(THEME_DARK, 0)->own);
    assert_true(theme_colours(THEME_LIGHT, -1)->own); /* terminfo's word for none */
    assert_true(theme_colours(THEME_MONO, 256)->own);
}

static void themes_have_names(void **state)
{
    (void)state;
    enum theme theme = THEME_MONO;
    assert_true(theme_parse("light", &theme));
    assert_int_equal(theme, THEME_LIGHT);
    assert_true(theme_parse("dark", &theme));
    assert_int_equal(theme, THEME_DARK);
    assert_false(theme_parse("Dark", &theme));
    assert_int_equal(theme, THEME_DARK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_formula_gives_what_is_published),
        cmocka_unit_test(every_style_has_four_and_a_half_to_one),
        cmocka_unit_test(there_are_at_most_eight_colours),
        cmocka_unit_test(without_colours_it_is_mono),
        cmocka_unit_test(themes_have_names),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
