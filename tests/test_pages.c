/* SPDX-License-Identifier: MIT */
/* The shape of the text pages: every page about every set and every class is no wider than a
 * terminal of 80 columns, and no line of it ends in blanks. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <holdfast/setclass.h>

#include "command.h"

#define COUNT(rows) (sizeof(rows) / sizeof *(rows))

/* derived: what a terminal of 80 columns shows without wrapping; plain text has no blanks at ends.
 */
static void fits_a_terminal(const char *command)
{
    if (run(command) != 0)
        fail_msg("%s: %s", command, errors);
    for (const char *line = output; *line;) {
        const char *end = strchr(line, '\n');
        assert_non_null(end);
        if (end - line > 80 || (end > line && end[-1] == ' '))
            fail_msg("%s: %.*s|", command, (int)(end - line), line);
        line = end + 1;
    }
}

static const char *const ways[] = {"sharps", "flats", "numbers", "german"};

/* "0 4 8" */
static void list_of(unsigned set, char text[64])
{
    size_t length = 0;
    snprintf(text, 64, "{}");
    for (int pc = 0; pc < 12; pc++)
        if (set >> pc & 1)
            length += (size_t)snprintf(text + length, 64 - length, "%s%d", length ? " " : "", pc);
}

static void every_page_about_a_set_fits_a_terminal(void **state)
{
    (void)state;
    for (unsigned set = 0; set < 4096; set++) {
        char list[64], command[256];
        list_of(set, list);
        snprintf(command, sizeof command, "inspect|%s|--names|%s|--against|%s", list, ways[set % 4],
                 "0 1 2 3 4 5 6 7 8 9 10 11");
        fits_a_terminal(command);
        if (set == 0 || set == 4095)
            continue;
        snprintf(command, sizeof command, "complete|%s|--names|%s", list, ways[set % 4]);
        fits_a_terminal(command);
        snprintf(command, sizeof command, "complete|%s|--result|6-Z17|--names|%s", list,
                 ways[set % 4]);
        fits_a_terminal(command);
    }
}

static void every_page_about_a_class_fits_a_terminal(void **state)
{
    (void)state;
    for (int i = 1; i < HF_SETCLASSES; i++) {
        static const char *const held[] = {"C E G#", "C", "C# D G", "C Eb F# A", "0 2 4 6 8 10"};
        const char *name = hf_setclass_at(i)->name;
        char command[256];
        for (size_t way = 0; way < COUNT(ways); way++) {
            snprintf(command, sizeof command, "complete|%s|--added|%s|--names|%s",
                     held[(way + (size_t)i) % COUNT(held)], name, ways[way]);
            fits_a_terminal(command);
            snprintf(command, sizeof command, "complete|%s|--added|%s|--hints",
                     held[(way + (size_t)i) % COUNT(held)], name);
            fits_a_terminal(command);
        }
        static const char *const sides[] = {"held", "added", "result"};
        for (size_t side = 0; side < COUNT(sides); side++) {
            snprintf(command, sizeof command, "pairings|--%s|%s|--names|%s", sides[side], name,
                     ways[(size_t)i % COUNT(ways)]);
            fits_a_terminal(command);
            snprintf(command, sizeof command, "pairings|--%s|%s|--at-most|%d|--names|%s",
                     sides[side], name, 2 + i % 23, ways[(size_t)i % COUNT(ways)]);
            fits_a_terminal(command);
        }
    }
}

static void every_other_page_fits_a_terminal(void **state)
{
    (void)state;
    static const char *const commands[] = {
        "pairings",
        "pairings|--all|--names|german",
        "pairings|--size|11",
        "pairings|--size|3|--at-most|24",
        "inspect|C3 C##3 D#3 E3 E##3 F##3 G##3 A#3 B3|--names|german",
        "inspect|C-1 Db-1 D3 Eb3 E3 F3 Gb4 G4 Ab5 A5 Bb6 B6|--subsets|6",
        "inspect|10-10-10-9-9-9|--subsets|4|--against|8-8-8-9-9-7",
        "complete|--path|012478|--to|C E G# F F# B",
        "complete|--path|012478|--to|C E G# F F# B|--share|5|--names|german",
        "complete|--path|012478|--to|0 1 2 6 7 10|--share|3",
        "complete|--path|0 1 2 3 4 5 6 7 8|--to|3 4 5 6 7 8 9 10 11|--names|german",
        "patches",
        "outputs",
        "complete|--help",
        "inspect|--help",
        "pairings|--help",
        "patches|--help",
        "outputs|--help",
    };
    for (size_t i = 0; i < COUNT(commands); i++)
        fits_a_terminal(commands[i]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_page_about_a_set_fits_a_terminal),
        cmocka_unit_test(every_page_about_a_class_fits_a_terminal),
        cmocka_unit_test(every_other_page_fits_a_terminal),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
