/* SPDX-License-Identifier: MIT */
#include "saved/keep.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/sysmacros.h>
#include <unistd.h>

#include "base/atomic_file.h"
#include "base/text_format.h"
#include "base/whole_file.h"
#include "core/need.h"

enum {
    LONG_BYTES = 256 * 1024,
    FILE_MOST = 64 * 1024 * 1024,
    ASIDE_MOST = 1000, /* damaged files; of more, the last is replaced */
    OPEN_TRIES = 100   /* each time another watch put a new file in place just then */
};

struct keep {
    char *path;
    int fd;
    size_t length; /* of what is whole */
    size_t compacted;
    bool torn; /* behind `length` stands something that could not be cut off yet */
    int error;
};

/* ---- writing ---- */

/* Back to what is whole. */
static bool
cut(struct keep *keep)
{
    keep->torn = ftruncate(keep->fd, (off_t)keep->length) != 0 ||
                 lseek(keep->fd, (off_t)keep->length, SEEK_SET) < 0;
    return !keep->torn;
}

static bool
append(struct keep *keep, const char *line)
{
    size_t length = strlen(line);

    if (keep->torn && !cut(keep)) {
        keep->error = errno;
        return false;
    }
    if (atomic_file_write_all(keep->fd, line, length) && fdatasync(keep->fd) == 0) {
        keep->length += length;
        keep->error = 0;
        return true;
    }
    keep->error = errno;
    cut(keep);
    return false;
}

/* The record on one line; to free(). */
static char *
print_line(const struct json *record)
{
    char *text = json_print(record, false), *line = text_printed("%s\n", text);

    free(text);
    return line;
}

bool
keep_write(struct keep *keep, const struct json *record)
{
    char *line = print_line(record);
    bool good = append(keep, line);

    free(line);
    return good;
}

static const char header[] = "{\"keep_format\":1}\n";
_Static_assert(KEEP_FORMAT == 1, "the header names it");

bool
keep_compact(struct keep *keep, const struct json *record)
{
    char *temporary = text_printed("%s.new", keep->path), *line = print_line(record);
    size_t length = strlen(line);
    int fd = open(temporary, O_RDWR | O_CREAT | O_TRUNC | O_NOFOLLOW | O_CLOEXEC, 0600);
    bool good = fd >= 0 && flock(fd, LOCK_EX | LOCK_NB) == 0 &&
                atomic_file_write_all(fd, header, sizeof header - 1) &&
                atomic_file_write_all(fd, line, length) && fsync(fd) == 0 &&
                rename(temporary, keep->path) == 0;

    if (good) {
        atomic_file_flush_folder(keep->path);
        close(keep->fd); /* the lock on the new file was taken before it had its name */
        keep->fd = fd;
        keep->error = 0;
        keep->length = keep->compacted = sizeof header - 1 + length;
        keep->torn = false;
    } else {
        keep->error = errno;
        if (fd >= 0) {
            close(fd);
            unlink(temporary);
        }
    }
    free(temporary);
    free(line);
    return good;
}

bool
keep_is_long(const struct keep *keep)
{
    return keep->length > LONG_BYTES && keep->length > 2 * keep->compacted;
}

const char *
keep_error(const struct keep *keep)
{
    return strerror(keep->error);
}

/* ---- reading back ---- */

/* Parses one line quietly; NULL when it is no object. Where it ends a NUL stands meanwhile. */
static struct json *
parse_line(char *line, size_t length)
{
    struct problems problems = {0};
    struct json *record;

    line[length] = '\0';
    record = json_parse(line, length, "", &problems);
    line[length] = '\n';
    problems_release(&problems);
    if (record && json_kind(record) != JSON_OBJECT) {
        json_free(record);
        record = NULL;
    }
    return record;
}

/* 0: it is no header. */
static int
format_of(const struct json *record)
{
    double number = json_number_at(record, "keep_format", 0);

    return number >= 1 && number <= 1000 ? (int)number : 0;
}

enum reading { READ_WHOLE, READ_DAMAGED, READ_NEWER };

struct lines {
    char *bytes;
    size_t length, whole; /* whole: up to behind the last good line */
    int number;           /* of the line in hand, from 1 */
};

/* Goes through the lines; with `each` NULL only looks. */
static enum reading
read_lines(struct lines *lines, keep_record_fn *each, void *context)
{
    char *at = lines->bytes;

    lines->whole = 0;
    for (lines->number = 1; at < lines->bytes + lines->length; lines->number++) {
        char *end = memchr(at, '\n', lines->length - (size_t)(at - lines->bytes));
        struct json *record = end ? parse_line(at, (size_t)(end - at)) : NULL;
        bool first = lines->number == 1;
        int format = record && first ? format_of(record) : 0;
        bool good = record && (!first || format > 0);

        if (!end)
            return READ_WHOLE; /* torn */
        if (each && good && !first)
            each(context, record);
        json_free(record);
        /* a last line may be torn inside, where the disk wrote its end first */
        if (!good)
            return !first && end + 1 == lines->bytes + lines->length ? READ_WHOLE : READ_DAMAGED;
        if (format > KEEP_FORMAT)
            return READ_NEWER;
        at = end + 1;
        lines->whole = (size_t)(at - lines->bytes);
    }
    return READ_WHOLE;
}

