/* SPDX-License-Identifier: MIT */
#include "link/said.h"
#include "link/way.h"
#include "osc/osc.h"

static const char *const route_names[] = {
    [ROUTE_TAKEN] = NULL,
    [ROUTE_UNKNOWN_ADDRESS] = "unknown-address",
    [ROUTE_OTHER_ARGUMENTS] = "other-arguments",
    [ROUTE_BAD_VALUE] = "bad-value",
};

const char *
link_route_name(enum route_result result)
{
    return result == ROUTE_NO_TYPES ? osc_reject_name(OSC_NO_TYPES) : route_names[result];
}

static void
reject(struct link *link, uint64_t *count, const char *reason, const uint8_t *bytes, size_t length)
{
    ++*count;
    if (link->owner.rejected)
        link->owner.rejected(link->owner.context, reason, bytes, length);
}

static uint64_t *
route_count(struct link *link, enum route_result result)
{
    switch (result) {
    case ROUTE_UNKNOWN_ADDRESS:
        return &link->figures.rejects.unknown_address;
    case ROUTE_OTHER_ARGUMENTS:
        return &link->figures.rejects.other_arguments;
    case ROUTE_NO_TYPES:
        return &link->figures.rejects.datagrams[OSC_NO_TYPES];
    case ROUTE_BAD_VALUE:
        return &link->figures.rejects.bad_value;
    case ROUTE_TAKEN:
        break;
    }
    return &link->figures.taken;
}

static void
on_unread(void *context, enum osc_reject why, const uint8_t *bytes, size_t length)
{
    struct link *link = context;
    char *first = link->figures.unread[why];

    reject(link, &link->figures.rejects.datagrams[why], osc_reject_name(why), bytes, length);
    if (!*first)
        rejects_outline(bytes, length, first, LINK_UNREAD_SIZE);
    said_unread(link, osc_reject_name(why), bytes, length);
    if (link->owner.unread)
        link->owner.unread(link->owner.context, why, bytes, length);
}

static void
on_message(void *context, const uint8_t *bytes, size_t length)
{
    struct link *link = context;
    struct osc_message message;
    struct link_heard heard = {.message = &message};

    if (!osc_decode(&message, bytes, length)) {
        on_unread(link, OSC_REFUSED, bytes, length);
        return;
    }
    heard.result = router_take(link->router, &message, link->packet_ms);
    if (heard.result == ROUTE_TAKEN)
        link->figures.taken++;
    else
        reject(link, route_count(link, heard.result), link_route_name(heard.result), bytes, length);
    if (heard.result == ROUTE_TAKEN || heard.result == ROUTE_BAD_VALUE) {
        link->figures.last_heard_ms = link->packet_ms;
        link->unmoved |= !router_moved(link->router);
        heard.entry = link->entry;
        heard.place = link->place;
    } else
        said_message(link, &message);
    if (link->owner.heard)
        link->owner.heard(link->owner.context, &heard);
}

static void
hear(struct link *link, const uint8_t *bytes, size_t length, int64_t now_ms)
{
    link->packet_ms = now_ms;
    link->unmoved = false;
    osc_check_datagram(bytes, length, link->forms, &(struct osc_told){on_message, on_unread, link});
    if (link->figures.last_heard_ms == now_ms) {
        link->figures.error = NULL;
        link->figures.said[0] = '\0';
    }
}

void
link_hear_packet(struct link *link, const uint8_t *bytes, size_t length, int64_t now_ms)
{
    const struct link_tap *tap = link->owner.tap;
    const struct link_figures *figures = &link->figures;
    uint64_t heard = figures->taken + figures->rejects.bad_value;
    struct link_rejects before;

    if (!tap) {
        hear(link, bytes, length, now_ms);
        return;
    }
    before = figures->rejects;
    hear(link, bytes, length, now_ms);
    if (figures->taken + figures->rejects.bad_value > heard)
        tap->packet(tap->context, bytes, length, now_ms);
    else
        tap->rejected(tap->context, before, figures->rejects);
}
