/* SPDX-License-Identifier: MIT */
/* Finding and reading patches: the player's own before those that ship. */
#include <holdfast/cli.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/builtin.h>
#include <holdfast/patchfile.h>
#include <holdfast/store.h>

static bool is_file_name(const char *name)
{
    size_t length = strlen(name);
    return strchr(name, '/') || (length > 4 && strcmp(name + length - 4, ".ini") == 0);
}

static enum hf_status no_such_patch(const char *name, struct hf_diag *diag)
{
    char known[300] = "";
    for (const struct hf_builtin *patch = hf_builtin_patches; patch->name; patch++) {
        size_t used = strlen(known);
        snprintf(known + used, sizeof known - used, "%s%s", used ? ", " : "", patch->name);
    }
    hf_fail(diag, HF_E_INPUT, "there is no patch \"%.80s\"", name);
    hf_advise(diag, "there is: %s; or name a file", known);
    return HF_E_INPUT;
}

static enum hf_status copy_builtin(const char *name, char **text, struct hf_diag *diag)
{
    const char *builtin = hf_patchfile_find_builtin(name);
    if (!builtin)
        return no_such_patch(name, diag);
    size_t size = strlen(builtin) + 1;
    *text = malloc(size);
    if (!*text)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    memcpy(*text, builtin, size);
    return HF_OK;
}

/* Finds the text; `path` gets the name for messages. */
static enum hf_status find_patch(const char *name, char *path, size_t size, char **text,
                                 size_t *length, struct hf_diag *diag)
{
    enum hf_status status;
    char below[600];
    snprintf(path, size, "%s", name);
    if (is_file_name(name))
        return hf_store_read(name, text, length, diag);
    snprintf(below, sizeof below, "patches/%s.ini", name);
    if (hf_cli_config_path(below, path, size)) {
        status = hf_store_read(path, text, length, diag);
        if (status != HF_E_INPUT)
            return status;
    }
    snprintf(path, size, "%s", name);
    status = copy_builtin(name, text, diag);
    if (status == HF_OK)
        *length = strlen(*text);
    return status;
}

/* A patch that costs more than any that ships is said to. */
static void warn_dear(const char *name, const struct hf_patch *patch)
{
    double cost = hf_patch_cost(patch);
    if (cost > HF_PATCH_COST_SHIPPED)
        hf_cli_warn("%.80s: a patch that costs %.0f times the usual", name, cost);
}

enum hf_status hf_cli_find_patch(const char *name, long rate_hz, struct hf_patch *patch, char **text,
                                 struct hf_diag *diag)
{
    char path[1024];
    char *found = NULL;
    size_t length = 0;
    struct hf_patch read;
    enum hf_status status = find_patch(name, path, sizeof path, &found, &length, diag);
    if (status != HF_OK)
        return status;
    status = hf_patchfile_parse(found, length, path, &read, diag);
    if (status == HF_OK)
        status = hf_patchfile_fits(&read, path, rate_hz, diag);
    if (status != HF_OK) {
        free(found);
        return status;
    }
    *patch = read;
    *text = found;
    return HF_OK;
}

enum hf_status hf_cli_load_patch(const char *name, enum hf_patch_kind kind, long rate_hz,
                                 struct hf_patch *patch, char **text, struct hf_diag *diag)
{
    struct hf_patch read;
    char *found = NULL;
    enum hf_status status = hf_cli_find_patch(name, rate_hz, &read, &found, diag);
    if (status != HF_OK)
        return status;
    if (read.kind != kind) {
        free(found);
        return hf_fail(diag, HF_E_USAGE, "%.80s is a %s patch; a %s one belongs here", name,
                       read.kind == HF_PATCH_DRONE ? "drone" : "struck",
                       kind == HF_PATCH_DRONE ? "drone" : "struck");
    }
    warn_dear(name, &read);
    *patch = read;
    *text = found;
    return HF_OK;
}
