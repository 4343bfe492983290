/* SPDX-License-Identifier: MIT */
/* Expected texts are written by hand after WebVTT (W3C, 2019) and RFC 4180. */
#include <stdlib.h>
#include <string.h>

#include <holdfast/cuesheet.h>

#include "check.h"

static const struct hf_cuesheet_row rows[] = {
    {.number = 1,
     .id = 3,
     .at = 48000,
     .tell = 48000,
     .hear = 128000,
     .end = 168000,
     .names = "D Eb A",
     .pitches = "D4 A4 Eb5",
     .held = "C3 E3 G#3",
     .mark = "got"},
    {.number = 2,
     .id = 1,
     .at = 168000,
     .tell = 248001,
     .hear = 168000,
     .end = 288000,
     .names = "C# D G",
     .pitches = "D4 G4 C#5",
     .held = "C3 E3 G#3",
     .frets = "x-x-0-0-2-x",
     .before = "listen",
     .mark = ""},
    {.number = 3,
     .id = 2,
     .at = 288000,
     .tell = 288000,
     .hear = HF_CUESHEET_NEVER,
     .end = 173088000,
     .names = "C# F# G",
     .pitches = "C#4 F#4 G4",
     .held = "C3 E3 G#3",
     .mark = "missed"},
};

static struct hf_cuesheet sheet(const char *title)
{
    return (struct hf_cuesheet){.title = title, .rate_hz = 48000, .rows = rows, .count = 3};
}

static void captions_say_what_is_known_and_when(void **state)
{
    (void)state;
    struct hf_cuesheet all = sheet("improvise");
    char *text = NULL;
    size_t length = 0;
    assert_ok(hf_cuesheet_captions(&all, &text, &length, NULL));
    assert_string_equal(text, "WEBVTT improvise\n\n"
                              "00:00:01.000 --> 00:00:02.667\nfind D Eb A\n\n"
                              "00:00:02.667 --> 00:00:03.500\nhear D4 A4 Eb5\n\n"
                              "00:00:03.500 --> 00:00:05.167\nlisten\n\n"
                              "00:00:05.167 --> 00:00:06.000\nhear D4 G4 C#5\n\n"
                              "00:00:06.000 --> 01:00:06.000\nfind C# F# G\n\n");
    assert_int_equal(length, strlen(text));
    free(text);
}

static void a_title_cannot_end_its_line_or_become_markup(void **state)
{
    (void)state;
    struct hf_cuesheet all = sheet("a <b> & --> c\nd");
    char *text = NULL;
    size_t length = 0;
    all.count = 0;
    assert_ok(hf_cuesheet_captions(&all, &text, &length, NULL));
    assert_string_equal(text, "WEBVTT a &lt;b&gt; &amp; --&gt; c d\n\n");
    free(text);
}

static void the_table_has_a_line_for_each_cue(void **state)
{
    (void)state;
    struct hf_cuesheet all = sheet("improvise");
    char *text = NULL;
    size_t length = 0;
    assert_ok(hf_cuesheet_table(&all, &text, &length, NULL));
    assert_string_equal(
        text, "cue,at_s,tell_s,hear_s,end_s,id,names,pitches,held,frets,mark\r\n"
              "1,1.000000,1.000000,2.666667,3.500000,3,D Eb A,D4 A4 Eb5,C3 E3 G#3,,got\r\n"
              "2,3.500000,5.166688,3.500000,6.000000,1,C# D G,D4 G4 C#5,C3 E3 G#3,x-x-0-0-2-x,\r\n"
              "3,6.000000,6.000000,,3606.000000,2,C# F# G,C#4 F#4 G4,C3 E3 G#3,,missed\r\n");
    free(text);
}

static void a_field_with_a_comma_or_a_quote_is_quoted(void **state)
{
    (void)state;
    struct hf_cuesheet_row row = rows[0];
    struct hf_cuesheet one = {.title = "", .rate_hz = 48000, .rows = &row, .count = 1};
    char *text = NULL;
    size_t length = 0;
    strcpy(row.names, "D, \"Eb\"\nA");
    assert_ok(hf_cuesheet_table(&one, &text, &length, NULL));
    assert_non_null(strstr(text, ",3,\"D, \"\"Eb\"\"\nA\",D4 A4 Eb5,"));
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(captions_say_what_is_known_and_when),
        cmocka_unit_test(a_title_cannot_end_its_line_or_become_markup),
        cmocka_unit_test(the_table_has_a_line_for_each_cue),
        cmocka_unit_test(a_field_with_a_comma_or_a_quote_is_quoted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
