/* SPDX-License-Identifier: MIT */
/* Every mistake a patch file can hold is named with its place; what ships is read without one. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <holdfast/builtin.h>
#include <holdfast/inifile.h>
#include <holdfast/patchfile.h>

#define DRONE "[patch]\nkind = drone\nabout = a test\n"
#define STRUCK "[patch]\nkind = struck\nabout = a test\n"
#define COUNT "[partials]\ncount = 3\n"
#define STRING "[string]\nt60_s = 2\nattack_ms = 2\n"

#define SIXTEEN "0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,"

static enum hf_status parse(const char *text, struct hf_patch *patch, struct hf_diag *diag)
{
    return hf_patchfile_parse(text, strlen(text), "my.ini", patch, diag);
}

/* A copy that ends where the text ends, so that a sanitizer sees any step past it. */
static enum hf_status parse_exactly(const char *text, size_t length, struct hf_diag *diag)
{
    struct hf_patch patch;
    char *copy = malloc(length ? length : 1);
    memcpy(copy, text, length);
    enum hf_status status = hf_patchfile_parse(copy, length, "my.ini", &patch, diag);
    free(copy);
    return status;
}

static const struct {
    const char *text;
    const char *message; /* the whole of it */
} mistakes[] = {
    {"", "my.ini:1: [patch]: kind is missing"},
    {"[patch]\nabout = x\n", "my.ini:1: [patch]: kind is missing"},
    {"[patch]\nkind = drone\n", "my.ini:1: [patch]: about is missing"},
    {"[patch]\nkind = organ\n", "my.ini:2: [patch] kind = organ: must be drone or struck"},
    {"kind = drone\n", "my.ini:1: [] kind = drone: stands before the first section"},
    {DRONE, "my.ini:3: [partials]: count is missing"},
    {DRONE "[partials]\ncount = 0\n",
     "my.ini:5: [partials] count = 0: out of range (allowed: 1 to 64)"},
    {DRONE "[partials]\ncount = 10000\n",
     "my.ini:5: [partials] count = 10000: out of range (allowed: 1 to 64)"},
    {DRONE "[partials]\ncount = 2.5\n",
     "my.ini:5: [partials] count = 2.5: not a whole number (allowed: 1 to 64)"},
    {DRONE "[partials]\ncount =\n",
     "my.ini:5: [partials] count = : not a whole number (allowed: 1 to 64)"},
    {DRONE COUNT "soft = 3000\n",
     "my.ini:6: [partials] soft = 3000: unknown key (its unit is missing: soft_hz)"},
    {DRONE COUNT "tilt = 3\n",
     "my.ini:6: [partials] tilt = 3: unknown key (its unit is missing: tilt_db_per_octave)"},
    {DRONE COUNT "colour = 3\n", "my.ini:6: [partials] colour = 3: unknown key"},
    {DRONE COUNT "COUNT = 3\n", "my.ini:6: [partials] COUNT = 3: unknown key"},
    {DRONE COUNT "count = 3\n", "my.ini:6: [partials] count = 3: repeated key (first in line 5)"},
    {DRONE COUNT "trim_5_db = -1\ntrim_5_db = -2\n",
     "my.ini:7: [partials] trim_5_db = -2: repeated key (first in line 6)"},
    {DRONE COUNT "trim_65_db = -1\n", "my.ini:6: [partials] trim_65_db = -1: unknown key"},
    {DRONE COUNT "trim_0_db = -1\n", "my.ini:6: [partials] trim_0_db = -1: unknown key"},
    {DRONE COUNT "trim_05_db = -1\n", "my.ini:6: [partials] trim_05_db = -1: unknown key"},
    {DRONE COUNT "soft_hz = nan\n",
     "my.ini:6: [partials] soft_hz = nan: not a number (allowed: 100 to 96000)"},
    {DRONE COUNT "soft_hz = inf\n",
     "my.ini:6: [partials] soft_hz = inf: not a number (allowed: 100 to 96000)"},
    {DRONE COUNT "soft_hz = 1e999\n",
     "my.ini:6: [partials] soft_hz = 1e999: out of range (allowed: 100 to 96000)"},
    {DRONE COUNT "soft_hz = 3,000\n",
     "my.ini:6: [partials] soft_hz = 3,000: not a number (allowed: 100 to 96000)"},
    {DRONE COUNT "soft_hz = 1.234567890123456\n",
     "my.ini:6: [partials] soft_hz = 1.234567890123456: more than 15 digits (allowed: 100 to "
     "96000)"},
    {DRONE COUNT "even_db = 21\n",
     "my.ini:6: [partials] even_db = 21: out of range (allowed: -60 to 20)"},
    {DRONE COUNT "amplitudes_db = 0, -20\n",
     "my.ini:6: [partials] amplitudes_db has 2 numbers for 3 partials"},
    {DRONE COUNT "ratios = 1, 2, x\n",
     "my.ini:6: [partials] ratios = 1, 2, x: not a number (allowed: 0.125 to 64)"},
    {DRONE COUNT "ratios = 1, 2,\n",
     "my.ini:6: [partials] ratios = 1, 2,: not a number (allowed: 0.125 to 64)"},
    {DRONE COUNT "ratios = 1\t,\t2 \t, ,3\n",
     "my.ini:6: [partials] ratios = 1?,?2 ?, ,3: not a number (allowed: 0.125 to 64)"},
    {DRONE COUNT "amplitudes_db = " SIXTEEN SIXTEEN SIXTEEN SIXTEEN "0\n",
     "my.ini:6: [partials] amplitudes_db = 0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,: more "
     "than 64 partials"},
    {"[patch]\nkind = drone\nabout =\n", "my.ini:3: [patch] about = : must be 1 to 159 bytes long"},
    {"[patch]\nkind = drone\nabout = " SIXTEEN SIXTEEN SIXTEEN SIXTEEN SIXTEEN "\n",
     "my.ini:3: [patch] about = 0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,: must be 1 to 159 "
     "bytes long"},
    {DRONE COUNT "\tcolour\n", "my.ini:6: line begins with a space"},
    {DRONE COUNT "= 3\n", "my.ini:6: [partials]  = 3: unknown key"},
    {DRONE COUNT "[]\n",
     "my.ini:6: []: unknown section (allowed: patch, partials, formant.1 to formant.8, drift, "
     "copies, breath, string)"},
    {DRONE COUNT "[room]\nsize = 3\n",
     "my.ini:6: [room]: unknown section (allowed: patch, partials, formant.1 to formant.8, drift, "
     "copies, breath, string)"},
    {DRONE COUNT "[formant.9]\n",
     "my.ini:6: [formant.9]: unknown section (allowed: patch, partials, formant.1 to formant.8, "
     "drift, copies, breath, string)"},
    {DRONE COUNT "[formant]\n",
     "my.ini:6: [formant]: unknown section (allowed: patch, partials, formant.1 to formant.8, "
     "drift, copies, breath, string)"},
    {DRONE COUNT "[partials]\n", "my.ini:6: [partials]: repeated section (first in line 4)"},
    {DRONE COUNT "[formant.2]\ncentre_hz = 300\nwidth_hz = 5\n",
     "my.ini:6: a formant needs centre_hz, width_hz and gain_db"},
    {DRONE COUNT "[formant.1]\ncentre_hz = 1e5\n",
     "my.ini:7: [formant.1] centre_hz = 1e5: out of range (allowed: 20 to 96000)"},
    {DRONE COUNT "[drift]\ndepth_db = 1\n", "my.ini:6: [drift]: rate_hz is missing"},
    {DRONE COUNT "[copies]\ncount = 2\n", "my.ini:7: [copies] count = 2: must be 1 or 3"},
    {DRONE COUNT "[copies]\ncount = 3\n", "my.ini:6: [copies]: detune_hz is missing"},
    {DRONE COUNT "[copies]\n", "my.ini:6: [copies]: count is missing"},
    {DRONE COUNT "[breath]\nlevel_db = -50\nlow_hz = 300\n",
     "my.ini:6: [breath]: high_hz is missing"},
    {DRONE COUNT "[breath]\nlevel_db = -50\nlow_hz = 300\nhigh_hz = 300\n",
     "my.ini:8: [breath]: low_hz must be below high_hz"},
    {DRONE COUNT STRING, "my.ini:6: [string] has no meaning for kind = drone"},
    {STRUCK COUNT STRING "[drift]\ndepth_db = 1\nrate_hz = 1\n",
     "my.ini:9: [drift] has no meaning for kind = struck"},
    {STRUCK COUNT, "my.ini:5: [string]: t60_s is missing"},
    {STRUCK COUNT "[string]\nt60_s = 2\n", "my.ini:6: [string]: attack_ms is missing"},
    {STRUCK COUNT "[string]\nt60_s = -2\n",
     "my.ini:7: [string] t60_s = -2: out of range (allowed: 0.05 to 60)"},
    {DRONE COUNT "what is this\n", "my.ini:6: neither [section] nor key = value"},
    {DRONE COUNT "[drift\n", "my.ini:6: neither [section] nor key = value"},
    {DRONE COUNT " even_db = 1\n", "my.ini:6: line begins with a space"},
    {DRONE COUNT "even_db = 1\x01\n", "my.ini:6: control byte"},
    {DRONE COUNT "even_db = 1\x7f\n", "my.ini:6: control byte"},
    {DRONE "; \x1b[31m\n", "my.ini:4: control byte"},
    {DRONE "# \xc2\x85\n", "my.ini:4: control byte"},
    {DRONE "# \xff\n", "my.ini:4: not UTF-8"},
    {DRONE "# \xc0\x80\n", "my.ini:4: not UTF-8"},
    {DRONE "# \xe0\x9f\xbf\n", "my.ini:4: not UTF-8"},
    {DRONE "# \xed\xa0\x80\n", "my.ini:4: not UTF-8"},
    {DRONE "# \xf4\x90\x80\x80\n", "my.ini:4: not UTF-8"},
    {DRONE "# \xe2\x82", "my.ini:4: not UTF-8"},
};

