/* SPDX-License-Identifier: MIT */
/* The index file. Invariants: every entry has its own check sum, and one that is wrong makes the
 * whole index as good as none; entries ascend by name.
 *
 *   "holdfast review\n", version (8 bytes), entries (8), then each entry:
 *   its length (4), its check sum (4): name, size, times, 1 and a digest or 0 and a reason
 * numbers have the lowest byte first. */
#include "review_scan.h"

#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <holdfast/crc32.h>
#include <holdfast/store.h>
#include <holdfast/wholefile.h>

static const char magic[] = "holdfast review\n";
enum { MAGIC = sizeof magic - 1, HEAD = MAGIC + 16, VERSION = 1, FRAME = 8, FIXED = 4 + 8 * 3 + 1 };

/* ---- numbers --------------------------------------------------------------------------------- */

static void put(char *out, uint64_t value, int size)
{
    for (int i = 0; i < size; i++)
        out[i] = (char)(value >> (8 * i));
}

static uint64_t get(const char *from, int size)
{
    uint64_t value = 0;
    for (int i = size - 1; i >= 0; i--)
        value = value << 8 | (unsigned char)from[i];
    return value;
}

/* ---- reading --------------------------------------------------------------------------------- */

/* An entry's bytes: length of the name, the name with a NUL, size, both times, kind, the rest. */
static bool read_entry(const char *at, size_t length, struct review_entry *out)
{
    if (length < FIXED + 1)
        return false;
    size_t name = get(at, 4);
    if (name > length - FIXED - 1 || at[4 + name] != 0 || memchr(at + 4, 0, name))
        return false;
    const char *numbers = at + 4 + name + 1;
    const char *rest = numbers + 25;
    size_t rest_length = (size_t)(at + length - rest);
    *out = (struct review_entry){.name = at + 4,
                                 .stamp = {.size = get(numbers, 8),
                                           .changed_ns = (int64_t)get(numbers + 8, 8),
                                           .status_ns = (int64_t)get(numbers + 16, 8)}};
    if (numbers[24] == 1) {
        out->digest = (const unsigned char *)rest;
        out->digest_length = rest_length;
        return true;
    }
    out->why = rest;
    return rest_length > 0 && rest[rest_length - 1] == 0;
}

static bool read_entries(struct review_index *index, size_t length)
{
    struct hf_crc32_tables tables;
    const char *at = index->text + HEAD, *end = index->text + length;
    hf_crc32_tables_init(&tables);
    for (size_t i = 0; i < index->count; i++) {
        if (end - at < FRAME)
            return false;
        size_t size = get(at, 4);
        uint32_t sum = (uint32_t)get(at + 4, 4);
        at += FRAME;
        if ((size_t)(end - at) < size || hf_crc32_sliced(&tables, at, size) != sum ||
            !read_entry(at, size, &index->entries[i]))
            return false;
        if (i > 0 && strcmp(index->entries[i - 1].name, index->entries[i].name) >= 0)
            return false;
        at += size;
    }
    return at == end;
}

enum hf_status review_index_read(const char *path, struct review_index *out, struct hf_diag *diag)
{
    struct review_index index = {0};
    size_t length = 0;
    struct hf_diag why;
    memset(out, 0, sizeof *out);
    enum hf_status status = hf_store_read(path, &index.text, &length, &why);
    if (status == HF_E_MEMORY)
        return hf_fail(diag, status, "out of memory");
    if (status != HF_OK)
        return HF_OK;
    bool ours = length >= HEAD && memcmp(index.text, magic, MAGIC) == 0 &&
                get(index.text + MAGIC, 8) == VERSION;
    uint64_t count = ours ? get(index.text + MAGIC + 8, 8) : 0;
    if (ours && count <= length / (FRAME + FIXED)) {
        index.count = (size_t)count;
        index.entries = calloc(index.count + 1, sizeof *index.entries);
        if (!index.entries) {
            review_index_deinit(&index);
            return hf_fail(diag, HF_E_MEMORY, "out of memory");
        }
        ours = read_entries(&index, length);
    } else {
        ours = false;
    }
    if (ours)
        *out = index;
    else
        review_index_deinit(&index);
    return HF_OK;
}

void review_index_deinit(struct review_index *index)
{
    free(index->text);
    free(index->entries);
    memset(index, 0, sizeof *index);
}

/* ---- writing --------------------------------------------------------------------------------- */

/* Lines are gathered, so that a small entry is no call of the system. */
struct output {
    struct hf_wholefile *file;
    struct hf_crc32_tables tables;
    char *bytes;
    size_t used, room;
};

enum { GATHERED = 1 << 18 };

static enum hf_status flush(struct output *o, struct hf_diag *diag)
{
    enum hf_status status = hf_wholefile_write(o->file, o->bytes, o->used, diag);
    o->used = 0;
    return status;
}

static enum hf_status write_entry(struct output *o, const struct review_entry *entry,
                                  struct hf_diag *diag)
{
    size_t name = strlen(entry->name);
    size_t rest = entry->digest ? entry->digest_length : strlen(entry->why) + 1;
    size_t size = FIXED + 1 + name + rest;
    if (o->used + FRAME + size > o->room) {
        enum hf_status status = flush(o, diag);
        if (status != HF_OK)
            return status;
    }
    if (FRAME + size > o->room) {
        char *grown = realloc(o->bytes, FRAME + size);
        if (!grown)
            return hf_fail(diag, HF_E_MEMORY, "out of memory");
        o->bytes = grown;
        o->room = FRAME + size;
    }
    char *frame = o->bytes + o->used, *at = frame + FRAME;
    put(at, name, 4);
    memcpy(at + 4, entry->name, name + 1);
    char *numbers = at + 4 + name + 1;
    put(numbers, entry->stamp.size, 8);
    put(numbers + 8, (uint64_t)entry->stamp.changed_ns, 8);
    put(numbers + 16, (uint64_t)entry->stamp.status_ns, 8);
    numbers[24] = entry->digest ? 1 : 0;
    memcpy(numbers + 25, entry->digest ? (const void *)entry->digest : (const void *)entry->why,
           rest);
    put(frame, size, 4);
    put(frame + 4, hf_crc32_sliced(&o->tables, at, size), 4);
    o->used += FRAME + size;
    return HF_OK;
}

static enum hf_status write_all(struct output *o, const struct review_entry *entries, size_t count,
                                struct hf_diag *diag)
{
    o->bytes = malloc(GATHERED);
    o->room = GATHERED;
    if (!o->bytes)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    hf_crc32_tables_init(&o->tables);
    memcpy(o->bytes, magic, MAGIC);
    put(o->bytes + MAGIC, VERSION, 8);
    put(o->bytes + MAGIC + 8, count, 8);
    o->used = HEAD;
    enum hf_status status = HF_OK;
    for (size_t i = 0; i < count && status == HF_OK; i++)
        status = write_entry(o, &entries[i], diag);
    return status == HF_OK ? flush(o, diag) : status;
}

enum hf_status review_index_write(const char *path, const struct review_entry *entries,
                                  size_t count, struct hf_diag *diag)
{
    struct output output = {0};
    enum hf_status status = hf_wholefile_open(&output.file, path, diag);
    if (status != HF_OK)
        return status;
    status = write_all(&output, entries, count, diag);
    free(output.bytes);
    if (status == HF_OK)
        return hf_wholefile_commit(output.file, diag);
    hf_wholefile_discard(output.file);
    return status;
}
