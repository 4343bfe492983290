/* SPDX-License-Identifier: MIT */
/* Invariant: the items from `first` on, `count` of them around the end of the array, are the queue;
 * nothing here waits or allocates. */
#include "queue.h"

#include <stddef.h>

struct hf_event *hf_queue_head(struct hf_queue *queue)
{
    return queue->count ? &queue->items[queue->first] : NULL;
}

bool hf_queue_push(struct hf_queue *queue, const struct hf_event *event)
{
    int capacity = (int)(sizeof queue->items / sizeof queue->items[0]);
    if (queue->count == capacity)
        return false;
    queue->items[(queue->first + queue->count++) % capacity] = *event;
    return true;
}

bool hf_queue_insert(struct hf_queue *queue, const struct hf_event *event)
{
    int capacity = (int)(sizeof queue->items / sizeof queue->items[0]);
    if (!hf_queue_push(queue, event))
        return false;
    for (int i = queue->count - 1; i > 0; i--) {
        struct hf_event *item = &queue->items[(queue->first + i) % capacity];
        struct hf_event *before = &queue->items[(queue->first + i - 1) % capacity];
        if (before->at <= event->at)
            break;
        *item = *before;
        *before = *event;
    }
    return true;
}

void hf_queue_pop(struct hf_queue *queue)
{
    int capacity = (int)(sizeof queue->items / sizeof queue->items[0]);
    queue->first = (queue->first + 1) % capacity;
    queue->count--;
}
