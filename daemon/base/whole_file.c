/* SPDX-License-Identifier: MIT */
#include "base/whole_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/need.h"

char *
whole_file_of(int fd, size_t most, size_t *length)
{
    struct stat status;
    ssize_t got = 1;
    char *text;

    if (fstat(fd, &status) != 0)
        return NULL;
    if (!S_ISREG(status.st_mode) || (size_t)status.st_size > most) {
        errno = S_ISDIR(status.st_mode) ? EISDIR : S_ISREG(status.st_mode) ? EFBIG : EINVAL;
        return NULL;
    }
    text = need_memory((size_t)status.st_size + 1, 1);
    for (*length = 0; got > 0 && *length < (size_t)status.st_size; *length += (size_t)got) {
        do
            got = read(fd, text + *length, (size_t)status.st_size - *length);
        while (got < 0 && errno == EINTR);
        if (got < 0) {
            free(text);
            return NULL;
        }
    }
    return text;
}

char *
whole_file_read(const char *path, size_t most, size_t *length)
{
    int fd = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    char *text = fd >= 0 ? whole_file_of(fd, most, length) : NULL;
    int error = errno;

    if (fd >= 0)
        close(fd);
    errno = error;
    return text;
}

const char *
whole_file_why(int error)
{
    return error == EINVAL ? "it is no regular file" : strerror(error);
}
