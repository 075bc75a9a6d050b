/* SPDX-License-Identifier: MIT */
#include "link/hear.h"

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
reject(struct link_hear *hear, uint64_t *count, const char *reason, const uint8_t *bytes,
       size_t length)
{
    ++*count;
    if (hear->owner->rejected)
        hear->owner->rejected(hear->owner->context, reason, bytes, length);
}

static uint64_t *
route_count(struct link_hear *hear, enum route_result result)
{
    switch (result) {
    case ROUTE_UNKNOWN_ADDRESS:
        return &hear->rejects.unknown_address;
    case ROUTE_OTHER_ARGUMENTS:
        return &hear->rejects.other_arguments;
    case ROUTE_NO_TYPES:
        return &hear->rejects.datagrams[OSC_NO_TYPES];
    case ROUTE_BAD_VALUE:
        return &hear->rejects.bad_value;
    case ROUTE_TAKEN:
        break;
    }
    return &hear->taken;
}

static void
on_message(void *context, const uint8_t *bytes, size_t length)
{
    struct link_hear *hear = context;
    struct osc_message message;
    struct link_heard heard = {.message = &message};

    if (!osc_decode(&message, bytes, length)) {
        reject(hear, &hear->rejects.datagrams[OSC_REFUSED], osc_reject_name(OSC_REFUSED), bytes,
               length);
        return;
    }
    heard.result = router_take(hear->router, &message, hear->now_ms);
    if (heard.result == ROUTE_TAKEN)
        hear->taken++;
    else
        reject(hear, route_count(hear, heard.result), link_route_name(heard.result), bytes, length);
    if (heard.result == ROUTE_TAKEN || heard.result == ROUTE_BAD_VALUE) {
        hear->last_heard_ms = hear->now_ms;
        heard.entry = hear->entry;
        heard.place = hear->place;
    }
    if (hear->owner->heard)
        hear->owner->heard(hear->owner->context, &heard);
}

void
link_hear_packet(struct link_hear *hear, const uint8_t *bytes, size_t length, int64_t now_ms)
{
    enum osc_reject bad;

    hear->now_ms = now_ms;
    bad = osc_check_datagram(bytes, length, hear->forms, on_message, hear);
    if (bad != OSC_OK)
        reject(hear, &hear->rejects.datagrams[bad], osc_reject_name(bad), bytes, length);
}
