/* SPDX-License-Identifier: MIT */
/* The 24 forms of 016 against the rule said in other words, every other set against the table. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include <holdfast/setclass.h>
#include <holdfast/spelling.h>

#define COUNT(rows) (sizeof(rows) / sizeof *(rows))

/* "C# D G" for a set. */
static const char *names_of(hf_pcset set, enum hf_names names, char text[64])
{
    struct hf_spelled spelled[HF_PCS];
    char name[HF_SPELLED_TEXT];
    int count = hf_spelling_of(set, names, spelled);
    size_t length = 0;
    text[0] = '\0';
    for (int i = 0; i < count; i++)
        length += (size_t)snprintf(text + length, 64 - length, "%s%s", i ? " " : "",
                                   hf_spelled_format(spelled[i], names, name));
    return text;
}

static int degree(struct hf_spelled spelled)
{
    return (int)(strchr("CDEFGAB", spelled.letter) - "CDEFGAB");
}

/* The steps from one letter up to another, 0 to 6. */
static int steps(struct hf_spelled from, struct hf_spelled to)
{
    return (degree(to) - degree(from) + 7) % 7;
}

static bool simple(struct hf_spelled s)
{
    const char *plain[] = {"CDEFGAB", "CDFGA", "DEGAB"}; /* natural, sharp, flat */
    return s.accidental >= -1 && s.accidental <= 1 &&
           strchr(plain[s.accidental < 0 ? 2 : s.accidental], s.letter);
}

/* Whether the spelling is what the rule asks: the fourth has four letters, names are simple, and
 * with `second` the semitone has two letters. */
static bool obeys(const struct hf_spelled spelled[3], bool second)
{
    for (int i = 0; i < 3; i++) {
        if (!simple(spelled[i]))
            return false;
        for (int j = 0; j < 3; j++) {
            int up = hf_pc(hf_spelled_pc(spelled[j]) - hf_spelled_pc(spelled[i]));
            if (up == 5 && steps(spelled[i], spelled[j]) != 3)
                return false;
            if (second && up == 1 && steps(spelled[i], spelled[j]) != 1)
                return false;
        }
    }
    return true;
}

/* Whether any spelling of three pitch classes obeys with a second, by trying all names. */
static bool could_have_a_second(const int pcs[3])
{
    for (int code = 0; code < 21 * 21 * 21; code++) {
        int name[3] = {code % 21, code / 21 % 21, code / 441};
        struct hf_spelled tried[3];
        bool fits = true;
        for (int i = 0; i < 3; i++) {
            tried[i] = (struct hf_spelled){"CDEFGAB"[name[i] / 3], (signed char)(name[i] % 3 - 1)};
            fits = fits && hf_spelled_pc(tried[i]) == pcs[i];
        }
        if (fits && obeys(tried, true))
            return true;
    }
    return false;
}

/* derived: every perfect interval has a simple spelling, and the second is there whenever any
 * simple spelling has it: for all but F F# B and F Bb B, where Cb and E# would be needed. */
static void the_24_forms_of_016_read_as_a_perfect_interval_and_a_second(void **state)
{
    (void)state;
    hf_pcset forms[HF_SETCLASS_FORMS];
    int count = hf_setclass_members(hf_setclass_find(3, 5), forms), seconds = 0;
    assert_int_equal(count, 24);
    for (int f = 0; f < count; f++) {
        struct hf_spelled spelled[HF_PCS];
        int pcs[HF_PCS], size = hf_pcset_list(forms[f], pcs);
        assert_int_equal(hf_spelling_of(forms[f], HF_NAMES_SIMPLE, spelled), size);
        for (int i = 0; i < size; i++)
            assert_int_equal(hf_spelled_pc(spelled[i]), pcs[i]);
        assert_true(obeys(spelled, false));
        assert_int_equal(obeys(spelled, true), could_have_a_second(pcs));
        seconds += obeys(spelled, true);
    }
    assert_int_equal(seconds, 22);
}

/* derived: from the rule by hand. */
static void each_form_of_016_has_the_names_of_the_rule(void **state)
{
    (void)state;
    const char *expected[] = {
        "C Db Gb", "C Db G",  "C F Gb",  "C F B",  "C F# G", "C F# B", "C# D G", "C# D G#",
        "C# F# G", "Db G Ab", "D Eb Ab", "D Eb A", "D G Ab", "D G# A", "D# E A", "D# E A#",
        "D# G# A", "Eb A Bb", "E F Bb",  "E F B",  "E A Bb", "E A# B", "F F# B", "F Bb B",
    };
    hf_pcset forms[HF_SETCLASS_FORMS];
    int count = hf_setclass_members(hf_setclass_find(3, 5), forms);
    assert_int_equal(count, COUNT(expected));
    for (int i = 0; i < count; i++) {
        char text[64];
        assert_string_equal(names_of(forms[i], HF_NAMES_SIMPLE, text), expected[i]);
    }
}

static void every_other_set_takes_the_simple_table(void **state)
{
    (void)state;
    const char *table[] = {"C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"};
    for (unsigned set = 0; set < HF_SETS; set++) {
        struct hf_spelled spelled[HF_PCS];
        int pcs[HF_PCS], count = hf_pcset_list((hf_pcset)set, pcs);
        char name[HF_SPELLED_TEXT];
        assert_int_equal(hf_spelling_of((hf_pcset)set, HF_NAMES_SIMPLE, spelled), count);
        for (int i = 0; i < count; i++) {
            assert_int_equal(hf_spelled_pc(spelled[i]), pcs[i]);
            if (hf_setclass_of((hf_pcset)set) != hf_setclass_find(3, 5))
                assert_string_equal(hf_spelled_format(spelled[i], HF_NAMES_SIMPLE, name),
                                    table[pcs[i]]);
        }
    }
}