static void every_mistake_is_named_with_its_place(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof mistakes / sizeof *mistakes; i++) {
        struct hf_diag diag;
        assert_int_equal(parse_exactly(mistakes[i].text, strlen(mistakes[i].text), &diag),
                         HF_E_DATA);
        assert_string_equal(diag.message, mistakes[i].message);
        char *end;
        assert_int_equal(diag.line, strtol(mistakes[i].message + strlen("my.ini:"), &end, 10));
    }
}

static void a_failed_reading_leaves_the_patch_alone(void **state)
{
    (void)state;
    struct hf_patch patch, before;
    struct hf_diag diag;
    memset(&patch, 0x5a, sizeof patch);
    before = patch;
    for (size_t i = 0; i < sizeof mistakes / sizeof *mistakes; i++) {
        assert_int_equal(parse(mistakes[i].text, &patch, &diag), HF_E_DATA);
        assert_memory_equal(&patch, &before, sizeof patch);
        assert_int_equal(parse(mistakes[i].text, &patch, NULL), HF_E_DATA);
    }
}

static void an_unknown_key_is_told_the_known_ones(void **state)
{
    (void)state;
    struct hf_patch patch;
    struct hf_diag diag;
    assert_int_equal(parse(DRONE COUNT "[drift]\nspeed = 3\n", &patch, &diag), HF_E_DATA);
    assert_string_equal(diag.advice, "keys of [drift]: depth_db, rate_hz");
}

