/* SPDX-License-Identifier: MIT */
/*
 * TCP: a listener and a few clients, each a stream of packets both ways. What a client does not
 * read in time waits for it; when too much waits, the client is hung up on.
 */
#include <errno.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <stdlib.h>
#include <string.h>
#include <sys/epoll.h>
#include <sys/socket.h>
#include <unistd.h>

#include "link.h"

enum { CLIENTS = 16, WAITING_MOST = 1 << 22 };

struct client {
    int fd;     /* -1: a free place */
    bool ended; /* it says no more; hung up on once all it said is answered */
    bool full;  /* its socket takes no more for now */
    struct peer peer;
    size_t waiting; /* bytes in `out` */
    uint8_t *out;   /* WAITING_MOST of them */
    struct stream in;
};

struct tcp_link {
    struct link link;
    enum framing framing;
    size_t turn; /* the client to be taken from first, so that none is passed over */
    struct client clients[CLIENTS];
};

/* ---- clients ---- */

static void
hang_up(struct client *client)
{
    if (client->fd >= 0)
        close(client->fd); /* leaves the epoll set as well */
    client->fd = -1;
}

static void
watch(const struct link *link, struct client *client, int how)
{
    struct epoll_event event = {.events = EPOLLIN, .data.ptr = client};

    if (client->full)
        event.events |= EPOLLOUT;

    epoll_ctl(link->watched_fd, how, client->fd, &event);
}

static struct client *
find_free(struct tcp_link *tcp)
{
    for (size_t i = 0; i < CLIENTS; i++)
        if (tcp->clients[i].fd < 0)
            return &tcp->clients[i];
    return NULL;
}

static void
admit(struct tcp_link *tcp, int fd, const struct peer *peer)
{
    struct client *client = find_free(tcp);

    if (client && !client->out)
        client->out = malloc(WAITING_MOST);
    if (!client || !client->out) {
        close(fd);
        return;
    }
    setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &(int){1}, sizeof(int));
    client->fd = fd;
    client->ended = false;
    client->full = false;
    client->peer = *peer;
    client->waiting = 0;
    client->in.framing = tcp->framing;
    client->in.start = 0;
    client->in.end = 0;
    watch(&tcp->link, client, EPOLL_CTL_ADD);
}

static void
accept_all(struct tcp_link *tcp)
{
    for (;;) {
        struct peer peer = {.size = sizeof peer.address};
        int fd = accept4(tcp->link.bound_fd, (struct sockaddr *)&peer.address, &peer.size,
                         SOCK_NONBLOCK | SOCK_CLOEXEC);

        if (fd < 0)
            break;
        admit(tcp, fd, &peer);
    }
}

static void
read_from(struct client *client)
{
    size_t room = stream_make_room(&client->in);
    ssize_t size = room > 0 ? recv(client->fd, client->in.bytes + client->in.end, room, 0) : -1;

    if (size > 0)
        client->in.end += (size_t)size;
    else if (size == 0 || (room > 0 && errno != EAGAIN && errno != EINTR))
        client->ended = true;
}

static void
write_to(const struct link *link, struct client *client)
{
    size_t before = client->waiting;
    ssize_t sent = send(client->fd, client->out, client->waiting, MSG_NOSIGNAL);

    if (sent < 0 && errno != EAGAIN && errno != EINTR) {
        hang_up(client);
        return;
    }
    client->waiting -= sent > 0 ? (size_t)sent : 0;
    memmove(client->out, client->out + (before - client->waiting), client->waiting);
    if (client->full != (client->waiting > 0)) {
        client->full = client->waiting > 0;
        watch(link, client, EPOLL_CTL_MOD);
    }
}

/* ---- the link ---- */

static void
deal_with(struct tcp_link *tcp, const struct epoll_event *event)
{
    struct client *client = event->data.ptr;

    if (!client) {
        accept_all(tcp);
        return;
    }
    if ((event->events & EPOLLOUT) != 0)
        write_to(&tcp->link, client);
    if (client->fd >= 0 && (event->events & (EPOLLIN | EPOLLHUP | EPOLLERR)) != 0)
        read_from(client);
}

/*
 * Takes what is complete of one client. False when it is to be hung up on: it speaks nonsense, or
 * it has ended and what it said was taken, and so answered, an earlier time.
 */
