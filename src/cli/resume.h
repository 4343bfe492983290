/* SPDX-License-Identifier: MIT */
/*
 * resume: a session that ended early, continued after its last whole cue. Everything comes from its
 * journal; the new session has a journal of its own, which names that one.
 *
 * Owned by the session (resume_free). Main thread only.
 */
#ifndef HOLDFAST_CLI_RESUME_H
#define HOLDFAST_CLI_RESUME_H

#include "session.h"

struct resume {
    char path[1024];
    struct hf_journal journal;
    hf_pcset *given; /* what the whole cues asked for */
    uint32_t count;
    bool anew; /* the rest is drawn anew: what came can't be chosen again */
};

/* Takes the session of the journal at `path`, or for NULL the newest of the player's own that ended
 * early and was not continued, in place of the request. HF_E_USAGE when the command line says what
 * only that journal can say, or there is none to continue; the errors of reading one. */
enum hf_status resume_take(struct session *session, const char *path,
                           struct hf_diag *diag) HF_CHECKED;

/* Takes away from the session's fresh schedule what was given. HF_E_USAGE when nothing is left. */
enum hf_status resume_schedule(struct session *session, struct hf_diag *diag) HF_CHECKED;

/* The texts of the patches as recorded, in place of those of today; the caller's to free. */
enum hf_status resume_patches(const struct session *session, char **held, char **added,
                              struct hf_diag *diag) HF_CHECKED;

/* What is continued, and from where, in a line. */
void resume_say(const struct session *session);

/* The file name of the journal, for the head of the new one. */
const char *resume_name(const struct resume *resume);

void resume_free(struct resume *resume);

#endif
