/* SPDX-License-Identifier: MIT */
#include "loop/control_call.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <sys/un.h>
#include <unistd.h>

#include "base/atomic_file.h"
#include "base/places.h"
#include "loop/control.h"
#include "loop/control_address.h"

void
control_tell_late(struct problems *problems)
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
        control_tell_late(problems);
    else if (errno == ENOENT || errno == ECONNREFUSED)
        tell_none_runs(path, problems);
    else
        problems_add(problems, "%s: cannot be asked: %s", path, strerror(errno));
}

/* A command that was stopped meanwhile, as by Ctrl-Z, tries once more when it goes on. */
static bool
is_connected(int fd, const struct sockaddr_un *name)
{
    const struct sockaddr *address = (const struct sockaddr *)name;

    if (connect(fd, address, sizeof *name) == 0)
        return true;
    if (errno != EINTR)
        return false;
    if (connect(fd, address, sizeof *name) == 0)
        return true;
    if (errno == EINTR)
        errno = EAGAIN; /* again and again: it was given its time */
    return false;
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
        !is_connected(fd, &address.name)) {
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

int
control_call(const char *path, const struct json *request, struct problems *problems)
{
    int fd = connect_to(path, problems);

    if (fd < 0 || send_line(fd, request))
        return fd;
    control_tell_late(problems);
    close(fd);
    return -1;
}

/* Where there is no room for all of it half a line is sent, which is none. */
static void
post_line(int fd, const struct json *request)
{
    char *text = json_print(request, false);
    size_t length = strlen(text);

    text[length] = '\n'; /* in place of its end */
    (void)send(fd, text, length + 1, MSG_NOSIGNAL);
    free(text);
}

void
control_post(const char *path, const struct json *request)
{
    struct control_address address;
    struct problems aside = {0};
    int fd;

    if (control_address_init(&address, path, &aside)) {
        fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
        if (fd >= 0 &&
            connect(fd, (const struct sockaddr *)&address.name, sizeof address.name) == 0)
            post_line(fd, request);
        if (fd >= 0)
            close(fd);
        control_address_release(&address);
    }
    problems_release(&aside);
}
