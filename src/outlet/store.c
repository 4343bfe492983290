/* SPDX-License-Identifier: MIT */
/* Invariants: `length` bytes of the file are whole lines; while `failed` is false all of them are
 * on the disk. The lock belongs to the open descriptor and goes with it, however the program ends.
 */
#include <holdfast/store.h>

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <holdfast/wholefile.h>

struct hf_store {
    int descriptor;
    off_t length;
    bool failed;
    char *path;
};

/* The directory of `path`, open and locked, so that two programs that start a journal there at the
 * same time do it one after the other; -1 where that can't be had (then only journals that are open
 * already are noticed). Held for the few milliseconds of hf_store_create. */
static int lock_directory(const char *path)
{
    const char *slash = strrchr(path, '/');
    char *directory = slash ? strndup(path, (size_t)(slash - path) + 1) : strdup(".");
    int descriptor = directory ? open(directory, O_RDONLY | O_DIRECTORY | O_CLOEXEC) : -1;
    free(directory);
    while (descriptor >= 0 && flock(descriptor, LOCK_EX) != 0 && errno == EINTR)
        continue;
    return descriptor;
}

bool hf_store_in_use(const char *path)
{
    struct stat there;
    if (stat(path, &there) != 0 || !S_ISREG(there.st_mode))
        return false;
    int descriptor = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    if (descriptor < 0)
        return false;
    bool locked = flock(descriptor, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK;
    close(descriptor);
    return locked;
}

enum hf_status hf_store_refuse_in_use(const char *path, struct hf_diag *diag)
{
    if (!hf_store_in_use(path))
        return HF_OK;
    hf_fail(diag, HF_E_CREATE, "cannot create %.200s: a running session has it open", path);
    hf_advise(diag, "end that session, or give this one another --journal");
    return HF_E_CREATE;
}

/* Writes the first lines and takes the lock before the file has its name. */
static enum hf_status write_first(struct hf_store *store, const char *path, const char *lines,
                                  size_t length, struct hf_diag *diag)
{
    struct hf_wholefile *file = NULL;
    enum hf_status status = hf_wholefile_open(&file, path, diag);
    if (status != HF_OK)
        return status;
    flock(hf_wholefile_descriptor(file), LOCK_EX | LOCK_NB); /* nobody else can know the file yet */
    status = hf_wholefile_write(file, lines, length, diag);
    if (status != HF_OK) {
        hf_wholefile_discard(file);
        return status;
    }
    return hf_wholefile_commit_open(file, &store->descriptor, diag);
}

enum hf_status hf_store_create(struct hf_store **out, const char *path, const char *first_lines,
                               size_t length, struct hf_diag *diag)
{
    struct hf_store *store = calloc(1, sizeof *store);
    if (!store || !(store->path = strdup(path))) {
        free(store);
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    }
    store->descriptor = -1;
    store->length = (off_t)length;
    int directory = lock_directory(path);
    enum hf_status status = hf_store_refuse_in_use(path, diag);
    if (status == HF_OK)
        status = write_first(store, path, first_lines, length, diag);
    if (directory >= 0)
        close(directory);
    if (status == HF_OK)
        *out = store;
    else
        hf_store_close(store);
    return status;
}

enum hf_status hf_store_append(struct hf_store *store, const char *line, size_t length,
                               struct hf_diag *diag)
{
    if (store->failed)
        return hf_fail(diag, HF_E_IO, "cannot write %.200s: an earlier record could not be written",
                       store->path);
    int error = hf_wholefile_write_all(store->descriptor, line, length, NULL);
    if (!error && fdatasync(store->descriptor) != 0)
        error = errno;
    if (!error) {
        store->length += (off_t)length;
        return HF_OK;
    }
    store->failed = true;
    hf_fail(diag, HF_E_IO, "cannot write %.200s: %s", store->path, strerror(error));
    if (ftruncate(store->descriptor, store->length) != 0)
        hf_advise(diag, "its last line may be torn; a replay leaves that line out");
    return HF_E_IO;
}

void hf_store_close(struct hf_store *store)
{
    if (!store)
        return;
    if (store->descriptor >= 0)
        close(store->descriptor);
    free(store->path);
    free(store);
}

/* Opens a regular file and tells its size. It is looked at before it is opened, since opening a
 * pipe or a device can wait or do something. */
static enum hf_status open_regular(const char *path, int *descriptor, size_t *size,
                                   struct hf_diag *diag)
{
    struct stat there;
    if (stat(path, &there) != 0)
        return hf_fail(diag, HF_E_INPUT, "cannot read %.200s: %s", path, strerror(errno));
    int opened = -1;
    if (S_ISREG(there.st_mode)) {
        opened = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
        if (opened < 0 || fstat(opened, &there) != 0) {
            int error = errno;
            if (opened >= 0)
                close(opened);
            return hf_fail(diag, HF_E_INPUT, "cannot read %.200s: %s", path, strerror(error));
        }
    }
    enum hf_status status = HF_OK;
    if (!S_ISREG(there.st_mode))
        status = hf_fail(diag, HF_E_DATA, "cannot read %.200s: it is no regular file", path);
    else if ((uintmax_t)there.st_size > HF_STORE_LARGEST)
        status = hf_fail(diag, HF_E_DATA, "cannot read %.200s: it is larger than 256 MiB", path);
    if (status == HF_OK) {
        *descriptor = opened;
        *size = (size_t)there.st_size;
    } else if (opened >= 0) {
        close(opened);
    }
    return status;
}

/* Reads up to `size` bytes, fewer at the end of the file; 0 or errno. */
static int read_all(int descriptor, char *bytes, size_t size, size_t *length)
{
    *length = 0;
    while (*length < size) {
        ssize_t count = read(descriptor, bytes + *length, size - *length);
        if (count == 0)
            break;
        if (count > 0)
            *length += (size_t)count;
        else if (errno != EINTR)
            return errno;
    }
    return 0;
}

enum hf_status hf_store_read(const char *path, char **text, size_t *length, struct hf_diag *diag)
{
    int descriptor = -1;
    size_t size = 0;
    size_t got = 0;
    enum hf_status status = open_regular(path, &descriptor, &size, diag);
    if (status != HF_OK)
        return status;
    int error = ENOMEM;
    char *bytes = malloc(size + 1);
    if (bytes)
        error = read_all(descriptor, bytes, size, &got);
    close(descriptor);
    if (error) {
        free(bytes);
        return hf_fail(diag, error == ENOMEM ? HF_E_MEMORY : HF_E_IO, "cannot read %.200s: %s",
                       path, strerror(error));
    }
    bytes[got] = '\0';
    *text = bytes;
    *length = got;
    return HF_OK;
}

/* Makes one directory, unless it is there; 0 or errno. */
static int make_directory(const char *path)
{
    struct stat there;
    if (mkdir(path, 0700) == 0)
        return hf_wholefile_sync_parent(path);
    int error = errno;
    if (stat(path, &there) != 0)
        return error;
    return S_ISDIR(there.st_mode) ? 0 : ENOTDIR;
}

enum hf_status hf_store_read_journal(const char *path, struct hf_journal *journal,
                                     struct hf_diag *diag)
{
    char *text = NULL;
    size_t length = 0;
    enum hf_status status = hf_store_read(path, &text, &length, diag);
    if (status == HF_OK)
        status = hf_journal_parse(text, length, journal, diag);
    free(text);
    return status;
}

enum hf_status hf_store_make_directories(const char *path, struct hf_diag *diag)
{
    char *part = strdup(path);
    if (!part)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    int error = 0;
    char *at = part;
    do {
        at += strspn(at, "/");
        at += strcspn(at, "/");
        char stop = *at;
        *at = '\0';
        error = make_directory(part);
        *at = stop;
    } while (!error && *at);
    free(part);
    if (error)
        return hf_fail(diag, HF_E_CREATE, "cannot create directory %.200s: %s", path,
                       strerror(error));
    return HF_OK;
}
