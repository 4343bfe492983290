/* SPDX-License-Identifier: MIT */
/*
 * queue: events that wait, oldest or earliest first, in a place of fixed size. The transport has
 * one for its plan and two for commands.
 *
 * The caller owns the memory; zeroed is empty. Real-time safe; one thread at a time.
 */
#ifndef HOLDFAST_SESSION_QUEUE_H
#define HOLDFAST_SESSION_QUEUE_H

#include <holdfast/transport.h>

/* The first event, or NULL. */
struct hf_event *hf_queue_head(struct hf_queue *queue);

/* Adds an event at the end; false when there is no room. */
bool hf_queue_push(struct hf_queue *queue, const struct hf_event *event);

/* Adds an event by its time; what has the same time stays in the order in which it came. False when
 * there is no room. */
bool hf_queue_insert(struct hf_queue *queue, const struct hf_event *event);

/* Takes the first event away; there must be one. */
void hf_queue_pop(struct hf_queue *queue);

#endif
