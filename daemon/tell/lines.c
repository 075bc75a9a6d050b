/* SPDX-License-Identifier: MIT */
#include "tell/lines.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

#include "base/atomic_file.h"
#include "base/text_format.h"
#include "core/need.h"

enum { ROOM = 64 * 1024 };

struct lines {
    char *path;   /* NULL: standard output */
    int fd;       /* -1: it could not be opened */
    size_t lost;  /* since it last worked */
    bool failing; /* and that was told */
    lines_trouble_fn *trouble;
    void *context;
};

static int
open_file(const char *path)
{
    return open(path, O_WRONLY | O_APPEND | O_CREAT | O_CLOEXEC, 0644);
}

static void
say(const struct lines *lines, const char *what, const char *why)
{
    char line[600];

    snprintf(line, sizeof line, "JSON lines to %s: %s%s%s",
             lines->path ? lines->path : "standard output", what, *why ? ": " : "", why);
    lines->trouble(lines->context, line);
}

/* A part of a line is taken back, where the system lets us: a regular file. */
static bool
write_line(struct lines *lines, const char *text, size_t length)
{
    struct stat before;
    bool regular = fstat(lines->fd, &before) == 0 && S_ISREG(before.st_mode);
    int error;

    if (atomic_file_write_all(lines->fd, text, length))
        return true;
    error = errno;
    if (regular && ftruncate(lines->fd, before.st_size) != 0)
        error = errno;
    errno = error;
    return false;
}

/* How many were lost, and the line for free(). */
static char *
with_lost(size_t lost, char *line)
{
    struct json *object = json_new_object();
    char *before, *both;

    json_add_string(object, "event", "lines-lost");
    json_add_number(object, "count", (double)lost);
    before = json_print(object, false);
    json_free(object);
    both = text_printed("%s\n%s", before, line);
    free(before);
    free(line);
    return both;
}

/* What was lost is said by the same write as the next line: it is no use to have room for the one
 * alone. */
static bool
write_object(struct lines *lines, const struct json *object)
{
    char *text = json_print(object, false);
    size_t length;
    bool good;

    if (lines->lost > 0)
        text = with_lost(lines->lost, text);
    length = strlen(text);
    text = need_more(text, length + 2, 1);
    memcpy(text + length, "\n", 2);
    good = lines->fd >= 0 && write_line(lines, text, length + 1);
    free(text);
    return good;
}

/* Whether the next lines will find room, too: a disk that is nearly full has room for some. */
static bool
has_room(const struct lines *lines)
{
    struct stat status;
    struct statvfs disk;

    return fstat(lines->fd, &status) != 0 || !S_ISREG(status.st_mode) ||
           fstatvfs(lines->fd, &disk) != 0 || disk.f_bavail >= ROOM / disk.f_frsize;
}

void
lines_write(struct lines *lines, const struct json *object)
{
    if (!write_object(lines, object)) {
        lines->lost++;
        if (!lines->failing)
            say(lines, "cannot be written, the lines are counted", strerror(errno));
        lines->failing = true;
        return;
    }
    lines->lost = 0;
    if (!lines->failing || !has_room(lines))
        return;
    lines->failing = false;
    say(lines, "written again", "");
}

void
lines_reopen(struct lines *lines)
{
    int fd;

    if (!lines->path)
        return;
    fd = open_file(lines->path);
    if (fd < 0) {
        say(lines, "cannot be opened anew, the old file is kept", strerror(errno));
        return;
    }
    close(lines->fd);
    lines->fd = fd;
}

struct lines *
lines_open(const char *path, lines_trouble_fn *trouble, void *context, struct problems *problems)
{
    struct lines *lines = need_memory(1, sizeof *lines);

    lines->trouble = trouble;
    lines->context = context;
    lines->fd = STDOUT_FILENO;
    if (strcmp(path, "-") == 0)
        return lines;
    lines->path = need_text(path);
    lines->fd = open_file(path);
    if (lines->fd >= 0)
        return lines;
    problems_add(problems, "%s: cannot be written: %s", path, strerror(errno));
    lines_close(lines);
    return NULL;
}

void
lines_close(struct lines *lines)
{
    if (!lines)
        return;
    if (lines->path && lines->fd >= 0)
        close(lines->fd);
    free(lines->path);
    free(lines);
}
