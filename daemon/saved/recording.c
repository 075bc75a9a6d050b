/* SPDX-License-Identifier: MIT */
#include "saved/recording.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/atomic_file.h"
#include "base/fingerprint.h"
#include "core/need.h"
#include "saved/recording_parts.h"

struct recording {
    char *path, *old; /* owned: FILE and FILE.1 */
    int fd;           /* -1: not open */
    size_t limit, size, head_size;
    uint64_t sum;        /* of all that was written */
    struct json **lines; /* of the wake-up under way, line_count of them */
    size_t line_count, line_room;
    struct json *packets; /* the list under "in" of the last line; NULL: it has none */
    int64_t packets_ms;
};

const char *const recording_keys[RECORDED_KINDS] = {
    [RECORDED_PACKETS] = "in",      [RECORDED_LINK] = "link",
    [RECORDED_READ] = "read",       [RECORDED_EXPIRED] = "stale_before",
    [RECORDED_WAKE] = "wake",       [RECORDED_ASKED] = "asked",
    [RECORDED_FILES] = "files",     [RECORDED_SAID] = "said",
    [RECORDED_STILL] = "still",     [RECORDED_DAY] = "day",
    [RECORDED_CLOCK] = "at_s",      [RECORDED_STOPPED] = "lasted_ms",
    [RECORDED_NOTHING] = "nothing",
};

/* ---- the file ---- */

/* Empty, or begun as a recording is. */
static bool
is_recording(int fd)
{
    char begin[sizeof RECORDING_BEGIN - 1];
    ssize_t length = pread(fd, begin, sizeof begin, 0);

    return length == 0 ||
           (length == (ssize_t)sizeof begin && memcmp(begin, RECORDING_BEGIN, sizeof begin) == 0);
}

/* True when nothing is there, or a recording that nobody writes to. Close *fd, -1 for nothing. */
static bool
is_ours(const char *path, int *fd, off_t *size, struct problems *problems)
{
    struct stat status;

    *fd = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    *size = 0;
    if (*fd < 0 && errno == ENOENT)
        return true;
    if (*fd < 0)
        problems_add(problems, "%s: cannot be read: %s", path, strerror(errno));
    else if (fstat(*fd, &status) != 0 || !S_ISREG(status.st_mode))
        problems_add(problems, "%s: is no regular file", path);
    else if (flock(*fd, LOCK_EX | LOCK_NB) != 0)
        problems_add(problems, "%s: another watch records into it", path);
    else if (!is_recording(*fd))
        problems_add(problems, "%s: is there already, and is no recording of a watch", path);
    else {
        *size = status.st_size;
        return true;
    }
    return false;
}

/* Moves a recording that is there out of the way, unless somebody writes to it; FILE.1, now or when
 * this one is full, takes the place of no other file than a recording. */
static bool
set_aside(const struct recording *recording, struct problems *problems)
{
    int fd, old_fd = -1;
    off_t size, old_size;
    bool good = is_ours(recording->path, &fd, &size, problems) &&
                is_ours(recording->old, &old_fd, &old_size, problems);

    if (good && size > 0 && rename(recording->path, recording->old) != 0) {
        problems_add(problems, "%s: cannot become %s: %s", recording->path, recording->old,
                     strerror(errno));
        good = false;
    }
    if (fd >= 0)
        close(fd);
    if (old_fd >= 0)
        close(old_fd);
    return good;
}

/* The lock says to other watches that it is being written. */
static bool
open_file(struct recording *recording)
{
    recording->fd =
        open(recording->path, O_WRONLY | O_CREAT | O_TRUNC | O_NOFOLLOW | O_CLOEXEC, 0600);
    recording->size = 0;
    recording->sum = FINGERPRINT_BEGIN;
    return recording->fd >= 0 && flock(recording->fd, LOCK_EX | LOCK_NB) == 0;
}

static void
close_file(struct recording *recording)
{
    if (recording->fd >= 0)
        close(recording->fd);
    recording->fd = -1;
}

struct recording *
recording_open(const char *path, size_t limit, struct problems *problems)
{
    struct recording *recording = need_memory(1, sizeof *recording);
    size_t size = strlen(path) + 3;

    recording->fd = -1;
    recording->limit = limit;
    recording->path = need_text(path);
    recording->old = need_memory(size, 1);
    snprintf(recording->old, size, "%s.1", path);
    if (set_aside(recording, problems)) {
        if (open_file(recording))
            return recording;
        problems_add(problems, "%s: cannot be written: %s", path, strerror(errno));
    }
    recording_close(recording);
    return NULL;
}

static void
drop_lines(struct recording *recording)
{
    for (size_t i = 0; i < recording->line_count; i++)
        json_free(recording->lines[i]);
    recording->line_count = 0;
    recording->packets = NULL;
}

void
recording_close(struct recording *recording)
{
    if (!recording)
        return;
    close_file(recording);
    drop_lines(recording);
    free(recording->lines);
    free(recording->path);
    free(recording->old);
    free(recording);
}

