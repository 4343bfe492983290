/* SPDX-License-Identifier: MIT */
/* Finding and reading patches: the player's own before those that ship. */
#include <holdfast/cli.h>

#include <stdlib.h>
#include <string.h>

#include <holdfast/builtin.h>
#include <holdfast/patchfile.h>

#include "library.h"

static const char *shipped(int index)
{
    return hf_builtin_patches[index].name;
}

static const struct library patches = {"patch", "patches", shipped, hf_patchfile_find_builtin};

/* A patch that costs more than any that ships is said to. */
static void warn_dear(const char *name, const struct hf_patch *patch)
{
    double cost = hf_patch_cost(patch);
    if (cost > HF_PATCH_COST_SHIPPED)
        hf_cli_warn("%.80s: a patch that costs %.0f times the usual", name, cost);
}

enum hf_status hf_cli_find_patch(const char *name, long rate_hz, struct hf_patch *patch,
                                 char **text, struct hf_diag *diag)
{
    char path[1024];
    char *found = NULL;
    size_t length = 0;
    struct hf_patch read;
    enum hf_status status = library_find(&patches, name, path, sizeof path, &found, &length, diag);
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
