/* SPDX-License-Identifier: MIT */
/* What the digests come to. Invariants: a journal that is there twice, whole or as the beginning of
 * a longer one, counts once; so does a cue that was cut off and given again by a session that went
 * on. */
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <holdfast/text.h>

#include "review_scan.h"

enum { PATH_BYTES = 4096 };

/* ---- copies ---------------------------------------------------------------------------------- */

/* A digest in the order of adding. */
struct placed {
    struct hf_review_about about;
    const struct review_entry *entry;
    bool copy;
    bool came_again; /* what its end cut off came again in one that goes on with it */
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

static FILE *open_entry(const struct review_work *w, const struct review_entry *entry)
{
    int descriptor = openat(w->directory, entry->name, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    FILE *file = descriptor >= 0 ? fdopen(descriptor, "rb") : NULL;
    if (descriptor >= 0 && !file)
        close(descriptor);
    return file;
}

/* Are the first bytes of two files the same? */
static bool same_start(const struct review_work *w, const struct review_entry *a,
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

static bool is_copy(const struct review_work *w, const struct placed *of, const struct placed *it)
{
    if (of->about.head != it->about.head)
        return false;
    if (of->about.length == it->about.length && of->about.whole == it->about.whole)
        return true;
    return same_start(w, of->entry, it->entry, it->about.length);
}

enum hf_status review_leave_out(struct review_work *w, const char *file, const char *why,
                                struct hf_diag *diag)
{
    struct hf_review_files *files = &w->files;
    char path[PATH_BYTES];
    snprintf(path, sizeof path, "%s%s%s", w->directory_name ? w->directory_name : "",
             w->directory_name ? "/" : "", file);
    struct hf_review_left *left =
        realloc(files->left, (files->left_count + 1) * sizeof *left); /* few */
    if (!left)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    files->left = left;
    left += files->left_count;
    left->file = strdup(path);
    left->why = strdup(why);
    files->left_count++;
    if (left->why)
        hf_text_disarm(left->why); /* it may name a file */
    return left->file && left->why ? HF_OK : hf_fail(diag, HF_E_MEMORY, "out of memory");
}

static enum hf_status note_copy(struct review_work *w, const struct placed *of,
                                const struct placed *it, struct hf_diag *diag)
{
    char why[PATH_BYTES];
    snprintf(why, sizeof why, "the same journal as %.4000s, which counts", of->entry->name);
    return review_leave_out(w, it->entry->name, why, diag);
}

static enum hf_status mark_copies(struct review_work *w, struct placed *placed, size_t count,
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

/* ---- sessions that went on ------------------------------------------------------------------- */

/* Is `name` the file that the journal at `it` goes on with? Both lie in one folder. */
static bool goes_on_with(const struct placed *it, const char *name)
{
    const char *own = strrchr(it->entry->name, '/'), *last = strrchr(name, '/');
    size_t folder = own ? (size_t)(own + 1 - it->entry->name) : 0;
    const char *base = last ? last + 1 : name;
    return it->about.continues_length > 0 && (size_t)(base - name) == folder &&
           memcmp(name, it->entry->name, folder) == 0 &&
           strlen(base) == it->about.continues_length &&
           memcmp(base, it->about.continues, it->about.continues_length) == 0;
}

/* Did the cue that the end of `of` cut off come again in a session that goes on with it? One that
 * was itself left before its first cue is looked through. */
static bool came_again(const struct placed *of, struct placed *const *going_on, size_t count)
{
    const struct hf_review_given *cut = &of->about.cut;
    const char *name = of->entry->name;
    for (size_t looked = 0; cut->pcs && name && looked <= count; looked++) {
        const char *empty = NULL;
        for (size_t i = 0; i < count; i++) {
            const struct hf_review_given *first = &going_on[i]->about.first;
            if (!goes_on_with(going_on[i], name))
                continue;
            if (first->held == cut->held && first->pcs == cut->pcs)
                return true;
            if (!first->pcs)
                empty = going_on[i]->entry->name;
        }
        name = empty;
    }
    return false;
}

/* A copy says it of what it is a copy of, which stands before it. */
static enum hf_status mark_gone_on(struct placed *placed, size_t count, struct hf_diag *diag)
{
    struct placed **going_on = calloc(count + 1, sizeof *going_on);
    size_t going = 0;
    if (!going_on)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    for (size_t i = 0; i < count; i++)
        if (placed[i].about.continues_length > 0)
            going_on[going++] = &placed[i];
    for (size_t i = 0; i < count && going > 0; i++) {
        placed[i].came_again = came_again(&placed[i], going_on, going);
        for (size_t j = i; placed[i].came_again && placed[i].copy && j > 0 &&
                           placed[j - 1].about.head == placed[i].about.head;
             j--)
            placed[j - 1].came_again = true;
    }
    free(going_on);
    return HF_OK;
}

/* ---- adding ---------------------------------------------------------------------------------- */

static bool asked_for(const struct hf_review_filter *filter, const struct hf_review_about *about)
{
    if (filter->has_since && about->day < filter->since)
        return false;
    return !filter->label || (strlen(filter->label) == about->label_length &&
                              memcmp(filter->label, about->label, about->label_length) == 0);
}

static enum hf_status add_up(struct review_work *w, struct placed *placed, size_t count,
                             const struct hf_review_filter *filter, struct hf_diag *diag)
{
    if (count > 0)
        qsort(placed, count, sizeof *placed, compare_placed);
    enum hf_status status = mark_copies(w, placed, count, diag);
    if (status == HF_OK)
        status = mark_gone_on(placed, count, diag);
    for (size_t i = 0; i < count && status == HF_OK; i++)
        if (!placed[i].copy && asked_for(filter, &placed[i].about))
            status = hf_review_add(&w->files.review, placed[i].entry->digest,
                                   placed[i].entry->digest_length, placed[i].came_again, diag);
    hf_review_finish(&w->files.review);
    return status;
}

enum hf_status review_count_entries(struct review_work *w, const struct hf_review_filter *filter,
                                    struct hf_diag *diag)
{
    struct placed *placed = calloc(w->count + 1, sizeof *placed);
    size_t count = 0;
    enum hf_status status = placed ? HF_OK : hf_fail(diag, HF_E_MEMORY, "out of memory");
    for (size_t i = 0; i < w->count && status == HF_OK; i++) {
        const struct review_entry *entry = &w->entries[i];
        if (entry->why)
            status = review_leave_out(w, entry->name, entry->why, diag);
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
