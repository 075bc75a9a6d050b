/* SPDX-License-Identifier: MIT */
#include "board/gate.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { HTTP_PORT = 80, NAME_SIZE = 256 };

/* ---- addresses: of IPv6, those of IPv4 inside it ---- */

static struct in6_addr
inside_ipv6(struct in_addr address)
{
    struct in6_addr whole = {{{0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xff, 0xff}}};

    memcpy(whole.s6_addr + 12, &address, sizeof address);
    return whole;
}

static struct in6_addr
address_of(const struct sockaddr *own)
{
    if (own->sa_family == AF_INET)
        return inside_ipv6(((const struct sockaddr_in *)(const void *)own)->sin_addr);
    return ((const struct sockaddr_in6 *)(const void *)own)->sin6_addr;
}

static int
port_of(const struct sockaddr *own)
{
    /* stands at the same place in both */
    return ntohs(((const struct sockaddr_in *)(const void *)own)->sin_port);
}

static bool
is_loopback(const struct in6_addr *address)
{
    return IN6_IS_ADDR_LOOPBACK(address) ||
           (IN6_IS_ADDR_V4MAPPED(address) && address->s6_addr[12] == 127);
}

static bool
read_address(const char *text, struct in6_addr *address)
{
    struct in_addr old;

    if (inet_pton(AF_INET6, text, address) == 1)
        return true;
    if (inet_pton(AF_INET, text, &old) != 1)
        return false;
    *address = inside_ipv6(old);
    return true;
}

/* ---- Host ---- */

/* The digits behind the colon; -1: they are none. */
static int
read_port(const char *digits)
{
    size_t length = strspn(digits, "0123456789");

    return length > 0 && length <= 5 && !digits[length] ? atoi(digits) : -1;
}

/* NAME, NAME:PORT, [ADDRESS] or [ADDRESS]:PORT; false when it is none of them. */
static bool
split(const char *host, char name[NAME_SIZE], int *port)
{
    bool bracket = *host == '[';
    size_t length = strcspn(host + bracket, bracket ? "]" : ":");
    const char *rest = host + bracket + length;

    if (length == 0 || length >= NAME_SIZE || (bracket && *rest++ != ']'))
        return false;
    snprintf(name, NAME_SIZE, "%.*s", (int)length, host + bracket);
    if (bracket != (strchr(name, ':') != NULL))
        return false;
    *port = *rest == ':' ? read_port(rest + 1) : *rest ? -1 : HTTP_PORT;
    return *port >= 0;
}

bool
gate_host(const char *host, const struct sockaddr *own, const char *name)
{
    struct in6_addr here = address_of(own), said;
    char called[NAME_SIZE];
    bool is_address;
    int port;

    if (!host || !split(host, called, &port))
        return false;
    is_address = read_address(called, &said);
    if (is_loopback(&here) && (is_address ? is_loopback(&said) : !strcasecmp(called, "localhost")))
        return true;
    if (port != port_of(own))
        return false;
    if (is_address)
        return memcmp(&said, &here, sizeof here) == 0;
    return name && strcasecmp(called, name) == 0;
}

int
gate_port(const char *host)
{
    char name[NAME_SIZE];
    int port;

    return host && split(host, name, &port) ? port : -1;
}

bool
gate_origin(const char *origin, const char *host)
{
    static const char scheme[] = "http://";

    return origin && host && strncmp(origin, scheme, sizeof scheme - 1) == 0 &&
           strcasecmp(origin + sizeof scheme - 1, host) == 0;
}
