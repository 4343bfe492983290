/* SPDX-License-Identifier: MIT */
/* Invariant: a file is read in pieces through one buffer, however long it is; only a line has to
 * fit into memory. */
#include "review_scan.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <holdfast/journal.h>
#include <holdfast/store.h>

enum { BUFFER_FIRST = 1 << 18, BUFFER_MOST = 1 << 22, BLOCK = 1 << 20 };

/* ---- memory ---------------------------------------------------------------------------------- */

struct review_block {
    struct review_block *next;
    size_t used, room;
    max_align_t bytes[];
};

void *review_arena_take(struct review_arena *arena, size_t size)
{
    struct review_block *block = arena->blocks;
    size = (size + 7) & ~(size_t)7;
    if (!block || block->room - block->used < size) {
        size_t room = size > BLOCK ? size : BLOCK;
        block = malloc(sizeof *block + room);
        if (!block)
            return NULL;
        block->next = arena->blocks;
        block->used = 0;
        block->room = room;
        arena->blocks = block;
    }
    void *taken = (char *)block->bytes + block->used;
    block->used += size;
    return taken;
}

const char *review_arena_text(struct review_arena *arena, const char *text)
{
    size_t size = strlen(text) + 1;
    char *copy = review_arena_take(arena, size);
    if (copy)
        memcpy(copy, text, size);
    return copy;
}

void review_arena_free(struct review_arena *arena)
{
    while (arena->blocks) {
        struct review_block *next = arena->blocks->next;
        free(arena->blocks);
        arena->blocks = next;
    }
}

/* ---- a file ---------------------------------------------------------------------------------- */

struct review_scan {
    struct hf_review_reader *reader;
    char *buffer;
    size_t room;
};

enum hf_status review_scan_new(struct review_scan **out, struct hf_diag *diag)
{
    struct review_scan *scan = calloc(1, sizeof *scan);
    if (!scan)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    scan->buffer = malloc(BUFFER_FIRST);
    scan->room = BUFFER_FIRST;
    enum hf_status status = scan->buffer ? hf_review_reader_new(&scan->reader, diag)
                                         : hf_fail(diag, HF_E_MEMORY, "out of memory");
    if (status == HF_OK)
        *out = scan;
    else
        review_scan_free(scan);
    return status;
}

void review_scan_free(struct review_scan *scan)
{
    if (!scan)
        return;
    hf_review_reader_free(scan->reader);
    free(scan->buffer);
    free(scan);
}

struct review_stamp review_stamp_of(const struct stat *status)
{
    return (struct review_stamp){
        .size = (uint64_t)status->st_size,
        .changed_ns = (int64_t)status->st_mtim.tv_sec * 1000000000 + status->st_mtim.tv_nsec,
        .status_ns = (int64_t)status->st_ctim.tv_sec * 1000000000 + status->st_ctim.tv_nsec};
}

/* Gives the whole lines in the first `length` bytes to the reader; how many bytes they were. */
static enum hf_status feed(struct review_scan *scan, size_t length, size_t *taken,
                           struct hf_diag *diag)
{
    char *at = scan->buffer, *end = scan->buffer + length, *newline;
    enum hf_status status = HF_OK;
    while (status == HF_OK && (newline = memchr(at, '\n', (size_t)(end - at)))) {
        status = hf_review_reader_line(scan->reader, at, (size_t)(newline - at), diag);
        at = newline + 1;
    }
    *taken = (size_t)(at - scan->buffer);
    return status;
}

/* A line that is longer than the buffer makes it grow, up to a limit far over any journal's. */
static enum hf_status make_room(struct review_scan *scan, size_t used, struct hf_diag *diag)
{
    if (used < scan->room)
        return HF_OK;
    if (scan->room >= BUFFER_MOST)
        return hf_fail(diag, HF_E_DATA, "this is no journal: a line of it has no end");
    char *grown = realloc(scan->buffer, 2 * scan->room);
    if (!grown)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    scan->buffer = grown;
    scan->room *= 2;
    return HF_OK;
}

static enum hf_status read_lines(struct review_scan *scan, int descriptor, struct hf_diag *diag)
{
    size_t used = 0, taken = 0, lines = 0;
    for (;;) {
        enum hf_status status = make_room(scan, used, diag);
        if (status != HF_OK)
            return status;
        ssize_t got = read(descriptor, scan->buffer + used, scan->room - used);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return hf_fail(diag, HF_E_IO, "it cannot be read: %s", strerror(errno));
        if (got == 0)
            break;
        used += (size_t)got;
        status = feed(scan, used, &taken, diag);
        if (status != HF_OK)
            return status;
        lines += taken > 0;
        memmove(scan->buffer, scan->buffer + taken, used - taken);
        used -= taken;
    }
    if (lines == 0 && used > 0)
        return hf_journal_refuse_first(scan->buffer, used, false, diag);
    return HF_OK; /* a last line without its end was not whole: it is left out */
}

/* Looked at before it is opened, since opening a pipe or a device can wait or do something. */
static enum hf_status open_file(int directory, const char *name, int *descriptor,
                                struct review_stamp *stamp, struct hf_diag *diag)
{
    struct stat status;
    if (fstatat(directory, name, &status, 0) != 0)
        return hf_fail(diag, HF_E_INPUT, "it cannot be read: %s", strerror(errno));
    *stamp = review_stamp_of(&status);
    if (!S_ISREG(status.st_mode))
        return hf_fail(diag, HF_E_DATA, "it is no regular file");
    if ((uintmax_t)status.st_size > HF_STORE_LARGEST)
        return hf_fail(diag, HF_E_DATA, "it is larger than 256 MiB");
    int opened = openat(directory, name, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    if (opened < 0)
        return hf_fail(diag, HF_E_INPUT, "it cannot be read: %s", strerror(errno));
    *descriptor = opened;
    return HF_OK;
}

enum hf_status review_scan_file(struct review_scan *scan, int directory, const char *name,
                                struct review_arena *arena, struct review_entry *out,
                                struct hf_diag *diag)
{
    struct review_entry entry = {.name = name};
    struct hf_diag why = {0};
    const void *bytes = NULL;
    int descriptor = -1;
    hf_review_reader_begin(scan->reader);
    enum hf_status status = open_file(directory, name, &descriptor, &entry.stamp, &why);
    if (status == HF_OK)
        status = read_lines(scan, descriptor, &why);
    if (status == HF_OK)
        status = hf_review_reader_end(scan->reader, &bytes, &entry.digest_length, &why);
    if (descriptor >= 0)
        close(descriptor);
    if (status == HF_E_IO) /* may be gone the next time */
        entry.stamp = (struct review_stamp){0};
    unsigned char *digest = NULL;
    if (status == HF_OK && (digest = review_arena_take(arena, entry.digest_length)))
        memcpy(digest, bytes, entry.digest_length);
    if (status != HF_OK && status != HF_E_MEMORY)
        entry.why = review_arena_text(arena, why.message);
    entry.digest = digest;
    if (!entry.digest && !entry.why)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    *out = entry;
    return HF_OK;
}
