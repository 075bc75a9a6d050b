/* SPDX-License-Identifier: MIT */
#include "link/desk_hosts.h"

#include <netinet/in.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "core/need.h"

enum { ADDRESSES = 32 }; /* of one desk; of more, the latest */

struct desk_places {
    struct in6_addr at[ADDRESSES];
    size_t count; /* ever added */
};

struct desk_hosts {
    struct desk_places *desks;
    int desk_count;
    struct desk_hosts_listener *listeners;
};

/* ---- addresses ---- */

/* IPv4 in its IPv6 form. */
static struct in6_addr
six_of(const struct sockaddr *address)
{
    struct in6_addr six = {0};
    struct sockaddr_in in;
    struct sockaddr_in6 in6;

    if (address->sa_family == AF_INET) {
        memcpy(&in, address, sizeof in);
        memset(six.s6_addr + 10, 0xff, 2);
        memcpy(six.s6_addr + 12, &in.sin_addr, 4);
        return six;
    }
    memcpy(&in6, address, sizeof in6);
    return in6.sin6_addr;
}

/* Whether this machine has the address: it can be bound then. Where that cannot be tried it counts
 * as ours, so that a cue is rather kept back. */
static bool
is_own(const struct sockaddr *address)
{
    struct in6_addr six = six_of(address);
    struct sockaddr_in in = {.sin_family = AF_INET};
    struct sockaddr_in6 in6 = {.sin6_family = AF_INET6};
    bool four = IN6_IS_ADDR_V4MAPPED(&six), own;
    int fd = socket(four ? AF_INET : AF_INET6, SOCK_DGRAM | SOCK_CLOEXEC, 0);

    if (fd < 0)
        return true;
    if (four) {
        memcpy(&in.sin_addr, six.s6_addr + 12, 4);
        own = bind(fd, (const struct sockaddr *)&in, sizeof in) == 0;
    } else {
        memcpy(&in6, address, sizeof in6);
        in6.sin6_port = 0;
        own = bind(fd, (const struct sockaddr *)&in6, sizeof in6) == 0;
    }
    close(fd);
    return own;
}

bool
desk_hosts_is_group(const struct sockaddr *address)
{
    struct in6_addr six = six_of(address);

    if (IN6_IS_ADDR_V4MAPPED(&six)) /* 224.0.0.0/4, and the reserved ones with 255.255.255.255 */
        return six.s6_addr[12] >= 224;
    return IN6_IS_ADDR_MULTICAST(&six);
}

/* The address that stands for the host: this machine has one. */
static struct in6_addr
place_of(const struct sockaddr *address)
{
    struct in6_addr six = six_of(address);
    bool loops = IN6_IS_ADDR_V4MAPPED(&six)
                     ? six.s6_addr[12] == 127 || six.s6_addr[12] == 0
                     : IN6_IS_ADDR_LOOPBACK(&six) || IN6_IS_ADDR_UNSPECIFIED(&six);

    return loops || is_own(address) ? (struct in6_addr)IN6ADDR_LOOPBACK_INIT : six;
}

bool
desk_hosts_are_one(const struct sockaddr *one, const struct sockaddr *other)
{
    struct in6_addr here = place_of(one), there = place_of(other);

    return IN6_ARE_ADDR_EQUAL(&here, &there);
}

/* ---- desks ---- */

struct desk_hosts *
desk_hosts_new(int desks)
{
    struct desk_hosts *hosts = need_memory(1, sizeof *hosts);

    hosts->desks = need_memory((size_t)desks, sizeof *hosts->desks);
    hosts->desk_count = desks;
    return hosts;
}

void
desk_hosts_free(struct desk_hosts *hosts)
{
    if (hosts)
        free(hosts->desks);
    free(hosts);
}

static void
tell(const struct desk_hosts *hosts)
{
    for (const struct desk_hosts_listener *one = hosts->listeners; one; one = one->next)
        one->changed(one->context);
}

void
desk_hosts_forget(struct desk_hosts *hosts, int desk)
{
    hosts->desks[desk].count = 0;
    tell(hosts);
}

static size_t
kept(const struct desk_places *places)
{
    return places->count < ADDRESSES ? places->count : ADDRESSES;
}

static bool
holds(const struct desk_places *places, const struct in6_addr *place)
{
    for (size_t i = 0; i < kept(places); i++)
        if (IN6_ARE_ADDR_EQUAL(&places->at[i], place))
            return true;
    return false;
}

void
desk_hosts_add(struct desk_hosts *hosts, int desk, const struct sockaddr *const *addresses)
{
    struct desk_places *places = &hosts->desks[desk];
    bool news = false;

    for (; *addresses; addresses++) {
        struct in6_addr place = place_of(*addresses);

        if (holds(places, &place))
            continue;
        places->at[places->count++ % ADDRESSES] = place;
        news = true;
    }
    if (news)
        tell(hosts);
}

bool
desk_hosts_all_known(const struct desk_hosts *hosts)
{
    for (int i = 0; i < hosts->desk_count; i++)
        if (hosts->desks[i].count == 0)
            return false;
    return true;
}

bool
desk_hosts_reached_by(const struct desk_hosts *hosts, const struct sockaddr *address)
{
    struct in6_addr place = place_of(address);

    if (desk_hosts_is_group(address))
        return true;
    for (int i = 0; i < hosts->desk_count; i++)
        if (holds(&hosts->desks[i], &place))
            return true;
    return false;
}

/* ---- listeners ---- */

void
desk_hosts_listen(struct desk_hosts *hosts, struct desk_hosts_listener *listener)
{
    listener->next = hosts->listeners;
    hosts->listeners = listener;
}

void
desk_hosts_unlisten(struct desk_hosts *hosts, struct desk_hosts_listener *listener)
{
    struct desk_hosts_listener **at = &hosts->listeners;

    while (*at && *at != listener)
        at = &(*at)->next;
    if (*at)
        *at = listener->next;
}
