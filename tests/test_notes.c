/* SPDX-License-Identifier: MIT */
/* Expected values are derived from the rule of the notation: middle C is C4 is MIDI 60; the
 * guitar's strings are E2 A2 D3 G3 B3 E4 (40 45 50 55 59 64). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "check.h"

#include <holdfast/notes.h>

#define COUNT(rows) (sizeof(rows) / sizeof *(rows))

static struct hf_notes parsed(const char *text)
{
    struct hf_notes notes = {0};
    struct hf_diag diag;
    if (hf_notes_parse(text, NULL, &notes, &diag) != HF_OK)
        fail_msg("%s: %s", text, diag.message);
    return notes;
}

static void every_notation_is_read(void **state)
{
    (void)state;
    const struct {
        const char *text;
        enum hf_notes_kind kind;
        const char *set, *written;
    } rows[] = {
        {"C E G#", HF_NOTES_NAMES, "048", "C E G#"},
        {"  C,E , G#\t", HF_NOTES_NAMES, "048", "C E G#"},
        {"C\r\nE\nG#\r\n", HF_NOTES_NAMES, "048", "C E G#"}, /* lines of a file */
        {"G# C E", HF_NOTES_NAMES, "048", "G# C E"},
        {"C", HF_NOTES_NAMES, "0", "C"},
        {"E", HF_NOTES_NAMES, "4", "E"},
        {"A E", HF_NOTES_NAMES, "49", "A E"},
        {"Ebb B## Fb E#", HF_NOTES_NAMES, "1245", "Ebb B## Fb E#"},
        {"C\xe2\x99\xaf E\xe2\x99\xad G\xe2\x99\xaf\xe2\x99\xaf A\xe2\x99\xad\xe2\x99\xad",
         HF_NOTES_NAMES, "1379", "C# Eb G## Abb"},
        {"C\xf0\x9d\x84\xaa D\xf0\x9d\x84\xab", HF_NOTES_NAMES, "02", "C## Dbb"},
        {"D3 G3 C4", HF_NOTES_PITCHES, "027", "D3 G3 C4"},
        {"C-1 G9", HF_NOTES_PITCHES, "07", "C-1 G9"},
        {"B#3 Cb4", HF_NOTES_PITCHES, "0E", "B#3 Cb4"},
        {"0 4 8", HF_NOTES_NUMBERS, "048", "C E G#"},
        {"00 04 11", HF_NOTES_NUMBERS, "04E", "C E B"},
        {"[0,1,6]", HF_NOTES_NUMBERS, "016", "C Db Gb"},
        {"(0 1 6)", HF_NOTES_NUMBERS, "016", "C Db Gb"},
        {"{0,1,6}", HF_NOTES_NUMBERS, "016", "C Db Gb"},
        {"( 016 )", HF_NOTES_NUMBERS, "016", "C Db Gb"},
        {"048", HF_NOTES_NUMBERS, "048", "C E G#"},
        {"840", HF_NOTES_NUMBERS, "048", "G# E C"},
        {"39T", HF_NOTES_NUMBERS, "39T", "Eb A Bb"},
        {"3t9", HF_NOTES_NUMBERS, "39T", "Eb Bb A"},
        {"5TE", HF_NOTES_NUMBERS, "5TE", "F Bb B"},
        {"5te", HF_NOTES_NUMBERS, "5TE", "F Bb B"},
        {"5 T e", HF_NOTES_NUMBERS, "5TE", "F Bb B"},
        {"5 t 11", HF_NOTES_NUMBERS, "5TE", "F Bb B"},
        {"e", HF_NOTES_NUMBERS, "E", "B"},
        {"T", HF_NOTES_NUMBERS, "T", "Bb"},
        {"7", HF_NOTES_NUMBERS, "7", "G"},
        {"11", HF_NOTES_NUMBERS, "E", "B"},
        {"[10]", HF_NOTES_NUMBERS, "T", "Bb"},
        {"0123456789TE", HF_NOTES_NUMBERS, "0123456789TE", "C C# D Eb E F F# G G# A Bb B"},
        {"x-3-2-1-x-x", HF_NOTES_FRETS, "048", "C3 E3 G#3"},
        {"X-3-2-1-X-x", HF_NOTES_FRETS, "048", "C3 E3 G#3"},
        {"10-10-10-9-9-9", HF_NOTES_FRETS, "012478", "D3 G3 C4 E4 G#4 C#5"},
        {"0-0-0-0-0-24", HF_NOTES_FRETS, "2479E", "E2 A2 D3 G3 B3 E6"},
        {"{}", HF_NOTES_EMPTY, "{}", "{}"},
        {" { } ", HF_NOTES_EMPTY, "{}", "{}"},
        {"[]", HF_NOTES_EMPTY, "{}", "{}"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct hf_notes notes = parsed(rows[i].text);
        char set[HF_PCSET_TEXT], written[HF_NOTES_TEXT];
        assert_int_equal(notes.kind, rows[i].kind);
        assert_string_equal(hf_pcset_format(notes.set, set), rows[i].set);
        assert_string_equal(hf_notes_format(&notes, HF_NAMES_SIMPLE, written), rows[i].written);
        assert_int_equal(notes.repeated, 0);
        for (int j = 0; j < notes.count; j++)
            if (notes.note[j].midi != HF_NO_OCTAVE)
                assert_int_equal(notes.note[j].midi % 12, notes.note[j].pc);
    }
}

