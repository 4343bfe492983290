/* SPDX-License-Identifier: MIT */
/* The index file. Invariants: every part has a check sum, and one that is wrong makes the index as
 * good as none; entries ascend by name.
 *
 *   "holdfast review\n", version, then of the table and of the sum: bytes, check sum (8 each)
 *   the table: for each file its name, size and times, and where its digest is or why it has none
 *   the sum: what all of them came to together, or nothing
 *   the digests
 * numbers have the lowest byte first. */
#include "review_scan.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <holdfast/store.h>
#include <holdfast/wholefile.h>

static const char magic[] = "holdfast review\n";
enum { MAGIC = sizeof magic - 1, HEAD = MAGIC + 8 * 5, VERSION = 2 };
enum { NUMBERS = 8 * 6, ENTRY_LEAST = 4 + 1 + 1 + NUMBERS }; /* of an entry: beside its name */

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

/* Reads so many bytes at a place; false when they are not there. */
static bool read_at(int descriptor, uint64_t place, char *bytes, size_t length)
{
    size_t done = 0;
    while (done < length) {
        ssize_t got = pread(descriptor, bytes + done, length - done, (off_t)(place + done));
        if (got == 0 || (got < 0 && errno != EINTR))
            return false;
        done += got > 0 ? (size_t)got : 0;
    }
    return true;
}

/* An entry: length of the name, the name with a NUL, six numbers, and without a digest (its length
 * is 0) the reason with a NUL. Returns where the next one begins, NULL for none. */
static const char *read_entry(const struct review_index *index, const char *at, const char *end,
                              struct review_entry *out)
{
    if (end - at < ENTRY_LEAST)
        return NULL;
    size_t name = get(at, 4);
    if (name == 0 || name > (size_t)(end - at) - ENTRY_LEAST + 1 || at[4 + name] != 0 ||
        memchr(at + 4, 0, name))
        return NULL;
    const char *numbers = at + 4 + name + 1;
    if (end - numbers < NUMBERS)
        return NULL;
    *out = (struct review_entry){.name = at + 4,
                                 .stamp = {.size = get(numbers, 8),
                                           .changed_ns = (int64_t)get(numbers + 8, 8),
                                           .status_ns = (int64_t)get(numbers + 16, 8)},
                                 .place = get(numbers + 24, 8),
                                 .digest_length = get(numbers + 32, 8),
                                 .sum = (uint32_t)get(numbers + 40, 8)};
    at = numbers + NUMBERS;
    if (out->digest_length > 0)
        return out->digest_length <= index->digests_length &&
                       out->place <= index->digests_length - out->digest_length
                   ? at
                   : NULL;
    out->why = at;
    const char *stop = memchr(at, 0, (size_t)(end - at));
    return stop ? stop + 1 : NULL;
}

static bool read_table(struct review_index *index, size_t length)
{
    const char *at = index->text, *end = index->text + length;
    size_t room = length / ENTRY_LEAST;
    index->entries = calloc(room + 1, sizeof *index->entries);
    if (!index->entries)
        return false;
    for (; at < end; index->count++) {
        struct review_entry *entry = &index->entries[index->count];
        if (index->count == room || !(at = read_entry(index, at, end, entry)))
            return false;
        if (index->count > 0 && strcmp(entry[-1].name, entry->name) >= 0)
            return false;
    }
    return true;
}

/* Takes the table and the sum from an open file. */
static bool read_parts(struct review_index *index, uint64_t file_length)
{
    char head[HEAD];
    if (file_length < HEAD || !read_at(index->descriptor, 0, head, HEAD) ||
        memcmp(head, magic, MAGIC) != 0 || get(head + MAGIC, 8) != VERSION)
        return false;
    uint64_t table = get(head + MAGIC + 8, 8), sum = get(head + MAGIC + 24, 8);
    uint64_t rest = file_length - HEAD;
    if (table > rest || sum > rest - table || !(index->text = malloc(table + sum + 1)) ||
        !read_at(index->descriptor, HEAD, index->text, table + sum) ||
        hf_crc32_sliced(&index->tables, index->text, table) != get(head + MAGIC + 16, 8) ||
        hf_crc32_sliced(&index->tables, index->text + table, sum) != get(head + MAGIC + 32, 8))
        return false;
    index->digests_at = HEAD + table + sum;
    index->digests_length = rest - table - sum;
    index->packed = (const unsigned char *)index->text + table;
    index->packed_length = sum;
    return read_table(index, table);
}

bool review_index_open(struct review_index *out, const char *path)
{
    struct review_index index = {.descriptor = -1};
    struct stat status;
    hf_crc32_tables_init(&index.tables);
    if (stat(path, &status) == 0 && S_ISREG(status.st_mode)) /* a pipe would wait */
        index.descriptor = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    bool fine = index.descriptor >= 0 && fstat(index.descriptor, &status) == 0 &&
                (uintmax_t)status.st_size <= HF_STORE_LARGEST &&
                read_parts(&index, (uint64_t)status.st_size);
    if (!fine) {
        review_index_close(&index);
        index = (struct review_index){.descriptor = -1};
    }
    *out = index;
    return fine;
}

