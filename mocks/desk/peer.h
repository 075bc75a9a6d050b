/* Where a datagram came from, and so where its answer goes. */
#ifndef MOCK_PEER_H
#define MOCK_PEER_H

#include <stdbool.h>
#include <stddef.h>
#include <sys/socket.h>

enum { PEER_TEXT_SIZE = 72 }; /* "[" + an IPv6 address with its scope + "]:65535" + NUL */

struct Peer {
    struct sockaddr_storage address;
    socklen_t size;
};

/* True when both are the same address and port. */
bool Peer_same(const struct Peer *a, const struct Peer *b);

/* Writes "127.0.0.1:9100" or "[::1]:9100" and returns `text`. */
const char *Peer_text(const struct Peer *peer, char text[PEER_TEXT_SIZE]);

#endif
