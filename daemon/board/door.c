/* SPDX-License-Identifier: MIT */
#define _GNU_SOURCE /* TCP_USER_TIMEOUT */
#include "board/door.h"

#include <netinet/tcp.h>
#include <string.h>

enum { SYSTEM_BUFFER = 64 * 1024 };

static struct in6_addr
address_of(const struct sockaddr *peer)
{
    struct in6_addr address = IN6ADDR_ANY_INIT;

    if (peer->sa_family == AF_INET6)
        return ((const struct sockaddr_in6 *)(const void *)peer)->sin6_addr;
    memcpy(address.s6_addr + 12, &((const struct sockaddr_in *)(const void *)peer)->sin_addr, 4);
    return address;
}

/* The first that is free from `first` on, where the address has not had `most` of them; else -1. */
static int
free_among(const struct door *door, const struct in6_addr *from, int first, int count, int most)
{
    int place = -1, of_one = 0;

    for (int i = first; i < first + count; i++) {
        if (!door->taken[i])
            place = place < 0 ? i : place;
        else if (memcmp(&door->from[i], from, sizeof *from) == 0)
            of_one++;
    }
    return of_one < most ? place : -1;
}

int
door_place(const struct door *door, const struct sockaddr *peer)
{
    struct in6_addr from = address_of(peer);
    int place = free_among(door, &from, 0, DOOR_PLACES, DOOR_OF_ONE);

    if (place >= 0)
        return place;
    return free_among(door, &from, DOOR_PLACES, DOOR_SPARE, DOOR_SPARE_OF_ONE);
}

void
door_enter(struct door *door, const struct sockaddr *peer, int place)
{
    door->taken[place] = true;
    door->from[place] = address_of(peer);
}

void
door_leave(struct door *door, int place)
{
    door->taken[place] = false;
}

void
door_bound(int fd, int gone_ms)
{
    unsigned timeout_ms = (unsigned)gone_ms;
    int bytes = SYSTEM_BUFFER;

    setsockopt(fd, SOL_SOCKET, SO_SNDBUF, &bytes, sizeof bytes);
    setsockopt(fd, IPPROTO_TCP, TCP_USER_TIMEOUT, &timeout_ms, sizeof timeout_ms);
}
