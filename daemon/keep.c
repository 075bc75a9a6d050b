#include "keep.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "atomic_file.h"

enum { LONG_BYTES = 256 * 1024, FILE_MOST = 64 * 1024 * 1024 };

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
append(struct keep *keep, const char *line, size_t length)
{
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
print_line(const struct json *record, size_t *length)
{
    char *text = json_print(record, false);
    char *line;

    *length = strlen(text);
    line = realloc(text, *length + 2);
    if (!line)
        abort();
    line[(*length)++] = '\n';
    line[*length] = '\0';
    return line;
}

bool
keep_write(struct keep *keep, const struct json *record)
{
    size_t length;
    char *line = print_line(record, &length);
    bool good = append(keep, line, length);

    free(line);
    return good;
}

static const char header[] = "{\"keep_format\":1}\n";
_Static_assert(KEEP_FORMAT == 1, "the header names it");

bool
keep_compact(struct keep *keep, const struct json *record)
{
    size_t size = strlen(keep->path) + 8, length;
    char *temporary = malloc(size), *line = print_line(record, &length);
    bool good;
    int fd;

    if (!temporary)
        abort();
    snprintf(temporary, size, "%s.new", keep->path);
    fd = open(temporary, O_RDWR | O_CREAT | O_TRUNC | O_NOFOLLOW | O_CLOEXEC, 0600);
    good = fd >= 0 && flock(fd, LOCK_EX | LOCK_NB) == 0 &&
           atomic_file_write_all(fd, header, sizeof header - 1) &&
           atomic_file_write_all(fd, line, length) && fsync(fd) == 0 &&
           rename(temporary, keep->path) == 0;
    if (good) {
        close(keep->fd);
        keep->fd = fd;
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

static char *
read_whole(int fd, size_t *length)
{
    struct stat file;
    char *bytes;

    if (fstat(fd, &file) != 0 || file.st_size > FILE_MOST)
        return NULL;
    bytes = malloc((size_t)file.st_size + 1);
    if (!bytes)
        abort();
    *length = 0;
    while (*length < (size_t)file.st_size) {
        ssize_t got = pread(fd, bytes + *length, (size_t)file.st_size - *length, (off_t)*length);

        if (got < 0 && errno == EINTR)
            continue;
        if (got <= 0)
            break;
        *length += (size_t)got;
    }
    bytes[*length] = '\0';
    return bytes;
}

/* Parses one line quietly; NULL when it is no object. Where it ends a NUL stands meanwhile. */
static struct json *
parse_line(char *line, size_t length)
{
    struct problems problems;
    struct json *record;

    problems_init(&problems);
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
    const struct json *format = json_get(record, "keep_format");

    return format && json_kind(format) == JSON_NUMBER && json_number(format) >= 1 &&
                   json_number(format) <= 1000
               ? (int)json_number(format)
               : 0;
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
        int format = record ? format_of(record) : 0;

        if (!end)
            return READ_WHOLE; /* torn */
        if (!record || (lines->number == 1 && format == 0)) {
            json_free(record);
            /* a last line may be torn inside, where the disk wrote its end first */
            return lines->number > 1 && end + 1 == lines->bytes + lines->length ? READ_WHOLE
                                                                                : READ_DAMAGED;
        }
        if (format > KEEP_FORMAT) {
            json_free(record);
            return READ_NEWER;
        }
        if (each && lines->number > 1)
            each(context, record);
        json_free(record);
        at = end + 1;
        lines->whole = (size_t)(at - lines->bytes);
    }
    return READ_WHOLE;
}

/* Keeps the damaged file under another name, and begins a new one. */
static bool
set_aside(struct keep *keep, int line, struct problems *problems, FILE *notes)
{
    size_t size = strlen(keep->path) + 10;
    char *aside = malloc(size);
    bool good;

    if (!aside)
        abort();
    snprintf(aside, size, "%s.damaged", keep->path);
    good = rename(keep->path, aside) == 0;
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

static bool
open_locked(struct keep *keep, struct problems *problems)
{
    keep->fd = open(keep->path, O_RDWR | O_CREAT | O_NOFOLLOW | O_CLOEXEC, 0600);
    if (keep->fd < 0) {
        problems_add(problems, "%s: cannot be written: %s", keep->path, strerror(errno));
        return false;
    }
    if (flock(keep->fd, LOCK_EX | LOCK_NB) == 0)
        return true;
    problems_add(problems,
                 "%s: another watch of this show is running; end it, or name another folder with "
                 "--keep",
                 keep->path);
    return false;
}

static bool
begin(struct keep *keep, struct problems *problems)
{
    keep->length = 0;
    cut(keep);
    if (append(keep, header, sizeof header - 1))
        return true;
    problems_add(problems, "%s: cannot be written: %s", keep->path, keep_error(keep));
    return false;
}

static bool
read_back(struct keep *keep, keep_record_fn *each, void *context, struct problems *problems,
          FILE *notes)
{
    struct lines lines = {0};
    char *bytes = read_whole(keep->fd, &lines.length);
    enum reading reading = READ_DAMAGED;
    bool good = true;

    lines.bytes = bytes;
    lines.number = 1;
    if (bytes)
        reading = read_lines(&lines, NULL, NULL);
    if (reading == READ_WHOLE)
        read_lines(&lines, each, context);
    keep->length = lines.whole;
    free(bytes);
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
    struct keep *keep = calloc(1, sizeof *keep);

    if (!keep)
        abort();
    keep->fd = -1;
    keep->path = strdup(path);
    if (keep->path && open_locked(keep, problems) &&
        read_back(keep, each, context, problems, notes))
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
