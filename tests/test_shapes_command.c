/* SPDX-License-Identifier: MIT */
/* The command shapes as a user runs it: frames, objects, the player's own instruments, mistakes;
 * and its list against counting through every string and fret. */
#define _XOPEN_SOURCE 700
#include <fcntl.h>

#include "scratch.h"

#include "command.h"

#include <jansson.h>

#include <holdfast/instrumentfile.h>

#include "brute.h"

#define COUNT(rows) (sizeof(rows) / sizeof *(rows))

static void says(const char *command, const char *part)
{
    assert_int_equal(run(command), 0);
    assert_string_equal(errors, "");
    if (!strstr(output, part))
        fail_msg("%s does not say \"%s\" but:\n%s", command, part, output);
}

static json_t *loaded(const char *command)
{
    json_error_t error;
    if (run(command) != 0)
        fail_msg("%s: %s", command, errors);
    json_t *root = json_loads(output, 0, &error);
    if (!root)
        fail_msg("%s: %s", command, error.text);
    return root;
}

static long number(const json_t *object, const char *key)
{
    json_t *value = json_object_get(object, key);
    assert_true(json_is_integer(value));
    return (long)json_integer_value(value);
}

static const char *word(const json_t *object, const char *key)
{
    const char *value = json_string_value(json_object_get(object, key));
    assert_non_null(value);
    return value;
}

/* ---- objects --------------------------------------------------------------------------------- */

static void the_contracts_object_is_printed(void **state)
{
    (void)state;
    const char *head = "{\"holdfast\":1,\"instrument\":\"guitar\",\"shapes\":[{";
    /* published: the shape that the contract prints */
    const char *shape = "{\"frets\":[null,3,2,1,null,null],\"notes\":[48,52,56],\"fingers\":3,"
                        "\"reach_mm\":69.3,\"position\":1,\"right_hand\":\"pluck\"}";
    assert_int_equal(run("shapes|x-3-2-1-x-x|--json"), 0);
    assert_int_equal(strncmp(output, head, strlen(head)), 0);
    assert_non_null(strstr(output, shape));
    assert_string_equal(errors, "");
}

static void read_frets(const json_t *shape, int8_t frets[12])
{
    const json_t *list = json_object_get(shape, "frets");
    memset(frets, BRUTE_SILENT, 12);
    for (size_t s = 0; s < json_array_size(list); s++) {
        const json_t *fret = json_array_get(list, s);
        frets[s] = json_is_null(fret) ? BRUTE_SILENT : (int8_t)json_integer_value(fret);
    }
}

static void all_shapes_of_the_triad_are_those_of_brute_force_on_every_instrument(void **state)
{
    (void)state;
    for (const struct hf_instrument *each = hf_instruments; each->name; each++) {
        struct hf_fretboard board;
        struct brute_wish wish = {.pcs = 1 << 0 | 1 << 4 | 1 << 8,
                                  .string_high = 11,
                                  .fret_high = 99,
                                  .position_low = -1,
                                  .reach_mm = 100,
                                  .fingers = 4};
        char command[100];
        double before = 0;
        assert_int_equal(
            hf_instrumentfile_parse(each->text, strlen(each->text), "", each->name, &board, NULL),
            HF_OK);
        snprintf(command, sizeof command, "shapes|0 4 8|--all|--json|--instrument|%s", each->name);
        json_t *root = loaded(command);
        json_t *shapes = json_object_get(root, "shapes");
        brute_search(&board, &wish);
        assert_string_equal(word(root, "instrument"), each->name);
        assert_int_equal(json_array_size(shapes), brute_count);
        assert_int_equal(number(root, "found"), brute_count);
        for (size_t i = 0; i < json_array_size(shapes); i++) {
            const json_t *shape = json_array_get(shapes, i), *notes;
            double reach = json_real_value(json_object_get(shape, "reach_mm"));
            int8_t frets[12];
            size_t n = 0;
            read_frets(shape, frets);
            int at = brute_find(frets);
            assert_true(at >= 0);
            assert_true(fabs(reach - brute_found[at].reach_mm) < 0.0501);
            assert_true(reach >= before);
            before = reach;
            assert_int_equal(number(shape, "fingers"), brute_found[at].fingers);
            assert_int_equal(number(shape, "position"), brute_found[at].position);
            assert_string_equal(word(shape, "right_hand"), "pluck");
            notes = json_object_get(shape, "notes");
            for (int s = 0; s < board.strings; s++)
                if (frets[s] != BRUTE_SILENT)
                    assert_int_equal(json_integer_value(json_array_get(notes, n++)),
                                     board.midi[s] + frets[s]);
            assert_int_equal(json_array_size(notes), n);
        }
        json_decref(root);
    }
}