static void long_texts_and_lines_are_refused(void **state)
{
    (void)state;
    struct hf_diag diag;
    char *text = malloc(70000);
    memset(text, '\n', 70000);
    memcpy(text, DRONE COUNT, strlen(DRONE COUNT));
    assert_int_equal(parse_exactly(text, HF_PATCHFILE_BYTES_MOST, &diag), HF_OK);
    assert_int_equal(parse_exactly(text, HF_PATCHFILE_BYTES_MOST + 1, &diag), HF_E_DATA);
    assert_string_equal(diag.message, "my.ini: more than 64 KiB of text for a patch");
    memset(text + strlen(DRONE COUNT), '#', 199);
    assert_int_equal(parse_exactly(text, 1000, &diag), HF_OK);
    text[strlen(DRONE COUNT) + 199] = '#';
    assert_int_equal(parse_exactly(text, 1000, &diag), HF_E_DATA);
    assert_string_equal(diag.message, "my.ini:6: line of more than 199 bytes");
    free(text);
}

static void a_value_is_shown_only_as_far_as_there_is_room(void **state)
{
    (void)state;
    struct hf_patch patch;
    struct hf_diag diag;
    char text[400];
    snprintf(text, sizeof text, DRONE COUNT "even_db = %s\n",
             "\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9"
             "\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9"
             "\xc3\xa9\xc3\xa9\xc3\xa9xyz\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9");
    assert_int_equal(parse(text, &patch, &diag), HF_E_DATA);
    assert_non_null(strstr(diag.message, "\xc3\xa9xy: not a number"));
    /* Where byte 48 is within a letter, the letter goes whole. */
    snprintf(text, sizeof text, DRONE COUNT "even_db = x%s\n",
             "\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9"
             "\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9"
             "\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9");
    assert_int_equal(parse(text, &patch, &diag), HF_E_DATA);
    const char *shown = strstr(diag.message, " = x");
    assert_non_null(shown);
    assert_int_equal(strcspn(shown + 3, ":"), 47); /* derived: x and 23 letters of two bytes */
}

