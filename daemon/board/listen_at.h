/* SPDX-License-Identifier: MIT */
/* Where the board listens: at loopback, unless an address was named. */
#ifndef GAINWARDEN_BOARD_LISTEN_AT_H
#define GAINWARDEN_BOARD_LISTEN_AT_H

#include <stdbool.h>

#include "base/problems.h"

enum { LISTEN_HOST_SIZE = 256 };

struct listen_at {
    char host[LISTEN_HOST_SIZE]; /* an address, or the name that was given */
    bool is_name;
    int port;
    int fd; /* the socket; whoever takes it closes it */
};

/* `at`: HOST, HOST:PORT, :PORT or ""; port 0 is the system's choice. False, with the reason in the
 * problems. The name is looked up here, before the loop runs. */
bool listen_at_open(struct listen_at *listens, const char *at, struct problems *problems);

#endif