static void other_names_override_the_rule(void **state)
{
    (void)state;
    const struct {
        hf_pcset set;
        enum hf_names names;
        const char *written;
    } rows[] = {
        {HF_PCSET_ALL, HF_NAMES_SHARPS, "C C# D D# E F F# G G# A A# B"},
        {HF_PCSET_ALL, HF_NAMES_FLATS, "C Db D Eb E F Gb G Ab A Bb B"},
        {HF_PCSET_ALL, HF_NAMES_NUMBERS, "0 1 2 3 4 5 6 7 8 9 10 11"},
        {HF_PCSET_ALL, HF_NAMES_GERMAN, "C Cis D Es E F Fis G Gis A B H"},
        {0x043, HF_NAMES_SHARPS, "C C# F#"},
        {0x043, HF_NAMES_GERMAN, "C Des Ges"},
        {0x608, HF_NAMES_GERMAN, "Es A B"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char text[64];
        assert_string_equal(names_of(rows[i].set, rows[i].names, text), rows[i].written);
    }
}

/* derived: the endings -is and -es of German practice, and its exceptions H, B, Es, As. */
static void german_names_have_their_exceptions(void **state)
{
    (void)state;
    const struct {
        struct hf_spelled spelled;
        const char *written;
    } rows[] = {
        {{'B', 0}, "H"},     {{'B', -1}, "B"},  {{'B', -2}, "Heses"}, {{'B', 1}, "His"},
        {{'B', 2}, "Hisis"}, {{'E', -1}, "Es"}, {{'E', -2}, "Eses"},  {{'A', -1}, "As"},
        {{'A', -2}, "Ases"}, {{'A', 1}, "Ais"}, {{'D', -1}, "Des"},   {{'D', -2}, "Deses"},
        {{'F', 2}, "Fisis"}, {{'E', 1}, "Eis"}, {{'C', -1}, "Ces"},   {{'G', 0}, "G"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char text[HF_SPELLED_TEXT];
        assert_string_equal(hf_spelled_format(rows[i].spelled, HF_NAMES_GERMAN, text),
                            rows[i].written);
    }
}

/* derived: the octave is the letter's, which changes at C. */
static void a_pitch_has_the_octave_of_its_letter(void **state)
{
    (void)state;
    const struct {
        struct hf_spelled spelled;
        int midi;
        enum hf_names names;
        const char *written;
    } rows[] = {
        {{'C', 0}, 60, HF_NAMES_SIMPLE, "C4"},   {{'B', 1}, 60, HF_NAMES_SIMPLE, "B#3"},
        {{'C', -1}, 59, HF_NAMES_SIMPLE, "Cb4"}, {{'B', 0}, 59, HF_NAMES_SIMPLE, "B3"},
        {{'C', 0}, 0, HF_NAMES_SIMPLE, "C-1"},   {{'B', 1}, 0, HF_NAMES_SIMPLE, "B#-2"},
        {{'G', 0}, 127, HF_NAMES_SIMPLE, "G9"},  {{'D', -2}, 60, HF_NAMES_SIMPLE, "Dbb4"},
        {{'B', 1}, 60, HF_NAMES_NUMBERS, "0/4"}, {{'B', -1}, 58, HF_NAMES_GERMAN, "B3"},
        {{'B', 1}, 60, HF_NAMES_GERMAN, "His3"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char text[HF_SPELLED_TEXT];
        assert_string_equal(
            hf_spelled_format_pitch(rows[i].spelled, rows[i].midi, rows[i].names, text),
            rows[i].written);
    }
}

static void ways_to_write_names_are_read_or_refused(void **state)
{
    (void)state;
    enum hf_names names = HF_NAMES_SIMPLE;
    struct hf_diag diag;
    assert_int_equal(hf_names_parse("sharps", &names, &diag), HF_OK);
    assert_int_equal(names, HF_NAMES_SHARPS);
    assert_int_equal(hf_names_parse("flats", &names, &diag), HF_OK);
    assert_int_equal(names, HF_NAMES_FLATS);
    assert_int_equal(hf_names_parse("numbers", &names, &diag), HF_OK);
    assert_int_equal(names, HF_NAMES_NUMBERS);
    assert_int_equal(hf_names_parse("german", &names, &diag), HF_OK);
    assert_int_equal(names, HF_NAMES_GERMAN);
    assert_int_equal(hf_names_parse("French", &names, &diag), HF_E_USAGE);
    assert_int_equal(names, HF_NAMES_GERMAN);
    assert_non_null(strstr(diag.advice, "sharps, flats, numbers or german"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_24_forms_of_016_read_as_a_perfect_interval_and_a_second),
        cmocka_unit_test(each_form_of_016_has_the_names_of_the_rule),
        cmocka_unit_test(every_other_set_takes_the_simple_table),
        cmocka_unit_test(other_names_override_the_rule),
        cmocka_unit_test(german_names_have_their_exceptions),
        cmocka_unit_test(a_pitch_has_the_octave_of_its_letter),
        cmocka_unit_test(ways_to_write_names_are_read_or_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
