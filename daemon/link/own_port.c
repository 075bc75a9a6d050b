/* SPDX-License-Identifier: MIT */
#include "link/own_port.h"

#include <errno.h>
#include <netinet/in.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "core/need.h"

/* An IPv4 socket there: one of IPv6 stands in its way, too. -1 with errno set. */
static int
take(int port)
{
    struct sockaddr_in own = {.sin_family = AF_INET, .sin_port = htons((uint16_t)port)};
    int fd = socket(AF_INET, SOCK_DGRAM | SOCK_CLOEXEC, 0), error;

    if (fd < 0 || bind(fd, (const struct sockaddr *)&own, sizeof own) == 0)
        return fd;
    error = errno;
    close(fd);
    errno = error;
    return -1;
}

static void
tell(int port, struct problems *problems)
{
    if (errno == EADDRINUSE)
        problems_add(problems,
                     "own port %d (link.answer_port of the profile) is taken by another program, "
                     "and the desk answers only there. A watch of this desk? `gainwarden status "
                     "SHOW` asks it. `ss -ulnp sport = :%d` names the program: end it first",
                     port, port);
    else
        problems_add(problems, "own port %d (link.answer_port of the profile) cannot be used: %s",
                     port, strerror(errno));
}

bool
own_ports_try(struct own_ports *ports, const struct profile_link *link, struct problems *problems)
{
    int fd;

    if (link->answer_port == 0)
        return true;
    fd = take(link->answer_port);
    if (fd < 0) {
        tell(link->answer_port, problems);
        return false;
    }
    ports->sockets = need_more(ports->sockets, ports->count + 1, sizeof *ports->sockets);
    ports->sockets[ports->count++] = fd;
    return true;
}

void
own_ports_release(struct own_ports *ports)
{
    for (size_t i = 0; i < ports->count; i++)
        close(ports->sockets[i]);
    free(ports->sockets);
    *ports = (struct own_ports){0};
}

int
own_port_choose(void)
{
    struct sockaddr_in own = {0};
    socklen_t size = sizeof own;
    int fd = take(0);

    if (fd < 0)
        return 0;
    if (getsockname(fd, (struct sockaddr *)&own, &size) != 0)
        own.sin_port = 0;
    close(fd);
    return ntohs(own.sin_port);
}

bool
own_port_is_free(const struct profile_link *link)
{
    struct own_ports ports = {0};
    struct problems problems = {0};

    own_ports_try(&ports, link, &problems);
    own_ports_release(&ports);
    return problems_tell(&problems);
}
