/* SPDX-License-Identifier: MIT */
/* The timbres of a session that was recorded: their texts stand in the journal, so that no file of
 * today has a part in it. */
#include <string.h>

#include <holdfast/patchfile.h>

#include "session.h"

static enum hf_status read_patch(const char *text, const char *which, int rate_hz,
                                 struct hf_patch *patch, struct hf_diag *diag)
{
    struct hf_diag why = {0};
    enum hf_status status = hf_patchfile_parse(text, strlen(text), which, patch, &why);
    if (status == HF_OK)
        status = hf_patchfile_fits(patch, which, rate_hz, &why);
    return status == HF_OK ? HF_OK
                           : hf_fail(diag, status, "the %s patch in the journal is wrong: %.240s",
                                     which, why.message);
}

enum hf_status session_read_patches(struct session *s, struct hf_diag *diag)
{
    const struct hf_head *head = &s->head;
    enum hf_status status =
        read_patch(head->held_patch, "held", head->request.rate_hz, &s->held_patch, diag);
    if (status == HF_OK)
        status =
            read_patch(head->added_patch, "added", head->request.rate_hz, &s->added_patch, diag);
    if (status != HF_OK)
        return status;
    if (s->held_patch.kind != session_held_kind(&head->request) ||
        s->added_patch.kind != HF_PATCH_STRUCK)
        return hf_fail(diag, HF_E_DATA, "a patch in the journal is of the wrong kind");
    return HF_OK;
}
