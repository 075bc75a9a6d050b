/* SPDX-License-Identifier: MIT */
#include "link/wire.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "osc/stream.h"

enum { CONNECT_AGAIN_MS = 1000 };

struct wire {
    struct loop *loop;
    const struct profile_link *link;
    char *host;
    int port;
    const struct wire_events *events;
    void *context;
    struct loop_lookup *lookup; /* under way */
    struct sockaddr_storage peer;
    bool leads;           /* there */
    struct loop_udp *udp; /* NULL over TCP, which has the rest */
    enum stream_framing framing;
    struct loop_tcp *tcp; /* NULL between two connections */
    struct loop_timer *again;
    struct stream *stream; /* of the connection that stands */
    char error[100];
    struct wire_figures figures; /* but what socket and stream count */
};

/* What socket and stream counted outlives them. */
static void
hang_up(struct wire *wire)
{
    wire->figures = wire_figures(wire);
    loop_udp_close(wire->udp);
    loop_tcp_close(wire->tcp);
    stream_free(wire->stream);
    wire->udp = NULL;
    wire->tcp = NULL;
    wire->stream = NULL;
}

/* ---- UDP ---- */

static void
on_datagram(void *context, const uint8_t *bytes, size_t length, const char *error)
{
    struct wire *wire = context;

    if (error)
        wire->events->trouble(wire->context, error);
    else
        wire->events->packet(wire->context, bytes, length);
}

/* ---- TCP ---- */

static void
try_again(struct wire *wire, const char *error)
{
    hang_up(wire);
    loop_timer_start(wire->again, CONNECT_AGAIN_MS, 0);
    wire->events->trouble(wire->context, error);
}

static void
on_bytes(void *context, const uint8_t *bytes, size_t length, const char *error)
{
    struct wire *wire = context;

    if (error) {
        try_again(wire, error);
    } else if (!bytes) {
        wire->stream = stream_new(wire->framing);
        wire->events->ready(wire->context);
    } else if (!stream_take(wire->stream, bytes, length, wire->events->packet, wire->context)) {
        wire->figures.broken++;
        try_again(wire, "what the desk sends is not framed as the profile says");
    }
}

static void
connect_tcp(void *context)
{
    struct wire *wire = context;

    wire->tcp = loop_tcp_open(wire->loop, (const struct sockaddr *)&wire->peer, on_bytes, wire);
    if (!wire->tcp)
        try_again(wire, "no connection could be begun");
}

/* ---- both ---- */

struct wire *
wire_new(struct loop *loop, const struct profile_link *link, const char *host, int port,
         const struct wire_events *events, void *context)
{
    struct wire *wire = need_memory(1, sizeof *wire);

    *wire = (struct wire){.loop = loop,
                          .link = link,
                          .host = need_text(host),
                          .port = port,
                          .events = events,
                          .context = context,
                          .framing =
                              link->transport == TRANSPORT_TCP_SLIP ? FRAMING_SLIP : FRAMING_SIZE,
                          .again = loop_timer_open(loop, connect_tcp, wire)};
    return wire;
}

void
wire_free(struct wire *wire)
{
    loop_lookup_cancel(wire->lookup);
    hang_up(wire);
    loop_timer_close(wire->again);
    free(wire->host);
    free(wire);
}

static void
on_lookup(void *context, const struct sockaddr *const *peers, const char *error)
{
    struct wire *wire = context;

    wire->lookup = NULL;
    wire->events->looked_up(wire->context, peers, error);
}

void
wire_look_up(struct wire *wire)
{
    if (!wire->lookup)
        wire->lookup = loop_lookup_open(wire->loop, wire->host, wire->port, on_lookup, wire);
}

/* Keeps the socket while the address stays: the desk may know us by our port. */
const char *
wire_lead_to(struct wire *wire, const struct sockaddr *peer)
{
    struct loop_udp_ports ports = {wire->link->any_port, wire->link->answer_port};
    const char *error = NULL;

    if (wire->leads && memcmp(&wire->peer, peer, loop_address_size(peer)) == 0)
        return NULL;
    memcpy(&wire->peer, peer, loop_address_size(peer));
    hang_up(wire);
    if (wire->link->transport == TRANSPORT_UDP)
        wire->udp = loop_udp_open(wire->loop, peer, ports, on_datagram, wire, &error);
    else
        loop_timer_start(wire->again, 0, 0);
    wire->leads = !error;
    if (!error || wire->link->answer_port == 0)
        return error;
    snprintf(wire->error, sizeof wire->error, "own port %d: %s", wire->link->answer_port, error);
    return wire->error;
}

void
wire_renew(struct wire *wire)
{
    if (!wire->stream)
        return; /* it is being made */
    hang_up(wire);
    loop_timer_start(wire->again, 0, 0);
}

bool
wire_is_ready(const struct wire *wire)
{
    return wire->udp || wire->stream;
}

void
wire_send(struct wire *wire, const uint8_t *bytes, size_t length)
{
    uint8_t *frame;
    size_t framed;

    if (wire->udp)
        loop_udp_send(wire->udp, bytes, length);
    if (!wire->stream)
        return;
    frame = stream_frame(wire->framing, bytes, length, &framed);
    loop_tcp_send(wire->tcp, frame, framed);
    free(frame);
}

struct wire_figures
wire_figures(const struct wire *wire)
{
    struct wire_figures figures = wire->figures;

    if (wire->udp)
        figures.strangers += loop_udp_strangers(wire->udp);
    if (wire->stream)
        figures.skipped += stream_skipped(wire->stream);
    return figures;
}
