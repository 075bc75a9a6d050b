/* SPDX-License-Identifier: MIT */
#include "files.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "unit.h"

/* TMPDIR, or /tmp. */
static void
new_path(char path[FILE_PATH_SIZE])
{
    const char *directory = getenv("TMPDIR");
    int length = snprintf(path, FILE_PATH_SIZE, "%s/gainwarden-test-XXXXXX",
                          directory && *directory ? directory : "/tmp");

    assert_true(length > 0 && length < FILE_PATH_SIZE);
}

static void
write_at_end(int file, const void *bytes, size_t length)
{
    const char *at = bytes;

    while (length > 0) {
        ssize_t written = write(file, at, length);

        assert_true(written > 0);
        at += written;
        length -= (size_t)written;
    }
}

static int
new_file(char path[FILE_PATH_SIZE])
{
    int file;

    new_path(path);
    file = mkstemp(path);
    assert_true(file >= 0);
    return file;
}

void
file_write(char path[FILE_PATH_SIZE], const void *bytes, size_t length)
{
    int file = new_file(path);

    write_at_end(file, bytes, length);
    assert_int_equal(close(file), 0);
}

void
file_write_spaces(char path[FILE_PATH_SIZE], size_t length)
{
    static char spaces[65536];
    int file = new_file(path);

    memset(spaces, ' ', sizeof spaces);
    while (length > 0) {
        size_t piece = length < sizeof spaces ? length : sizeof spaces;

        write_at_end(file, spaces, piece);
        length -= piece;
    }
    assert_int_equal(close(file), 0);
}

void
file_make_directory(char path[FILE_PATH_SIZE])
{
    new_path(path);
    assert_non_null(mkdtemp(path));
}

size_t
file_length(const char *path)
{
    struct stat file;

    assert_int_equal(stat(path, &file), 0);
    return (size_t)file.st_size;
}

void
file_remove(const char *path)
{
    assert_int_equal(remove(path), 0);
}
