/* SPDX-License-Identifier: MIT */
/* What the link does with one packet of the desk, and what is done with it once more when a
 * recording is replayed: check, decoding, routing, and the counts of what was turned down. Part of
 * every link (way.h); nobody else includes it.
 */
#ifndef GAINWARDEN_LINK_HEAR_H
#define GAINWARDEN_LINK_HEAR_H

#include "link/link.h"

struct link_hear {
    struct router *router;
    struct osc_forms forms; /* that are let in */
    const struct link_owner *owner;
    struct link_rejects rejects; /* but what the wire counts */
    uint64_t taken;
    int64_t last_heard_ms; /* a value; -1: never */
    int64_t now_ms;        /* when the packet in hand came */
    size_t entry, place;   /* that the message in hand answered, as the router said */
};

void link_hear_packet(struct link_hear *hear, const uint8_t *bytes, size_t length, int64_t now_ms);

#endif
