/* SPDX-License-Identifier: MIT */
/* The commands complete, inspect and pairings as a user runs them: what they print, where, and with
 * which exit status. They run in this process with the standard streams led into files. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <jansson.h>

#include "command.h"

#define COUNT(rows) (sizeof(rows) / sizeof *(rows))

/* It says so, on one line or wrapped. */
static void says(const char *command, const char *part)
{
    assert_int_equal(run(command), 0);
    assert_string_equal(errors, "");
    if (!strstr(output, part) && !strstr(unwrapped(), part))
        fail_msg("%s does not say \"%s\" but:\n%s", command, part, output);
}

static void never_says(const char *command, const char *part)
{
    assert_int_equal(run(command), 0);
    if (strstr(unwrapped(), part))
        fail_msg("%s says \"%s\":\n%s", command, part, output);
}

/* published: the shape that the contract prints, with what stands there as "..." filled in from the
 * same page (the six completions in order of pitch classes). */
static void complete_prints_the_contracts_json(void **state)
{
    (void)state;
    const char *head =
        "{\"holdfast\":1,\"held\":{\"pcs\":[0,4,8],\"names\":[\"C\",\"E\",\"G#\"],\"forte\":"
        "\"3-12\",\"prime\":[0,4,8]},\"added\":{\"forte\":\"3-5\",\"prime\":[0,1,6]},"
        "\"completions\":[{\"id\":1,\"pcs\":[1,2,7],\"names\":[\"C#\",\"D\",\"G\"],\"perfect\":[2,"
        "7],\"semitone\":[1,2],\"tritone\":[1,7],\"kind\":1,\"position\":1,\"union\":{\"pcs\":[0,"
        "1,2,4,7,8],\"forte\":\"6-Z17\",\"prime\":[0,1,2,4,7,8]}},{\"id\":2,";
    const char *tail = "],\"ring\":[1,2,5,6,4,3],\"movement\":[[0,4,4,6,6,8],[4,0,6,8,4,6],[4,6,0,"
                       "4,8,6],[6,8,4,0,6,4],[6,4,8,6,0,4],[8,6,6,4,4,0]]}\n";
    assert_int_equal(run("complete|C E G#|--json"), 0);
    assert_int_equal(strncmp(output, head, strlen(head)), 0);
    assert_true(strlen(output) > strlen(tail));
    assert_string_equal(output + strlen(output) - strlen(tail), tail);
    assert_string_equal(errors, "");
}

static void inspect_prints_the_contracts_json(void **state)
{
    (void)state;
    assert_int_equal(run("inspect|0 1 2 4 7 8|--json"), 0);
    assert_string_equal(
        output,
        "{\"holdfast\":1,\"pcs\":[0,1,2,4,7,8],\"names\":[\"C\",\"C#\",\"D\",\"E\",\"G\",\"G#\"],"
        "\"normal\":[0,1,2,4,7,8],\"forte\":\"6-Z17\",\"prime\":[0,1,2,4,7,8],\"prime_forte\":[0,1,"
        "2,4,7,8],\"icv\":[3,2,2,3,3,2],\"forms\":24,\"invariant_tn\":1,\"invariant_tni\":0,\"z\":"
        "\"6-Z43\",\"complement\":{\"pcs\":[3,5,6,9,10,11],\"forte\":\"6-Z43\",\"prime\":[0,1,2,5,"
        "6,8]},\"trichords\":{\"3-1\":1,\"3-2\":1,\"3-3\":2,\"3-4\":2,\"3-5\":5,\"3-6\":1,\"3-7\":"
        "1,\"3-8\":2,\"3-9\":1,\"3-10\":1,\"3-11\":2,\"3-12\":1},\"all_trichord\":true,\"splits\":["
        "{\"held\":[0,4,8],\"added\":[1,2,7],\"classes\":[\"3-12\",\"3-5\"]},{\"held\":[1,2,7,8],"
        "\"added\":[0,4],\"classes\":[\"4-9\",\"2-4\"]}]}\n");
}

