#include "cue.h"

#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "osc.h"

enum { LOOKUP_AGAIN_MS = 5000 };

struct cue {
    struct loop *loop;
    const struct cue_settings *settings;
    const char *desk;
    int desk_port;
    struct sockaddr_storage avoid; /* the desk, once it resolved */
    struct loop_lookup *lookup;
    struct loop_timer *again;
    cue_trouble_fn *trouble;
    void *context;
    struct loop_udp *udp; /* NULL: not yet, or never */
    bool avoids;
    bool told;     /* that the host cannot be looked up */
    size_t unsent; /* messages while it was not known */
};

/* ---- whether two addresses are one ---- */

/* Where datagrams to it go: IPv4 in its IPv6 form, this machine in one form. */
struct place {
    struct in6_addr address;
    in_port_t port;
};

static bool
is_this_machine(const struct in6_addr *address)
{
    static const struct in6_addr loopback = IN6ADDR_LOOPBACK_INIT;
    const uint8_t *bytes = address->s6_addr;

    if (IN6_IS_ADDR_V4MAPPED(address)) /* 127.0.0.0/8, and 0.0.0.0, which leads there */
        return bytes[12] == 127 || memcmp(bytes + 12, "\0\0\0", 4) == 0;
    return IN6_IS_ADDR_UNSPECIFIED(address) || memcmp(address, &loopback, sizeof loopback) == 0;
}

static struct place
place_of(const struct sockaddr *peer)
{
    struct place place = {0};
    struct sockaddr_in six_less;
    struct sockaddr_in6 six;

    if (peer->sa_family == AF_INET) {
        memcpy(&six_less, peer, sizeof six_less);
        memset(place.address.s6_addr + 10, 0xff, 2);
        memcpy(place.address.s6_addr + 12, &six_less.sin_addr, 4);
        place.port = six_less.sin_port;
    } else {
        memcpy(&six, peer, sizeof six);
        place.address = six.sin6_addr;
        place.port = six.sin6_port;
    }
    if (is_this_machine(&place.address))
        place.address = (struct in6_addr)IN6ADDR_LOOPBACK_INIT;
    return place;
}

static bool
are_one(const struct sockaddr *a, const struct sockaddr *b)
{
    struct place here = place_of(a), there = place_of(b);

    return here.port == there.port &&
           memcmp(&here.address, &there.address, sizeof here.address) == 0;
}

/* ---- looking up ---- */

static void
say(const struct cue *cue, const char *what, const char *why)
{
    char line[400];

    snprintf(line, sizeof line, "tell.osc: \"%s\" port %d %s%s%s", cue->settings->host,
             cue->settings->port, what, *why ? ": " : "", why);
    cue->trouble(cue->context, line);
}

/* Once, however often it is tried. */
static void
on_not_found(struct cue *cue, const char *error)
{
    if (!cue->told)
        say(cue, "cannot be looked up and is tried again every 5 s", error);
    cue->told = true;
    loop_timer_start(cue->again, LOOKUP_AGAIN_MS, 0);
}

static void
say_found(struct cue *cue)
{
    char what[100];

    snprintf(what, sizeof what, "is found; %zu message%s could not be sent to it", cue->unsent,
             cue->unsent == 1 ? "" : "s");
    say(cue, what, "");
}

static void
on_nothing(void *context, const uint8_t *bytes, size_t length, const char *error)
{
    (void)context; /* answers are not wanted, and a closed port is no concern of the watch */
    (void)bytes;
    (void)length;
    (void)error;
}

static void
on_host(void *context, const struct sockaddr *peer, const char *error)
{
    struct cue *cue = context;

    cue->lookup = NULL;
    if (!peer) {
        on_not_found(cue, error);
        return;
    }
    if (are_one(peer, (const struct sockaddr *)&cue->avoid)) {
        say(cue, "is the desk, which is only read; nothing is sent there", "");
        return;
    }
    cue->udp = loop_udp_open(cue->loop, peer, (struct loop_udp_ports){0}, on_nothing, cue, &error);
    if (!cue->udp)
        say(cue, "cannot be sent to", error);
    else if (cue->told)
        say_found(cue);
}

/* That it does not resolve is told by the link. */
static void
on_desk(void *context, const struct sockaddr *peer, const char *error)
{
    struct cue *cue = context;

    (void)error;
    cue->lookup = NULL;
    if (!peer) {
        loop_timer_start(cue->again, LOOKUP_AGAIN_MS, 0);
        return;
    }
    memcpy(&cue->avoid, peer, loop_address_size(peer));
    cue->avoids = true;
    cue->lookup =
        loop_lookup_open(cue->loop, cue->settings->host, cue->settings->port, on_host, cue);
}

static void
look_up(void *context)
{
    struct cue *cue = context;

    if (cue->avoids)
        cue->lookup =
            loop_lookup_open(cue->loop, cue->settings->host, cue->settings->port, on_host, cue);
    else
        cue->lookup = loop_lookup_open(cue->loop, cue->desk, cue->desk_port, on_desk, cue);
}

struct cue *
cue_open(struct loop *loop, const struct cue_settings *settings, const char *desk, int desk_port,
         cue_trouble_fn *trouble, void *context, struct problems *problems)
{
    struct cue *cue;

    if (settings->port == desk_port && strcasecmp(settings->host, desk) == 0) {
        problems_add(problems, "tell.osc: \"%s\" port %d is the desk, which is only read", desk,
                     desk_port);
        return NULL;
    }
    cue = calloc(1, sizeof *cue);
    if (!cue)
        abort();
    cue->loop = loop;
    cue->settings = settings;
    cue->desk = desk;
    cue->desk_port = desk_port;
    cue->trouble = trouble;
    cue->context = context;
    cue->again = loop_timer_open(loop, look_up, cue);
    look_up(cue);
    return cue;
}

void
cue_close(struct cue *cue)
{
    if (!cue)
        return;
    if (cue->lookup)
        loop_lookup_cancel(cue->lookup);
    if (cue->udp)
        loop_udp_close(cue->udp);
    loop_timer_close(cue->again);
    free(cue);
}

void
cue_send(struct cue *cue, const char *event, const char *weight, const char *check,
         const char *object, const char *text)
{
    const char *const words[] = {event, weight, check, object, text};
    struct argument arguments[5];
    size_t length;
    uint8_t *bytes;

    if (!cue->udp) {
        cue->unsent++;
        return;
    }
    for (int i = 0; i < 5; i++)
        arguments[i] = (struct argument){ARGUMENT_TEXT, 's', 0, words[i]};
    bytes = osc_encode(cue->settings->address, arguments, 5, true, &length);
    if (bytes)
        loop_udp_send(cue->udp, bytes, length);
    free(bytes);
}