static void lines_may_end_in_any_way(void **state)
{
    (void)state;
    struct hf_patch patch;
    struct hf_diag diag;
    assert_int_equal(parse("\xef\xbb\xbf[patch]\r\nkind = drone\r\nabout = a\r\n\r\n"
                           "[partials]\r\ncount = 3",
                           &patch, &diag),
                     HF_OK);
    assert_int_equal(patch.count, 3);
    assert_string_equal(patch.about, "a");
}

/* published: patches/README.md: # or ; begins a comment. Spaces alone are no line of their own. */
static void lines_of_comments_and_spaces_say_nothing(void **state)
{
    (void)state;
    struct hf_patch patch;
    struct hf_diag diag;
    assert_int_equal(
        parse("; a patch\n# of mine\n \n\t\n  ; kind = struck\n\t# kind = organ\n" DRONE
              "[partials]\n \t \namplitudes_db = 0\t, -1 \t,\t-2\n",
              &patch, &diag),
        HF_OK);
    assert_true(patch.kind == HF_PATCH_DRONE && patch.count == 3);
    assert_true(patch.amplitude_db[1] == -1 && patch.amplitude_db[2] == -2);
}

/* derived: inifile.h: the first fault is the one that is told, and lines count from 1 */
static void the_first_fault_of_a_file_is_the_one_that_is_told(void **state)
{
    (void)state;
    struct hf_diag diag;
    struct hf_inifile_fault fault = {.filename = "my.ini", .diag = &diag};
    assert_false(hf_inifile_fail(&fault, 0, "first"));
    assert_false(hf_inifile_fail(&fault, 7, "second"));
    assert_string_equal(diag.message, "my.ini:1: first");
    assert_int_equal(diag.line, 1);
    assert_int_equal(parse_exactly(DRONE "colour = 1\n[room]\n", strlen(DRONE) + 18, &diag),
                     HF_E_DATA);
    assert_string_equal(diag.message, "my.ini:4: [patch] colour = 1: unknown key");
}

/* derived: inifile.h: cut to the size with its NUL; of bytes that are no text nothing is shown */
static void a_line_is_cut_to_its_room(void **state)
{
    (void)state;
    const char *text = "abcdef\ngh";
    char line[4];
    size_t at = 0;
    assert_true(hf_inifile_next(text, 9, &at, line, sizeof line));
    assert_string_equal(line, "abc");
    assert_true(hf_inifile_next(text, 9, &at, line, sizeof line));
    assert_string_equal(line, "gh");
    assert_false(hf_inifile_next(text, 9, &at, line, sizeof line));
    char rubbish[61];
    memset(rubbish, 0x80, 60);
    rubbish[60] = 0;
    assert_int_equal(hf_inifile_fitting(rubbish), 0);
}