static void the_empty_set_has_an_answer(void **state)
{
    (void)state;
    assert_int_equal(run("inspect|{}|--json"), 0);
    const char *head = "{\"holdfast\":1,\"pcs\":[],\"names\":[],\"normal\":[],\"forte\":\"0-1\","
                       "\"prime\":[],\"prime_forte\":[],\"icv\":[0,0,0,0,0,0],\"forms\":1,"
                       "\"invariant_tn\":12,\"invariant_tni\":12,\"z\":null,\"complement\":";
    assert_int_equal(strncmp(output, head, strlen(head)), 0);
    says("inspect|{}", "0 notes");
}

/* One JSON value of the last output. */
static json_t *loaded(const char *command)
{
    json_error_t error;
    assert_int_equal(run(command), 0);
    json_t *root = json_loads(output, 0, &error);
    if (!root)
        fail_msg("%s: %s", command, error.text);
    return root;
}

static void a_held_016_is_completed_by_its_triad_in_json(void **state)
{
    (void)state;
    json_t *root = loaded("complete|C# D G|--json");
    json_t *list = json_object_get(root, "completions");
    assert_int_equal(json_array_size(list), 1);
    char *pcs = json_dumps(json_object_get(json_array_get(list, 0), "pcs"), JSON_COMPACT);
    assert_string_equal(pcs, "[0,4,8]");
    assert_null(json_object_get(json_array_get(list, 0), "perfect"));
    free(pcs);
    json_decref(root);
    root = loaded("complete|C# D G|--json|--added|016");
    assert_int_equal(json_array_size(json_object_get(root, "completions")), 13);
    json_decref(root);
}

static void a_query_without_a_result_is_an_empty_list_and_a_reason(void **state)
{
    (void)state;
    const char *rows[] = {"complete|C E G#|--added|0369|--json",
                          "complete|C E G#|--result|6-20|--json"};
    for (size_t i = 0; i < COUNT(rows); i++) {
        json_t *root = loaded(rows[i]);
        assert_int_equal(json_array_size(json_object_get(root, "completions")), 0);
        assert_true(json_is_array(json_object_get(root, "completions")));
        assert_int_equal(json_array_size(json_object_get(root, "ring")), 0);
        assert_int_equal(json_array_size(json_object_get(root, "movement")), 0);
        json_decref(root);
    }
    says("complete|C E G#|--added|0369", "no 4-28 (0369) is free of the held notes");
    says("complete|C E G#|--result|6-20", "They can make: 6-Z17");
    says("complete|C E G#|--result|6-20", "To make it, add: 3-12");
    says("complete|C|--result|3-12|--added|1-1", "To make it, add: 2-4");
}

static void pages_say_what_a_musician_asks(void **state)
{
    (void)state;
    says("complete|C E G#", "each makes 6-Z17 (012478), the all-trichord hexachord");
    says("complete|C E G#", "sounding C3 E3 G#3");
    says("complete|C E G#", "5  F F# B       F# B      F F#      F B       1     2");
    says("complete|C E G#", "kind 1: 1 5 4   (positions 1 2 3)\n");
    says("complete|C E G#", "1  C# D G       to 2: C# G stay, 4 semitones");
    says("complete|C|E|G#|--names|german", "Cis D G");
    says("complete|--as-written|C4 E4 G#4", "sounding C3 E3 G#3");
    says("complete|C# D G", "FIRST: as what is added");
    says("complete|C# D G", "SECOND: as what is held");
    says("complete|C E|--added|2-4", "Making 4-7 (0145)\n  id  notes\n   1  C# F\n   6  Eb B\n");
    never_says("complete|C E G#|--added|3-10", "perfect");
    never_says("complete|C E G#|--added|3-10|--hints", "erfect");
    never_says("complete|C E G#|--added|9-12", "position");
    says("complete|C E G#|--added|3-3", "2     3\n\nKinds ");
    says("complete|C E G#|--added|0167", "4-9 (0167): none\n");
    says("complete|C E G#|--added|3-3", "2 classes, below by class of the union (ids run through");
    says("complete|C E G#|--hints", "fourths, or fifths): D G, C# F#, D A, Eb Bb, F# B, F Bb.");
    says("complete|C E G#|--added|3-10|--hints", "2. One note of each: C#, D, Eb.");
    says("inspect|C E G# C# D G", "all-trichord hexachord");
    says("inspect|C E G# C# D G", "C E G# + C# D G   3-12 (048, augmented triad) with 3-5 (016)");
    says("inspect|10-10-10-9-9-9", "D3  G3  C4  E4  G#4  C#5   (low to high)");
    says("inspect|10-10-10-9-9-9", "5 5 4 4 5   semitones");
    says("inspect|10-10-10-9-9-9", "C E G#  .  .  C4 E4 G#4 .");
    says("inspect|0158", "Splits            no split whose two classes always make 4-20\n");
    says("inspect|048", "moved up by 4 or 8 semitones (T4 T8);");
    says("inspect|0158", "each number taken from 1 gives the same notes (T1I);");
    says("inspect|C5 E3", "E3  C5   (low to high)");
    says("inspect|Ab C Eb", "Ab major triad");
}

