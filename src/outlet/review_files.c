/* SPDX-License-Identifier: MIT */
/* Invariants: an entry of the index counts only for a file whose size and times are what they were,
 * and were older than a second then. */
#include <holdfast/review_files.h>

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "review_scan.h"

enum { PATH_BYTES = 4096 };
#define SECOND_NS INT64_C(1000000000)

static enum hf_status no_memory(struct hf_diag *diag)
{
    return hf_fail(diag, HF_E_MEMORY, "out of memory");
}

/* ---- names ----------------------------------------------------------------------------------- */

static bool is_journal_name(const char *name)
{
    size_t length = strlen(name);
    return name[0] != '.' && length > 6 && strcmp(name + length - 6, ".jsonl") == 0;
}

static int compare_names(const void *a, const void *b)
{
    const struct review_entry *one = a, *other = b;
    return strcmp(one->name, other->name);
}

static DIR *open_listing(const struct review_work *w)
{
    int again = openat(w->directory, ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    DIR *listing = again >= 0 ? fdopendir(again) : NULL;
    if (!listing && again >= 0)
        close(again);
    return listing;
}

static bool count_names(const struct review_work *w, size_t *count)
{
    DIR *listing = open_listing(w);
    if (!listing)
        return false;
    errno = 0;
    for (struct dirent *file; (file = readdir(listing)); errno = 0)
        *count += is_journal_name(file->d_name);
    bool whole = errno == 0;
    closedir(listing);
    return whole;
}

/* Lists a directory's journals into `entries`, names alone. */
static enum hf_status list_names(struct review_work *w, struct hf_diag *diag)
{
    DIR *listing = open_listing(w);
    size_t room = 0;
    enum hf_status status = HF_OK;
    if (!listing && errno == ENOMEM)
        return no_memory(diag);
    if (!listing)
        return hf_fail(diag, HF_E_INPUT, "cannot read the journals' directory: %s",
                       strerror(errno));
    while (status == HF_OK) {
        errno = 0;
        const struct dirent *file = readdir(listing);
        if (!file && errno != 0)
            status =
                hf_fail(diag, HF_E_IO, "cannot read the journals' directory: %s", strerror(errno));
        if (!file)
            break;
        if (!is_journal_name(file->d_name))
            continue;
        if (w->count == room) {
            room = room ? room * 2 : 256;
            struct review_entry *grown = realloc(w->entries, room * sizeof *grown);
            if (grown)
                w->entries = grown;
            else
                status = no_memory(diag);
        }
        const char *name = status == HF_OK ? review_arena_text(&w->arena, file->d_name) : NULL;
        if (name)
            w->entries[w->count++] = (struct review_entry){.name = name};
        else
            status = no_memory(diag);
    }
    closedir(listing);
    if (status == HF_OK && w->count > 0)
        qsort(w->entries, w->count, sizeof *w->entries, compare_names);
    return status;
}

/* ---- reading --------------------------------------------------------------------------------- */

static enum hf_status scan_entry(struct review_work *w, struct review_entry *entry,
                                 struct hf_diag *diag)
{
    enum hf_status status = w->scan ? HF_OK : review_scan_new(&w->scan, diag);
    if (status == HF_OK)
        status = review_scan_file(w->scan, w->directory, entry->name, &w->arena, entry, diag);
    w->files.read += status == HF_OK;
    return status;
}

static bool as_it_was(const struct review_work *w, const struct review_entry *known)
{
    struct stat status;
    if (known->stamp.status_ns == 0 || fstatat(w->directory, known->name, &status, 0) != 0)
        return false;
    struct review_stamp stamp = review_stamp_of(&status);
    return stamp.size == known->stamp.size && stamp.changed_ns == known->stamp.changed_ns &&
           stamp.status_ns == known->stamp.status_ns;
}

/* Takes what the index knows of files that are as they were, and reads the others. `*changed`: the
 * index is not what it should be. */
static enum hf_status take_entries(struct review_work *w, const struct review_index *index,
                                   int64_t now_ns, bool *changed, struct hf_diag *diag)
{
    size_t at = 0;
    enum hf_status status = HF_OK;
    for (size_t i = 0; i < w->count && status == HF_OK; i++) {
        struct review_entry *entry = &w->entries[i];
        while (at < index->count && strcmp(index->entries[at].name, entry->name) < 0)
            at++;
        bool listed = at < index->count && strcmp(index->entries[at].name, entry->name) == 0;
        if (listed && as_it_was(w, &index->entries[at])) {
            *entry = index->entries[at];
            w->files.kept++;
            continue;
        }
        *changed = true;
        status = scan_entry(w, entry, diag);
        /* It could change again within what its times can tell. */
        if (entry->stamp.status_ns > now_ns - SECOND_NS ||
            entry->stamp.changed_ns > now_ns - SECOND_NS)
            entry->stamp.changed_ns = entry->stamp.status_ns = 0;
    }
    *changed = *changed || index->count != w->count;
    return status;
}

/* ---- the sum --------------------------------------------------------------------------------- */

/* What is asked for when nothing is said: only of that an index keeps the sum. */
static bool is_everything(const struct hf_review_filter *filter)
{
    return !filter->has_since && !filter->label;
}

static char *put_text(char *at, const char *text)
{
    size_t size = strlen(text) + 1;
    memcpy(at, text, size);
    return at + size;
}

/* A review's bytes, their length (8 bytes) before them, then the names that are left out, each with
 * its reason, with NULs. */
static enum hf_status pack(const struct review_work *w, char **bytes, size_t *length,
                           struct hf_diag *diag)
{
    const struct hf_review_files *files = &w->files;
    size_t directory = strlen(w->directory_name) + 1, packed_length = 0;
    void *packed = NULL;
    enum hf_status status = hf_review_pack(&files->review, &packed, &packed_length, diag);
    if (status != HF_OK)
        return status;
    size_t size = 8 + packed_length;
    for (size_t i = 0; i < files->left_count; i++)
        size += strlen(files->left[i].file + directory) + strlen(files->left[i].why) + 2;
    char *all = malloc(size);
    if (all) {
        char *at = all + 8;
        for (int i = 0; i < 8; i++)
            all[i] = (char)((uint64_t)packed_length >> (8 * i));
        memcpy(at, packed, packed_length);
        at += packed_length;
        for (size_t i = 0; i < files->left_count; i++) {
            const struct hf_review_left *left = &files->left[i];
            at = put_text(put_text(at, left->file + directory), left->why);
        }
        *bytes = all;
        *length = size;
    }
    free(packed);
    return all ? HF_OK : no_memory(diag);
}

static enum hf_status unpack(struct review_work *w, const struct review_index *index,
                             struct hf_diag *diag)
{
    const unsigned char *packed = index->packed, *end = packed + index->packed_length;
    uint64_t length = 0;
    for (int i = 7; i >= 0; i--)
        length = length << 8 | packed[i];
    if (length > index->packed_length - 8)
        return hf_fail(diag, HF_E_DATA, "the index is damaged");
    enum hf_status status = hf_review_unpack(&w->files.review, packed + 8, (size_t)length, diag);
    for (const unsigned char *at = packed + 8 + length; status == HF_OK && at < end;) {
        const unsigned char *stop = memchr(at, 0, (size_t)(end - at));
        const unsigned char *last = stop ? memchr(stop + 1, 0, (size_t)(end - stop - 1)) : NULL;
        if (!last)
            return hf_fail(diag, HF_E_DATA, "the index is damaged");
        status = review_leave_out(w, (const char *)at, (const char *)stop + 1, diag);
        at = last + 1;
    }
    w->files.kept = index->count;
    return status;
}

/* Is every file as the index knows it, and no other there? Then its sum is what is asked for. */
static bool all_as_it_was(const struct review_work *w, const struct review_index *index,
                          const struct hf_review_filter *filter)
{
    size_t count = 0;
    if (index->packed_length < 8 || !is_everything(filter) || !count_names(w, &count) ||
        count != index->count)
        return false;
    for (size_t i = 0; i < index->count; i++)
        if (!as_it_was(w, &index->entries[i]))
            return false;
    return true;
}

/* ---- from outside ---------------------------------------------------------------------------- */

static void write_index(struct review_work *w, const char *path,
                        const struct hf_review_filter *filter)
{
    struct hf_diag unwritten; /* without an index all is read again: slower, not wrong */
    char *packed = NULL;
    size_t length = 0;
    if (is_everything(filter) && pack(w, &packed, &length, &unwritten) != HF_OK)
        return;
    if (review_index_write(path, w->entries, w->count, packed, length, &unwritten) != HF_OK)
        w->files.kept = 0;
    free(packed);
}

/* With the index at `path`, or without one where it is NULL. */
static enum hf_status review_directory(struct review_work *w, const char *path, int64_t now_ns,
                                       const struct hf_review_filter *filter, struct hf_diag *diag)
{
    struct review_index index = {.descriptor = -1};
    bool found = path && review_index_open(&index, path);
    if (found && all_as_it_was(w, &index, filter)) {
        enum hf_status unpacked = unpack(w, &index, diag);
        review_index_close(&index);
        return unpacked;
    }
    bool changed = found && is_everything(filter) && index.packed_length == 0;
    enum hf_status status = list_names(w, diag);
    if (found && !review_index_load(&index))
        review_index_close(&index);
    if (status == HF_OK)
        status = take_entries(w, &index, now_ns, &changed, diag);
    if (status == HF_OK)
        status = review_count_entries(w, filter, diag);
    if (status == HF_OK && changed && path)
        write_index(w, path, filter);
    review_index_close(&index);
    return status;
}

static enum hf_status finish(struct review_work *w, enum hf_status status,
                             struct hf_review_files *out)
{
    review_scan_free(w->scan);
    review_arena_free(&w->arena);
    free(w->entries);
    if (status == HF_OK)
        *out = w->files;
    else
        hf_review_files_deinit(&w->files);
    return status;
}

enum hf_status hf_review_directory(const char *directory, int64_t now_ns,
                                   const struct hf_review_filter *filter,
                                   struct hf_review_files *out, struct hf_diag *diag)
{
    struct review_work w = {0};
    char path[PATH_BYTES];
    int length = snprintf(path, sizeof path, "%s/%s", directory, HF_REVIEW_INDEX);
    int descriptor = open(directory, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (descriptor < 0 && errno == ENOENT)
        return finish(&w, HF_OK, out);
    if (descriptor < 0 || length < 0 || (size_t)length >= sizeof path) {
        hf_fail(diag, HF_E_INPUT, "cannot read the directory %.200s: %s", directory,
                strerror(descriptor < 0 ? errno : ENAMETOOLONG));
        if (descriptor >= 0)
            close(descriptor);
        return HF_E_INPUT;
    }
    w.directory = descriptor;
    w.directory_name = directory;
    enum hf_status status = review_directory(&w, path, now_ns, filter, diag);
    if (status == HF_E_DATA) { /* an index whose check sums are right and whose content is not */
        finish(&w, status, out);
        memset(&w, 0, sizeof w);
        w.directory = descriptor;
        w.directory_name = directory;
        unlink(path);
        status = review_directory(&w, NULL, now_ns, filter, diag);
    }
    close(descriptor);
    return finish(&w, status, out);
}

enum hf_status hf_review_named(char *const *files, size_t count,
                               const struct hf_review_filter *filter, struct hf_review_files *out,
                               struct hf_diag *diag)
{
    struct review_work w = {.directory = AT_FDCWD};
    w.entries = calloc(count + 1, sizeof *w.entries);
    enum hf_status status = w.entries ? HF_OK : no_memory(diag);
    for (size_t i = 0; i < count && status == HF_OK; i++) {
        w.entries[w.count].name = files[i];
        status = scan_entry(&w, &w.entries[w.count], diag);
        w.count += status == HF_OK;
    }
    if (status == HF_OK)
        status = review_count_entries(&w, filter, diag);
    return finish(&w, status, out);
}

void hf_review_files_deinit(struct hf_review_files *files)
{
    if (!files)
        return;
    hf_review_deinit(&files->review);
    for (size_t i = 0; i < files->left_count; i++) {
        free(files->left[i].file);
        free(files->left[i].why);
    }
    free(files->left);
    memset(files, 0, sizeof *files);
}
