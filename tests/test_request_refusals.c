/* SPDX-License-Identifier: MIT */
/*
 * What a session is not: options whose text means nothing, and options that contradict each other.
 * Each is refused before anything sounds, in words that name what to leave out, and the request is
 * as it was. derived: the contract's table of options, and for each pair the reason in its message.
 */
#include "asking.h"

#include <stdio.h>

#include <holdfast/instrumentfile.h>

enum { SETTINGS = 5 };

static struct hf_request fresh(void)
{
    struct hf_request request;
    hf_request_init(&request);
    return request;
}

/* ---- one option ------------------------------------------------------------------------------ */

static void assert_refused(enum hf_option key, const char *text, const char *says)
{
    struct hf_request r = fresh(), before = r;
    struct hf_diag diag = {0};
    if (hf_request_set(&r, key, text, &diag) != HF_E_USAGE)
        fail_msg("%s took \"%s\"", hf_option_name(key), text);
    assert_memory_equal(&r, &before, sizeof r);
    if (!strstr(diag.message, says))
        fail_msg("%s \"%s\" says: %s", hf_option_name(key), text, diag.message);
}

static void no_option_takes_what_would_upset_a_terminal_or_a_journal(void **state)
{
    (void)state;
    static char longer[HF_REQUEST_TEXT + 1];
    memset(longer, 'a', sizeof longer - 1);
    for (int key = 0; key < HF_OPTIONS; key++) {
        assert_refused((enum hf_option)key, "\033[2J", "");
        assert_refused((enum hf_option)key, longer, "is longer than");
    }
}