static void subsets_are_listed_by_class(void **state)
{
    (void)state;
    says("inspect|C E G Bb|--subsets|2", "Subsets of 2 notes: 6");
    says("inspect|C E G Bb|--subsets|2", "2-3 (03): 2\n      E G\n      G Bb\n");
    says("inspect|C E|--subsets|3", "Subsets of 3 notes: 0");
    json_t *root = loaded("inspect|012478|--subsets|3|--json");
    json_t *subsets = json_object_get(root, "subsets");
    assert_int_equal(json_array_size(subsets), 12);
    size_t sets = 0;
    for (size_t i = 0; i < json_array_size(subsets); i++)
        sets += json_array_size(json_object_get(json_array_get(subsets, i), "sets"));
    assert_int_equal(sets, 20);
    json_decref(root);
}

static void two_sets_are_compared(void **state)
{
    (void)state;
    says("inspect|C E G|--against|F A C", "Shared notes    C\n");
    says("inspect|C E G|--against|F A C", "yes: moved up by 5 (T5)\n");
    says("inspect|C E G|--against|F A C", "3 semitones in all");
    says("inspect|C E G|--against|C Eb G", "mirrored, each number taken from 7 (T7I)\n");
    says("inspect|C E G|--against|C E G#", "no: no transposition or inversion");
    says("inspect|C E G|--against|C E", "not the same number of notes");
    json_t *root = loaded("inspect|C E G|--against|F A C|--json");
    char *against = json_dumps(json_object_get(root, "against"), JSON_COMPACT);
    assert_string_equal(against,
                        "{\"pcs\":[0,5,9],\"names\":[\"C\",\"F\",\"A\"],\"forte\":\"3-11\","
                        "\"prime\":[0,3,7],\"shared\":[0],\"tn\":[5],\"tni\":[],"
                        "\"movement\":3}");
    free(against);
    json_decref(root);
}

/* derived: the seven trichords of the facts, 012 013 016 024 025 027 036. */
static void the_triads_seven_pairings_are_listed(void **state)
{
    (void)state;
    const char *added[] = {"3-1", "3-2", "3-5", "3-6", "3-7", "3-9", "3-10"};
    json_t *root = loaded("pairings|--held|3-12|--size|3|--json");
    json_t *list = json_object_get(root, "pairings");
    assert_int_equal(json_array_size(list), COUNT(added));
    for (size_t i = 0; i < COUNT(added); i++) {
        json_t *one = json_array_get(list, i);
        assert_string_equal(
            json_string_value(json_object_get(json_object_get(one, "held"), "forte")), "3-12");
        assert_string_equal(
            json_string_value(json_object_get(json_object_get(one, "added"), "forte")), added[i]);
        assert_int_equal(json_array_size(json_object_get(one, "results")), 1);
    }
    json_decref(root);
    says("pairings|--held|048|--size|3", "7 pairings: ");
    says("pairings|--held|048|--size|3", "for C E G# there are 6 of 3-5");
    says("pairings|--held|048", "holdfast play --held \"C E G#\" --added 3-5\n");
    says("pairings|--held|048|--names|german", "holdfast play --held \"C E G#\" --added 3-5\n");
}

