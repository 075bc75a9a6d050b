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
#include "base/text_format.h"
#include "core/need.h"
#include "saved/parts.h"

struct recording {
    char *path, *old; /* owned: FILE and FILE.1 */
    int fd;           /* -1: not open */
    size_t limit, size, head_size;
    uint64_t sum;         /* of all that was written */
    struct json *lines;   /* an array, owned: of the wake-up under way */
    struct json *last;    /* of them; NULL: there is none */
    struct json *packets; /* the list under "in" of the last line; NULL: it has none */
    int64_t packets_ms;
};

const struct recorded_shape recorded_shapes[RECORDED_KINDS] = {
    [RECORDED_PACKETS] = {"in", JSON_ARRAY, 0, 0},
    [RECORDED_REJECTED] = {"rejected", JSON_OBJECT, 0, 0},
    [RECORDED_LINK] = {"link", JSON_STRING, 0, 0},
    [RECORDED_READ] = {"read", JSON_BOOL, 0, 0},
    [RECORDED_EXPIRED] = {"stale_before", JSON_NUMBER, -1e12, 1e12},
    [RECORDED_WAKE] = {"wake", JSON_BOOL, 0, 0},
    [RECORDED_ASKED] = {"asked", JSON_OBJECT, 0, 0},
    [RECORDED_FILES] = {"files", JSON_OBJECT, 0, 0},
    [RECORDED_SAID] = {"said", JSON_STRING, 0, 0},
    [RECORDED_STILL] = {"still", JSON_BOOL, 0, 0},
    [RECORDED_DAY] = {"day", JSON_NUMBER, 0, 99991231},
    [RECORDED_CLOCK] = {"at_s", JSON_NUMBER, 0, 4e9},
    [RECORDED_STOPPED] = {"lasted_ms", JSON_NUMBER, 0, 1e12},
    [RECORDED_NOTHING] = {"nothing", JSON_NULL, 0, 0},
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

    recording->fd = -1;
    recording->lines = json_new_array();
    recording->limit = limit;
    recording->path = need_text(path);
    recording->old = text_printed("%s.1", path);
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
    json_free(recording->lines);
    recording->lines = json_new_array();
    recording->last = recording->packets = NULL;
}

void
recording_close(struct recording *recording)
{
    if (!recording)
        return;
    close_file(recording);
    json_free(recording->lines);
    free(recording->path);
    free(recording->old);
    free(recording);
}

/* ---- text ---- */

/* The line with its sum, to free(). */
static char *
line_text(const struct json *json, uint64_t *sum)
{
    char *own = json_print(json, false), *text;

    own[strlen(own) - 1] = '\0'; /* without the last brace */
    *sum = fingerprint_add(*sum, own);
    text = text_printed("%s" RECORDING_SUM "%016" PRIx64 RECORDING_SUM_END "\n", own, *sum);
    free(own);
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

static bool
write_line(struct recording *recording, const struct json *line)
{
    char *text = line_text(line, &recording->sum);
    bool good = write_whole(recording, text, strlen(text));

    free(text);
    return good;
}

bool
recording_head(struct recording *recording, struct json *head)
{
    bool good = write_line(recording, head);

    recording->head_size = recording->size;
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

bool
recording_turn(struct recording *recording, struct json *head)
{
    /* what was put in the file's place meanwhile is somebody else's */
    bool mine = atomic_file_is_at(recording->fd, recording->path);

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

    if (recording->last)
        json_add_bool(recording->last, "more", true);
    json_add(recording->lines, NULL, line);
    recording->last = line;
    recording->packets = NULL;
    json_add_number(line, "t", (double)t_ms);
    if (kind == RECORDED_NOTHING)
        return line;
    json_add(line, recorded_shapes[kind].key, what ? what : json_new_bool(true));
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
    bool good = !recording->last || !is_removed(recording);

    /* the last line of a wake-up says when it ended */
    if (recording->last && json_number(json_get(recording->last, "t")) != (double)now_ms)
        json_add_number(recording->last, "until", (double)now_ms);
    for (const struct json *line = json_first(recording->lines); good && line;
         line = json_next(line))
        good = write_line(recording, line);
    drop_lines(recording);
    return good;
}