static void wishes_narrow_the_list(void **state)
{
    (void)state;
    static const struct {
        const char *wish;
        int position_low, position_high, string_low, string_high, fret_high;
        bool no_open;
        double reach_mm;
    } rows[] = {
        {"--position|5-7", 5, 7, 0, 5, 19, false, 100},
        {"--position|3", 3, 3, 0, 5, 19, false, 100},
        {"--strings|2-5", -1, 0, 1, 4, 19, false, 100},
        {"--frets|7", -1, 0, 0, 5, 7, false, 100},
        {"--open|no", -1, 0, 0, 5, 19, true, 100},
        {"--reach|60.5", -1, 0, 0, 5, 19, false, 60.5},
        {"--frets|9|--strings|1-4|--open|no", -1, 0, 0, 3, 9, true, 100},
    };
    struct hf_fretboard board;
    assert_int_equal(hf_instrumentfile_parse(hf_instruments[0].text, strlen(hf_instruments[0].text),
                                             "", "", &board, NULL),
                     HF_OK);
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct brute_wish wish = {.pcs = 1 << 0 | 1 << 4 | 1 << 8,
                                  .string_low = rows[i].string_low,
                                  .string_high = rows[i].string_high,
                                  .fret_high = rows[i].fret_high,
                                  .position_low = rows[i].position_low,
                                  .position_high = rows[i].position_high,
                                  .no_open = rows[i].no_open,
                                  .reach_mm = rows[i].reach_mm,
                                  .fingers = 4};
        char command[100];
        snprintf(command, sizeof command, "shapes|C E G#|--json|--all|%s", rows[i].wish);
        json_t *root = loaded(command);
        brute_search(&board, &wish);
        assert_true(brute_count > 0);
        assert_int_equal(json_array_size(json_object_get(root, "shapes")), brute_count);
        json_decref(root);
    }
}

static void twelve_or_as_many_as_wished_are_listed(void **state)
{
    (void)state;
    static const struct {
        const char *command;
        size_t listed;
    } rows[] = {{"shapes|C E G#|--json", 12},
                {"shapes|C E G#|--json|--top|5", 5},
                {"shapes|C E G#|--json|--top|500", 126},
                {"shapes|C E G#|--json|--all", 126}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        json_t *root = loaded(rows[i].command);
        assert_int_equal(json_array_size(json_object_get(root, "shapes")), rows[i].listed);
        assert_int_equal(number(root, "found"), 126); /* pinned; brute force agrees, above */
        json_decref(root);
    }
}

