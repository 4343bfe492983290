/* SPDX-License-Identifier: MIT */
/* Invariants: between open and commit the temporary file exists and its descriptor is open; the
 * target is never opened for writing. Of the system only calls that can be made to fail in a test
 * (open, write, fsync, rename, unlink) touch the disk. */
#define _XOPEN_SOURCE 700 /* realpath */

#include <holdfast/wholefile.h>

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { MOST_NAMES = 1000 }; /* temporary names tried: leftovers of killed programs may be there */

struct hf_wholefile {
    int descriptor;
    char *target;    /* resolved: no symbolic link at its end */
    char *directory; /* of the target */
    char *temporary;
};

/* A full disk and its like are errors of I/O; the rest (no such directory, no right to) is a target
 * that can't be created. */
static enum hf_status creation_status(int error)
{
    if (error == ENOMEM)
        return HF_E_MEMORY;
    return error == ENOSPC || error == EDQUOT || error == EIO ? HF_E_IO : HF_E_CREATE;
}

static void release(struct hf_wholefile *file)
{
    if (file->descriptor >= 0)
        close(file->descriptor);
    free(file->target);
    free(file->directory);
    free(file->temporary);
    free(file);
}

static const char *kind_of(mode_t mode)
{
    if (S_ISDIR(mode))
        return "a directory";
    if (S_ISFIFO(mode))
        return "a pipe";
    if (S_ISSOCK(mode))
        return "a socket";
    return S_ISLNK(mode) ? "a symbolic link that leads nowhere" : "a device";
}

/* Finds what `path` leads to; `mode` becomes the permissions of the file there, 0 if there is none.
 * The result is the caller's to free. */
static enum hf_status resolve(const char *path, char **target, mode_t *mode, struct hf_diag *diag)
{
    struct stat there = {0};
    size_t length = strlen(path);
    char *resolved = realpath(path, NULL);
    if (!resolved && errno != ENOENT)
        return hf_fail(diag, creation_status(errno), "cannot create %.200s: %s", path,
                       strerror(errno));
    if (!resolved && lstat(path, &there) != 0) {
        if (!length || path[length - 1] == '/')
            return hf_fail(diag, HF_E_CREATE, "cannot create '%s': that names no file", path);
        resolved = strdup(path);
        if (!resolved)
            return hf_fail(diag, HF_E_MEMORY, "out of memory");
    } else if (resolved && access(resolved, W_OK) != 0) {
        int error = errno;
        free(resolved);
        return hf_fail(diag, HF_E_CREATE, "cannot create %.200s: %s", path, strerror(error));
    } else if (!resolved || stat(resolved, &there) != 0 || !S_ISREG(there.st_mode)) {
        free(resolved);
        return hf_fail(diag, HF_E_CREATE, "cannot create %.200s: %s has that name", path,
                       kind_of(there.st_mode));
    }
    *target = resolved;
    *mode = there.st_mode & 0777;
    return HF_OK;
}

/* "a/b" -> "a", "/b" -> "/", "b" -> "." */
static char *directory_of(const char *path)
{
    const char *slash = strrchr(path, '/');
    if (!slash)
        return strdup(".");
    return strndup(path, slash == path ? 1 : (size_t)(slash - path));
}

/* Makes the temporary file under the first name that is free; 0 or errno. The kernel applies umask,
 * unless an existing target's permissions are to be kept. */
static int create_temporary(struct hf_wholefile *file, mode_t mode)
{
    size_t size = strlen(file->directory) + sizeof "/.holdfast-4294967295-1000.part";
    file->temporary = malloc(size);
    if (!file->temporary)
        return ENOMEM;
    for (int i = 0; i < MOST_NAMES && file->descriptor < 0; i++) {
        snprintf(file->temporary, size, "%s/.holdfast-%u-%d.part", file->directory,
                 (unsigned)getpid(), i);
        file->descriptor = open(file->temporary, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
        if (file->descriptor < 0 && errno != EEXIST && errno != EINTR)
            return errno;
    }
    if (file->descriptor < 0)
        return EEXIST;
    if (mode && fchmod(file->descriptor, mode) != 0) {
        int error = errno;
        unlink(file->temporary);
        return error;
    }
    return 0;
}

enum hf_status hf_wholefile_open(struct hf_wholefile **out, const char *path, struct hf_diag *diag)
{
    mode_t mode = 0;
    struct hf_wholefile *file = calloc(1, sizeof *file);
    if (!file)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    file->descriptor = -1;
    enum hf_status status = resolve(path, &file->target, &mode, diag);
    if (status == HF_OK) {
        file->directory = directory_of(file->target);
        int error = file->directory ? create_temporary(file, mode) : ENOMEM;
        if (error)
            status = hf_fail(diag, creation_status(error), "cannot create %.200s: %s", path,
                             strerror(error));
    }
    if (status == HF_OK)
        *out = file;
    else
        release(file);
    return status;
}

int hf_wholefile_descriptor(const struct hf_wholefile *file)
{
    return file->descriptor;
}

const char *hf_wholefile_target(const struct hf_wholefile *file)
{
    return file->target;
}

int hf_wholefile_write_all(int descriptor, const void *bytes, size_t length, size_t *written)
{
    const char *from = bytes;
    size_t done = 0;
    int error = 0;
    while (done < length && !error) {
        ssize_t count = write(descriptor, from + done, length - done);
        if (count > 0)
            done += (size_t)count;
        else if (count == 0 || errno != EINTR)
            error = count == 0 ? EIO : errno;
    }
    if (written)
        *written = done;
    return error;
}

enum hf_status hf_wholefile_write(struct hf_wholefile *file, const void *bytes, size_t length,
                                  struct hf_diag *diag)
{
    int error = hf_wholefile_write_all(file->descriptor, bytes, length, NULL);
    if (error)
        return hf_fail(diag, HF_E_IO, "cannot write %.200s: %s", file->target, strerror(error));
    return HF_OK;
}

/* Makes the new name last; 0 or errno. A directory that may be written but not read can't be
 * synced, and some file systems (they say EINVAL) sync none. */
static int sync_directory(const char *directory)
{
    int descriptor = open(directory, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (descriptor < 0)
        return errno == EACCES ? 0 : errno;
    int error = fsync(descriptor) != 0 && errno != EINVAL ? errno : 0;
    close(descriptor);
    return error;
}

int hf_wholefile_sync_parent(const char *path)
{
    char *directory = directory_of(path);
    int error = directory ? sync_directory(directory) : ENOMEM;
    free(directory);
    return error;
}

enum hf_status hf_wholefile_commit_open(struct hf_wholefile *file, int *descriptor,
                                        struct hf_diag *diag)
{
    enum hf_status status = HF_OK;
    int error = fsync(file->descriptor) != 0 ? errno : 0;
    if (!error && rename(file->temporary, file->target) != 0)
        error = errno;
    if (error)
        unlink(file->temporary);
    else
        error = sync_directory(file->directory);
    if (error) {
        status = hf_fail(diag, HF_E_IO, "cannot write %.200s: %s", file->target, strerror(error));
    } else {
        *descriptor = file->descriptor;
        file->descriptor = -1;
    }
    release(file);
    return status;
}

enum hf_status hf_wholefile_commit(struct hf_wholefile *file, struct hf_diag *diag)
{
    int descriptor = -1;
    enum hf_status status = hf_wholefile_commit_open(file, &descriptor, diag);
    if (status == HF_OK)
        close(descriptor);
    return status;
}

void hf_wholefile_discard(struct hf_wholefile *file)
{
    if (!file)
        return;
    unlink(file->temporary);
    release(file);
}
