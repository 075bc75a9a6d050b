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

int
door_enter(struct door *door, const struct sockaddr *peer)
{
    struct in6_addr from = address_of(peer);
    int place = -1, of_one = 0;

    for (int i = 0; i < DOOR_PLACES; i++) {
        if (!door->taken[i])
            place = i;
        else if (memcmp(&door->from[i], &from, sizeof from) == 0)
            of_one++;
    }
    if (place < 0 || of_one >= DOOR_OF_ONE)
        return -1;
    door->taken[place] = true;
    door->from[place] = from;
    return place;
}

void
door_leave(struct door *door, int place)
{
    if (place >= 0)
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