static void what_cannot_be_played_is_an_empty_list_with_its_reason(void **state)
{
    (void)state;
    static const struct {
        const char *command, *why;
    } rows[] = {
        {"shapes|C2|--json", "C2 is too low by 4 semitones: the lowest string is E2"},
        {"shapes|0 1 2 3 4|--instrument|bass|--json", "too many notes: 5"},
        {"shapes|F2 C3|--reach|60|--json", "reach 68 mm over 60"},
        {"shapes|C E G#|--position|1|--frets|0|--json", "no shape is left by"},
        {"shapes|E2|--with|3-x-x-x-x-x|--json", "E2 lies only on strings that are held"},
        {"shapes|C#|--with|D2|--json", "D2 is too low by 2 semitones"},
        {"shapes|--with|D2|--json", "D2 is too low by 2 semitones"},
        {"shapes|--families|C E G|--json", "no move along the neck"},
        {"shapes|--tour|D2|--json", "D2 is too low by 2 semitones"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        json_t *root = loaded(rows[i].command);
        const char *lists[] = {"shapes", "completions", "families", "stops"};
        if (!strstr(word(root, "why"), rows[i].why))
            fail_msg("%s: %s", rows[i].command, word(root, "why"));
        for (size_t j = 0; j < COUNT(lists); j++)
            assert_int_equal(json_array_size(json_object_get(root, lists[j])), 0);
        assert_string_equal(errors, "");
        json_decref(root);
    }
    says("shapes|C2",
         "Why    C2 is too low by 4 semitones: the lowest string is E2; write it an octave\n");
    says("shapes|--with|D2 F#2", "Held   D2 F#2: no grip\nWhy    D2 is too low");
    says("shapes|--families|C E G", "Found  no family\nWhy    no move along the neck");
    says("shapes|--tour|D2", "no grip\nWhy    D2");
}

static void a_held_grip_tells_each_completion_or_why_not(void **state)
{
    (void)state;
    json_t *root = loaded("shapes|--with|x-3-2-1-x-x|--json|--all");
    json_t *list = json_object_get(root, "completions");
    int can = 0;
    assert_int_equal(json_array_size(list), 6);
    for (size_t i = 0; i < 6; i++) {
        const json_t *one = json_array_get(list, i), *shapes = json_object_get(one, "shapes");
        assert_int_equal(number(one, "id"), i + 1);
        can += json_array_size(shapes) > 0;
        for (size_t j = 0; j < json_array_size(shapes); j++) {
            int8_t frets[12];
            read_frets(json_array_get(shapes, j), frets);
            assert_int_equal(frets[1], 3); /* held as it was given */
            assert_int_equal(frets[2], 2);
            assert_int_equal(frets[3], 1);
            assert_int_equal(json_array_size(json_object_get(json_array_get(shapes, j), "notes")),
                             6);
        }
        if (json_array_size(shapes))
            continue;
        const json_t *other = json_object_get(one, "other");
        assert_true(strlen(word(one, "why")) > 0);
        assert_true(json_is_object(other));
        int8_t held[12], both[12];
        read_frets(json_object_get(other, "held"), held);
        read_frets(json_object_get(other, "shape"), both);
        for (int s = 0; s < 12; s++)
            assert_true(held[s] == BRUTE_SILENT || held[s] == both[s]);
    }
    assert_int_equal(can, 2); /* pinned */
    json_decref(root);
    says("shapes|--with|x-3-2-1-x-x", "Found  2 of 6 completions in the same hand\n");
    says("shapes|--with|x-3-2-1-x-x",
         "6 F Bb B:   reach 161 mm over 100: from F2 (string 1, fret 1)");
    says("shapes|--with|C E G#", "of 126 grips the one that allows most");
    says("shapes|C# F# G|--with|x-3-2-1-x-x", "Added  C# F# G, in any octave\nHeld   x-3-2-1-x-x");
    says("shapes|--with|x-3-2-1-x-x|--reach|60", "Found  0 of 6 completions in the same hand");
    says("shapes|--with|0 3 6 9|--added|048", "Found  no 3-12 (048) is free of the held notes");
    /* two strings that sound one pitch are both held */
    root = loaded("shapes|--with|5-0-x-x-x-x|--json");
    int8_t frets[12];
    read_frets(json_object_get(root, "held"), frets);
    assert_int_equal(frets[0], 5);
    assert_int_equal(frets[1], 0);
    assert_string_equal(errors, "");
    json_decref(root);
}

static void families_and_tours_are_objects_too(void **state)
{
    (void)state;
    json_t *root = loaded("shapes|--families|C E G#|--json|--all");
    json_t *families = json_object_get(root, "families"), *pairs = json_object_get(root, "pairs");
    assert_int_equal(json_array_size(pairs), number(root, "found"));
    for (size_t i = 0; i < json_array_size(pairs); i++) {
        json_t *both = json_object_get(json_array_get(pairs, i), "families");
        unsigned met = 0;
        for (size_t side = 0; side < 2; side++) {
            size_t index = (size_t)json_integer_value(json_array_get(both, side)) - 1;
            json_t *family = json_array_get(families, index);
            json_t *members = json_object_get(family, "members");
            assert_int_equal(number(family, "kind"), (long)side + 1);
            for (size_t m = 0; m < 3; m++)
                met |= 1u << number(json_array_get(members, m), "id");
        }
        assert_int_equal(met, 0x7e);
    }
    json_decref(root);
    root = loaded("shapes|--tour|x-x-10-9-9-x|--json");
    json_t *stops = json_object_get(root, "stops");
    double length = 0;
    for (size_t i = 0; i < json_array_size(stops); i++)
        length += json_real_value(json_object_get(json_array_get(stops, i), "way_mm"));
    assert_true(json_array_size(stops) > 2);
    assert_true(fabs(length - json_real_value(json_object_get(root, "length_mm"))) <
                0.051 * (double)json_array_size(stops));
    json_decref(root);
    says("shapes|--families|C E G#",
         "Held notes through the added ones: 48 pairs, the nearest first; 1 shown");
    says("shapes|--tour|x-3-2-1-x-x", "Way    fingers move 127 mm in all, the shortest there is\n");
    says("shapes|--tour|x-3-2-1-x-x", "Lacks  1 C# D G, 3 D Eb A");
}

/* ---- frames ---------------------------------------------------------------------------------- */

static void a_frame_shows_strings_frets_and_hand(void **state)
{
    (void)state;
    /* derived: by hand, from the rule of the frames */
    says("shapes|x-3-2-1-x-x|--position|1",
         "   x   xx\n   ======\n 1 |||o||\n   ||o|||\n   |o||||\n   ||||||\n   69 mm\n"
         "   3 fingers\n   pluck\n");
    says("shapes|x-3-2-1-x-x|--position|1|--left-handed",
         "   xx   x\n   ======\n 1 ||o|||\n   |||o||\n   ||||o|\n   ||||||\n   69 mm\n");
    says("shapes|x-3-2-1-x-x|--position|1|--left-handed",
         "Lowest string at the right (left-handed)");
    says("shapes|8-7-6-x-x-x|--position|6",
         "      xxx\n   ------\n 6 ||o|||\n   |o||||\n   o|||||\n   ||||||\n");
    says("shapes|C#3 F3|--position|3", /* within four frets of the nut it is shown from there */
         "   x  xxx\n   ======\n 1 ||||||\n   ||||||\n   ||o|||\n   |o||||\n");
    says(
        "shapes|F2 D3|--open|no|--reach|150",
        "     xxxx\n   ======\n 1 o|||||\n   ||||||\n   ||||||\n   ||||||\n   |o||||\n   127 mm\n");
    says("shapes|--with|x-3-2-1-x-x", " 1 |||@||     1 o||@||\n   ||@|oo       ||@||o\n");
}

static void six_frames_stand_in_a_row_of_eighty_columns(void **state)
{
    (void)state;
    static const char *const commands[] = {
        "shapes|C E G#|--all",
        "shapes|C E G#|--all|--instrument|seven-string",
        "shapes|C E G#|--all|--instrument|ukulele",
        "shapes|C E G#|--all|--instrument|bass|--left-handed",
        "shapes|C E G|--double|--all",
        "shapes|--with|x-3-2-1-x-x",
        "shapes|--with|C E G#|--all",
        "shapes|--with|C E G#|--names|german",
        "shapes|--with|C E G#|--names|numbers",
        "shapes|--families|C E G#|--all",
        "shapes|--tour|C E G#|--instrument|seven-string",
        "shapes|--instruments",
        "shapes|0 1 2 3 4 5 6",
        "shapes|C2",
        "shapes|--help",
    };
    for (size_t i = 0; i < COUNT(commands); i++) {
        assert_int_equal(run(commands[i]), 0);
        assert_null(strchr(output, '\033')); /* no colour but on a terminal */
        for (const char *line = output; *line; line += strcspn(line, "\n") + 1)
            if (strcspn(line, "\n") > 80)
                fail_msg("%s: %.100s", commands[i], line);
    }
    assert_int_equal(run("shapes|C E G#|--top|6"), 0);
    const char *edge = strstr(output, "   ======");
    int frames = 0;
    assert_non_null(edge);
    for (const char *at = edge; *at != '\n'; at++)
        frames += strchr("=-", *at) && at[-1] == ' ';
    assert_int_equal(frames, 6);
}

/* Runs `shapes x-3-2-1-x-x --top 1` with a terminal as its output; fills `text` as it arrives
 * there, but with plain newlines. */
static void run_on_terminal(char *text, size_t size)
{
    char *argv[] = {(char[]){"shapes"}, (char[]){"x-3-2-1-x-x"}, (char[]){"--top"}, (char[]){"1"},
                    NULL};
    size_t length = 0;
    int master = posix_openpt(O_RDWR | O_NOCTTY);
    if (master < 0)
        skip(); /* a bare root has no pseudo-terminals */
    assert_int_equal(grantpt(master), 0);
    assert_int_equal(unlockpt(master), 0);
    int slave = open(ptsname(master), O_RDWR | O_NOCTTY);
    assert_true(slave >= 0);
    fflush(NULL);
    int kept = dup(1);
    dup2(slave, 1);
    for (const struct hf_cli_command *each = hf_cli_commands; each->name; each++)
        if (!strcmp(each->name, "shapes"))
            assert_int_equal(each->run(each, 4, argv), 0);
    fflush(NULL);
    dup2(kept, 1);
    close(kept);
    assert_int_equal(fcntl(master, F_SETFL, O_NONBLOCK), 0);
    ssize_t got;
    while (length + 1 < size && (got = read(master, text + length, size - 1 - length)) > 0)
        length += (size_t)got;
    close(slave);
    close(master);
    size_t kept_length = 0;
    for (size_t i = 0; i < length; i++)
        if (text[i] != '\r')
            text[kept_length++] = text[i];
    text[kept_length] = '\0';
}

static void colours_are_for_terminals_only_and_move_nothing(void **state)
{
    (void)state;
    static char text[8192];
    assert_int_equal(run("shapes|x-3-2-1-x-x|--top|1"), 0);
    setenv("TERM", "dumb", 1);
    run_on_terminal(text, sizeof text);
    assert_string_equal(text, output);
    setenv("TERM", "xterm", 1);
    setenv("NO_COLOR", "1", 1);
    run_on_terminal(text, sizeof text);
    assert_string_equal(text, output);
    unsetenv("NO_COLOR");
    run_on_terminal(text, sizeof text);
    assert_non_null(strstr(text, "\033[0;1mo\033[0;2m"));
    assert_non_null(strstr(text, "|\033[0m\n")); /* a line leaves no colour behind */
    size_t length = 0;
    for (const char *at = text; *at; at++) {
        if (*at == '\033')
            at += strcspn(at, "m");
        else
            text[length++] = *at;
    }
    text[length] = '\0';
    assert_string_equal(text, output);
}

/* ---- instruments ----------------------------------------------------------------------------- */

static void write_own(const char *name, const char *text)
{
    char path[200];
    snprintf(path, sizeof path, "holdfast/instruments/%s", name);
    FILE *file = fopen(scratch(path), "wb");
    assert_non_null(file);
    fputs(text, file);
    assert_int_equal(fclose(file), 0);
}

#define MINE                                                                                       \
    "[instrument]\nabout = mine\nstrings = D2 A2 D3 F#3 A3 D4\nfrets = 14\nscale_mm = 600\n"       \
    "nut_spacing_mm = 8\nbridge_spacing_mm = 11\n"

static void the_players_own_instruments_are_found_first(void **state)
{
    (void)state;
    char command[300];
    assert_int_equal(mkdir(scratch("holdfast"), 0700), 0);
    assert_int_equal(mkdir(scratch("holdfast/instruments"), 0700), 0);
    setenv("XDG_CONFIG_HOME", scratch_directory, 1);
    write_own("mine.ini", MINE);
    write_own("guitar.ini", MINE "capo = 2\n");
    write_own("bad.ini", MINE "colour = red\n");
    says("shapes|D F# A|--instrument|mine",
         "On     mine (D2 A2 D3 F#3 A3 D4; 14 frets, reach 100 mm)");
    says("shapes|0-0-0-0-0-0|--instrument|mine", "Notes  D2 A2 D3 F#3 A3 D4, as it sounds");
    says("shapes|C E G#", "On     guitar (E2 B2 E3 G#3 B3 E4 with the capo at 2; 12 frets");
    says("shapes|C E G#", "fret, counted from the capo");
    snprintf(command, sizeof command, "shapes|C E G#|--json|--instrument|%s",
             scratch("holdfast/instruments/mine.ini"));
    json_t *root = loaded(command);
    assert_string_equal(word(root, "instrument"), "mine");
    json_decref(root);
    assert_int_equal(run("shapes|C E G#|--instrument|bad"), 65);
    assert_non_null(strstr(errors, "bad.ini:8: [instrument] colour = red: unknown key"));
    assert_int_equal(run("shapes|--instruments"), 0);
    assert_non_null(strstr(errors, "holdfast: left out: "));
    assert_non_null(strstr(output, "mine            mine\n    "));
    assert_non_null(
        strstr(output, "    D2 A2 D3 F#3 A3 D4; 14 frets, scale 600 mm, spacing 8 to 11 mm\n"));
    root = loaded("shapes|--instruments|--json");
    assert_int_equal(json_array_size(json_object_get(root, "instruments")), 8);
    json_decref(root);
    assert_int_equal(remove(scratch("holdfast/instruments/mine.ini")), 0);
    assert_int_equal(remove(scratch("holdfast/instruments/guitar.ini")), 0);
    assert_int_equal(remove(scratch("holdfast/instruments/bad.ini")), 0);
    assert_int_equal(rmdir(scratch("holdfast/instruments")), 0);
    assert_int_equal(rmdir(scratch("holdfast")), 0);
}

/* ---- mistakes -------------------------------------------------------------------------------- */

static void wrong_use_is_told_in_a_sentence(void **state)
{
    (void)state;
    static const struct {
        const char *command, *says;
        int status;
    } rows[] = {
        {"shapes", "shapes needs notes", 64},
        {"shapes|{}", "the empty set has no shape", 64},
        {"shapes|C E H", "\"H\" (word 3, column 5) is no note", 64},
        {"shapes|C|--top|0", "--top 0 is no number from 1", 64},
        {"shapes|C|--top|x", "--top x is no number from 1", 64},
        {"shapes|C|--all|--top|3", "--all and --top N exclude each other", 64},
        {"shapes|C|--position|9-2", "--position 9-2 is not within 0 to 19", 64},
        {"shapes|C|--position|1-", "--position 1- is not within 0 to 19", 64},
        {"shapes|C|--position|-1", "--position -1 is not within 0 to 19", 64},
        {"shapes|C|--strings|0", "--strings 0 is not within 1 to 6", 64},
        {"shapes|C|--strings|5|--instrument|bass", "--strings 5 is not within 1 to 4", 64},
        {"shapes|C|--frets|20", "--frets 20 is not within 0 to 19", 64},
        {"shapes|C|--frets|2-3", "--frets takes the highest fret, from 0 to 19", 64},
        {"shapes|C|--open|maybe", "--open maybe is neither yes nor no", 64},
        {"shapes|C|--reach|0", "--reach 0 is no length from 1 to 1000 mm", 64},
        {"shapes|C|--reach|nan", "--reach nan is no length from 1 to 1000 mm", 64},
        {"shapes|C3 E3|--double", "--double is for notes without octaves", 64},
        {"shapes|C|--with|E|--tour", "exclude each other", 64},
        {"shapes|C|--families|--tour", "exclude each other", 64},
        {"shapes|--families", "shapes needs notes", 64},
        {"shapes|--with|{}", "a held set of no notes has no completion", 64},
        {"shapes|--families|0123456789TE", "a held set of twelve notes has no completion", 64},
        {"shapes|--with|x-3-2", "has 3 places, and the instrument has 6 strings", 64},
        {"shapes|--with|x-3-2-1-x-20", "has no fret for string 6", 64},
        {"shapes|--with|C E|--added|127", "not a prime form", 64},
        {"shapes|C|--instrument|lute", "there is no instrument \"lute\"", 66},
        {"shapes|C|--instrument|./none.ini", "none.ini", 66},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        int status = run(rows[i].command);
        if (status != rows[i].status || !strstr(errors, rows[i].says) || output[0])
            fail_msg("%s: %d %s", rows[i].command, status, errors);
        assert_int_equal(strncmp(errors, "holdfast: ", 10), 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_contracts_object_is_printed),
        cmocka_unit_test(all_shapes_of_the_triad_are_those_of_brute_force_on_every_instrument),
        cmocka_unit_test(wishes_narrow_the_list),
        cmocka_unit_test(twelve_or_as_many_as_wished_are_listed),
        cmocka_unit_test(what_cannot_be_played_is_an_empty_list_with_its_reason),
        cmocka_unit_test(a_held_grip_tells_each_completion_or_why_not),
        cmocka_unit_test(families_and_tours_are_objects_too),
        cmocka_unit_test(a_frame_shows_strings_frets_and_hand),
        cmocka_unit_test(six_frames_stand_in_a_row_of_eighty_columns),
        cmocka_unit_test(colours_are_for_terminals_only_and_move_nothing),
        cmocka_unit_test_setup_teardown(the_players_own_instruments_are_found_first, scratch_make,
                                        scratch_remove),
        cmocka_unit_test(wrong_use_is_told_in_a_sentence),
    };
    /* Nothing of the player who runs this. */
    setenv("HOME", "/nonexistent", 1);
    unsetenv("XDG_CONFIG_HOME");
    return cmocka_run_group_tests(tests, NULL, NULL);
}