/* The shape of the contract, for the two pairings of the all-trichord hexachord. */
static void the_two_pairings_of_6_z17_are_listed(void **state)
{
    (void)state;
    assert_int_equal(run("pairings|--result|6-Z17|--json"), 0);
    assert_string_equal(
        output,
        "{\"holdfast\":1,\"pairings\":[{\"held\":{\"forte\":\"3-12\",\"prime\":[0,4,8]},\"added\":{"
        "\"forte\":\"3-5\",\"prime\":[0,1,6]},\"results\":[{\"forte\":\"6-Z17\",\"prime\":[0,1,2,4,"
        "7,8]"
        "}],\"completions\":6,\"example\":{\"held\":[0,4,8],\"added\":[1,2,7]}},{\"held\":{"
        "\"forte\":"
        "\"4-9\",\"prime\":[0,1,6,7]},\"added\":{\"forte\":\"2-4\",\"prime\":[0,4]},\"results\":[{"
        "\"forte\":\"6-Z17\",\"prime\":[0,1,2,4,7,8]}],\"completions\":4,\"example\":{\"held\":[0,"
        "1,6,"
        "7],\"added\":[2,10]}}]}\n");
    says("pairings|--result|6-Z17", "2 pairings: ");
}

static size_t pairings_of(const char *command)
{
    json_t *root = loaded(command);
    size_t count = json_array_size(json_object_get(root, "pairings"));
    json_decref(root);
    return count;
}

/* derived: 2914 in all by tests/test_pairing.c; a class that is named shows its pairs of any size:
 * from both sides together each pair is met once for each side it can stand on. */
static void filters_only_leave_out(void **state)
{
    (void)state;
    assert_int_equal(pairings_of("pairings|--all|--json"), 2914);
    size_t usual = pairings_of("pairings|--json"), by_size = 0;
    for (int size = 1; size < 9; size++) {
        char command[64];
        snprintf(command, sizeof command, "pairings|--size|%d|--json", size);
        by_size += pairings_of(command);
    }
    assert_true(usual < 2914);
    assert_int_equal(by_size, usual);
    assert_int_equal(pairings_of("pairings|--held|3-12|--added|3-5|--json"), 1);
    assert_int_equal(pairings_of("pairings|--held|3-5|--added|3-12|--json"), 1);
    assert_int_equal(pairings_of("pairings|--held|3-12|--added|3-3|--json"), 0);
    assert_int_equal(pairings_of("pairings|--held|3-12|--added|3-3|--at-most|2|--json"), 1);
    assert_int_equal(pairings_of("pairings|--held|3-12|--added|4-28|--at-most|24|--json"), 0);
    assert_true(pairings_of("pairings|--added|3-5|--json") > 0);
}

/* Of all 2914, those in which a class stands on either side are what a query on it shows. */
static void a_class_that_is_named_shows_all_its_pairings(void **state)
{
    (void)state;
    const char *classes[] = {"3-12", "3-5", "2-6"};
    for (size_t c = 0; c < COUNT(classes); c++) {
        json_t *root = loaded("pairings|--all|--json");
        json_t *list = json_object_get(root, "pairings");
        size_t expected = 0;
        for (size_t i = 0; i < json_array_size(list); i++) {
            json_t *one = json_array_get(list, i);
            const char *sides[] = {"held", "added"};
            bool in = false;
            for (int side = 0; side < 2; side++)
                in = in || !strcmp(classes[c], json_string_value(json_object_get(
                                                   json_object_get(one, sides[side]), "forte")));
            expected += in;
        }
        json_decref(root);
        char command[64];
        snprintf(command, sizeof command, "pairings|--held|%s|--json", classes[c]);
        assert_int_equal(pairings_of(command), expected);
        snprintf(command, sizeof command, "pairings|--added|%s|--json", classes[c]);
        assert_int_equal(pairings_of(command), expected);
    }
}

static void no_pairing_has_a_reason(void **state)
{
    (void)state;
    says("pairings|--held|3-12|--added|3-3", "makes 6-15, 6-21; see --at-most 2");
    says("pairings|--held|3-12|--added|4-28", "wherever they lie they share a note");
    says("pairings|--held|3-12|--result|3-12", "no two classes without a common note");
    says("pairings|--held|2-1|--result|4-Z15", "--at-most");
    says("pairings|--held|2-3|--added|2-6|--at-most|2", "4-Z15, 4-Z29");
}