static void a_word_that_is_not_known_is_told_the_known_ones(void **state)
{
    (void)state;
    static const struct {
        enum hf_option key;
        const char *choices;
    } rows[] = {
        {HF_OPT_PRACTICE, "improvise, roam, hunt, ear, sight, warmup"},
        {HF_OPT_CUE, "lead, confirm, silent, ear, gap, reverse"},
        {HF_OPT_ORDER, "shuffle, near, far, ring, listed, grip, tour, weak"},
        {HF_OPT_DRONE, "sustained, struck, off"},
        {HF_OPT_TUNING, "equal, pure"},
        {HF_OPT_VOICING, "any, close, open, widening"},
        {HF_OPT_SPEAK, "names, all"},
        {HF_OPT_HOLD, "hand"},
        {HF_OPT_TICK, "off, on"},
        {HF_OPT_SUPPORT, "full, fading"},
        {HF_OPT_GRIP, "free, fixed"},
        {HF_OPT_SPREAD, "close, wide"},
        {HF_OPT_VIEW, "letters, frame"},
        {HF_OPT_NEAR_MISS, "yes"},
        {HF_OPT_KEEP_REGISTERS, "yes"},
        {HF_OPT_BITS, "16, 24, float"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct hf_request r = fresh();
        struct hf_diag diag = {0};
        char advice[200], word[40];
        assert_refused(rows[i].key, "sideways", "\"sideways\" is not known");
        assert_int_equal(hf_request_set(&r, rows[i].key, "sideways", &diag), HF_E_USAGE);
        snprintf(advice, sizeof advice, "choose one of: %s", rows[i].choices);
        assert_string_equal(diag.advice, advice);
        for (const char *at = rows[i].choices; *at; at += strspn(at, ", ")) { /* all are taken */
            size_t length = strcspn(at, ",");
            snprintf(word, sizeof word, "%.*s", (int)length, at);
            assert_ok(hf_request_set(&r, rows[i].key, word, NULL));
            at += length;
        }
    }
    assert_refused(HF_OPT_VIEW, "staff", "view staff is not built yet");
}

static void a_text_that_is_nearly_right_is_refused(void **state)
{
    (void)state;
    static const struct {
        enum hf_option key;
        const char *text, *says;
    } rows[] = {
        {HF_OPT_A4, "1.2345678901234567", "more than 15 digits"},
        {HF_OPT_A4, "500", "outside 380 to 480 Hz"},
        {HF_OPT_A4, "440Hz", "is not a number from 380 to 480 Hz"},
        {HF_OPT_ROUNDS, "two", "is not a whole number from 1 to 10000"},
        {HF_OPT_RATE, "48000Hz", "is not a whole number"},
        {HF_OPT_BREAK_EVERY, "soon", "is not a length of time"},
        {HF_OPT_LEAD_IN, "0beats", ""},
        {HF_OPT_REGISTER, "C3 is as low as can be, it seems:C5", "is not known"},
        {HF_OPT_REGISTER, "C3:C5 is as high as it should be here", "is not known"},
        {HF_OPT_REGISTER, "C3 E3:C5", "is one note with its octave"},
        {HF_OPT_REGISTER, "C3:H5", "is one note with its octave"},
        {HF_OPT_REGISTER, "C3:C", "is one note with its octave"},
        {HF_OPT_REGISTER, "C4:C4", "is one note only"},
        {HF_OPT_REGISTER, "C5:C4", "the lower note is first"},
        {HF_OPT_BREATHE, "40s", "is not two lengths of time"},
        {HF_OPT_BREATHE, "0000000000000000000000000000000000000000000000000000000000000040s..15s",
         "is not two lengths of time"},
        {HF_OPT_BREATHE, "forty..15s", "is not a length of time"},
        {HF_OPT_BREATHE, "40s..", "is not a length of time"},
        {HF_OPT_BREATHE, "15s..40s", "the longer length comes first"},
        {HF_OPT_BREATHE, "15s..15s", "the longer length comes first"},
        {HF_OPT_BREATHE, "40s..15beats", "both in one unit"},
        {HF_OPT_LEVEL, "0", "there is no level"},
        {HF_OPT_LEVEL, "+", "there is no level"},
        {HF_OPT_LEVEL, "3++", "there is no level"},
        {HF_OPT_DAY, "2026-02-29", "is not a date"},
        {HF_OPT_DAY, "2026-13-01", "is not a date"},
        {HF_OPT_DAY, "2026-00-01", "is not a date"},
        {HF_OPT_DAY, "1969-12-31", "is not a date"},
        {HF_OPT_DAY, "2026/02/01", "is not a date"},
        {HF_OPT_DAY, "2026-02/01", "is not a date"},
        {HF_OPT_DAY, "2026-02-1", "is not a date"},
        {HF_OPT_DAY, "2026-02-+1", "is not a date"},
        {HF_OPT_DAY, "2100-02-29", "is not a date"}, /* no leap year */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (rows[i].says[0])
            assert_refused(rows[i].key, rows[i].text, rows[i].says);
    struct hf_request r = fresh();
    assert_ok(hf_request_set(&r, HF_OPT_LEAD_IN, "0beats", NULL)); /* no lead-in, in any unit */
    assert_ok(hf_request_set(&r, HF_OPT_DAY, "2000-02-29", NULL)); /* a leap year all the same */
    assert_int_equal(r.day, 11016); /* derived: 30 years of 365 days, 7 leap days, 31 + 28 more */
}

/* ---- several --------------------------------------------------------------------------------- */

static const struct {
    struct setting settings[SETTINGS];
    const char *says;
} refused[] = {
    /* the hand */
    {{{"hold", "hand"}}, "--hold goes with --hand INSTRUMENT"},
    {{{"grip", "fixed"}}, "--grip goes with --hand INSTRUMENT"},
    {{{"reach", "90"}}, "--reach goes with --hand INSTRUMENT"},
    {{{"leap", "90"}}, "--leap goes with --hand INSTRUMENT"},
    {{{"span", "9"}}, "--span goes with --hand INSTRUMENT"},
    {{{"hand", "keys"}, {"grip", "fixed"}}, "are for instruments with frets"},
    {{{"hand", "keys"}, {"reach", "90"}}, "are for instruments with frets"},
    {{{"hand", "keys"}, {"leap", "90"}}, "are for instruments with frets"},
    {{{"hand", "guitar"}, {"span", "9"}}, "--span is for --hand keys"},
    {{{"hand", "guitar"}, {"grip", "fixed"}}, "--grip fixed goes with --hold hand"},
    {{{"order", "tour"}}, "order tour goes over the grips of --hand INSTRUMENT"},
    {{{"order", "tour"}, {"hand", "keys"}}, "order tour goes over the grips"},
    {{{"hand", "guitar"}, {"cue", "reverse"}}, "leave out --hand"},
    /* gap and reverse */
    {{{"cue", "gap"}, {"added", "3-4"}}, "cue gap is for the 016, and 3-4 is added"},
    {{{"cue", "reverse"}, {"added", "3-4"}}, "cue reverse is for the 016, and 3-4 is added"},
    {{{"cue", "reverse"}, {"held", "C E G#"}}, "leave out --held and --from"},
    {{{"cue", "reverse"}, {"from", "C3 E3 G#3 C#5 D5 G5"}}, "leave out --held and --from"},
    {{{"cue", "reverse"}, {"order", "near"}}, "leave out --order"},
    {{{"cue", "reverse"}, {"tuning", "pure"}}, "cue reverse holds an 016"},
    {{{"cue", "reverse"}, {"support", "fading"}}, "nobody would know it"},
    {{{"tuning", "pure"}, {"held", "C E G"}}, "tuning pure is for an augmented triad"},
    /* times */
    {{{"every", "8beats"}}, "every is in beats, and there is no tempo"},
    {{{"lead-in", "8beats"}}, "lead-in is in beats"},
    {{{"restrike", "8beats"}}, "restrike is in beats"},
    {{{"step", "8beats"}}, "step is in beats"},
    {{{"for", "8beats"}}, "for is in beats"},
    {{{"breathe", "8beats..4beats"}}, "every is in beats"},
    {{{"every", "8000beats"}, {"tempo", "60"}}, "outside 0.1s to 1h"},
    {{{"every", "0.01beats"}, {"tempo", "60"}}, "outside 0.1s to 1h"},
    {{{"every", "wait"}, {"for", "5m"}}, "--for needs cues of a known length"},
    {{{"breathe", "40s..15s"}, {"for", "5m"}}, "not known where it breathes"},
    {{{"breathe", "40s..15s"}, {"every", "wait"}}, "you say when"},
    {{{"breathe", "40s..15s"}, {"every", "41s"}}, "lies outside 40s..15s"},
    {{{"breathe", "40s..15s"}, {"every", "14s"}}, "lies outside 40s..15s"},
    {{{"breathe", "40s..15s"}, {"every", "8beats"}, {"tempo", "60"}}, "both in beats, or neither"},
    {{{"breathe", "40s..15s"}, {"unfold", "all"}}, "leave out --breathe or --unfold"},
    {{{"breathe", "40s..15s"}, {"practice", "warmup"}}, "not with warmup"},
    {{{"breathe", "40s..15s"}, {"practice", "roam"}}, "not with roam"},
    {{{"tick", "on"}}, "tick on needs a tempo"},
    {{{"tick", "on"}, {"tempo", "60"}, {"practice", "hunt"}}, "nothing goes by the beat"},
    /* unfolding, fading */
    {{{"keep-registers", "yes"}}, "--keep-registers goes with --unfold"},
    {{{"unfold", "all"}, {"practice", "ear"}}, "--unfold goes with improvise, not with ear"},
    {{{"unfold", "all"}, {"cue", "silent"}}, "cue silent never sounds"},
    {{{"unfold", "all"}, {"cue", "reverse"}}, "cue reverse asks for a triad alone"},
    {{{"support", "fading"}, {"practice", "ear"}}, "support fading goes with improvise"},
    {{{"support", "fading"}, {"drone", "off"}}, "drone off has none"},
    /* ear */
    {{{"level", "2"}}, "--level goes with the practice ear"},
    {{{"near-miss", "yes"}}, "--near-miss goes with the practice ear"},
    {{{"practice", "ear"}, {"cue", "lead"}}, "ear asks by sound alone, and cue lead does not"},
    {{{"practice", "ear"}, {"from", "C3 E3 G#3 C#5 D5 G5"}}, "leave out --from"},
    {{{"practice", "ear"}, {"hand", "guitar"}}, "leave out --hand"},
    /* sight */
    {{{"view", "frame"}}, "--view goes with the practice sight"},
    {{{"chords", "mine.txt"}}, "--chords goes with the practice sight"},
    {{{"practice", "sight"}, {"held", "C E G#"}}, "leave out --held"},
    {{{"practice", "sight"}, {"cue", "lead"}}, "leave out --cue"},
    {{{"practice", "sight"}, {"drone", "sustained"}}, "a drone would give the chord away"},
    {{{"practice", "sight"}, {"added", "3-4"}}, "sight asks for the 016"},
    {{{"practice", "sight"}, {"hand", "guitar"}}, "add --view frame to --hand"},
    {{{"practice", "sight"}, {"hand", "keys"}, {"view", "frame"}}, "leave out --hand keys"},
    {{{"practice", "sight"}, {"view", "frame"}, {"chords", "mine.txt"}}, "leave out --view"},
    /* where the player chooses */
    {{{"practice", "roam"}, {"every", "25s"}}, "--every does not go with roam"},
    {{{"practice", "roam"}, {"lead-in", "5s"}}, "--lead-in does not go with roam"},
    {{{"practice", "hunt"}, {"order", "near"}}, "--order does not go with hunt"},
    {{{"practice", "hunt"}, {"rounds", "3"}}, "--rounds does not go with hunt"},
    {{{"practice", "roam"}, {"hand", "guitar"}, {"leap", "90"}}, "--leap does not go with roam"},
    {{{"practice", "roam"}, {"hand", "guitar"}, {"hold", "hand"}, {"grip", "fixed"}},
     "--grip does not go with roam"},
    {{{"practice", "roam"}, {"cue", "ear"}}, "--cue ear does not go with roam"},
    {{{"practice", "hunt"}, {"cue", "confirm"}}, "--cue confirm does not go with hunt"},
    {{{"practice", "hunt"}, {"cue", "gap"}}, "--cue gap does not go with hunt"},
    /* warm-up */
    {{{"kind", "1"}}, "--kind goes with the practice warmup"},
    {{{"day", "2026-11-25"}}, "--day goes with the practice warmup"},
    {{{"practice", "warmup"}, {"order", "near"}}, "leave out --order"},
    {{{"practice", "warmup"}, {"voicing", "open"}}, "leave out --voicing"},
    {{{"practice", "warmup"}, {"hand", "guitar"}}, "leave out --hand"},
    {{{"practice", "warmup"}, {"cue", "ear"}}, "says what to play, and cue ear does not"},
    {{{"practice", "warmup"}, {"every", "wait"}}, "--every wait has no minutes"},
    {{{"practice", "warmup"}, {"every", "1s"}}, "too short for a warm-up"},
    {{{"practice", "warmup"}, {"every", "1beat"}, {"tempo", "100"}}, "too short for a warm-up"},
    {{{"practice", "warmup"}, {"added", "1-1"}}, "a warm-up builds up chords"},
};

static void what_contradicts_itself_is_refused_with_what_to_leave_out(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        struct hf_request r = fresh();
        struct hf_diag diag = {0};
        set_options(&r, refused[i].settings);
        struct hf_request before = r;
        enum hf_status status = hf_request_resolve(&r, &diag);
        if (status != HF_E_USAGE || !strstr(diag.message, refused[i].says))
            fail_msg("%s: \"%s\", not: %s", refused[i].settings[0].key, diag.message,
                     refused[i].says);
        assert_memory_equal(&r, &before, sizeof r);
        assert_int_equal(hf_request_resolve(&r, NULL), HF_E_USAGE);
    }
}

/* Each of them with what it asks for; the other side of the rows above. */
static void what_goes_together_is_taken(void **state)
{
    (void)state;
    static const struct setting taken[][SETTINGS] = {
        {{"hand", "keys"}, {"span", "8"}},
        {{"hand", "keys"}, {"hold", "hand"}},
        {{"hand", "guitar"}, {"hold", "hand"}, {"grip", "fixed"}},
        {{"hand", "guitar"}, {"reach", "90"}, {"leap", "90"}, {"grip", "free"}},
        {{"hand", "guitar"}, {"order", "tour"}},
        {{"cue", "reverse"}},
        {{"cue", "gap"}, {"held", "C E G#"}},
        {{"tuning", "pure"}, {"held", "C3 E4 G#5"}},
        {{"every", "8beats"}, {"tempo", "60"}, {"tick", "on"}},
        {{"breathe", "40s..15s"}, {"every", "20s"}},
        {{"breathe", "8beats..4beats"}, {"tempo", "60"}},
        {{"practice", "hunt"}, {"for", "5m"}},
        {{"practice", "roam"}, {"every", "wait"}, {"order", "shuffle"}},
        {{"practice", "sight"}, {"view", "frame"}},
        {{"practice", "sight"}, {"view", "frame"}, {"hand", "guitar"}},
        {{"practice", "sight"}, {"chords", "mine.txt"}, {"lead-in", "0"}},
        {{"practice", "ear"}, {"level", "3+"}, {"near-miss", "yes"}},
        {{"practice", "ear"}, {"breathe", "40s..15s"}},
        {{"practice", "warmup"}, {"kind", "2"}, {"day", "2026-11-25"}},
        {{"practice", "warmup"}, {"every", "20beats"}, {"tempo", "60"}},
        {{"drone", "struck"}},
    };
    for (size_t i = 0; i < sizeof taken / sizeof taken[0]; i++) {
        struct hf_request r = fresh();
        struct hf_diag diag = {0};
        set_options(&r, taken[i]);
        if (hf_request_resolve(&r, &diag) != HF_OK)
            fail_msg("%s %s: %s", taken[i][0].key, taken[i][0].value, diag.message);
    }
}

/* derived: a struck drone has a struck timbre unless another is asked for */
static void a_struck_drone_brings_its_timbre(void **state)
{
    (void)state;
    struct hf_request r = fresh();
    assert_ok(hf_request_set(&r, HF_OPT_DRONE, "struck", NULL));
    assert_ok(hf_request_resolve(&r, NULL));
    assert_string_equal(r.text[HF_OPT_PATCH], "felt-hammer");
    r = fresh();
    assert_ok(hf_request_set(&r, HF_OPT_DRONE, "struck", NULL));
    assert_ok(hf_request_set(&r, HF_OPT_PATCH, "plucked-nylon", NULL));
    assert_ok(hf_request_resolve(&r, NULL));
    assert_string_equal(r.text[HF_OPT_PATCH], "plucked-nylon");
}

/* A chord in two halves, as --from makes of it. */
static void a_chord_splits_into_two_halves_with_octaves(void **state)
{
    (void)state;
    static const struct {
        const char *held, *added, *says;
    } rows[] = {
        {"{}", "C#5 D5 G5", "a half of the chord is empty"},
        {"C3 E3 G#3", "{}", "a half of the chord is empty"},
        {"C E G#", "C#5 D5 G5", "a half of the chord is empty"},
        {"C3 E3 G#3", "C# D G", "a half of the chord is empty"},
        {"C3 E3 G#3", "C#4 C#5 D5 G5", "comes in two octaves"},
        {"C3 E3 G#3", "C#5 D5 G5", NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct hf_request r = fresh(), before = r;
        struct hf_notes held, added;
        struct hf_diag diag = {0};
        assert_ok(hf_notes_parse(rows[i].held, NULL, &held, NULL));
        assert_ok(hf_notes_parse(rows[i].added, NULL, &added, NULL));
        enum hf_status status = hf_request_split(&r, &held, &added, &diag);
        assert_int_equal(status, rows[i].says ? HF_E_USAGE : HF_OK);
        if (rows[i].says) {
            assert_non_null(strstr(diag.message, rows[i].says));
            assert_memory_equal(&r, &before, sizeof r);
        } else {
            assert_true(r.has_own && r.own.count == 3 && r.own.notes[2] == 79);
            assert_string_equal(r.text[HF_OPT_ADDED], "3-5");
        }
    }
}

static void the_players_reach_stands_over_that_of_the_instrument(void **state)
{
    (void)state;
    const char *text = hf_instrumentfile_find_builtin("guitar");
    struct hf_fretboard board;
    struct hf_request r = fresh();
    assert_ok(hf_instrumentfile_parse(text, strlen(text), "", "guitar", &board, NULL));
    hf_request_take_board(&r, &board);
    assert_true(r.has_board && r.board.reach_mm == board.reach_mm);
    assert_ok(hf_request_set(&r, HF_OPT_REACH, "71", NULL));
    hf_request_take_board(&r, &board);
    assert_true(r.board.reach_mm == 71);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_option_takes_what_would_upset_a_terminal_or_a_journal),
        cmocka_unit_test(a_word_that_is_not_known_is_told_the_known_ones),
        cmocka_unit_test(a_text_that_is_nearly_right_is_refused),
        cmocka_unit_test(what_contradicts_itself_is_refused_with_what_to_leave_out),
        cmocka_unit_test(what_goes_together_is_taken),
        cmocka_unit_test(a_struck_drone_brings_its_timbre),
        cmocka_unit_test(a_chord_splits_into_two_halves_with_octaves),
        cmocka_unit_test(the_players_reach_stands_over_that_of_the_instrument),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
