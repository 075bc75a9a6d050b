/*
 * The desk's end of the wire: packets in, packets out, whatever carries them. udp_link.c and
 * tcp_link.c are the two ways.
 */
#ifndef MOCK_LINK_H
#define MOCK_LINK_H

#include "framing.h"
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
    int64_t came_us;     /* monotonic */
};

struct LinkOptions {
    const char *host;
    const char *port;
    enum Framing framing;    /* FRAMING_NONE: UDP, else TCP */
    bool answer_from_other;  /* UDP: answers leave from a port of their own */
    unsigned answer_to_port; /* UDP: answers go to this port of who asked; 0: to the asking one */
};

struct Link;

/* What a way to carry packets has to do. */
struct LinkWay {
    void (*free)(struct Link *link);
    size_t (*receive)(struct Link *link, size_t limit, struct Received out[LINK_SLOTS]);
    void (*send)(struct Link *link, const struct Peer *to, const uint8_t *data, size_t size);
    void (*flush)(struct Link *link);
};

/* What every way has; the first member of its own struct. */
struct Link {
    const struct LinkWay *way;
    int watched_fd; /* readable when there is something to receive */
    int bound_fd;   /* the socket whose address is announced */
    int answer_fd;  /* the one that answers leave from; -1: those they came by */
    int receive_buffer;
    bool more; /* what was received may not have been all that lies ready */
};

/* Binds. NULL after printing "mock-desk: HOST: link: what". */
struct Link *Link_open(const struct LinkOptions *options);
void Link_free(struct Link *link);

/* Where a socket of the link is bound. */
struct Peer Link_where(int fd);

/* Asks for a receive buffer when it is not yet so; 0 leaves it alone. */
void Link_want_receive_buffer(struct Link *link, int bytes);

/* Takes what has arrived, at most `limit` and LINK_SLOTS, without waiting; returns how many. */
size_t Link_receive(struct Link *link, size_t limit, struct Received out[LINK_SLOTS]);

/* Puts a packet of at most LINK_SEND_SIZE bytes into the batch; sends the batch when full. */
void Link_send(struct Link *link, const struct Peer *to, const uint8_t *data, size_t size);
void Link_flush(struct Link *link);

/* For the ways: */

/* Monotonic time. */
int64_t Link_now_us(void);

/* A bound socket of this type, or -1 after printing why. */
int Link_bind(const char *host, const char *port, int type);
void Link_complain(const char *host, const char *what);
struct Link *UdpLink_open(const struct LinkOptions *options);
struct Link *TcpLink_open(const struct LinkOptions *options);

#endif