static void every_name_of_the_range_is_its_midi_number(void **state)
{
    (void)state;
    const struct {
        char letter;
        int pc;
    } letters[] = {{'C', 0}, {'D', 2}, {'E', 4}, {'F', 5}, {'G', 7}, {'A', 9}, {'B', 11}};
    const char *signs[] = {"bb", "b", "", "#", "##"};
    for (int octave = -2; octave <= 10; octave++)
        for (size_t l = 0; l < COUNT(letters); l++)
            for (int s = 0; s < 5; s++) {
                char text[16], written[HF_NOTES_TEXT];
                struct hf_notes notes;
                struct hf_diag diag;
                int midi = (octave + 1) * 12 + letters[l].pc + s - 2;
                snprintf(text, sizeof text, "%c%s%d", letters[l].letter, signs[s], octave);
                if (octave == 10 && !*signs[s] && letters[l].letter == 'E')
                    continue; /* E10 is three digits in one word: 11 1 0 */
                enum hf_status status = hf_notes_parse(text, NULL, &notes, &diag);
                bool within = octave >= -1 && octave <= 9 && midi >= 0 && midi <= 127;
                assert_int_equal(status, within ? HF_OK : HF_E_USAGE);
                if (!within)
                    continue;
                assert_int_equal(notes.note[0].midi, midi);
                assert_string_equal(hf_notes_format(&notes, HF_NAMES_SIMPLE, written), text);
            }
}

static void every_fret_of_every_string_is_its_midi_number(void **state)
{
    (void)state;
    const int open[] = {40, 45, 50, 55, 59, 64};
    for (int string = 0; string < 6; string++)
        for (int fret = 0; fret <= 25; fret++) {
            char text[64] = "";
            size_t length = 0;
            for (int i = 0; i < 6; i++)
                length +=
                    (size_t)(i == string ? snprintf(text + length, 8, "%s%d", i ? "-" : "", fret)
                                         : snprintf(text + length, 8, "%sx", i ? "-" : ""));
            struct hf_notes notes;
            struct hf_diag diag;
            enum hf_status status = hf_notes_parse(text, NULL, &notes, &diag);
            assert_int_equal(status, fret <= 24 ? HF_OK : HF_E_USAGE);
            if (status != HF_OK)
                continue;
            assert_int_equal(notes.count, 1);
            assert_int_equal(notes.note[0].midi, open[string] + fret);
            assert_int_equal(notes.note[0].string, string);
            assert_int_equal(notes.note[0].fret, fret);
        }
}

