/* SPDX-License-Identifier: MIT */
/*
 * weak: what play learns from the journals before it begins: which triad to take when none was
 * asked for, and the weights of order weak. Main thread only.
 */
#ifndef HOLDFAST_CLI_WEAK_H
#define HOLDFAST_CLI_WEAK_H

#include "session.h"

/* Fits a session, which was resolved once, to the player's journals; without any it stays as it is.
 * Resolves it anew where it changed. Says why where that was asked for. */
enum hf_status weak_take(struct session *session, struct hf_diag *diag) HF_CHECKED;

/* Is there something that the journals decide? */
bool weak_chooses(const struct hf_request *request);

/* HF_E_USAGE for order weak in a command that never reads the journals. */
enum hf_status weak_refuse(const struct hf_request *request, const char *command,
                           struct hf_diag *diag) HF_CHECKED;

#endif