static void a_path_is_a_chain_or_a_reason(void **state)
{
    (void)state;
    says("complete|--path|012478|--to|C E G# F F# B|--share|3", "C E G# stay");
    says("complete|--path|012478|--to|C E G# F F# B|--share|3",
         "2 chords of 6-Z17 (012478), 1 step;");
    says("complete|--path|012478|--to|C E G# F F# B|--share|4", "share at least four notes");
    says("complete|--path|012478|--to|C E G# F F# B|--share|4", "chord 3   C E G# + F F# B\n");
    says("complete|--path|012478|--to|012478", "1 chord of 6-Z17 (012478), 0 steps;");
    says("complete|--path|012478|--to|0 1 2 6 7 10|--share|3", "with --share 4 there is one");
    says("complete|--path|012478|--to|048", "6-Z17 and 3-12");
    json_t *root = loaded("complete|--path|012478|--to|0 1 2 6 7 10|--json");
    assert_int_equal(json_array_size(json_object_get(root, "path")), 2);
    assert_int_equal(json_array_size(json_object_get(root, "steps")), 1);
    json_decref(root);
    root = loaded("complete|--path|012478|--to|048|--json");
    assert_int_equal(json_array_size(json_object_get(root, "path")), 0);
    json_decref(root);
}

static void a_stream_answers_each_line_and_goes_on(void **state)
{
    (void)state;
    const char input[] = "C E G\nnonsense\n\n0 4\0 8\nx-3-2-1-x-x\r\nC E C";
    assert_int_equal(run_with("inspect|-", input, sizeof input - 1), 65);
    assert_string_equal(errors, "holdfast: line 6: C came more than once; each note counts once\n");
    const char *forte[] = {"3-11", NULL, NULL, NULL, "3-12", "2-4"};
    char *line = output;
    for (size_t i = 0; i < COUNT(forte); i++) {
        char *end = strchr(line, '\n');
        assert_non_null(end);
        json_t *root = json_loadb(line, (size_t)(end - line), 0, NULL);
        assert_non_null(root);
        const char *name = json_string_value(json_object_get(root, "forte"));
        if (forte[i]) {
            assert_string_equal(name, forte[i]);
        } else {
            assert_null(name);
            assert_true(json_is_string(json_object_get(root, "error")));
            assert_int_equal(json_integer_value(json_object_get(root, "line")), i + 1);
        }
        json_decref(root);
        line = end + 1;
    }
    assert_string_equal(line, "");
    assert_int_equal(run_with("inspect|-", "C\n", 2), 0);
    assert_int_equal(run_with("inspect|-", "", 0), 0);
    assert_string_equal(output, "");
}

/* A line of bytes that no list may have, as long as a book: one object, and the next line is read.
 */
static void a_stream_survives_any_line(void **state)
{
    (void)state;
    static char input[1 << 20];
    memset(input, 'C', sizeof input);
    for (size_t i = 0; i < 600; i++)
        input[i] = (char)(i % 255 + 1 + (i % 255 + 1 >= '\n'));
    input[600] = '\n';
    memcpy(input + sizeof input - 5, "\nC E\n", 5);
    assert_int_equal(run_with("inspect|-", input, sizeof input), 65);
    int lines = 0;
    for (const char *at = output; (at = strchr(at, '\n')) != NULL; at++)
        lines++;
    assert_int_equal(lines, 3);
    assert_non_null(strstr(output, "\"forte\":\"2-4\""));
    /* what is too long is refused, never cut: notes at bytes 1, 500 and 600 */
    memset(input, ' ', 601);
    input[0] = 'C';
    input[499] = 'E';
    assert_int_equal(run_with("inspect|-", input, 500), 0);
    assert_non_null(strstr(output, "\"forte\":\"2-4\""));
    input[599] = 'G';
    assert_int_equal(run_with("inspect|-", input, 600), 65);
    assert_non_null(strstr(output, "longer than"));
}

