/* SPDX-License-Identifier: MIT */
/* How many may be in at once, and how many of one address. */
#ifndef GAINWARDEN_BOARD_DOOR_H
#define GAINWARDEN_BOARD_DOOR_H

#include <netinet/in.h>
#include <stdbool.h>

enum {
    DOOR_PLACES = 64,
    DOOR_OF_ONE = 8 /* of them, for one address */
};

struct door {
    struct in6_addr from[DOOR_PLACES];
    bool taken[DOOR_PLACES];
};

/* Takes a place for whoever comes from there; -1: there is none. */
int door_enter(struct door *door, const struct sockaddr *peer);
void door_leave(struct door *door, int place);

/* What waits in the system for him who takes nothing is little, and who went away without a word
 * gives his place back after `gone_ms`. */
void door_bound(int fd, int gone_ms);

#endif
