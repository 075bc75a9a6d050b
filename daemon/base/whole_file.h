/* SPDX-License-Identifier: MIT */
/* Reading a file in one go. */
#ifndef GAINWARDEN_WHOLE_FILE_H
#define GAINWARDEN_WHOLE_FILE_H

#include <stddef.h>

/* All of a regular file with a NUL behind it, for free(); NULL with errno set: EFBIG when it is
 * larger than `most`, EISDIR or EINVAL when it is no regular file. A pipe is refused, not waited
 * for. */
char *whole_file_read(const char *path, size_t most, size_t *length);

/* The same of a file that is open, from where it stands. */
char *whole_file_of(int fd, size_t most, size_t *length);

/* Why it could not be read, for people, from that errno. */
const char *whole_file_why(int error);

#endif