static void another_instrument_has_its_own_strings(void **state)
{
    (void)state;
    const struct hf_strings bass = {4, {28, 33, 38, 43}, 20}; /* E1 A1 D2 G2 */
    const struct hf_notes_how how = {.strings = &bass};
    struct hf_notes notes;
    struct hf_diag diag;
    char written[HF_NOTES_TEXT];
    assert_int_equal(hf_notes_parse("x-3-2-1", &how, &notes, &diag), HF_OK);
    assert_string_equal(hf_notes_format(&notes, HF_NAMES_SIMPLE, written), "C2 E2 G#2");
    assert_int_equal(hf_notes_parse("x-3-2-21", &how, &notes, &diag), HF_E_USAGE);
    assert_non_null(strstr(diag.advice, "0 to 20"));
    assert_int_equal(hf_notes_parse("x-3-2-1-x-x", &how, &notes, &diag), HF_E_USAGE);
    assert_non_null(strstr(diag.message, "4 strings"));
}

static void as_written_sounds_an_octave_lower(void **state)
{
    (void)state;
    const struct hf_notes_how how = {.as_written = true};
    struct hf_notes notes;
    struct hf_diag diag;
    char written[HF_NOTES_TEXT];
    assert_int_equal(hf_notes_parse("C4 E4 G#4", &how, &notes, &diag), HF_OK);
    assert_string_equal(hf_notes_format(&notes, HF_NAMES_SIMPLE, written), "C3 E3 G#3");
    assert_int_equal(hf_notes_parse("C-1", &how, &notes, &diag), HF_E_USAGE);
    assert_int_equal(hf_notes_parse("x-3-2-1-x-x", &how, &notes, &diag), HF_OK);
    assert_string_equal(hf_notes_format(&notes, HF_NAMES_SIMPLE, written), "C3 E3 G#3");
}

