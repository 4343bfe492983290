/* SPDX-License-Identifier: MIT */
/*
 * scratch: a directory of its own for a test of the disk, and small helpers to look at files in it.
 * For one test program; define _XOPEN_SOURCE 700 before the first include.
 */
#ifndef TESTS_SCRATCH_H
#define TESTS_SCRATCH_H

#include <dirent.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

static char scratch_directory[64];

/* The path of `name` in the directory; sixty-four results live at a time. */
static inline const char *scratch(const char *name)
{
    static char paths[64][512];
    static unsigned next;
    char *path = paths[next++ % 64];
    snprintf(path, sizeof paths[0], "%s/%s", scratch_directory, name);
    return path;
}

/* cmocka's setup: makes the directory. */
static inline int scratch_make(void **state)
{
    (void)state;
    snprintf(scratch_directory, sizeof scratch_directory, "/tmp/holdfast-test-XXXXXX");
    return mkdtemp(scratch_directory) ? 0 : -1;
}

/* The same in memory, where the system has room there: for thousands of runs. */
static inline int scratch_make_quick(void **state)
{
    snprintf(scratch_directory, sizeof scratch_directory, "/dev/shm/holdfast-test-XXXXXX");
    return mkdtemp(scratch_directory) ? 0 : scratch_make(state);
}

/* How many files the directory holds; `named` (may be NULL) counts only those that start so. */
static inline int scratch_count(const char *named)
{
    int count = 0;
    DIR *directory = opendir(scratch_directory);
    assert_non_null(directory);
    for (struct dirent *entry = readdir(directory); entry; entry = readdir(directory)) {
        if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0)
            continue;
        count += !named || strncmp(entry->d_name, named, strlen(named)) == 0;
    }
    closedir(directory);
    return count;
}

/* cmocka's teardown: removes the directory with the files and empty directories in it. */
static inline int scratch_remove(void **state)
{
    (void)state;
    DIR *directory = opendir(scratch_directory);
    if (!directory)
        return -1;
    for (struct dirent *entry = readdir(directory); entry; entry = readdir(directory))
        if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0)
            remove(scratch(entry->d_name));
    closedir(directory);
    return rmdir(scratch_directory);
}

static inline void scratch_write(const char *name, const void *bytes, size_t length)
{
    FILE *file = fopen(scratch(name), "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, length, file), length);
    assert_int_equal(fclose(file), 0);
}

/* The whole file, the caller's to free; NULL if there is none. */
static inline unsigned char *scratch_read(const char *name, size_t *length)
{
    FILE *file = fopen(scratch(name), "rb");
    if (!file)
        return NULL;
    assert_int_equal(fseek(file, 0, SEEK_END), 0);
    long size = ftell(file);
    assert_true(size >= 0);
    rewind(file);
    unsigned char *bytes = malloc((size_t)size + 1);
    assert_non_null(bytes);
    assert_int_equal(fread(bytes, 1, (size_t)size, file), size);
    bytes[size] = 0;
    fclose(file);
    *length = (size_t)size;
    return bytes;
}

/* Is the file exactly this text? NULL: is there none? */
static inline int scratch_is(const char *name, const char *text)
{
    size_t length = 0;
    unsigned char *bytes = scratch_read(name, &length);
    if (!bytes || !text)
        return !bytes && !text;
    int same = length == strlen(text) && memcmp(bytes, text, length) == 0;
    free(bytes);
    return same;
}

#endif