bool review_index_load(struct review_index *index)
{
    if (index->descriptor < 0)
        return true;
    index->digests = malloc(index->digests_length + 1);
    if (!index->digests ||
        !read_at(index->descriptor, index->digests_at, index->digests, index->digests_length))
        return false;
    for (size_t i = 0; i < index->count; i++) {
        struct review_entry *entry = &index->entries[i];
        const char *digest = index->digests + entry->place;
        if (entry->why)
            continue;
        if (hf_crc32_sliced(&index->tables, digest, entry->digest_length) != entry->sum)
            return false;
        entry->digest = (const unsigned char *)digest;
    }
    return true;
}

void review_index_close(struct review_index *index)
{
    if (index->descriptor >= 0)
        close(index->descriptor);
    free(index->text);
    free(index->digests);
    free(index->entries);
    *index = (struct review_index){.descriptor = -1};
}

/* ---- writing --------------------------------------------------------------------------------- */

/* Where an entry's six numbers and its reason come to lie. */
static size_t entry_size(const struct review_entry *entry)
{
    size_t reason = entry->digest ? 0 : strlen(entry->why) + 1;
    return 4 + strlen(entry->name) + 1 + NUMBERS + reason;
}

static char *put_entry(char *at, const struct review_entry *entry, uint64_t place, uint32_t sum)
{
    size_t name = strlen(entry->name);
    put(at, name, 4);
    memcpy(at + 4, entry->name, name + 1);
    at += 4 + name + 1;
    put(at, entry->stamp.size, 8);
    put(at + 8, (uint64_t)entry->stamp.changed_ns, 8);
    put(at + 16, (uint64_t)entry->stamp.status_ns, 8);
    put(at + 24, place, 8);
    put(at + 32, entry->digest ? entry->digest_length : 0, 8);
    put(at + 40, sum, 8);
    at += NUMBERS;
    if (!entry->digest)
        memcpy(at, entry->why, strlen(entry->why) + 1);
    return at + (entry->digest ? 0 : strlen(entry->why) + 1);
}

/* The table, with the head before it; NULL when memory ran out. */
static char *make_table(const struct hf_crc32_tables *tables, const struct review_entry *entries,
                        size_t count, size_t *length)
{
    size_t size = HEAD;
    uint64_t place = 0;
    for (size_t i = 0; i < count; i++)
        size += entry_size(&entries[i]);
    char *bytes = malloc(size);
    if (!bytes)
        return NULL;
    char *at = bytes + HEAD;
    for (size_t i = 0; i < count; i++) {
        const struct review_entry *entry = &entries[i];
        uint32_t sum =
            entry->digest ? hf_crc32_sliced(tables, entry->digest, entry->digest_length) : 0;
        at = put_entry(at, entry, place, sum);
        place += entry->digest ? entry->digest_length : 0;
    }
    *length = size;
    return bytes;
}

/* Digests are gathered, so that a small one is no call of the system. */
static enum hf_status write_digests(struct hf_wholefile *file, const struct review_entry *entries,
                                    size_t count, struct hf_diag *diag)
{
    enum { GATHERED = 1 << 16 };
    char bytes[GATHERED];
    size_t used = 0;
    enum hf_status status = HF_OK;
    for (size_t i = 0; i < count && status == HF_OK; i++) {
        size_t length = entries[i].digest ? entries[i].digest_length : 0;
        if (used + length > GATHERED) {
            status = hf_wholefile_write(file, bytes, used, diag);
            used = 0;
        }
        if (status == HF_OK && length > GATHERED) {
            status = hf_wholefile_write(file, entries[i].digest, length, diag);
        } else if (status == HF_OK && length > 0) {
            memcpy(bytes + used, entries[i].digest, length);
            used += length;
        }
    }
    return status == HF_OK ? hf_wholefile_write(file, bytes, used, diag) : status;
}

static enum hf_status write_all(struct hf_wholefile *file, const struct review_entry *entries,
                                size_t count, const void *packed, size_t packed_length,
                                struct hf_diag *diag)
{
    struct hf_crc32_tables tables;
    size_t length = 0;
    hf_crc32_tables_init(&tables);
    char *table = make_table(&tables, entries, count, &length);
    if (!table)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    memcpy(table, magic, MAGIC);
    put(table + MAGIC, VERSION, 8);
    put(table + MAGIC + 8, length - HEAD, 8);
    put(table + MAGIC + 16, hf_crc32_sliced(&tables, table + HEAD, length - HEAD), 8);
    put(table + MAGIC + 24, packed_length, 8);
    put(table + MAGIC + 32, hf_crc32_sliced(&tables, packed, packed_length), 8);
    enum hf_status status = hf_wholefile_write(file, table, length, diag);
    free(table);
    if (status == HF_OK)
        status = hf_wholefile_write(file, packed, packed_length, diag);
    return status == HF_OK ? write_digests(file, entries, count, diag) : status;
}

enum hf_status review_index_write(const char *path, const struct review_entry *entries,
                                  size_t count, const void *packed, size_t packed_length,
                                  struct hf_diag *diag)
{
    struct hf_wholefile *file = NULL;
    enum hf_status status = hf_wholefile_open(&file, path, diag);
    if (status != HF_OK)
        return status;
    status = write_all(file, entries, count, packed, packed_length, diag);
    if (status == HF_OK)
        return hf_wholefile_commit(file, diag);
    hf_wholefile_discard(file);
    return status;
}
