/* SPDX-License-Identifier: MIT */
#include "loop/control_lines.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "core/need.h"

enum { READ_SIZE = 64 * 1024 };

struct control_lines {
    struct loop_poll *poll;
    int fd;
    const char *what;
    size_t most;
    struct control_lines_owner owner;
    struct problems *problems;
    char *bytes; /* that came and are no line yet: `used` of `size` */
    size_t used, size;
    bool over;
};

static void
end(struct control_lines *lines, bool hung_up)
{
    lines->over = true;
    loop_poll_want(lines->poll, false, false);
    lines->owner.over(lines->owner.context, hung_up);
}

/* False where that was the last one. */
static bool
take_line(struct control_lines *lines, const char *line, size_t length)
{
    struct json *json = json_parse(line, length, lines->what, lines->problems);
    bool good = json && json_kind(json) == JSON_OBJECT;

    if (json && !good)
        problems_add(lines->problems, "%s: must be an object", lines->what);
    if (good)
        lines->over = !lines->owner.line(lines->owner.context, json);
    json_free(json);
    if (good)
        return !lines->over;
    end(lines, false);
    return false;
}

/* The lines that are whole; what is left of the next one stays. False where no more are taken, and
 * they may be closed already. */
static bool
take_lines(struct control_lines *lines)
{
    char *from = lines->bytes, *to = lines->bytes + lines->used, *feed;

    while ((feed = memchr(from, '\n', (size_t)(to - from)))) {
        *feed = '\0';
        if (!take_line(lines, from, (size_t)(feed - from)))
            return false;
        from = feed + 1;
    }
    lines->used = (size_t)(to - from);
    memmove(lines->bytes, from, lines->used);
    return true;
}

static void
make_room(struct control_lines *lines)
{
    if (lines->size - lines->used >= READ_SIZE)
        return;
    lines->size = lines->used + READ_SIZE;
    lines->bytes = need_more(lines->bytes, lines->size, 1);
}

static void
on_readable(void *context, bool readable, bool writable)
{
    struct control_lines *lines = context;
    ssize_t got;

    (void)readable;
    (void)writable;
    if (lines->over)
        return;
    make_room(lines);
    got = read(lines->fd, lines->bytes + lines->used, READ_SIZE);
    if (got < 0 && (errno == EAGAIN || errno == EINTR))
        return;
    if (got <= 0) {
        end(lines, true);
        return;
    }
    lines->used += (size_t)got;
    if (!take_lines(lines) || lines->used < lines->most)
        return;
    problems_add(lines->problems, "%s: a line is too long", lines->what);
    end(lines, false);
}

struct control_lines *
control_lines_open(struct loop *loop, int fd, const char *what, size_t most,
                   struct control_lines_owner owner, struct problems *problems)
{
    struct control_lines *lines = need_memory(1, sizeof *lines);

    fcntl(fd, F_SETFL, fcntl(fd, F_GETFL) | O_NONBLOCK);
    *lines = (struct control_lines){
        .fd = fd, .what = what, .most = most, .owner = owner, .problems = problems};
    lines->poll = loop_poll_open(loop, fd, on_readable, lines);
    if (!lines->poll)
        abort();
    loop_poll_want(lines->poll, true, false);
    return lines;
}

void
control_lines_close(struct control_lines *lines)
{
    if (!lines)
        return;
    loop_poll_close(lines->poll);
    close(lines->fd);
    free(lines->bytes);
    free(lines);
}
