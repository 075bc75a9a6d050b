/* SPDX-License-Identifier: MIT */
/* The way to one desk: its name, looked up again now and then, its address, and how packets get
 * there and come from it: UDP, or TCP with one of the framings. Above this nobody knows which.
 */
#ifndef GAINWARDEN_WIRE_H
#define GAINWARDEN_WIRE_H

#include "loop/loop.h"
#include "profile/profile.h"

struct wire;

struct wire_events {
    loop_lookup_fn *looked_up; /* after each look-up */
    /* A packet of the desk; the bytes are valid during the call. */
    void (*packet)(void *context, const uint8_t *bytes, size_t length);
    /* A TCP connection stands, for the first time or again. A wire over UDP is ready at once. */
    void (*ready)(void *context);
    /* The last word of the system on this wire. TCP connects again by itself. */
    void (*trouble)(void *context, const char *error);
};

struct wire_figures {
    uint64_t strangers; /* datagrams from elsewhere */
    uint64_t skipped;   /* frames that were too long or wrongly written */
    uint64_t broken;    /* connections given up because nothing could be made of them */
};

/* It leads nowhere yet. Everything but the host must outlive it. */
struct wire *wire_new(struct loop *loop, const struct profile_link *link, const char *host,
                      int port, const struct wire_events *events, void *context);
void wire_free(struct wire *wire);

/* Looks the name up, unless that is under way. */
void wire_look_up(struct wire *wire);

/* Leads there from now on. What the system says against it; NULL: nothing. */
const char *wire_lead_to(struct wire *wire, const struct sockaddr *peer);

/* Gives a connection up that brings nothing any more, and makes another. Nothing over UDP. */
void wire_renew(struct wire *wire);

bool wire_is_ready(const struct wire *wire);

/* Sends one packet, or drops it as any network may. */
void wire_send(struct wire *wire, const uint8_t *bytes, size_t length);

struct wire_figures wire_figures(const struct wire *wire);

#endif
