/* SPDX-License-Identifier: MIT */
/* asking: requests from options by their names, as a player writes them, and the head of their
 * journal. */
#ifndef TESTS_ASKING_H
#define TESTS_ASKING_H

#include <stdlib.h>
#include <string.h>

#include <holdfast/journal.h>
#include <holdfast/request.h>

#include "check.h"

/* A list of them ends with {NULL, NULL}. */
struct setting {
    const char *key, *value;
};

static inline void set_option(struct hf_request *request, const char *name, const char *value)
{
    struct hf_diag diag;
    for (int key = 0; key < HF_OPTIONS; key++)
        if (strcmp(hf_option_name((enum hf_option)key), name) == 0) {
            if (hf_request_set(request, (enum hf_option)key, value, &diag) != HF_OK)
                fail_msg("%s", diag.message);
            return;
        }
    fail_msg("no option %s", name);
}

static inline void set_options(struct hf_request *request, const struct setting *settings)
{
    for (; settings->key; settings++)
        set_option(request, settings->key, settings->value);
}

#define STARTED "2026-11-25T08:39:17+00:00"

/* The first line of a journal, to `lines`; returns its length. */
static inline size_t write_head(char *lines, const struct hf_request *request, const char *started,
                                const char *held_patch, const char *added_patch)
{
    struct hf_head head;
    char *line;
    size_t length;
    assert_ok(
        hf_head_init(&head, "holdfast test", started, request, held_patch, added_patch, NULL));
    assert_ok(hf_journal_format_head(&head, &line, &length, NULL));
    memcpy(lines, line, length);
    free(line);
    hf_head_deinit(&head);
    return length;
}

#endif