/* Each with one sentence on stderr, nothing on stdout and the status of wrong use. */
static void wrong_use_is_told_in_a_sentence(void **state)
{
    (void)state;
    const struct {
        const char *command, *says;
    } rows[] = {
        {"complete", "needs the notes that are held"},
        {"complete|{}", "no notes has no completion"},
        {"complete|0123456789TE", "twelve notes has no completion"},
        {"complete|C E H", "\"H\" (word 3, column 5) is no note"},
        {"complete|C|E|12", "\"12\" (word 3, column 5)"},
        {"complete|C E G#|--added|127", "not a prime form"},
        {"complete|C E G#|--added|3-13", "no set class 3-13"},
        {"complete|C E G#|--result|nine", "is no set class"},
        {"complete|C E G#|--names|french", "no way to write names"},
        {"complete|C E G#|--hints|--json", "--hints"},
        {"complete|--path|012478", "both its ends"},
        {"complete|--to|012478", "both its ends"},
        {"complete|C|--share|4", "both its ends"},
        {"complete|C|--path|012478|--to|012478", "takes no held notes"},
        {"complete|--path|012478|--to|012478|--share|6", "none of 3, 4, 5"},
        {"complete|--path|012478|--to|xyz", "is no note"},
        {"complete|C E G#|--loud", "no option"},
        {"pairings|3-12", "takes options only"},
        {"pairings|6-Z17", "holdfast pairings --result 6-Z17"},
        {"pairings|--held|127", "not a prime form"},
        {"pairings|--size|0", "--size 0 is out of range"},
        {"pairings|--at-most|25", "out of range"},
        {"pairings|--at-most|1.5", "out of range"},
        {"inspect", "needs the notes of a chord"},
        {"inspect|", "there are no notes"},
        {"inspect|C E G#|--subsets|13", "no number of notes"},
        {"inspect|C E G#|--subsets|x", "no number of notes"},
        {"inspect|C E G#|--against|c", "is no note"},
        {"inspect|x-3-2-25-x-x", "no fret for string 4"},
        {"inspect|x-3-2", "6 strings"},
        {"inspect|5-20", "2 places"},
        {"inspect|C C C C C C C C C C C C C", "there are 13 notes"},
        {"inspect|C3 E", "no octave"},
        {"inspect|G#9", "out of range"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        int status = run(rows[i].command);
        if (status != 64 || !strstr(errors, rows[i].says) || output[0])
            fail_msg("%s: %d %s", rows[i].command, status, errors);
        assert_int_equal(strncmp(errors, "holdfast: ", 10), 0);
    }
}

static void repeated_notes_are_said_on_stderr(void **state)
{
    (void)state;
    assert_int_equal(run("inspect|C E C|--json"), 0);
    assert_string_equal(errors, "holdfast: C came more than once; each note counts once\n");
    assert_int_equal(run("complete|C E G# B#"), 0);
    assert_string_equal(errors, "holdfast: C came more than once; each note counts once\n");
}

/* Unfiltered, the list would run through a terminal; JSON has it whole. 2914: see above; 1288 is
 * pinned. */
static void pairings_alone_are_a_summary(void **state)
{
    (void)state;
    says("pairings", "There are 1288 with at most nine notes together:");
    never_says("pairings", "C E G#");
    says("pairings", "--result 6-Z17");
    says("pairings|--at-most|1", "1288 pairings: ");
    says("pairings|--all", "2914 pairings: ");
    assert_int_equal(pairings_of("pairings|--json"), 1288);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(complete_prints_the_contracts_json),
        cmocka_unit_test(inspect_prints_the_contracts_json),
        cmocka_unit_test(the_empty_set_has_an_answer),
        cmocka_unit_test(a_held_016_is_completed_by_its_triad_in_json),
        cmocka_unit_test(a_query_without_a_result_is_an_empty_list_and_a_reason),
        cmocka_unit_test(pages_say_what_a_musician_asks),
        cmocka_unit_test(subsets_are_listed_by_class),
        cmocka_unit_test(two_sets_are_compared),
        cmocka_unit_test(the_triads_seven_pairings_are_listed),
        cmocka_unit_test(the_two_pairings_of_6_z17_are_listed),
        cmocka_unit_test(filters_only_leave_out),
        cmocka_unit_test(a_class_that_is_named_shows_all_its_pairings),
        cmocka_unit_test(no_pairing_has_a_reason),
        cmocka_unit_test(a_path_is_a_chain_or_a_reason),
        cmocka_unit_test(a_stream_answers_each_line_and_goes_on),
        cmocka_unit_test(a_stream_survives_any_line),
        cmocka_unit_test(wrong_use_is_told_in_a_sentence),
        cmocka_unit_test(repeated_notes_are_said_on_stderr),
        cmocka_unit_test(pairings_alone_are_a_summary),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