static void repeated_notes_are_said_and_left_out(void **state)
{
    (void)state;
    const struct {
        const char *text, *written, *repeated;
    } rows[] = {
        {"C E C", "C E", "0"},          {"C B# E", "C E", "0"},     {"0 4 0 4", "C E", "04"},
        {"0440", "C E", "04"},          {"C3 E3 C3", "C3 E3", "0"}, {"C3 B#2", "C3", "0"},
        {"C3 E3 C4", "C3 E3 C4", "{}"}, {"x-x-9-4-0-x", "B3", "E"}, {"EEE", "B", "E"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct hf_notes notes = parsed(rows[i].text);
        char written[HF_NOTES_TEXT], repeated[HF_PCSET_TEXT];
        assert_string_equal(hf_notes_format(&notes, HF_NAMES_SIMPLE, written), rows[i].written);
        assert_string_equal(hf_pcset_format(notes.repeated, repeated), rows[i].repeated);
    }
}

static void a_bad_list_is_told_which_word_and_what_would_be_right(void **state)
{
    (void)state;
    const struct {
        const char *text;
        long column;
        const char *says, *advises;
    } rows[] = {
        {"12", 1, "\"12\"", "0 to 11; write \"1 2\" for two"},
        {"0 4 12", 5, "\"12\" (word 3, column 5)", "write \"1 2\" for two"},
        {"(99)", 2, "\"99\"", "write \"9 9\""},
        {"0 048", 3, "\"048\" (word 2", "stand alone"},
        {"C E 8", 5, "\"8\" (word 3, column 5)", "all as names"},
        {"0 4 E", 5, "\"E\" (word 3", "e or 11"},
        {"E 0", 3, "\"0\" (word 2", "e or 11"},
        {"0 G#", 3, "\"G#\"", "all as names"},
        {"C3 E", 4, "\"E\" (word 2, column 4) has no octave", "every note or on none"},
        {"C E3", 3, "\"E3\" (word 2, column 3) has an octave", "every note or on none"},
        {"C\xe2\x99\xaf x", 4, "\"x\" (word 2, column 4)", "write notes as"},
        {"c e g#", 1, "\"c\"", "capital letters"},
        {"C e", 3, "\"e\"", "names"},
        {"H", 1, "\"H\"", "B natural is B"},
        {"C###", 1, "more accidentals", "## or bb"},
        {"Cbbb", 1, "more accidentals", "## or bb"},
        {"C#b", 1, "more accidentals", "## or bb"},
        {"C10", 1, "no octave from -1 to 9", "C-1 to G9"},
        {"C-2", 1, "no octave from -1 to 9", "C-1 to G9"},
        {"C+3", 1, "no octave from -1 to 9", "C-1 to G9"},
        {"C3.5", 1, "no octave from -1 to 9", "C-1 to G9"},
        {"C4294967297", 1, "no octave from -1 to 9", "C-1 to G9"},
        {"G#9", 1, "out of range", "C-1 to G9"},
        {"Cb-1", 1, "out of range", "C-1 to G9"},
        {"CEG#", 1, "\"CEG#\" is no note", "spaces part notes"},
        {"-1", 1, "\"-1\"", "write notes as"},
        {"x", 1, "\"x\"", "write notes as"},
        {"\xc3\xa9", 1, "\"??\" is no note", "write notes as"},
        {"\xff\xe2\x99", 1, "\"???\" is no note", "write notes as"},
        {"x-3-2", 1, "3 places, and the instrument has 6 strings", "one place a string"},
        {"x-3-2-1-x-x-x", 1, "7 places", "one place a string"},
        {"1-2-3-4-5-6-7-8-9-10-11-12-13-14", 1, "14 places", "one place a string"},
        {"x-3-2-25-x-x", 1, "no fret for string 4", "0 to 24"},
        {"x-3--1-x-x", 1, "no fret for string 3", "0 to 24"},
        {"x-3-y-1-x-x", 1, "no fret for string 3", "0 to 24"},
        {"x-3-2-1-x-", 1, "no fret for string 6", "0 to 24"},
        {"x-x-x-x-x-x", 1, "silent on every string", "each string that sounds"},
        {"0 4-8", 3, "\"4-8\"", "one word"},
        {"(016", 0, "bracket", "whole list"},
        {"016)", 0, "bracket", "whole list"},
        {"(016]", 0, "bracket", "whole list"},
        {"(C E)", 2, "brackets", "without brackets"},
        {"((016))", 2, "\"(016)\"", "brackets go around"},
        {"", 0, "there are no notes", "{} is the empty set"},
        {" , ", 0, "there are no notes", "{} is the empty set"},
        {"C D E F G A B C D E F G A", 0, "there are 13 notes", "at most 12"},
        {"0123456789TE0", 1, "has 13 notes", "at most 12"},
        {"aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa", 1, "...\"", "capital"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct hf_notes notes = {.count = -7};
        struct hf_diag diag = {0};
        assert_int_equal(hf_notes_parse(rows[i].text, NULL, &notes, &diag), HF_E_USAGE);
        assert_int_equal(notes.count, -7);
        if (!strstr(diag.message, rows[i].says) || !strstr(diag.advice, rows[i].advises))
            fail_msg("%s: %s; %s", rows[i].text, diag.message, diag.advice);
        if (diag.column != rows[i].column)
            fail_msg("%s: column %ld", rows[i].text, diag.column);
        assert_int_equal(hf_notes_parse(rows[i].text, NULL, &notes, NULL), HF_E_USAGE);
    }
}

static void a_list_may_have_511_bytes_and_no_more(void **state)
{
    (void)state;
    char text[HF_NOTES_TEXT + 1];
    struct hf_notes notes;
    struct hf_diag diag;
    memset(text, ' ', sizeof text);
    text[0] = 'C';
    text[HF_NOTES_TEXT - 1] = '\0';
    assert_int_equal(hf_notes_parse(text, NULL, &notes, &diag), HF_OK);
    text[HF_NOTES_TEXT - 1] = ' ';
    text[HF_NOTES_TEXT] = '\0';
    assert_int_equal(hf_notes_parse(text, NULL, &notes, &diag), HF_E_USAGE);
}

/* Every text of up to four characters out of those that mean something: read or refused, never a
 * list that contradicts itself. */
static void every_short_text_is_read_or_refused(void **state)
{
    (void)state;
    const char used[] = "CEBb#0149-xTe ,(]";
    const size_t kinds = sizeof used - 1;
    for (size_t code = 0; code < kinds * kinds * kinds * kinds; code++) {
        char text[5] = {used[code % kinds], used[code / kinds % kinds],
                        used[code / kinds / kinds % kinds], used[code / kinds / kinds / kinds]};
        struct hf_notes notes;
        struct hf_diag diag = {0};
        if (hf_notes_parse(text, NULL, &notes, &diag) != HF_OK) {
            assert_true(diag.message[0] && diag.advice[0]);
            continue;
        }
        unsigned set = 0;
        for (int i = 0; i < notes.count; i++)
            set |= 1u << notes.note[i].pc;
        assert_int_equal(set, notes.set);
        assert_int_equal(notes.repeated & ~notes.set, 0);
    }
}

static void notes_without_octaves_are_placed_upward(void **state)
{
    (void)state;
    const struct {
        const char *text, *placed;
    } rows[] = {
        {"C E G#", "C3 E3 G#3"},      {"G# C E", "G#3 C4 E4"}, {"B A", "B3 A4"},
        {"048", "C3 E3 G#3"},         {"840", "G#3 E4 C5"},    {"B# E", "B#2 E3"},
        {"Cb E", "Cb4 E4"},           {"C5 E3", "C5 E3"},      {"{}", "{}"},
        {"x-3-2-1-x-x", "C3 E3 G#3"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct hf_notes notes = parsed(rows[i].text);
        struct hf_diag diag;
        char written[HF_NOTES_TEXT];
        assert_int_equal(hf_notes_place(&notes, &diag), HF_OK);
        assert_true(hf_notes_placed(&notes));
        assert_string_equal(hf_notes_format(&notes, HF_NAMES_SIMPLE, written), rows[i].placed);
    }
}

static void notes_that_would_pass_the_range_are_not_placed(void **state)
{
    (void)state;
    struct hf_notes notes = parsed("B A# A G# G F# F E D# D"), before = notes;
    struct hf_diag diag;
    assert_int_equal(hf_notes_place(&notes, &diag), HF_E_USAGE);
    assert_memory_equal(&notes, &before, sizeof notes);
}

static void every_set_becomes_a_list(void **state)
{
    (void)state;
    for (unsigned set = 0; set < HF_SETS; set++) {
        struct hf_notes notes = hf_notes_of_set((hf_pcset)set);
        struct hf_diag diag;
        assert_int_equal(notes.set, set);
        assert_int_equal(notes.count, hf_pcset_size((hf_pcset)set));
        assert_int_equal(hf_notes_place(&notes, &diag), HF_OK);
        for (int i = 1; i < notes.count; i++)
            assert_true(notes.note[i - 1].midi < notes.note[i].midi);
    }
}

static void the_player_keeps_the_spelling_unless_told_otherwise(void **state)
{
    (void)state;
    struct hf_notes notes = parsed("Ab4 Fb4 B#3 C5"); /* B# and C are one pitch class: the first */
    const struct {
        enum hf_names names;
        const char *list, *ascending;
    } rows[] = {
        {HF_NAMES_SIMPLE, "Ab4 Fb4 B#3 C5", "B# Fb Ab"},
        {HF_NAMES_SHARPS, "G#4 E4 C4 C5", "C E G#"},
        {HF_NAMES_FLATS, "Ab4 E4 C4 C5", "C E Ab"},
        {HF_NAMES_NUMBERS, "8/4 4/4 0/4 0/5", "0 4 8"},
        {HF_NAMES_GERMAN, "As4 Fes4 His3 C5", "His Fes As"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char list[HF_NOTES_TEXT], name[HF_SPELLED_TEXT], ascending[64] = "";
        struct hf_spelled spelled[HF_PCS];
        size_t length = 0;
        assert_string_equal(hf_notes_format(&notes, rows[i].names, list), rows[i].list);
        int count = hf_notes_spelling(&notes, rows[i].names, spelled);
        for (int j = 0; j < count; j++)
            length +=
                (size_t)snprintf(ascending + length, sizeof ascending - length, "%s%s",
                                 j ? " " : "", hf_spelled_format(spelled[j], rows[i].names, name));
        assert_string_equal(ascending, rows[i].ascending);
    }
}

/* derived: the fifth fret of a string sounds the next open string, so the pitch counts once and
 * both frets are kept. */
static void frets_are_kept_for_every_string(void **state)
{
    (void)state;
    const signed char frets[] = {5, 0, -1, 12, -1, 0};
    struct hf_notes notes = parsed("5-0-x-12-x-0");
    assert_int_equal(notes.count, 3);
    assert_int_equal(notes.repeated, 1 << 9);
    assert_memory_equal(notes.frets, frets, sizeof frets);
}

/* derived: what is written in German is read in German as the same note, with its octave */
static void german_names_are_read_as_they_are_written(void **state)
{
    (void)state;
    const struct hf_notes_how german = {.german = true};
    for (char letter = 'A'; letter <= 'G'; letter++)
        for (int by = -2; by <= 2; by++) {
            struct hf_spelled spelled = {letter, (signed char)by};
            char name[HF_SPELLED_TEXT], pitch[HF_SPELLED_TEXT + 2];
            struct hf_notes notes, ours;
            hf_spelled_format(spelled, HF_NAMES_GERMAN, name);
            assert_ok(hf_notes_parse(name, &german, &notes, NULL));
            assert_int_equal(notes.note[0].pc, hf_spelled_pc(spelled));
            assert_int_equal(notes.note[0].spelled.letter, letter);
            snprintf(pitch, sizeof pitch, "%s4", name);
            assert_ok(hf_notes_parse(pitch, &german, &notes, NULL));
            hf_spelled_format_pitch(spelled, notes.note[0].midi, HF_NAMES_SIMPLE, pitch);
            assert_ok(hf_notes_parse(pitch, NULL, &ours, NULL));
            assert_int_equal(notes.note[0].midi, ours.note[0].midi);
            assert_int_equal(pitch[strlen(pitch) - 1], '4'); /* H4 is B4, Ces4 is Cb4 */
        }
    static const char *const wrong[] = {"Bb", "B#", "Cies", "His#", "I", "Hx", "Ees", "Fisb"};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        struct hf_notes notes;
        assert_int_equal(hf_notes_parse(wrong[i], &german, &notes, NULL), HF_E_USAGE);
    }
    /* In English names H is told what it would be, in either case. */
    struct hf_notes notes;
    struct hf_diag capital = {0}, small = {0};
    assert_int_equal(hf_notes_parse("H", NULL, &notes, &capital), HF_E_USAGE);
    assert_int_equal(hf_notes_parse("h", NULL, &notes, &small), HF_E_USAGE);
    assert_non_null(strstr(capital.advice, "B"));
    assert_string_equal(small.advice, capital.advice);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_notation_is_read),
        cmocka_unit_test(frets_are_kept_for_every_string),
        cmocka_unit_test(every_name_of_the_range_is_its_midi_number),
        cmocka_unit_test(every_fret_of_every_string_is_its_midi_number),
        cmocka_unit_test(another_instrument_has_its_own_strings),
        cmocka_unit_test(as_written_sounds_an_octave_lower),
        cmocka_unit_test(repeated_notes_are_said_and_left_out),
        cmocka_unit_test(a_bad_list_is_told_which_word_and_what_would_be_right),
        cmocka_unit_test(a_list_may_have_511_bytes_and_no_more),
        cmocka_unit_test(every_short_text_is_read_or_refused),
        cmocka_unit_test(notes_without_octaves_are_placed_upward),
        cmocka_unit_test(notes_that_would_pass_the_range_are_not_placed),
        cmocka_unit_test(every_set_becomes_a_list),
        cmocka_unit_test(the_player_keeps_the_spelling_unless_told_otherwise),
        cmocka_unit_test(german_names_are_read_as_they_are_written),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
