/* SPDX-License-Identifier: MIT */
/* Invariant: a signal stops what is written as a whole; what is written ahead ends by its own
 * rules. */
#include "record.h"

#include <stdlib.h>
#include <string.h>

#include "terminal.h"

static enum hf_status gather(struct recorder *r, const char *line, size_t length,
                             struct hf_diag *diag)
{
    char *grown = realloc(r->first, r->first_length + length);
    if (!grown)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    memcpy(grown + r->first_length, line, length);
    r->first = grown;
    r->first_length += length;
    return HF_OK;
}

static enum hf_status write_line(struct recorder *r, const char *line, size_t length,
                                 struct hf_diag *diag)
{
    if (r->store)
        return hf_store_append(r->store, line, length, diag);
    if (r->whole)
        return hf_wholefile_write(r->whole, line, length, diag);
    return r->gathering ? gather(r, line, length, diag) : HF_OK;
}

static enum hf_status record(void *self, const struct hf_record *what, struct hf_diag *diag)
{
    const struct recorder *r = self;
    char *line = NULL;
    size_t length = 0;
    if (!r->store && !r->gathering && terminal_signal())
        return hf_fail(diag, HF_E_IO, "interrupted");
    enum hf_status status = hf_journal_format(what, &line, &length, diag);
    if (status == HF_OK)
        status = write_line(self, line, length, diag);
    free(line);
    return status;
}

struct hf_sink recorder_sink(struct recorder *recorder)
{
    return (struct hf_sink){record, recorder};
}

enum hf_status recorder_head(struct recorder *r, const struct hf_head *head, struct hf_diag *diag)
{
    char *line = NULL;
    size_t length = 0;
    enum hf_status status = hf_journal_format_head(head, &line, &length, diag);
    if (status == HF_OK)
        status = write_line(r, line, length, diag);
    free(line);
    return status;
}

enum hf_status recorder_open_store(struct recorder *r, const char *path, struct hf_diag *diag)
{
    return hf_store_create(&r->store, path, r->first, r->first_length, diag);
}

void recorder_deinit(struct recorder *r)
{
    hf_wholefile_discard(r->whole);
    hf_store_close(r->store);
    free(r->first);
}
