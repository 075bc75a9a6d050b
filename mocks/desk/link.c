/* SPDX-License-Identifier: MIT */
#include "link.h"

#include <errno.h>
#include <netdb.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

void
link_complain(const char *host, const char *what)
{
    fprintf(stderr, "mock-desk: %s: link: %s\n", host, what);
}

int64_t
link_now_us(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000000 + now.tv_nsec / 1000;
}

int
link_bind(const char *host, const char *port, int type)
{
    struct addrinfo hints = {.ai_socktype = type, .ai_flags = AI_PASSIVE};
    struct addrinfo *found = NULL;
    int failed = getaddrinfo(host, port, &hints, &found);
    int fd;

    if (failed != 0) {
        link_complain(host, gai_strerror(failed));
        return -1;
    }
    fd = socket(found->ai_family, type | SOCK_CLOEXEC, 0);
    if (type == SOCK_STREAM) /* a desk is switched on again while its old connections linger */
        setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &(int){1}, sizeof(int));
    if (fd < 0 || bind(fd, found->ai_addr, found->ai_addrlen) != 0) {
        link_complain(host, strerror(errno));
        if (fd >= 0)
            close(fd);
        fd = -1;
    }
    freeaddrinfo(found);
    return fd;
}

struct link *
link_open(const struct link_options *options)
{
    return options->framing == FRAMING_NONE ? udp_link_open(options) : tcp_link_open(options);
}

void
link_free(struct link *link)
{
    if (link)
        link->way->free(link);
}

struct peer
link_where(int fd)
{
    struct peer peer = {.size = sizeof peer.address};

    getsockname(fd, (struct sockaddr *)&peer.address, &peer.size);
    return peer;
}

void
link_want_receive_buffer(struct link *link, int bytes)
{
    if (bytes == 0 || bytes == link->receive_buffer)
        return;
    link->receive_buffer = bytes;
    if (setsockopt(link->bound_fd, SOL_SOCKET, SO_RCVBUF, &bytes, sizeof bytes) != 0)
        link_complain("receive buffer", strerror(errno));
}

size_t
link_receive(struct link *link, size_t limit, struct received out[LINK_SLOTS])
{
    return link->way->receive(link, limit < LINK_SLOTS ? limit : LINK_SLOTS, out);
}

void
link_send(struct link *link, const struct peer *to, const uint8_t *data, size_t size)
{
    link->way->send(link, to, data, size);
}

void
link_flush(struct link *link)
{
    link->way->flush(link);
}
