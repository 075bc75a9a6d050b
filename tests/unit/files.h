/* SPDX-License-Identifier: MIT */
/* Files for a test; it removes them itself. */
#ifndef GAINWARDEN_TESTS_FILES_H
#define GAINWARDEN_TESTS_FILES_H

#include <stddef.h>

enum { FILE_PATH_SIZE = 200 };

/* Writes the bytes to a new file; its path. */
void file_write(char path[FILE_PATH_SIZE], const void *bytes, size_t length);

/* The same with so many spaces. */
void file_write_spaces(char path[FILE_PATH_SIZE], size_t length);

/* A new directory. */
void file_make_directory(char path[FILE_PATH_SIZE]);

/* Of a file that is there. */
size_t file_length(const char *path);

void file_remove(const char *path);

#endif
