/* SPDX-License-Identifier: MIT */
/* Invariant: nothing is kept that could not be played. */
#include "play_list.h"

#include <stdlib.h>

#include "saved.h"

const struct hf_cli_option hf_cli_save_options[] = {
    {"save", 0, "NAME",
     "keep these options by that name, play nothing; play NAME\n"
     "plays them",
     CODE_SAVE},
    {NULL, 0, NULL, NULL, 0},
};

static bool is_known(const char *name)
{
    return hf_request_is_practice(name) || saved_exists(name);
}

enum hf_status play_list_check(const struct session *s, const struct play_list *list,
                               struct hf_diag *diag)
{
    for (int i = 0; list->count > 1 && i < list->count; i++) {
        if (is_known(list->names[i]))
            continue;
        hf_fail(diag, HF_E_USAGE, "\"%.60s\" is neither a practice nor a session kept with --save",
                list->names[i]);
        session_suggest_held(s, list->count, list->names, diag);
        return HF_E_USAGE;
    }
    return HF_OK;
}

/* ---- keeping --------------------------------------------------------------------------------- */

static enum hf_status put(void *self, int code, const char *text, struct hf_diag *diag)
{
    return saved_put(self, code, text, diag);
}

/* What the session named has, but for what the command line overrules. */
static enum hf_status begin_with(struct saved *saved, const struct session *s, const char *name,
                                 struct hf_diag *diag)
{
    struct saved *other = calloc(1, sizeof *other);
    enum hf_status status =
        other ? saved_read(name, other, diag) : hf_fail(diag, HF_E_MEMORY, "out of memory");
    for (int i = 0; status == HF_OK && i < other->count; i++)
        if (!session_overrules(s, other->options[i].option->code))
            status = saved_put(saved, other->options[i].option->code, other->options[i].text, diag);
    free(other);
    return status;
}

static enum hf_status gather(struct saved *saved, const struct session *s,
                             const struct play_list *list, struct hf_diag *diag)
{
    const char *name = list->count ? list->names[0] : NULL;
    int first = 0;
    bool stop = false;
    enum hf_status status = HF_OK;
    if (name && saved_exists(name))
        status = begin_with(saved, s, name, diag);
    else if (name)
        status = saved_put(saved, HF_OPT_PRACTICE + 1, name, diag);
    if (status == HF_OK)
        status =
            hf_cli_parse(list->command, list->argc, list->argv, put, saved, &first, &stop, diag);
    return status;
}

static enum hf_status try_it(struct session *s, const struct play_list *list, struct hf_diag *diag)
{
    const char *name = list->count ? list->names[0] : NULL;
    enum hf_status status = session_read_as(s, list->command, list->argc, list->argv, name, diag);
    if (status == HF_OK)
        status = session_resolve(s, 0, diag);
    session_deinit(s);
    return status;
}

/* Whoever says nothing but a name that is there wants that session, not an empty one in its place.
 */
static enum hf_status check_said(const struct saved *saved, const struct play_list *list,
                                 const char *name, struct hf_diag *diag)
{
    if (saved->count > 0 || list->count > 0 || !saved_exists(name))
        return HF_OK;
    hf_fail(diag, HF_E_USAGE, "a session %.60s is kept, and there is nothing to put in its place",
            name);
    hf_advise(diag, "to play it: play %.60s; to change it: play %.60s --rounds 3 --save %.60s",
              name, name, name);
    return HF_E_USAGE;
}

enum hf_status play_list_save(struct session *s, const struct play_list *list, struct hf_diag *diag)
{
    const char *name = s->save;
    bool replaced = false;
    if (list->count > 1)
        return hf_fail(diag, HF_E_USAGE, "--save keeps one session, and these are %d", list->count);
    struct saved *saved = calloc(1, sizeof *saved);
    enum hf_status status =
        saved ? saved_check_name(name, diag) : hf_fail(diag, HF_E_MEMORY, "out of memory");
    if (status == HF_OK)
        status = gather(saved, s, list, diag);
    if (status == HF_OK)
        status = check_said(saved, list, name, diag);
    if (status == HF_OK)
        status = try_it(s, list, diag);
    if (status == HF_OK)
        status = saved_write(saved, name, &replaced, diag);
    free(saved);
    if (status != HF_OK)
        return status;
    printf("Kept:  ");
    hf_cli_print_file(name);
    printf("%s\nPlay:  ", replaced ? ", in place of the one before" : "");
    hf_cli_print_file(hf_cli_called());
    printf(" play ");
    hf_cli_print_file(name);
    putchar('\n');
    return HF_OK;
}
