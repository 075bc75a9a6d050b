/* SPDX-License-Identifier: MIT */
/*
 * The desk's end of the wire: packets in, packets out, whatever carries them. udp_link.c and
 * tcp_link.c are the two ways.
 */
#ifndef MOCK_LINK_H
#define MOCK_LINK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "framing.h"
#include "peer.h"

enum {
    LINK_SLOTS = 64,
    LINK_RECEIVE_SIZE = 65536, /* no datagram is larger, so none is cut */
    LINK_SEND_SIZE = 8192,
};

struct received {
    struct peer peer;
    size_t size;
    const uint8_t *data; /* valid until the next receive */
    int64_t came_us;     /* monotonic */
};

struct link_options {
    const char *host;
    const char *port;
    enum framing framing;    /* FRAMING_NONE: UDP, else TCP */
    bool answer_from_other;  /* UDP: answers leave from a port of their own */
    unsigned answer_to_port; /* UDP: answers go to this port of who asked; 0: to the asking one */
};

struct link;

/* What a way to carry packets has to do. */
struct link_way {
    void (*free)(struct link *link);
    size_t (*receive)(struct link *link, size_t limit, struct received out[LINK_SLOTS]);
    void (*send)(struct link *link, const struct peer *to, const uint8_t *data, size_t size);
    void (*flush)(struct link *link);
};

/* What every way has; the first member of its own struct. */
struct link {
    const struct link_way *way;
    int watched_fd; /* readable when there is something to receive */
    int bound_fd;   /* the socket whose address is announced */
    int answer_fd;  /* the one that answers leave from; -1: those they came by */
    int receive_buffer;
    bool more; /* what was received may not have been all that lies ready */
};

/* Binds. NULL after printing "mock-desk: HOST: link: what". */
struct link *link_open(const struct link_options *options);
void link_free(struct link *link);

/* Where a socket of the link is bound. */
struct peer link_where(int fd);

/* Asks for a receive buffer when it is not yet so; 0 leaves it alone. */
void link_want_receive_buffer(struct link *link, int bytes);

/* Takes what has arrived, at most `limit` and LINK_SLOTS, without waiting; returns how many. */
size_t link_receive(struct link *link, size_t limit, struct received out[LINK_SLOTS]);

/* Puts a packet of at most LINK_SEND_SIZE bytes into the batch; sends the batch when full. */
void link_send(struct link *link, const struct peer *to, const uint8_t *data, size_t size);
void link_flush(struct link *link);

/* For the ways: */

/* Monotonic time. */
int64_t link_now_us(void);

/* A bound socket of this type, or -1 after printing why. */
int link_bind(const char *host, const char *port, int type);
void link_complain(const char *host, const char *what);
struct link *udp_link_open(const struct link_options *options);
struct link *tcp_link_open(const struct link_options *options);

#endif