/* The section behind the mark is found too. */
static void a_repeated_section_is_seen_behind_a_byte_order_mark(void **state)
{
    (void)state;
    struct hf_patch patch;
    struct hf_diag diag;
    assert_int_equal(
        parse("\xef\xbb\xbf[patch]\nkind = drone\nabout = a\n[patch]\n", &patch, &diag), HF_E_DATA);
    assert_string_equal(diag.message, "my.ini:4: [patch]: repeated section (first in line 1)");
}

static void every_key_lands_in_its_place(void **state)
{
    (void)state;
    struct hf_patch p;
    struct hf_diag diag;
    assert_int_equal(parse(DRONE "[partials]\ncount = 3\namplitudes_db = 0,-20 , -30.5\n"
                                 "ratios = 1, 2.5, 4\ntilt_db_per_octave = 7\neven_db = -2\n"
                                 "trim_2_db = -12\nsoft_hz = 3000\n"
                                 "[formant.3]\ncentre_hz = 350\nwidth_hz = 120\ngain_db = 5\n"
                                 "[drift]\ndepth_db = 1\nrate_hz = 0.05\n"
                                 "[copies]\ncount = 3\ndetune_hz = 0.25\nside_gain = 0.2\n"
                                 "[breath]\nlevel_db = -50\nlow_hz = 300\nhigh_hz = 2000\n",
                           &p, &diag),
                     HF_OK);
    assert_true(p.kind == HF_PATCH_DRONE && p.count == 3 && p.explicit_levels && p.breath);
    assert_true(p.amplitude_db[0] == 0 && p.amplitude_db[1] == -20 && p.amplitude_db[2] == -30.5);
    assert_true(p.ratio[0] == 1 && p.ratio[1] == 2.5 && p.ratio[2] == 4);
    assert_true(p.tilt_db_per_octave == 7 && p.even_db == -2 && p.trim_db[1] == -12);
    assert_true(p.soft_hz == 3000 && p.formants == 1 && p.formant[0].centre_hz == 350);
    assert_true(p.formant[0].width_hz == 120 && p.formant[0].gain_db == 5 &&
                p.formant[0].line == 13);
    assert_true(p.drift_db == 1 && p.drift_hz == 0.05 && p.copies == 3 && p.detune_hz == 0.25);
    assert_true(p.side_gain == 0.2 && p.breath_db == -50 && p.breath_low_hz == 300);
    assert_true(p.breath_high_hz == 2000);
    assert_int_equal(parse(STRUCK
                           "[partials]\ncount = 2\n[string]\nstiffness = 1.5e-6\nt60_s = 3.5\n"
                           "t60_scale = 1, 0.25\nt60_at_hz = 165\nt60_exponent = 0.35\n"
                           "damping_per_s_at_1khz = 0.8\npluck_position = 0.22\n"
                           "hard_hz = 2600\nattack_ms = 2\n",
                           &p, &diag),
                     HF_OK);
    assert_true(p.kind == HF_PATCH_STRUCK && !p.explicit_levels && !p.breath && p.copies == 1);
    assert_true(p.stiffness == 1.5e-6 && p.t60_s == 3.5 && p.t60_scale[1] == 0.25);
    assert_true(p.t60_at_hz == 165 && p.t60_exponent == 0.35 && p.damping_per_s == 0.8);
    assert_true(p.pluck_position == 0.22 && p.hard_hz == 2600 && p.attack_ms == 2);
}

static void a_list_of_levels_gives_the_count(void **state)
{
    (void)state;
    struct hf_patch patch;
    struct hf_diag diag;
    assert_int_equal(parse(DRONE "[partials]\namplitudes_db = 0, -1, -2, -3\n", &patch, &diag),
                     HF_OK);
    assert_int_equal(patch.count, 4);
}

