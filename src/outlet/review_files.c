/* SPDX-License-Identifier: MIT */
/* Invariants: an entry of the index counts only for a file whose size and times are what they were,
 * and were older than a second then; a journal that is there twice, whole or as the beginning of a
 * longer one, counts once. */
#include <holdfast/review_files.h>

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <holdfast/text.h>

#include "review_scan.h"

enum { PATH_BYTES = 4096 };
#define SECOND_NS INT64_C(1000000000)

/* What is gathered on the way. */
struct work {
    int directory;              /* open, or AT_FDCWD */
    const char *directory_name; /* for what is told; NULL with names that say it all */
    struct review_arena arena;
    struct review_scan *scan;
    struct review_entry *entries; /* ascending by name in a directory */
    size_t count;
    struct hf_review_files files;
};

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

static DIR *open_listing(const struct work *w)
{
    int again = openat(w->directory, ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    DIR *listing = again >= 0 ? fdopendir(again) : NULL;
    if (!listing && again >= 0)
        close(again);
    return listing;
}

static bool count_names(const struct work *w, size_t *count)
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
static enum hf_status list_names(struct work *w, struct hf_diag *diag)
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

static enum hf_status scan_entry(struct work *w, struct review_entry *entry, struct hf_diag *diag)
{
    enum hf_status status = w->scan ? HF_OK : review_scan_new(&w->scan, diag);
    if (status == HF_OK)
        status = review_scan_file(w->scan, w->directory, entry->name, &w->arena, entry, diag);
    w->files.read += status == HF_OK;
    return status;
}

static bool as_it_was(const struct work *w, const struct review_entry *known)
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
static enum hf_status take_entries(struct work *w, const struct review_index *index, int64_t now_ns,
                                   bool *changed, struct hf_diag *diag)
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

/* ---- counting -------------------------------------------------------------------------------- */

/* A digest in the order of adding. */
struct placed {
    struct hf_review_about about;
    const struct review_entry *entry;
    bool copy;
};

static int compare_numbers(uint64_t a, uint64_t b)
{
    return a < b ? -1 : a > b;
}

/* By the start; of copies the longest first. */
static int compare_placed(const void *a, const void *b)
{
    const struct placed *one = a, *other = b;
    if (one->about.started != other->about.started)
        return one->about.started < other->about.started ? -1 : 1;
    int order = compare_numbers(one->about.head, other->about.head);
    if (order == 0)
        order = compare_numbers(other->about.length, one->about.length);
    if (order == 0)
        order = compare_numbers(one->about.whole, other->about.whole);
    return order ? order : strcmp(one->entry->name, other->entry->name);
}

static FILE *open_entry(const struct work *w, const struct review_entry *entry)
{
    int descriptor = openat(w->directory, entry->name, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    FILE *file = descriptor >= 0 ? fdopen(descriptor, "rb") : NULL;
    if (descriptor >= 0 && !file)
        close(descriptor);
    return file;
}

/* Are the first bytes of two files the same? */
static bool same_start(const struct work *w, const struct review_entry *a,
                       const struct review_entry *b, uint64_t length)
{
    FILE *one = open_entry(w, a), *other = open_entry(w, b);
    bool same = one && other;
    while (same && length > 0) {
        char piece[2][8192];
        size_t size = length < sizeof piece[0] ? (size_t)length : sizeof piece[0];
        same = fread(piece[0], 1, size, one) == size && fread(piece[1], 1, size, other) == size &&
               memcmp(piece[0], piece[1], size) == 0;
        length -= size;
    }
    if (one)
        fclose(one);
    if (other)
        fclose(other);
    return same;
}

static bool is_copy(const struct work *w, const struct placed *of, const struct placed *it)
{
    if (of->about.head != it->about.head)
        return false;
    if (of->about.length == it->about.length && of->about.whole == it->about.whole)
        return true;
    return same_start(w, of->entry, it->entry, it->about.length);
}

static enum hf_status leave_out(struct work *w, const char *file, const char *why,
                                struct hf_diag *diag)
{
    struct hf_review_files *files = &w->files;
    char path[PATH_BYTES];
    snprintf(path, sizeof path, "%s%s%s", w->directory_name ? w->directory_name : "",
             w->directory_name ? "/" : "", file);
    struct hf_review_left *left =
        realloc(files->left, (files->left_count + 1) * sizeof *left); /* few */
    if (!left)
        return no_memory(diag);
    files->left = left;
    left += files->left_count;
    left->file = strdup(path);
    left->why = strdup(why);
    files->left_count++;
    if (left->why)
        hf_text_disarm(left->why); /* it may name a file */
    return left->file && left->why ? HF_OK : no_memory(diag);
}

static enum hf_status note_copy(struct work *w, const struct placed *of, const struct placed *it,
                                struct hf_diag *diag)
{
    char why[PATH_BYTES];
    snprintf(why, sizeof why, "the same journal as %.4000s, which counts", of->entry->name);
    return leave_out(w, it->entry->name, why, diag);
}

static enum hf_status mark_copies(struct work *w, struct placed *placed, size_t count,
                                  struct hf_diag *diag)
{
    enum hf_status status = HF_OK;
    for (size_t i = 1; i < count; i++)
        for (size_t j = i; j-- > 0 && placed[j].about.head == placed[i].about.head;)
            if (!placed[j].copy && is_copy(w, &placed[j], &placed[i])) {
                placed[i].copy = true;
                status = status == HF_OK ? note_copy(w, &placed[j], &placed[i], diag) : status;
                break;
            }
    return status;
}

static bool asked_for(const struct hf_review_filter *filter, const struct hf_review_about *about)
{
    if (filter->has_since && about->day < filter->since)
        return false;
    return !filter->label || (strlen(filter->label) == about->label_length &&
                              memcmp(filter->label, about->label, about->label_length) == 0);
}

static enum hf_status add_up(struct work *w, struct placed *placed, size_t count,
                             const struct hf_review_filter *filter, struct hf_diag *diag)
{
    if (count > 0)
        qsort(placed, count, sizeof *placed, compare_placed);
    enum hf_status status = mark_copies(w, placed, count, diag);
    for (size_t i = 0; i < count && status == HF_OK; i++)
        if (!placed[i].copy && asked_for(filter, &placed[i].about))
            status = hf_review_add(&w->files.review, placed[i].entry->digest,
                                   placed[i].entry->digest_length, diag);
    hf_review_finish(&w->files.review);
    return status;
}

static enum hf_status count_entries(struct work *w, const struct hf_review_filter *filter,
                                    struct hf_diag *diag)
{
    struct placed *placed = calloc(w->count + 1, sizeof *placed);
    size_t count = 0;
    enum hf_status status = placed ? HF_OK : no_memory(diag);
    for (size_t i = 0; i < w->count && status == HF_OK; i++) {
        const struct review_entry *entry = &w->entries[i];
        if (entry->why)
            status = leave_out(w, entry->name, entry->why, diag);
        else
            status =
                hf_review_about(entry->digest, entry->digest_length, &placed[count].about, diag);
        if (!entry->why)
            placed[count++].entry = entry;
    }
    if (status == HF_OK)
        status = add_up(w, placed, count, filter, diag);
    free(placed);
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
static enum hf_status pack(const struct work *w, char **bytes, size_t *length, struct hf_diag *diag)
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

static enum hf_status unpack(struct work *w, const struct review_index *index, struct hf_diag *diag)
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
        status = leave_out(w, (const char *)at, (const char *)stop + 1, diag);
        at = last + 1;
    }
    w->files.kept = index->count;
    return status;
}

/* Is every file as the index knows it, and no other there? Then its sum is what is asked for. */
static bool all_as_it_was(const struct work *w, const struct review_index *index,
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

static void write_index(struct work *w, const char *path, const struct hf_review_filter *filter)
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
static enum hf_status review_directory(struct work *w, const char *path, int64_t now_ns,
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
        status = count_entries(w, filter, diag);
    if (status == HF_OK && changed && path)
        write_index(w, path, filter);
    review_index_close(&index);
    return status;
}

static enum hf_status finish(struct work *w, enum hf_status status, struct hf_review_files *out)
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
    struct work w = {0};
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
    struct work w = {.directory = AT_FDCWD};
    w.entries = calloc(count + 1, sizeof *w.entries);
    enum hf_status status = w.entries ? HF_OK : no_memory(diag);
    for (size_t i = 0; i < count && status == HF_OK; i++) {
        w.entries[w.count].name = files[i];
        status = scan_entry(&w, &w.entries[w.count], diag);
        w.count += status == HF_OK;
    }
    if (status == HF_OK)
        status = count_entries(&w, filter, diag);
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
