/* SPDX-License-Identifier: MIT */
#include "base/whole_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "core/need.h"

char *
whole_file_read(const char *path, size_t most, size_t *length)
{
    int fd = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    FILE *file = fd >= 0 ? fdopen(fd, "rb") : NULL;
    struct stat status;
    char *text = NULL;
    int error = 0;

    if (!file)
        return NULL;
    if (fstat(fd, &status) != 0)
        error = errno;
    else if (!S_ISREG(status.st_mode) || (size_t)status.st_size > most)
        error = S_ISDIR(status.st_mode) ? EISDIR : S_ISREG(status.st_mode) ? EFBIG : EINVAL;
    else
        text = need_memory((size_t)status.st_size + 1, 1);
    if (text) {
        *length = fread(text, 1, (size_t)status.st_size, file);
        text[*length] = '\0';
    }
    if (text && ferror(file)) {
        error = EIO;
        free(text);
        text = NULL;
    }
    fclose(file);
    errno = error;
    return text;
}

const char *
whole_file_why(int error)
{
    return error == EINVAL ? "it is no regular file" : strerror(error);
}
