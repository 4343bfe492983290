/* SPDX-License-Identifier: MIT */
/*
 * forge: journals made by hand, with check sums that are right, to see what a reader does with what
 * they say. A journal is a list of lines without number and check sum:
 *   "\"t\":\"stay\",\"at\":640"
 * for one test program; needs tests/scratch.h.
 */
#ifndef TESTS_FORGE_H
#define TESTS_FORGE_H

#include <inttypes.h>
#include <stdbool.h>

#include <holdfast/crc32.h>

#include "scratch.h"

enum { FORGE_LINES = 64, FORGE_TEXT = 1 << 14 };

/* The lines of a journal, as the program wrote them or as a test wants them. */
struct forge {
    char *line[FORGE_LINES]; /* from `"t":` on, without the check sum; owned */
    int count;
};

static inline void forge_free(struct forge *forge)
{
    for (int i = 0; i < forge->count; i++)
        free(forge->line[i]);
    forge->count = 0;
}

/* Puts a copy of a line at a place; those from there on move up. */
static inline void forge_insert(struct forge *forge, int place, const char *line)
{
    assert_true(forge->count < FORGE_LINES && place <= forge->count);
    for (int i = forge->count; i > place; i--)
        forge->line[i] = forge->line[i - 1];
    forge->line[place] = strdup(line);
    assert_non_null(forge->line[place]);
    forge->count++;
}

static inline void forge_remove(struct forge *forge, int place)
{
    assert_true(place < forge->count);
    free(forge->line[place]);
    forge->count--;
    for (int i = place; i < forge->count; i++)
        forge->line[i] = forge->line[i + 1];
}

/* Puts `by` for the first `what` in a line. */
static inline void forge_change(struct forge *forge, int place, const char *what, const char *by)
{
    const char *line = forge->line[place], *found = strstr(line, what);
    if (!found)
        fail_msg("no %s in %s", what, line);
    char *changed = malloc(strlen(line) + strlen(by) + 1);
    assert_non_null(changed);
    snprintf(changed, strlen(line) + strlen(by) + 1, "%.*s%s%s", (int)(found - line), line, by,
             found + strlen(what));
    free(forge->line[place]);
    forge->line[place] = changed;
}

/* Takes the lines of a journal in the scratch directory. */
static inline struct forge forge_read(const char *name)
{
    struct forge forge = {.count = 0};
    size_t length = 0;
    char *text = (char *)scratch_read(name, &length);
    assert_non_null(text);
    for (char *at = text, *end; (end = strchr(at, '\n')); at = end + 1) {
        char *type = strstr(at, "\"t\":"), *crc = NULL;
        *end = 0;
        for (char *c = at; (c = strstr(c, ",\"crc\":\"")); c++)
            crc = c; /* the last: a patch may hold the same words */
        assert_true(type && crc);
        *crc = 0;
        forge_insert(&forge, forge.count, type);
    }
    free(text);
    return forge;
}

/* Writes one line with its number and check sum. */
static inline void forge_line(FILE *file, int number, const char *line)
{
    size_t room = strlen(line) + 64;
    char *text = malloc(room);
    assert_non_null(text);
    int length = snprintf(text, room, "{\"n\":%d,%s", number, line);
    fprintf(file, "%s,\"crc\":\"%08" PRIx32 "\"}\n", text, hf_crc32(text, (size_t)length));
    free(text);
}

static inline void forge_write(const struct forge *forge, const char *name)
{
    FILE *file = fopen(scratch(name), "wb");
    assert_non_null(file);
    for (int i = 0; i < forge->count; i++)
        forge_line(file, i, forge->line[i]);
    assert_int_equal(fclose(file), 0);
}

#endif
