/* SPDX-License-Identifier: MIT */
/* UDP, read and written in batches: one system call for many datagrams. */
#include <netinet/in.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include "link.h"

struct slots {
    struct mmsghdr headers[LINK_SLOTS];
    struct iovec vectors[LINK_SLOTS];
    struct sockaddr_storage addresses[LINK_SLOTS];
    _Alignas(struct cmsghdr) char controls[LINK_SLOTS][CMSG_SPACE(sizeof(struct timespec))];
    uint8_t *bytes; /* LINK_SLOTS buffers in a row */
};

struct udp_link {
    struct link link;
    unsigned answer_to_port; /* 0: the asking one */
    unsigned waiting;        /* datagrams in `out` */
    struct slots in;
    struct slots out;
};

static bool
init_slots(struct slots *slots, size_t buffer)
{
    slots->bytes = calloc(LINK_SLOTS, buffer);
    for (size_t i = 0; slots->bytes && i < LINK_SLOTS; i++) {
        slots->vectors[i].iov_base = slots->bytes + i * buffer;
        slots->vectors[i].iov_len = buffer;
        slots->headers[i].msg_hdr.msg_iov = &slots->vectors[i];
        slots->headers[i].msg_hdr.msg_iovlen = 1;
        slots->headers[i].msg_hdr.msg_name = &slots->addresses[i];
    }
    return slots->bytes != NULL;
}

static void
free_link(struct link *link)
{
    struct udp_link *udp = (struct udp_link *)link;

    if (link->bound_fd >= 0)
        close(link->bound_fd);
    if (link->answer_fd >= 0)
        close(link->answer_fd);
    free(udp->in.bytes);
    free(udp->out.bytes);
    free(udp);
}

/* By the system's own stamp: when a datagram came is no matter of when this process was let run. */
static int64_t
came_us(struct msghdr *header)
{
    struct cmsghdr *control = CMSG_FIRSTHDR(header);
    struct timespec now, came;

    clock_gettime(CLOCK_REALTIME, &now);
    if (!control || control->cmsg_level != SOL_SOCKET || control->cmsg_type != SCM_TIMESTAMPNS)
        return link_now_us();
    memcpy(&came, CMSG_DATA(control), sizeof came);
    return link_now_us() - (int64_t)(now.tv_sec - came.tv_sec) * 1000000 -
           (now.tv_nsec - came.tv_nsec) / 1000;
}

static size_t
receive(struct link *link, size_t limit, struct received out[LINK_SLOTS])
{
    struct slots *in = &((struct udp_link *)link)->in;
    int count;

    for (size_t i = 0; i < limit; i++) {
        in->headers[i].msg_hdr.msg_namelen = sizeof in->addresses[i];
        in->headers[i].msg_hdr.msg_control = &in->controls[i];
        in->headers[i].msg_hdr.msg_controllen = sizeof in->controls[i];
    }
    count = recvmmsg(link->bound_fd, in->headers, (unsigned)limit, MSG_DONTWAIT, NULL);
    for (int i = 0; i < count; i++) {
        out[i].peer.address = in->addresses[i];
        out[i].peer.size = in->headers[i].msg_hdr.msg_namelen;
        out[i].size = in->headers[i].msg_len;
        out[i].data = in->vectors[i].iov_base;
        out[i].came_us = came_us(&in->headers[i].msg_hdr);
    }
    return count > 0 ? (size_t)count : 0;
}

/* A datagram that cannot be sent is skipped: a desk does not care who has gone away. */
static void
flush(struct link *link)
{
    struct udp_link *udp = (struct udp_link *)link;
    int fd = link->answer_fd >= 0 ? link->answer_fd : link->bound_fd;
    unsigned at = 0;

    while (at < udp->waiting) {
        int sent = sendmmsg(fd, udp->out.headers + at, udp->waiting - at, 0);

        at += sent > 0 ? (unsigned)sent : 1;
    }
    udp->waiting = 0;
}

static void
set_port(struct sockaddr_storage *address, unsigned port)
{
    if (address->ss_family == AF_INET6)
        ((struct sockaddr_in6 *)address)->sin6_port = htons((uint16_t)port);
    else
        ((struct sockaddr_in *)address)->sin_port = htons((uint16_t)port);
}

static void
put(struct link *link, const struct peer *to, const uint8_t *data, size_t size)
{
    struct udp_link *udp = (struct udp_link *)link;
    struct slots *out = &udp->out;
    unsigned i = udp->waiting;

    memcpy(out->vectors[i].iov_base, data, size);
    out->vectors[i].iov_len = size;
    out->addresses[i] = to->address;
    out->headers[i].msg_hdr.msg_namelen = to->size;
    if (udp->answer_to_port != 0)
        set_port(&out->addresses[i], udp->answer_to_port);
    udp->waiting++;
    if (udp->waiting == LINK_SLOTS)
        flush(link);
}

static const struct link_way UDP = {free_link, receive, put, flush};

/* False after printing why. */
static bool
open_sockets(struct link *link, const struct link_options *options)
{
    link->bound_fd = link_bind(options->host, options->port, SOCK_DGRAM);
    link->watched_fd = link->bound_fd;
    if (link->bound_fd < 0)
        return false;
    setsockopt(link->bound_fd, SOL_SOCKET, SO_TIMESTAMPNS, &(int){1}, sizeof(int));
    if (!options->answer_from_other)
        return true;
    link->answer_fd = link_bind(options->host, "0", SOCK_DGRAM);
    return link->answer_fd >= 0;
}

struct link *
udp_link_open(const struct link_options *options)
{
    struct udp_link *udp = calloc(1, sizeof *udp);

    if (!udp) {
        link_complain(options->host, "out of memory");
        return NULL;
    }
    udp->link = (struct link){.way = &UDP, .bound_fd = -1, .answer_fd = -1};
    udp->answer_to_port = options->answer_to_port;
    if (!init_slots(&udp->in, LINK_RECEIVE_SIZE) || !init_slots(&udp->out, LINK_SEND_SIZE))
        link_complain(options->host, "out of memory");
    else if (open_sockets(&udp->link, options))
        return &udp->link;
    free_link(&udp->link);
    return NULL;
}
