/* SPDX-License-Identifier: MIT */
/* Files that are whole or not there: written beside the old one, flushed to the disk, and put in
 * its place in one step.
 */
#ifndef GAINWARDEN_ATOMIC_FILE_H
#define GAINWARDEN_ATOMIC_FILE_H

#include <stdbool.h>
#include <stddef.h>
#include <sys/types.h>

/* Replaces the file by these bytes. False with errno set when it cannot; then the old one is as it
 * was. Only the owner can read it where `mode` is 0600. */
bool atomic_file_write(const char *path, const void *bytes, size_t length, mode_t mode);

/* Writes all of it, however often the system takes a part. False with errno set. */
bool atomic_file_write_all(int fd, const char *bytes, size_t length);

/* Whether the path still names the open file; else somebody put another in its place, and errno is
 * EEXIST, or what the system said. */
bool atomic_file_is_at(int fd, const char *path);

/* Flushes the folder of a file that was made or renamed, so that its name survives a power cut too.
 * What the file system cannot do is no error: the bytes are safe already. */
void atomic_file_flush_folder(const char *path);

/* Nobody else who asks for the folder of this file has it until atomic_file_unlock(): for who reads
 * a file and writes it anew. Where the file system knows no such lock nobody waits. */
int atomic_file_lock_folder(const char *path);
void atomic_file_unlock(int lock);

#endif