static bool
take(struct client *client, size_t limit, struct received out[LINK_SLOTS], size_t *count)
{
    enum stream_result result = STREAM_PACKET;
    size_t before = *count;

    while (*count < limit && result == STREAM_PACKET) {
        struct received *received = &out[*count];

        result = stream_next(&client->in, &received->data, &received->size);
        received->peer = client->peer;
        received->came_us = link_now_us();
        *count += result == STREAM_PACKET;
    }
    if (client->ended && result == STREAM_WAITS && *count == before)
        return false;
    return result != STREAM_BROKEN;
}

static size_t
receive(struct link *link, size_t limit, struct received out[LINK_SLOTS])
{
    struct tcp_link *tcp = (struct tcp_link *)link;
    struct epoll_event events[CLIENTS + 1];
    int ready = epoll_wait(link->watched_fd, events, CLIENTS + 1, 0);
    size_t count = 0;

    for (int i = 0; i < ready; i++)
        deal_with(tcp, &events[i]);
    tcp->turn++;
    for (size_t i = 0; i < CLIENTS; i++) {
        struct client *client = &tcp->clients[(tcp->turn + i) % CLIENTS];

        if (client->fd >= 0 && !take(client, limit, out, &count))
            hang_up(client);
    }
    link->more = count == limit;
    return count;
}

static void
flush(struct link *link)
{
    struct tcp_link *tcp = (struct tcp_link *)link;

    for (size_t i = 0; i < CLIENTS; i++)
        if (tcp->clients[i].fd >= 0 && tcp->clients[i].waiting > 0)
            write_to(link, &tcp->clients[i]);
}

static struct client *
find_client(struct tcp_link *tcp, const struct peer *peer)
{
    for (size_t i = 0; i < CLIENTS; i++)
        if (tcp->clients[i].fd >= 0 && peer_same(&tcp->clients[i].peer, peer))
            return &tcp->clients[i];
    return NULL;
}

static void
put(struct link *link, const struct peer *to, const uint8_t *data, size_t size)
{
    struct tcp_link *tcp = (struct tcp_link *)link;
    struct client *client = find_client(tcp, to);

    if (!client)
        return;
    if (client->waiting + framing_most(tcp->framing, size) > WAITING_MOST) {
        hang_up(client);
        return;
    }
    client->waiting += framing_write(tcp->framing, data, size, client->out + client->waiting);
}

static void
free_link(struct link *link)
{
    struct tcp_link *tcp = (struct tcp_link *)link;

    for (size_t i = 0; i < CLIENTS; i++) {
        hang_up(&tcp->clients[i]);
        free(tcp->clients[i].out);
    }
    if (link->bound_fd >= 0)
        close(link->bound_fd);
    if (link->watched_fd >= 0)
        close(link->watched_fd);
    free(tcp);
}

static const struct link_way TCP = {free_link, receive, put, flush};

static bool
listen_for_clients(struct link *link, const struct link_options *options)
{
    struct epoll_event event = {.events = EPOLLIN};

    link->bound_fd = link_bind(options->host, options->port, SOCK_STREAM);
    if (link->bound_fd < 0)
        return false;
    link->watched_fd = epoll_create1(EPOLL_CLOEXEC);
    if (link->watched_fd >= 0 && fcntl(link->bound_fd, F_SETFL, O_NONBLOCK) == 0 &&
        listen(link->bound_fd, CLIENTS) == 0 &&
        epoll_ctl(link->watched_fd, EPOLL_CTL_ADD, link->bound_fd, &event) == 0)
        return true;
    link_complain(options->host, strerror(errno));
    return false;
}

struct link *
tcp_link_open(const struct link_options *options)
{
    struct tcp_link *tcp = calloc(1, sizeof *tcp);

    if (!tcp) {
        link_complain(options->host, "out of memory");
        return NULL;
    }
    tcp->link = (struct link){.way = &TCP, .watched_fd = -1, .bound_fd = -1, .answer_fd = -1};
    tcp->framing = options->framing;
    for (size_t i = 0; i < CLIENTS; i++)
        tcp->clients[i].fd = -1;
    if (listen_for_clients(&tcp->link, options))
        return &tcp->link;
    free_link(&tcp->link);
    return NULL;
}