/* The first of PATH.damaged, PATH.damaged.2, ... that is free. */
static char *
name_aside(const char *path)
{
    char *aside = text_printed("%s.damaged", path);

    for (int number = 2; access(aside, F_OK) == 0 && number <= ASIDE_MOST; number++) {
        free(aside);
        aside = text_printed("%s.damaged.%d", path, number);
    }
    return aside;
}

/* Keeps the damaged file under another name, and begins a new one. */
static bool
set_aside(const struct keep *keep, int line, struct problems *problems, FILE *notes)
{
    char *aside = name_aside(keep->path);
    bool good = rename(keep->path, aside) == 0;

    if (good)
        fprintf(notes,
                "gainwarden: %s: line %d is damaged; the file is set aside as %s, and the watch "
                "knows nothing of what was told before\n",
                keep->path, line, aside);
    else
        problems_add(problems, "%s: line %d is damaged, and it cannot be set aside: %s", keep->path,
                     line, strerror(errno));
    free(aside);
    return good;
}

/* ---- the lock ---- */

/* The process that holds the lock, from proc_locks(5); 0: the system does not tell. */
static long
find_holder(int fd)
{
    FILE *locks = fopen("/proc/locks", "re");
    struct stat ours;
    char line[200];
    long holder = 0;

    while (locks && holder == 0 && fstat(fd, &ours) == 0 && fgets(line, sizeof line, locks)) {
        unsigned device_major, device_minor;
        unsigned long long inode;
        long process;

        if (sscanf(line, "%*d: FLOCK %*s %*s %ld %x:%x:%llu", &process, &device_major,
                   &device_minor, &inode) == 4 &&
            inode == ours.st_ino && makedev(device_major, device_minor) == ours.st_dev)
            holder = process;
    }
    if (locks)
        fclose(locks);
    return holder;
}

static void
refuse(const struct keep *keep, struct problems *problems)
{
    char process[40] = "";
    long holder;

    if (errno != EWOULDBLOCK) {
        problems_add(problems, "%s: cannot be locked: %s", keep->path, strerror(errno));
        return;
    }
    holder = find_holder(keep->fd);
    if (holder > 0)
        snprintf(process, sizeof process, " (process %ld)", holder);
    problems_add(
        problems,
        "%s: another watch of this show is running%s: `gainwarden watch --join SHOW` shows "
        "its screen; end it, or name another folder with --keep",
        keep->path, process);
}

static bool
open_regular(struct keep *keep, struct problems *problems)
{
    struct stat file;

    keep->fd = open(keep->path, O_RDWR | O_CREAT | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC, 0600);
    if (keep->fd >= 0 && fstat(keep->fd, &file) == 0 && S_ISREG(file.st_mode))
        return true;
    problems_add(problems, "%s: cannot be written: %s", keep->path,
                 keep->fd < 0 ? strerror(errno) : "it is no plain file");
    return false;
}

static bool
open_locked(struct keep *keep, struct problems *problems)
{
    for (int tries = 0; tries < OPEN_TRIES; tries++) {
        if (!open_regular(keep, problems))
            return false;
        if (flock(keep->fd, LOCK_EX | LOCK_NB) != 0) {
            refuse(keep, problems);
            return false;
        }
        /* whoever compacts puts another file there; a lock on the old one is worth nothing */
        if (atomic_file_is_at(keep->fd, keep->path))
            return true;
        close(keep->fd);
        keep->fd = -1;
    }
    problems_add(problems, "%s: is replaced all the time", keep->path);
    return false;
}

/* ---- opening ---- */

static bool
begin(struct keep *keep, struct problems *problems)
{
    keep->length = 0;
    cut(keep);
    if (append(keep, header)) {
        atomic_file_flush_folder(keep->path);
        return true;
    }
    problems_add(problems, "%s: cannot be written: %s", keep->path, keep_error(keep));
    return false;
}

static bool
read_back(struct keep *keep, keep_record_fn *each, void *context, struct problems *problems,
          FILE *notes)
{
    struct lines lines = {0};
    enum reading reading;
    bool good;

    /* what cannot be read is never taken for torn: that would cut it off */
    lines.bytes = whole_file_of(keep->fd, FILE_MOST, &lines.length);
    if (!lines.bytes) {
        problems_add(problems, "%s: cannot be read: %s", keep->path, strerror(errno));
        return false;
    }
    reading = read_lines(&lines, NULL, NULL);
    if (reading == READ_WHOLE)
        read_lines(&lines, each, context);
    keep->length = lines.whole;
    free(lines.bytes);
    if (reading == READ_NEWER) {
        problems_add(problems, "%s: was written by a newer version; this one reads format %d",
                     keep->path, KEEP_FORMAT);
        return false;
    }
    if (reading == READ_DAMAGED) {
        good = set_aside(keep, lines.number, problems, notes);
        close(keep->fd);
        keep->fd = -1;
        return good && open_locked(keep, problems) && begin(keep, problems);
    }
    if (keep->length == 0)
        return begin(keep, problems);
    cut(keep);
    return true;
}

struct keep *
keep_open(const char *path, keep_record_fn *each, void *context, struct problems *problems,
          FILE *notes)
{
    struct keep *keep = need_memory(1, sizeof *keep);

    keep->fd = -1;
    keep->path = need_text(path);
    if (open_locked(keep, problems) && read_back(keep, each, context, problems, notes))
        return keep;
    keep_close(keep);
    return NULL;
}

void
keep_close(struct keep *keep)
{
    if (!keep)
        return;
    if (keep->fd >= 0)
        close(keep->fd);
    free(keep->path);
    free(keep);
}
