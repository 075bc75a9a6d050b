/* SPDX-License-Identifier: MIT */
/* A file whose lock one program holds at a time, for as long as it runs. Nothing stands in it, and it
 * is taken away again; what a crash leaves behind locks nobody out.
 */
#ifndef GAINWARDEN_LOCK_FILE_H
#define GAINWARDEN_LOCK_FILE_H

enum lock_file {
    LOCK_FILE_OURS,
    LOCK_FILE_THEIRS, /* another program holds it */
    LOCK_FILE_NONE    /* it cannot be had, errno says why */
};

/* Does not wait. `fd` is the lock where it is ours, else -1. */
enum lock_file lock_file_take(const char *path, int *fd);

/* Lets it go; nothing of -1. */
void lock_file_let_go(const char *path, int fd);

#endif
