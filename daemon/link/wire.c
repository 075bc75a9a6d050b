/* SPDX-License-Identifier: MIT */
#include "link/wire.h"

#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "osc/stream.h"

enum { CONNECT_AGAIN_MS = 1000 };

struct wire {
    struct loop *loop;
    const struct wire_events *events;
    void *context;
    struct loop_udp *udp;
    /* the rest is TCP's */
    enum stream_framing framing;
    struct sockaddr_storage peer;
    struct loop_tcp *tcp;     /* NULL between two connections */
    struct loop_timer *again; /* NULL over UDP */
    struct stream *stream;    /* of the connection that stands */
    struct wire_figures figures;
};

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
hang_up(struct wire *wire)
{
    loop_tcp_close(wire->tcp);
    wire->tcp = NULL;
    if (wire->stream)
        wire->figures.skipped += stream_skipped(wire->stream);
    stream_free(wire->stream);
    wire->stream = NULL;
}

static void
try_again(struct wire *wire, const char *error)
{
    hang_up(wire);
    loop_timer_start(wire->again, CONNECT_AGAIN_MS, 0);
    wire->events->trouble(wire->context, error);
}

static void
on_connected(struct wire *wire)
{
    wire->stream = stream_new(wire->framing);
    wire->events->ready(wire->context);
}

static void
on_bytes(void *context, const uint8_t *bytes, size_t length, const char *error)
{
    struct wire *wire = context;

    if (error) {
        try_again(wire, error);
    } else if (!bytes) {
        on_connected(wire);
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

static bool
open_udp(struct wire *wire, const struct profile_link *link, const struct sockaddr *peer,
         const char **error)
{
    struct loop_udp_ports ports = {link->any_port, link->answer_port};

    wire->udp = loop_udp_open(wire->loop, peer, ports, on_datagram, wire, error);
    return wire->udp != NULL;
}

struct wire *
wire_open(struct loop *loop, const struct profile_link *link, const struct sockaddr *peer,
          const struct wire_events *events, void *context, const char **error)
{
    struct wire *wire = need_memory(1, sizeof *wire);

    wire->loop = loop;
    wire->events = events;
    wire->context = context;
    if (link->transport == TRANSPORT_UDP) {
        if (open_udp(wire, link, peer, error))
            return wire;
        free(wire);
        return NULL;
    }
    wire->framing = link->transport == TRANSPORT_TCP_SLIP ? FRAMING_SLIP : FRAMING_SIZE;
    memcpy(&wire->peer, peer, loop_address_size(peer));
    wire->again = loop_timer_open(loop, connect_tcp, wire);
    loop_timer_start(wire->again, 0, 0);
    return wire;
}

void
wire_close(struct wire *wire)
{
    if (!wire)
        return;
    loop_udp_close(wire->udp);
    loop_timer_close(wire->again);
    hang_up(wire);
    free(wire);
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

static void
send_framed(struct wire *wire, const uint8_t *bytes, size_t length)
{
    size_t framed;
    uint8_t *frame = stream_frame(wire->framing, bytes, length, &framed);

    loop_tcp_send(wire->tcp, frame, framed);
    free(frame);
}

void
wire_send(struct wire *wire, const uint8_t *bytes, size_t length)
{
    if (wire->udp)
        loop_udp_send(wire->udp, bytes, length);
    else if (wire->stream)
        send_framed(wire, bytes, length);
}

struct wire_figures
wire_figures(const struct wire *wire)
{
    struct wire_figures figures = wire->figures;

    if (wire->udp)
        figures.strangers = loop_udp_strangers(wire->udp);
    if (wire->stream)
        figures.skipped += stream_skipped(wire->stream);
    return figures;
}
