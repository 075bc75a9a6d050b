/* SPDX-License-Identifier: MIT */
#include "base/lock_file.h"

#include <errno.h>
#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include "base/atomic_file.h"

enum { TRIES = 100 };

enum lock_file
lock_file_take(const char *path, int *fd)
{
    for (int tries = 0; tries < TRIES; tries++) {
        *fd = open(path, O_RDWR | O_CREAT | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC, 0600);
        if (*fd < 0)
            return LOCK_FILE_NONE;
        if (flock(*fd, LOCK_EX | LOCK_NB) != 0) {
            int error = errno;

            close(*fd);
            *fd = -1;
            errno = error;
            return error == EWOULDBLOCK ? LOCK_FILE_THEIRS : LOCK_FILE_NONE;
        }
        /* whoever let it go took the file away: a lock on that is worth nothing */
        if (atomic_file_is_at(*fd, path))
            return LOCK_FILE_OURS;
        close(*fd);
    }
    *fd = -1;
    errno = EAGAIN;
    return LOCK_FILE_NONE;
}

void
lock_file_let_go(const char *path, int fd)
{
    if (fd < 0)
        return;
    if (atomic_file_is_at(fd, path)) /* else it is somebody else's by now */
        unlink(path);
    close(fd);
}
