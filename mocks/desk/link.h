/* The desk's UDP socket, read and written in batches: one system call for many datagrams. */
#ifndef MOCK_LINK_H
#define MOCK_LINK_H

#include "peer.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
    LINK_SLOTS = 64,
    LINK_RECEIVE_SIZE = 65536, /* no datagram is larger, so none is cut */
    LINK_SEND_SIZE = 8192,
};

struct Received {
    struct Peer peer;
    size_t size;
    const uint8_t *data; /* valid until the next receive */
};

struct Link;

/* Binds. NULL after printing "mock-desk: HOST: link: what". */
struct Link *Link_open(const char *host, const char *port);
void Link_free(struct Link *link);
int Link_fd(const struct Link *link);

/* Where the socket is bound. */
struct Peer Link_where(const struct Link *link);

/* Asks for a receive buffer when it is not yet so; 0 leaves it alone. */
void Link_want_receive_buffer(struct Link *link, int bytes);

/* Takes what has arrived, at most `limit` and LINK_SLOTS, without waiting; returns how many. */
size_t Link_receive(struct Link *link, size_t limit, struct Received out[LINK_SLOTS]);

/* Puts a datagram of at most LINK_SEND_SIZE bytes into the batch; sends the batch when full. */
void Link_send(struct Link *link, const struct Peer *to, const uint8_t *data, size_t size);
void Link_flush(struct Link *link);

#endif
