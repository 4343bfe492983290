/* SPDX-License-Identifier: MIT */
/*
 * builtin: the patch files of patches/, kept in the program as text, so that it runs without being
 * installed. Constant data; any thread may read it.
 */
#ifndef HOLDFAST_BUILTIN_H
#define HOLDFAST_BUILTIN_H

struct hf_builtin {
    const char *name; /* file name without .ini */
    const char *text; /* the whole file */
};

/* In order of name, ended by an entry whose name is NULL. */
extern const struct hf_builtin hf_builtin_patches[];

#endif
