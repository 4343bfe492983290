/* SPDX-License-Identifier: MIT */
/*
 * transport_parts: what the files of the transport share; each function stands in the file named
 * above it. For src/session/transport*.c and the prompter. Real-time safe.
 */
#ifndef HOLDFAST_TRANSPORT_PARTS_H
#define HOLDFAST_TRANSPORT_PARTS_H

#include <holdfast/transport.h>

/* transport.c: what a chunk brings, as far as there is room for it. `event` may be NULL. */
void transport_report(struct hf_transport *t, struct hf_report what);
void transport_act(struct hf_transport *t, enum hf_action_kind kind, int64_t at,
                   const struct hf_event *event);

/* transport.c: a command does nothing; the head of the commands AT_ONCE has been dealt with; the
 * end begins. */
void transport_refuse(struct hf_transport *t, const struct hf_event *command);
void transport_answer(struct hf_transport *t);
void transport_begin_end(struct hf_transport *t, int64_t at, int64_t fade, int why);

/* transport_pause.c: the pause's part of a chunk. True when the chunk is silent. */
bool transport_paused(struct hf_transport *t);

#endif