/* ---- text ---- */

/* The line with its sum, to free(). */
static char *
line_text(const struct json *json, uint64_t *sum, size_t *length)
{
    char *text = json_print(json, false);
    size_t used = strlen(text) - 1; /* without the last brace */
    size_t size = used + sizeof RECORDING_SUM + RECORDING_DIGITS + sizeof RECORDING_SUM_END + 1;

    text = need_more(text, size, 1);
    text[used] = '\0';
    *sum = fingerprint_add(*sum, text);
    *length = used + (size_t)snprintf(text + used, size - used,
                                      RECORDING_SUM "%016" PRIx64 RECORDING_SUM_END "\n", *sum);
    return text;
}

/* What could be written in part only is taken back. */
static bool
write_whole(struct recording *recording, const char *text, size_t length)
{
    int error;

    if (atomic_file_write_all(recording->fd, text, length)) {
        recording->size += length;
        return true;
    }
    error = errno;
    if (ftruncate(recording->fd, (off_t)recording->size) != 0)
        error = errno;
    errno = error;
    return false;
}

bool
recording_head(struct recording *recording, struct json *head)
{
    size_t length;
    char *text = line_text(head, &recording->sum, &length);
    bool good = write_whole(recording, text, length);

    recording->head_size = length;
    free(text);
    json_free(head);
    return good;
}

bool
recording_is_full(const struct recording *recording)
{
    /* a desk larger than the limit is not written again and again */
    return recording->size >= recording->limit && recording->size >= 2 * recording->head_size;
}

bool
recording_is_overfull(const struct recording *recording)
{
    return recording_is_full(recording) &&
           recording->size >= recording->limit + recording->limit / 8;
}

/* What was put in the file's place meanwhile is somebody else's. */
static bool
is_in_place(const struct recording *recording)
{
    struct stat written, named;

    if (fstat(recording->fd, &written) != 0 || lstat(recording->path, &named) != 0)
        return false;
    errno = EEXIST;
    return written.st_dev == named.st_dev && written.st_ino == named.st_ino;
}

bool
recording_turn(struct recording *recording, struct json *head)
{
    bool mine = is_in_place(recording);

    if (mine)
        close_file(recording);
    if (mine && rename(recording->path, recording->old) == 0 && open_file(recording))
        return recording_head(recording, head);
    json_free(head);
    return false;
}

/* ---- lines ---- */

struct json *
recording_add(struct recording *recording, enum recorded_kind kind, int64_t t_ms, struct json *what)
{
    struct json *line = json_new_object();

    if (recording->line_count == recording->line_room) {
        recording->line_room = recording->line_room ? 2 * recording->line_room : 16;
        recording->lines =
            need_more(recording->lines, recording->line_room, sizeof *recording->lines);
    }
    recording->lines[recording->line_count++] = line;
    recording->packets = NULL;
    json_add_number(line, "t", (double)t_ms);
    if (kind == RECORDED_NOTHING)
        return line;
    if (what)
        json_add(line, recording_keys[kind], what);
    else
        json_add_bool(line, recording_keys[kind], true);
    return line;
}

void
recording_packet(struct recording *recording, int64_t t_ms, const uint8_t *bytes, size_t length)
{
    static const char digits[] = "0123456789abcdef";
    char *text = need_memory(2 * length + 1, 1);

    for (size_t i = 0; i < length; i++) {
        text[2 * i] = digits[bytes[i] >> 4];
        text[2 * i + 1] = digits[bytes[i] & 15];
    }
    text[2 * length] = '\0';
    if (!recording->packets || recording->packets_ms != t_ms) {
        struct json *list = json_new_array();

        recording_add(recording, RECORDED_PACKETS, t_ms, list);
        recording->packets = list;
        recording->packets_ms = t_ms;
    }
    json_add_string(recording->packets, NULL, text);
    free(text);
}

/* The last line of a wake-up says when it ended. */
static bool
write_line(struct recording *recording, size_t i, int64_t now_ms)
{
    struct json *line = recording->lines[i];
    bool more = i + 1 < recording->line_count;
    size_t length;
    char *text;
    bool good;

    if (more)
        json_add_bool(line, "more", true);
    else if (json_number(json_get(line, "t")) != (double)now_ms)
        json_add_number(line, "until", (double)now_ms);
    text = line_text(line, &recording->sum, &length);
    good = write_whole(recording, text, length);
    free(text);
    return good;
}

/* A file that was removed takes all that is written, and nobody will ever read it. */
static bool
is_removed(const struct recording *recording)
{
    struct stat status;

    if (fstat(recording->fd, &status) != 0 || status.st_nlink > 0)
        return false;
    errno = ENOENT;
    return true;
}

bool
recording_write(struct recording *recording, int64_t now_ms)
{
    bool good = recording->line_count == 0 || !is_removed(recording);

    for (size_t i = 0; good && i < recording->line_count; i++)
        good = write_line(recording, i, now_ms);
    drop_lines(recording);
    return good;
}