static void a_formant_over_half_the_rate_is_refused_at_that_rate(void **state)
{
    (void)state;
    struct hf_patch patch;
    struct hf_diag diag;
    assert_int_equal(parse(DRONE COUNT
                           "[formant.1]\nwidth_hz = 120\ngain_db = 5\ncentre_hz = 5000\n",
                           &patch, &diag),
                     HF_OK);
    assert_int_equal(hf_patchfile_fits(&patch, "my.ini", 48000, &diag), HF_OK);
    assert_int_equal(hf_patchfile_fits(&patch, "my.ini", 10000, &diag), HF_OK);
    assert_int_equal(hf_patchfile_fits(&patch, "my.ini", 8000, &diag), HF_E_DATA);
    assert_string_equal(diag.message, "my.ini:9: [formant] centre_hz = 5000: over half the rate "
                                      "(allowed at 8000 Hz: 20 to 4000)");
    assert_int_equal(diag.line, 9);
    assert_int_equal(hf_patchfile_fits(&patch, "my.ini", 8000, NULL), HF_E_DATA);
}

/* Counts from the specification of the sound: eight drones and four struck timbres. */
static void all_patches_that_ship_are_read(void **state)
{
    (void)state;
    int kinds[2] = {0, 0};
    for (const struct hf_builtin *b = hf_builtin_patches; b->name; b++) {
        struct hf_patch patch;
        struct hf_diag diag;
        if (hf_patchfile_parse(b->text, strlen(b->text), b->name, &patch, &diag) != HF_OK)
            fail_msg("%s", diag.message);
        assert_int_equal(hf_patchfile_fits(&patch, b->name, 8000, &diag), HF_OK);
        kinds[patch.kind]++;
    }
    assert_int_equal(kinds[HF_PATCH_DRONE], 8);
    assert_int_equal(kinds[HF_PATCH_STRUCK], 4);
    assert_non_null(hf_patchfile_find_builtin("stopped-pipe"));
    assert_null(hf_patchfile_find_builtin("stopped-pipe.ini"));
    assert_null(hf_patchfile_find_builtin(""));
}

/* No prefix of a good text, and no text with one byte changed, does harm (sanitizers watch). */
static void damaged_texts_do_no_harm(void **state)
{
    (void)state;
    const char *text = hf_patchfile_find_builtin("bowed-string");
    size_t length = strlen(text);
    char *copy = malloc(length);
    for (size_t cut = 0; cut <= length; cut++)
        assert_in_range(parse_exactly(text, cut, NULL), HF_OK, HF_E_DATA);
    for (size_t i = 0; i < length; i++) {
        static const unsigned char changed[] = {0, '[', ']', '=', '9', 0xff, '\n', ' ', ',', '-'};
        for (size_t k = 0; k < sizeof changed; k++) {
            memcpy(copy, text, length);
            copy[i] = (char)changed[k];
            assert_in_range(parse_exactly(copy, length, NULL), HF_OK, HF_E_DATA);
        }
    }
    free(copy);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_mistake_is_named_with_its_place),
        cmocka_unit_test(a_failed_reading_leaves_the_patch_alone),
        cmocka_unit_test(an_unknown_key_is_told_the_known_ones),
        cmocka_unit_test(long_texts_and_lines_are_refused),
        cmocka_unit_test(a_value_is_shown_only_as_far_as_there_is_room),
        cmocka_unit_test(lines_may_end_in_any_way),
        cmocka_unit_test(lines_of_comments_and_spaces_say_nothing),
        cmocka_unit_test(the_first_fault_of_a_file_is_the_one_that_is_told),
        cmocka_unit_test(a_line_is_cut_to_its_room),
        cmocka_unit_test(a_repeated_section_is_seen_behind_a_byte_order_mark),
        cmocka_unit_test(every_key_lands_in_its_place),
        cmocka_unit_test(a_list_of_levels_gives_the_count),
        cmocka_unit_test(a_formant_over_half_the_rate_is_refused_at_that_rate),
        cmocka_unit_test(all_patches_that_ship_are_read),
        cmocka_unit_test(damaged_texts_do_no_harm),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
