/* SPDX-License-Identifier: MIT */
#include "base/atomic_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/text_format.h"
#include "core/need.h"

bool
atomic_file_write_all(int fd, const char *bytes, size_t length)
{
    while (length > 0) {
        ssize_t written = write(fd, bytes, length);

        if (written < 0 && errno == EINTR)
            continue;
        if (written <= 0)
            return false;
        bytes += written;
        length -= (size_t)written;
    }
    return true;
}

bool
atomic_file_is_at(int fd, const char *path)
{
    struct stat ours, there;

    if (fstat(fd, &ours) != 0 || lstat(path, &there) != 0)
        return false;
    errno = EEXIST;
    return ours.st_dev == there.st_dev && ours.st_ino == there.st_ino;
}

/* Its descriptor, or -1. */
static int
open_folder(const char *path)
{
    const char *slash = strrchr(path, '/');
    char *folder = slash ? need_part(path, (size_t)(slash - path) + 1) : need_text(".");
    int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);

    free(folder);
    return fd;
}

void
atomic_file_flush_folder(const char *path)
{
    int fd = open_folder(path);

    if (fd >= 0) {
        fsync(fd);
        close(fd);
    }
}

int
atomic_file_lock_folder(const char *path)
{
    int fd = open_folder(path);

    while (fd >= 0 && flock(fd, LOCK_EX) != 0 && errno == EINTR)
        continue;
    return fd;
}

void
atomic_file_unlock(int lock)
{
    if (lock >= 0)
        close(lock);
}

/* Writes the new file under its temporary name. */
static bool
write_beside(const char *temporary, const void *bytes, size_t length, mode_t mode)
{
    int fd = open(temporary, O_WRONLY | O_CREAT | O_TRUNC | O_NOFOLLOW | O_CLOEXEC, mode);
    bool good;
    int error;

    if (fd < 0)
        return false;
    good = atomic_file_write_all(fd, bytes, length) && fsync(fd) == 0;
    error = errno;
    good = close(fd) == 0 && good;
    if (!good) {
        errno = error ? error : errno;
        error = errno;
        unlink(temporary);
        errno = error;
    }
    return good;
}

bool
atomic_file_write(const char *path, const void *bytes, size_t length, mode_t mode)
{
    char *temporary = text_printed("%s.%ld.new", path, (long)getpid());
    bool good;
    int error;

    good = write_beside(temporary, bytes, length, mode);
    if (good && rename(temporary, path) != 0) {
        error = errno;
        unlink(temporary);
        errno = error;
        good = false;
    }
    error = errno;
    if (good)
        atomic_file_flush_folder(path);
    free(temporary);
    errno = error;
    return good;
}
