/* SPDX-License-Identifier: MIT */
#include "command/control_ask.h"

#include <errno.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <unistd.h>

#include "base/atomic_file.h"
#include "base/clock.h"
#include "base/places.h"
#include "core/need.h"
#include "loop/control.h"
#include "loop/control_address.h"

enum { ANSWER_MOST = 64 * 1024 * 1024 };

static void
tell_late(struct problems *problems)
{
    problems_add(problems, "the watch did not answer within %d s", CONTROL_PATIENCE_MS / 1000);
}

/* The name of a socket behind its last slash. */
static const char *
name_of(const char *path)
{
    const char *slash = strrchr(path, '/');

    return slash ? slash + 1 : path;
}

/* Finds a socket of that name elsewhere, among all that are open on this machine (proc(5)): true
 * with its folder, "" where a long path hides it. */
static bool
find_elsewhere(const char *path, char folder[PLACES_SIZE])
{
    FILE *sockets = fopen("/proc/net/unix", "re");
    char line[PLACES_SIZE], found[PLACES_SIZE];
    bool elsewhere = false;

    while (sockets && !elsewhere && fgets(line, sizeof line, sockets)) {
        if (sscanf(line, "%*s %*s %*s %*s %*s %*s %*s %1023[^\n]", found) != 1 ||
            name_of(found) < found + 2 || strcmp(name_of(found), name_of(path)) != 0)
            continue;
        elsewhere = true;
        snprintf(folder, PLACES_SIZE, "%.*s", (int)(name_of(found) - found - 1), found);
    }
    if (sockets)
        fclose(sockets);
    if (elsewhere && strncmp(folder, "/proc/self/", strlen("/proc/self/")) == 0)
        folder[0] = '\0';
    return elsewhere;
}

static void
tell_none_runs(const char *path, struct problems *problems)
{
    const char *why = strerror(errno);
    char folder[PLACES_SIZE];

    if (find_elsewhere(path, folder))
        problems_add(problems, "the watch of this show runs with another --keep (%s: %s): add %s%s",
                     path, why, *folder ? "--keep=" : "the --keep it was started with", folder);
    else
        problems_add(
            problems,
            "no watch of this show is running (%s: %s); `gainwarden watch SHOW` starts one", path,
            why);
}

static void
tell_why_not(const char *path, struct problems *problems)
{
    if (errno == EAGAIN)
        tell_late(problems);
    else if (errno == ENOENT || errno == ECONNREFUSED)
        tell_none_runs(path, problems);
    else
        problems_add(problems, "%s: cannot be asked: %s", path, strerror(errno));
}

static int
connect_to(const char *path, struct problems *problems)
{
    struct timeval patience = {CONTROL_PATIENCE_MS / 1000, 0};
    struct control_address address;
    int fd;

    if (!control_address_init(&address, path, problems))
        return -1;
    fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (fd < 0 || setsockopt(fd, SOL_SOCKET, SO_SNDTIMEO, &patience, sizeof patience) != 0 ||
        connect(fd, (const struct sockaddr *)&address.name, sizeof address.name) != 0) {
        tell_why_not(path, problems);
        if (fd >= 0)
            close(fd);
        fd = -1;
    }
    control_address_release(&address);
    return fd;
}

/* True even where the watch hung up meanwhile: it may have said why. */
static bool
send_line(int fd, const struct json *request)
{
    char *text = json_print(request, false);
    bool good = atomic_file_write_all(fd, text, strlen(text)) && atomic_file_write_all(fd, "\n", 1);

    free(text);
    return good || errno == EPIPE || errno == ECONNRESET;
}

static char *
grow(char *bytes, size_t *size)
{
    *size *= 2;
    return need_more(bytes, *size, 1);
}

/* Whether there is something to read before `until_ms`, the end of the connection included. */
static bool
wait_for(int fd, int64_t until_ms)
{
    struct pollfd asked = {.fd = fd, .events = POLLIN};
    int64_t left = until_ms - clock_grown_ms();
    int found;

    while (left > 0 && (found = poll(&asked, 1, (int)left)) <= 0) {
        if (found < 0 && errno != EINTR)
            return false;
        left = until_ms - clock_grown_ms();
    }
    return left > 0;
}

/* Everything up to the end of the connection, to free(); no more than ANSWER_MOST. `*late` when it
 * did not end in time. */
static char *
read_answer(int fd, size_t *length, bool *late)
{
    int64_t until_ms = clock_grown_ms() + CONTROL_PATIENCE_MS;
    size_t size = 2048;
    char *bytes = grow(NULL, &size);

    *length = 0;
    while (*length < ANSWER_MOST) {
        ssize_t got;

        *late = !wait_for(fd, until_ms);
        got = *late ? 0 : read(fd, bytes + *length, size - *length);
        if (got < 0 && errno == EINTR)
            continue;
        if (got <= 0)
            break;
        *length += (size_t)got;
        if (*length == size)
            bytes = grow(bytes, &size);
    }
    return bytes;
}

/* The one line of an answer; NULL, with the reason in the problems, when it is none. */
static struct json *
take_answer(char *bytes, size_t length, struct problems *problems)
{
    struct json *answer;

    if (length == 0 || bytes[length - 1] != '\n') {
        problems_add(problems, "the watch hung up %s",
                     length == 0 ? "without an answer" : "before its answer was whole");
        return NULL;
    }
    bytes[length - 1] = '\0';
    answer = json_parse(bytes, length - 1, "the watch's answer", problems);
    if (!answer || json_kind(answer) == JSON_OBJECT)
        return answer;
    problems_add(problems, "the watch's answer: must be an object");
    json_free(answer);
    return NULL;
}

struct json *
control_ask(const char *path, const struct json *request, struct problems *problems)
{
    int fd = connect_to(path, problems);
    struct json *answer = NULL;
    bool late = false;
    size_t length = 0;
    char *bytes = NULL;

    if (fd < 0)
        return NULL;
    if (send_line(fd, request))
        bytes = read_answer(fd, &length, &late);
    else
        late = true;
    if (late)
        tell_late(problems);
    else
        answer = take_answer(bytes, length, problems);
    free(bytes);
    close(fd);
    return answer;
}
