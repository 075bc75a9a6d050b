/* SPDX-License-Identifier: MIT */
/* How many may be in at once, and how many of one address: those who are served, and behind them a few
 * who are told that there is no room. Whoever comes besides is not let in, so that one who knocks all
 * the time takes nothing from others.
 */
#ifndef GAINWARDEN_BOARD_DOOR_H
#define GAINWARDEN_BOARD_DOOR_H

#include <netinet/in.h>
#include <stdbool.h>

enum {
    DOOR_PLACES = 64,
    DOOR_OF_ONE = 8, /* of them, for one address */
    DOOR_SPARE = 16, /* behind them */
    DOOR_SPARE_OF_ONE = 2,
    DOOR_ALL = DOOR_PLACES + DOOR_SPARE
};

struct door {
    struct in6_addr from[DOOR_ALL];
    bool taken[DOOR_ALL];
};

/* Where there is a place for whoever comes from there: below DOOR_PLACES he is served, else told that
 * he is not. -1: he is not let in. */
int door_place(const struct door *door, const struct sockaddr *peer);
void door_enter(struct door *door, const struct sockaddr *peer, int place);
void door_leave(struct door *door, int place);

/* What waits in the system for him who takes nothing is little, and who went away without a word
 * gives his place back after `gone_ms`. */
void door_bound(int fd, int gone_ms);

#endif
