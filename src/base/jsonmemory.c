/* SPDX-License-Identifier: MIT */
/* Invariant: once something of the reserve is in use, memory has failed, and nothing is read any
 * more. */
#include <holdfast/jsonmemory.h>

#include <stdalign.h>
#include <stdint.h>
#include <stdlib.h>

/* What reading takes at most a byte of text, for texts up to a limit far over any record's. */
enum { TIMES = 32, BASE = 1 << 16, TEXT_MOST = 1 << 20 };

static struct {
    char *reserve;
    size_t room, used;
    bool watches, failed;
    bool reads; /* what is read is freed by jansson alone, so the reserve may stand in */
} memory;

static void *take_reserve(size_t size)
{
    if (size > memory.room - memory.used) /* both are multiples of the alignment */
        return NULL;
    void *taken = memory.reserve + memory.used;
    memory.used += (size + alignof(max_align_t) - 1) / alignof(max_align_t) * alignof(max_align_t);
    return taken;
}

static void *allocate(size_t size)
{
    void *taken = malloc(size);
    if (taken)
        return taken;
    memory.failed = true;
    return memory.reads ? take_reserve(size) : NULL;
}

static void release(void *taken)
{
    uintptr_t at = (uintptr_t)taken, start = (uintptr_t)memory.reserve;
    if (at < start || at >= start + memory.room)
        free(taken);
}

void hf_jsonmemory_watch(void)
{
    memory.watches = true;
    json_set_alloc_funcs(allocate, release);
}

bool hf_jsonmemory_failed(void)
{
    return memory.failed;
}

/* Is there a reserve for a text of that length? */
static bool set_aside(size_t length)
{
    size_t room = (length < TEXT_MOST ? length : TEXT_MOST) * TIMES + BASE;
    if (memory.failed || memory.room >= room)
        return !memory.failed;
    free(memory.reserve);
    memory.reserve = malloc(room);
    memory.room = memory.reserve ? room : 0;
    memory.failed = !memory.reserve;
    return !memory.failed;
}

json_t *hf_jsonmemory_load(const char *text, size_t length, size_t flags)
{
    if (!memory.watches)
        return json_loadb(text, length, flags, NULL);
    if (!set_aside(length))
        return NULL;
    memory.reads = true;
    json_t *object = json_loadb(text, length, flags, NULL);
    memory.reads = false;
    if (!memory.failed)
        return object;
    json_decref(object);
    return NULL;
}
