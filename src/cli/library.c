/* SPDX-License-Identifier: MIT */
#include "library.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/store.h>

static bool is_file_name(const char *name)
{
    size_t length = strlen(name);
    return strchr(name, '/') || (length > 4 && strcmp(name + length - 4, ".ini") == 0);
}

static enum hf_status not_there(const struct library *library, const char *name,
                                struct hf_diag *diag)
{
    char known[300] = "";
    for (int i = 0; library->shipped(i); i++) {
        size_t used = strlen(known);
        snprintf(known + used, sizeof known - used, "%s%s", used ? ", " : "", library->shipped(i));
    }
    hf_fail(diag, HF_E_INPUT, "there is no %s \"%.80s\"", library->what, name);
    hf_advise(diag, "choose one of: %s; or name a file", known);
    return HF_E_INPUT;
}

static enum hf_status copy_shipped(const struct library *library, const char *name, char **text,
                                   size_t *length, struct hf_diag *diag)
{
    const char *shipped = library->find(name);
    if (!shipped)
        return not_there(library, name, diag);
    size_t size = strlen(shipped) + 1;
    char *copy = malloc(size);
    if (!copy)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    memcpy(copy, shipped, size);
    *text = copy;
    *length = size - 1;
    return HF_OK;
}

enum hf_status library_find(const struct library *library, const char *name, char *path,
                            size_t size, char **text, size_t *length, struct hf_diag *diag)
{
    char below[640];
    snprintf(path, size, "%s", name);
    if (is_file_name(name))
        return hf_store_read(name, text, length, diag);
    snprintf(below, sizeof below, "%s/%s.ini", library->folder, name);
    if (hf_cli_config_path(below, path, size)) {
        enum hf_status status = hf_store_read(path, text, length, diag);
        if (status != HF_E_INPUT)
            return status;
    }
    snprintf(path, size, "%s", name);
    return copy_shipped(library, name, text, length, diag);
}

/* ---- the list -------------------------------------------------------------------------------- */

static int by_name(const void *a, const void *b)
{
    return strcmp(a, b);
}

/* A name once; the player's own stands for one that ships. */
static void add_name(struct library_names *names, const char *name, size_t length)
{
    if (length == 0 || length >= LIBRARY_NAME || names->count == LIBRARY_NAMES_MOST)
        return;
    for (int i = 0; i < names->count; i++)
        if (strlen(names->name[i]) == length && !memcmp(names->name[i], name, length))
            return;
    memcpy(names->name[names->count], name, length);
    names->name[names->count++][length] = '\0';
}

void library_list(const struct library *library, struct library_names *names)
{
    char path[1024];
    names->count = 0;
    errno = 0;
    DIR *directory = hf_cli_config_path(library->folder, path, sizeof path) ? opendir(path) : NULL;
    for (struct dirent *entry; directory && (errno = 0, entry = readdir(directory));) {
        size_t length = strlen(entry->d_name);
        if (length > 4 && entry->d_name[0] != '.' && !strcmp(entry->d_name + length - 4, ".ini"))
            add_name(names, entry->d_name, length - 4);
    }
    if (errno && errno != ENOENT)
        hf_cli_warn("those of your own in %.200s are left out: %s", path, strerror(errno));
    if (directory)
        closedir(directory);
    for (int i = 0; library->shipped(i); i++)
        add_name(names, library->shipped(i), strlen(library->shipped(i)));
    qsort(names->name, (size_t)names->count, LIBRARY_NAME, by_name);
}
