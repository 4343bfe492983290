/* SPDX-License-Identifier: MIT */
/*
 * ring: a queue of fixed-size items between exactly two threads, one that pushes and one that pops.
 * It never waits: a full ring refuses, an empty one says so.
 *
 * The caller owns the ring and its storage. Real-time safe on both sides. Acquire and release on
 * the two counters are all the ordering there is (C11 7.17.3).
 */
#ifndef HOLDFAST_RING_H
#define HOLDFAST_RING_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct hf_ring {
    unsigned char *items;
    size_t item_size;
    uint32_t mask;           /* capacity - 1 */
    _Atomic uint32_t pushed; /* counts up for ever and wraps; written by the pushing thread */
    _Atomic uint32_t popped; /* the same, by the popping thread */
};

/* `storage` holds item_size * capacity bytes; capacity is a power of two. Before both threads run.
 */
void hf_ring_init(struct hf_ring *ring, void *storage, size_t item_size, uint32_t capacity);

/* Copies the item in; false when the ring is full. Pushing thread only. */
bool hf_ring_push(struct hf_ring *ring, const void *item);

/* Copies the oldest item out and removes it; false when the ring is empty. Popping thread only. */
bool hf_ring_pop(struct hf_ring *ring, void *item);

/* Copies the oldest item out and leaves it; false when the ring is empty. Popping thread only. */
bool hf_ring_peek(struct hf_ring *ring, void *item);

/* How many more items fit, as the pushing thread may count on. Pushing thread only. */
uint32_t hf_ring_space(struct hf_ring *ring);

#endif
