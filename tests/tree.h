/* SPDX-License-Identifier: MIT */
/*
 * tree: what a directory holds, with all below it, in memory: to see what a run of the program
 * changed, and to put it back. Files, and how many directories; these come and go with them.
 *
 * For one test program; define _XOPEN_SOURCE 700 before the first include. A tree owns its files
 * (tree_free).
 */
#ifndef TESTS_TREE_H
#define TESTS_TREE_H

#include <fcntl.h>
#include <ftw.h>
#include <stdbool.h>

#include "scratch.h"

enum { TREE_FILES = 64 };

struct tree_file {
    char *path; /* below the directory */
    char *bytes;
    size_t length;
};

struct tree {
    struct tree_file files[TREE_FILES];
    int count, directories;
};

static struct tree *tree_taken; /* for nftw, which has no argument of ours */
static size_t tree_skip;

static inline void tree_free(struct tree *tree)
{
    for (int i = 0; i < tree->count; i++) {
        free(tree->files[i].path);
        free(tree->files[i].bytes);
    }
    tree->count = tree->directories = 0;
}

static int tree_visit(const char *path, const struct stat *there, int kind, struct FTW *where)
{
    (void)where;
    tree_taken->directories += kind == FTW_D;
    if (kind != FTW_F || !S_ISREG(there->st_mode))
        return 0;
    assert_true(tree_taken->count < TREE_FILES);
    struct tree_file *file = &tree_taken->files[tree_taken->count++];
    FILE *stream = fopen(path, "rb");
    assert_non_null(stream);
    file->path = strdup(path + tree_skip);
    file->length = (size_t)there->st_size;
    file->bytes = malloc(file->length + 1);
    assert_true(file->path && file->bytes);
    assert_int_equal(fread(file->bytes, 1, file->length, stream), file->length);
    file->bytes[file->length] = 0;
    fclose(stream);
    return 0;
}

static inline struct tree tree_take(const char *directory)
{
    struct tree tree = {.count = 0};
    tree_taken = &tree;
    tree_skip = strlen(directory) + 1;
    assert_int_equal(nftw(directory, tree_visit, 16, FTW_PHYS), 0);
    return tree;
}

static inline const struct tree_file *tree_find(const struct tree *tree, const char *path)
{
    for (int i = 0; i < tree->count; i++)
        if (strcmp(tree->files[i].path, path) == 0)
            return &tree->files[i];
    return NULL;
}

/* Both are there with the same bytes, or neither is. */
static inline bool tree_same(const struct tree_file *a, const struct tree_file *b)
{
    if (!a || !b)
        return a == b;
    return a->length == b->length && memcmp(a->bytes, b->bytes, a->length) == 0;
}

/* Both hold the same. */
static inline bool tree_equal(const struct tree *a, const struct tree *b)
{
    bool equal = a->count == b->count && a->directories == b->directories;
    for (int i = 0; i < a->count && equal; i++)
        equal = tree_same(&a->files[i], tree_find(b, a->files[i].path));
    return equal;
}

static int tree_drop(const char *path, const struct stat *there, int kind, struct FTW *where)
{
    (void)there;
    (void)kind;
    return where->level > 0 ? remove(path) : 0;
}

/* Makes the directory hold what the tree has, and nothing else. */
static inline void tree_put(const struct tree *tree, const char *directory)
{
    assert_int_equal(nftw(directory, tree_drop, 16, FTW_PHYS | FTW_DEPTH), 0);
    for (int i = 0; i < tree->count; i++) {
        const struct tree_file *file = &tree->files[i];
        char path[1024];
        snprintf(path, sizeof path, "%s/%s", directory, file->path);
        for (char *slash = path + strlen(directory) + 1; (slash = strchr(slash, '/')); slash++) {
            *slash = 0;
            mkdir(path, 0700);
            *slash = '/';
        }
        FILE *stream = fopen(path, "wb");
        assert_non_null(stream);
        assert_int_equal(fwrite(file->bytes, 1, file->length, stream), file->length);
        assert_int_equal(fclose(stream), 0);
    }
}

#endif
