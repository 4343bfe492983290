/* SPDX-License-Identifier: MIT */
/* Invariant: popped <= pushed <= popped + capacity, as wrapping counts. */
#include <holdfast/ring.h>

#include <string.h>

void hf_ring_init(struct hf_ring *ring, void *storage, size_t item_size, uint32_t capacity)
{
    ring->items = storage;
    ring->item_size = item_size;
    ring->mask = capacity - 1;
    atomic_init(&ring->pushed, 0);
    atomic_init(&ring->popped, 0);
}

static unsigned char *place(const struct hf_ring *ring, uint32_t count)
{
    return ring->items + (size_t)(count & ring->mask) * ring->item_size;
}

uint32_t hf_ring_space(struct hf_ring *ring)
{
    uint32_t pushed = atomic_load_explicit(&ring->pushed, memory_order_relaxed);
    uint32_t popped = atomic_load_explicit(&ring->popped, memory_order_acquire);
    return ring->mask + 1 - (pushed - popped);
}

bool hf_ring_push(struct hf_ring *ring, const void *item)
{
    uint32_t pushed = atomic_load_explicit(&ring->pushed, memory_order_relaxed);
    if (hf_ring_space(ring) == 0)
        return false;
    memcpy(place(ring, pushed), item, ring->item_size);
    atomic_store_explicit(&ring->pushed, pushed + 1, memory_order_release);
    return true;
}

bool hf_ring_peek(struct hf_ring *ring, void *item)
{
    uint32_t popped = atomic_load_explicit(&ring->popped, memory_order_relaxed);
    if (atomic_load_explicit(&ring->pushed, memory_order_acquire) == popped)
        return false;
    memcpy(item, place(ring, popped), ring->item_size);
    return true;
}

bool hf_ring_pop(struct hf_ring *ring, void *item)
{
    if (!hf_ring_peek(ring, item))
        return false;
    uint32_t popped = atomic_load_explicit(&ring->popped, memory_order_relaxed);
    atomic_store_explicit(&ring->popped, popped + 1, memory_order_release);
    return true;
}
