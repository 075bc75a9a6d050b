/* SPDX-License-Identifier: MIT */
#define _GNU_SOURCE /* SOCK_CLOEXEC, SOCK_NONBLOCK */
#include "board/listen_at.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netdb.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "base/host_port.h"
#include "board/board.h"

enum { BACKLOG = 32 };

static const char loopback[] = "127.0.0.1";

static bool
read_at(struct listen_at *listens, const char *at, struct problems *problems)
{
    char *host = host_port_read("--board", at, 0, &listens->port, problems);
    bool fits = host && strlen(host) < LISTEN_HOST_SIZE;
    unsigned char bytes[sizeof(struct in6_addr)];

    if (host && !fits)
        problems_add(problems, "--board: the host is too long");
    if (fits)
        snprintf(listens->host, LISTEN_HOST_SIZE, "%s", *host ? host : loopback);
    listens->is_name = inet_pton(AF_INET, listens->host, bytes) != 1 && !strchr(listens->host, ':');
    free(host);
    return fits;
}

/* Of IPv6, that of IPv4 inside it too: the system takes it for all of IPv4. */
static bool
is_everywhere(const struct sockaddr *address)
{
    const struct in6_addr *six = &((const struct sockaddr_in6 *)(const void *)address)->sin6_addr;
    const struct in6_addr old = {{{0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xff, 0xff}}};

    if (address->sa_family == AF_INET)
        return ((const struct sockaddr_in *)(const void *)address)->sin_addr.s_addr == INADDR_ANY;
    return IN6_IS_ADDR_UNSPECIFIED(six) || memcmp(six, &old, sizeof old) == 0;
}

/* Anybody may be bound to it, and nobody can connect: of many, or of all. */
static bool
is_of_many(const struct sockaddr *address)
{
    const struct in6_addr *six = &((const struct sockaddr_in6 *)(const void *)address)->sin6_addr;
    in_addr_t four = ((const struct sockaddr_in *)(const void *)address)->sin_addr.s_addr;

    if (address->sa_family == AF_INET)
        return IN_MULTICAST(ntohl(four)) || four == INADDR_BROADCAST;
    return IN6_IS_ADDR_MULTICAST(six);
}

static int
listening_socket(const struct addrinfo *found)
{
    int fd = socket(found->ai_family, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0), yes = 1;

    if (fd < 0)
        return -1;
    setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes); /* a restart need not wait */
    if (bind(fd, found->ai_addr, found->ai_addrlen) == 0 && listen(fd, BACKLOG) == 0)
        return fd;
    yes = errno;
    close(fd);
    errno = yes;
    return -1;
}

static void
take_port(struct listen_at *listens)
{
    struct sockaddr_storage own = {0};
    socklen_t size = sizeof own;

    if (getsockname(listens->fd, (struct sockaddr *)&own, &size) == 0)
        listens->port = ntohs(((struct sockaddr_in *)(void *)&own)->sin_port);
}

static void
tell_why(const struct listen_at *listens, int error, struct problems *problems)
{
    const char *cure = error == EADDRINUSE ? "; name another port: --board=HOST:PORT"
                       : error == EADDRNOTAVAIL
                           ? "; name an address of this computer, as `ip address` lists them"
                       : error == EACCES ? "; ports below 1024 are the system's"
                                         : "";

    problems_add(problems, "--board: cannot listen at %s port %d: %s%s", listens->host,
                 listens->port, strerror(error), cure);
}

bool
listen_at_open(struct listen_at *listens, const char *at, struct problems *problems)
{
    struct addrinfo wanted = {.ai_socktype = SOCK_STREAM, .ai_flags = AI_NUMERICSERV};
    struct addrinfo *found = NULL;
    char port[12];
    int error;

    *listens = (struct listen_at){.port = BOARD_PORT, .fd = -1};
    if (!read_at(listens, at, problems))
        return false;
    snprintf(port, sizeof port, "%d", listens->port);
    error = getaddrinfo(listens->host, port, &wanted, &found);
    if (error != 0) {
        problems_add(problems, "--board: %s: %s", listens->host, gai_strerror(error));
    } else if (is_everywhere(found->ai_addr)) {
        problems_add(problems,
                     "--board: %s stands for every network of this computer; name the one address "
                     "that the tablets reach",
                     listens->host);
    } else if (is_of_many(found->ai_addr)) {
        problems_add(problems,
                     "--board: %s is no computer's own address; name one of this computer, as `ip "
                     "address` lists them",
                     listens->host);
    } else {
        listens->fd = listening_socket(found);
        if (listens->fd < 0)
            tell_why(listens, errno, problems);
        take_port(listens);
    }
    if (found)
        freeaddrinfo(found);
    return listens->fd >= 0;
}
