/* SPDX-License-Identifier: MIT */
#include "peer.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <stdio.h>
#include <string.h>

static bool
same_ipv4(const struct peer *a, const struct peer *b)
{
    const struct sockaddr_in *x = (const struct sockaddr_in *)&a->address;
    const struct sockaddr_in *y = (const struct sockaddr_in *)&b->address;

    return x->sin_port == y->sin_port && x->sin_addr.s_addr == y->sin_addr.s_addr;
}

static bool
same_ipv6(const struct peer *a, const struct peer *b)
{
    const struct sockaddr_in6 *x = (const struct sockaddr_in6 *)&a->address;
    const struct sockaddr_in6 *y = (const struct sockaddr_in6 *)&b->address;

    return x->sin6_port == y->sin6_port && x->sin6_scope_id == y->sin6_scope_id &&
           memcmp(&x->sin6_addr, &y->sin6_addr, sizeof x->sin6_addr) == 0;
}

/* Not one memcmp over the storage: its padding is not ours to compare. */
bool
peer_same(const struct peer *a, const struct peer *b)
{
    if (a->address.ss_family != b->address.ss_family)
        return false;
    if (a->address.ss_family == AF_INET)
        return same_ipv4(a, b);
    return a->address.ss_family == AF_INET6 && same_ipv6(a, b);
}

const char *
peer_text(const struct peer *peer, char text[PEER_TEXT_SIZE])
{
    const struct sockaddr_in *v4 = (const struct sockaddr_in *)&peer->address;
    const struct sockaddr_in6 *v6 = (const struct sockaddr_in6 *)&peer->address;
    char host[INET6_ADDRSTRLEN] = "?";

    if (peer->address.ss_family == AF_INET6) {
        inet_ntop(AF_INET6, &v6->sin6_addr, host, sizeof host);
        snprintf(text, PEER_TEXT_SIZE, "[%s]:%u", host, (unsigned)ntohs(v6->sin6_port));
    } else {
        inet_ntop(AF_INET, &v4->sin_addr, host, sizeof host);
        snprintf(text, PEER_TEXT_SIZE, "%s:%u", host, (unsigned)ntohs(v4->sin_port));
    }
    return text;
}
