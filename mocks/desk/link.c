#include "link.h"

#include <errno.h>
#include <netdb.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

struct Slots {
    struct mmsghdr headers[LINK_SLOTS];
    struct iovec vectors[LINK_SLOTS];
    struct sockaddr_storage addresses[LINK_SLOTS];
    uint8_t *bytes; /* LINK_SLOTS buffers in a row */
};

struct Link {
    int fd;
    int receive_buffer;
    unsigned waiting; /* datagrams in `out` */
    struct Slots in;
    struct Slots out;
};

static void
complain(const char *host, const char *what)
{
    fprintf(stderr, "mock-desk: %s: link: %s\n", host, what);
}

static bool
init_slots(struct Slots *slots, size_t buffer)
{
    slots->bytes = calloc(LINK_SLOTS, buffer);
    for (size_t i = 0; slots->bytes != NULL && i < LINK_SLOTS; i++) {
        slots->vectors[i].iov_base = slots->bytes + i * buffer;
        slots->vectors[i].iov_len = buffer;
        slots->headers[i].msg_hdr.msg_iov = &slots->vectors[i];
        slots->headers[i].msg_hdr.msg_iovlen = 1;
        slots->headers[i].msg_hdr.msg_name = &slots->addresses[i];
    }
    return slots->bytes != NULL;
}

static int
bind_socket(const char *host, const char *port)
{
    struct addrinfo hints = {.ai_socktype = SOCK_DGRAM, .ai_flags = AI_PASSIVE};
    struct addrinfo *found = NULL;
    int failed = getaddrinfo(host, port, &hints, &found);
    int fd;

    if (failed != 0) {
        complain(host, gai_strerror(failed));
        return -1;
    }
    fd = socket(found->ai_family, SOCK_DGRAM | SOCK_CLOEXEC, 0);
    if (fd < 0 || bind(fd, found->ai_addr, found->ai_addrlen) != 0) {
        complain(host, strerror(errno));
        if (fd >= 0)
            close(fd);
        fd = -1;
    }
    freeaddrinfo(found);
    return fd;
}

struct Link *
Link_open(const char *host, const char *port)
{
    struct Link *link = calloc(1, sizeof *link);

    if (link == NULL) {
        complain(host, "out of memory");
        return NULL;
    }
    link->fd = -1;
    if (!init_slots(&link->in, LINK_RECEIVE_SIZE) || !init_slots(&link->out, LINK_SEND_SIZE))
        complain(host, "out of memory");
    else
        link->fd = bind_socket(host, port);
    if (link->fd >= 0)
        return link;
    Link_free(link);
    return NULL;
}

void
Link_free(struct Link *link)
{
    if (link == NULL)
        return;
    if (link->fd >= 0)
        close(link->fd);
    free(link->in.bytes);
    free(link->out.bytes);
    free(link);
}

int
Link_fd(const struct Link *link)
{
    return link->fd;
}

struct Peer
Link_where(const struct Link *link)
{
    struct Peer peer = {.size = sizeof peer.address};

    getsockname(link->fd, (struct sockaddr *)&peer.address, &peer.size);
    return peer;
}

void
Link_want_receive_buffer(struct Link *link, int bytes)
{
    if (bytes == 0 || bytes == link->receive_buffer)
        return;
    link->receive_buffer = bytes;
    if (setsockopt(link->fd, SOL_SOCKET, SO_RCVBUF, &bytes, sizeof bytes) != 0)
        complain("receive buffer", strerror(errno));
}

size_t
Link_receive(struct Link *link, size_t limit, struct Received out[LINK_SLOTS])
{
    unsigned asked = limit < LINK_SLOTS ? (unsigned)limit : LINK_SLOTS;
    int count;

    for (unsigned i = 0; i < asked; i++)
        link->in.headers[i].msg_hdr.msg_namelen = sizeof link->in.addresses[i];
    count = recvmmsg(link->fd, link->in.headers, asked, MSG_DONTWAIT, NULL);
    for (int i = 0; i < count; i++) {
        out[i].peer.address = link->in.addresses[i];
        out[i].peer.size = link->in.headers[i].msg_hdr.msg_namelen;
        out[i].size = link->in.headers[i].msg_len;
        out[i].data = link->in.vectors[i].iov_base;
    }
    return count > 0 ? (size_t)count : 0;
}

void
Link_send(struct Link *link, const struct Peer *to, const uint8_t *data, size_t size)
{
    struct Slots *out = &link->out;
    unsigned i = link->waiting;

    memcpy(out->vectors[i].iov_base, data, size);
    out->vectors[i].iov_len = size;
    out->addresses[i] = to->address;
    out->headers[i].msg_hdr.msg_namelen = to->size;
    link->waiting++;
    if (link->waiting == LINK_SLOTS)
        Link_flush(link);
}

/* A datagram that cannot be sent is skipped: a desk does not care who has gone away. */
void
Link_flush(struct Link *link)
{
    unsigned at = 0;

    while (at < link->waiting) {
        int sent = sendmmsg(link->fd, link->out.headers + at, link->waiting - at, 0);

        at += sent > 0 ? (unsigned)sent : 1;
    }
    link->waiting = 0;
}
