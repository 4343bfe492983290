/* SPDX-License-Identifier: MIT */
/*
 * faults: makes calls of the system fail. The Makefile links the tests that include this with
 * --wrap for every name below, so that the library's calls come here; those of the C library and of
 * other libraries don't. To try every point of failure: arm the 1st, 2nd, ... call until faults_end
 * says that none was struck.
 *
 * For one test program, one thread; define _XOPEN_SOURCE 700 before the first include.
 */
#ifndef TESTS_FAULTS_H
#define TESTS_FAULTS_H

#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <unistd.h>

static struct {
    long until;       /* calls up to the one that fails; 0 = none does */
    bool stay;        /* all later ones fail too */
    bool memory;      /* only calls that allocate (else: only those that reach the disk) */
    int error;        /* their errno */
    long struck;      /* how many have failed */
    size_t most;      /* bytes that a read or write handles at a time; 0 = as asked */
    bool interrupted; /* every other read and write is interrupted */
    long turn;
    char log[256]; /* the calls of the disk since faults_log, in their order: "open write " */
} faults;

static inline void faults_log(void)
{
    faults.log[0] = 0;
}

static inline void faults_note(bool memory, const char *name)
{
    size_t used = strlen(faults.log);
    if (!memory)
        snprintf(faults.log + used, sizeof faults.log - used, "%s ", name);
}

/* From now on the nth call of the disk, or of memory, fails. */
static inline void faults_arm(bool memory, long nth, bool stay, int error)
{
    faults.until = nth;
    faults.stay = stay;
    faults.memory = memory;
    faults.error = error;
    faults.struck = 0;
}

/* No failures any more; how many there were. */
static inline long faults_end(void)
{
    faults.until = 0;
    faults.most = 0;
    faults.interrupted = false;
    return faults.struck;
}

static inline bool faults_strike(bool memory)
{
    if (faults.until <= 0 || memory != faults.memory)
        return false;
    if (faults.until > 1) {
        faults.until--;
        return false;
    }
    faults.struck++;
    errno = memory ? ENOMEM : faults.error;
    if (!faults.stay)
        faults.until = 0;
    return true;
}

static inline bool faults_interrupt(size_t *length)
{
    if (faults.most && *length > faults.most)
        *length = faults.most;
    errno = EINTR;
    return faults.interrupted && faults.turn++ % 2 == 0;
}

#define FAULTS_CALL(memory, failure, type, name, parameters, arguments)                            \
    type __real_##name parameters;                                                                 \
    type __wrap_##name parameters;                                                                 \
    type __wrap_##name parameters                                                                  \
    {                                                                                              \
        faults_note(memory, #name);                                                                \
        return faults_strike(memory) ? (failure) : __real_##name arguments;                        \
    }

FAULTS_CALL(false, -1, int, fsync, (int fd), (fd))
FAULTS_CALL(false, -1, int, fdatasync, (int fd), (fd))
FAULTS_CALL(false, -1, int, rename, (const char *from, const char *to), (from, to))
FAULTS_CALL(false, -1, int, ftruncate64, (int fd, off_t length), (fd, length))
FAULTS_CALL(false, -1, off_t, lseek64, (int fd, off_t offset, int whence), (fd, offset, whence))
FAULTS_CALL(false, -1, int, fchmod, (int fd, mode_t mode), (fd, mode))
FAULTS_CALL(false, -1, int, fstat64, (int fd, struct stat *there), (fd, there))
FAULTS_CALL(false, -1, int, mkdir, (const char *path, mode_t mode), (path, mode))
FAULTS_CALL(true, NULL, void *, malloc, (size_t size), (size))
FAULTS_CALL(true, NULL, void *, calloc, (size_t count, size_t size), (count, size))
FAULTS_CALL(true, NULL, void *, realloc, (void *memory, size_t size), (memory, size))
FAULTS_CALL(true, NULL, char *, strdup, (const char *text), (text))
FAULTS_CALL(true, NULL, char *, strndup, (const char *text, size_t length), (text, length))
FAULTS_CALL(true, NULL, char *, realpath, (const char *path, char *resolved), (path, resolved))

int __real_open64(const char *path, int flags, ...);
int __wrap_open64(const char *path, int flags, ...);
int __wrap_open64(const char *path, int flags, ...)
{
    mode_t mode = 0;
    if (flags & O_CREAT) {
        va_list arguments;
        va_start(arguments, flags);
        mode = va_arg(arguments, mode_t);
        va_end(arguments);
    }
    faults_note(false, "open");
    return faults_strike(false) ? -1 : __real_open64(path, flags, mode);
}

ssize_t __real_write(int fd, const void *bytes, size_t length);
ssize_t __wrap_write(int fd, const void *bytes, size_t length);
ssize_t __wrap_write(int fd, const void *bytes, size_t length)
{
    faults_note(false, "write");
    if (faults_strike(false) || faults_interrupt(&length))
        return -1;
    return __real_write(fd, bytes, length);
}

ssize_t __real_read(int fd, void *bytes, size_t length);
ssize_t __wrap_read(int fd, void *bytes, size_t length);
ssize_t __wrap_read(int fd, void *bytes, size_t length)
{
    faults_note(false, "read");
    if (faults_strike(false) || faults_interrupt(&length))
        return -1;
    return __real_read(fd, bytes, length);
}

#endif
