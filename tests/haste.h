/* SPDX-License-Identifier: MIT */
/*
 * haste: runs the real program on a virtual clock (tests/live/hasty.c), its keys pressed at known
 * times, and looks at what it printed line by line and at the journal. For one test program;
 * include it first of the helpers, and call haste_begin before the first session.
 */
#ifndef TESTS_HASTE_H
#define TESTS_HASTE_H

#include <fnmatch.h>

#include "run.h"

/* ---- a session ------------------------------------------------------------------------------- */

/* Cues of 3 s after a lead-in of 1 s: they begin at 0:01, 0:04, ..., 0:16; 2 s later comes what
 * comes at two thirds. */
#define TRIAD "--held", "C E G#"
#define SHORT "--lead-in", "1s", "--every", "3s", "--rounds", "1", "--seed", "3", "--rate", "8000"
#define JOURNAL "--journal", scratch("j.jsonl")

/* cmocka's setup: hasty is the program from now on. */
static inline int haste_begin(void **state)
{
    static char path[1024];
    ssize_t length = readlink("/proc/self/exe", path, sizeof path - 32);
    if (length <= 0)
        return -1;
    path[length] = 0;
    char *name = strrchr(path, '/');
    snprintf(name, sizeof path - (size_t)(name - path), "/live/hasty");
    setenv("HOLDFAST", path, 1);
    return scratch_make(state);
}

/* The presses of the next session, "SECONDS KEYS\n" each; "" for none. */
static inline void press(const char *keys)
{
    scratch_write("keys", keys, strlen(keys));
    setenv("HASTY_KEYS", scratch("keys"), 1);
}

/* Plays a session into a journal of its own; its status. */
#define play(keys, ...)                                                                            \
    (press(keys), remove(scratch("j.jsonl")), run("play", __VA_ARGS__, JOURNAL, NULL))

/* ---- what it printed ------------------------------------------------------------------------- */

/* The next line of a text that matches a shell's pattern; what follows it, or NULL. */
static inline const char *find_line(const char *text, const char *pattern)
{
    char line[1024];
    for (const char *end; (end = strchr(text, '\n')) != NULL; text = end + 1) {
        snprintf(line, sizeof line, "%.*s", (int)(end - text), text);
        if (fnmatch(pattern, line, FNM_NOESCAPE) == 0)
            return end + 1;
    }
    return NULL;
}

/* These lines are in the output, in this order, others between them. */
static inline void assert_lines(const char *const *lines)
{
    const char *at = ran.out;
    for (; *lines; lines++) {
        at = find_line(at, *lines);
        if (!at)
            fail_msg("no \"%s\" (or not in its place) in\n%s\n%s", *lines, ran.out, ran.err);
    }
}

#define LINES(...) assert_lines((const char *const[]){__VA_ARGS__, NULL})

static inline void assert_no_line(const char *pattern)
{
    if (find_line(ran.out, pattern))
        fail_msg("\"%s\" in\n%s", pattern, ran.out);
}

/* ---- what it recorded ------------------------------------------------------------------------ */

/* The types of the journal's records, parted by spaces. */
static inline const char *types(void)
{
    static char text[1 << 14];
    size_t size = 0, used = 0;
    char *journal = (char *)scratch_read("j.jsonl", &size);
    assert_non_null(journal);
    text[0] = 0;
    for (const char *at = journal; (at = strstr(at, ",\"t\":\"")) != NULL; at += 6)
        used += (size_t)snprintf(text + used, sizeof text - used, "%s%.*s", used ? " " : "",
                                 (int)strcspn(at + 6, "\""), at + 6);
    free(journal);
    return text;
}

static inline void assert_replays(void)
{
    run("replay", scratch("j.jsonl"), "--dry-run", NULL);
    assert_ran();
}

#endif
