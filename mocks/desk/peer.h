/* SPDX-License-Identifier: MIT */
/* Where a datagram came from, and so where its answer goes. */
#ifndef MOCK_PEER_H
#define MOCK_PEER_H

#include <stdbool.h>
#include <stddef.h>
#include <sys/socket.h>

enum { PEER_TEXT_SIZE = 72 }; /* "[" + an IPv6 address with its scope + "]:65535" + NUL */

struct peer {
    struct sockaddr_storage address;
    socklen_t size;
};

/* True when both are the same address and port. */
bool peer_same(const struct peer *a, const struct peer *b);

/* Writes "127.0.0.1:9100" or "[::1]:9100" and returns `text`. */
const char *peer_text(const struct peer *peer, char text[PEER_TEXT_SIZE]);

#endif
