/* SPDX-License-Identifier: MIT */
#include "link/rejects.h"

#include "link/link.h"

/* In the order of the members behind the datagrams. */
static const char *
other_reason(size_t i)
{
    static const char *const wires[] = {"stranger", "skipped-frame", "broken-stream"};
    static const enum route_result routes[] = {ROUTE_UNKNOWN_ADDRESS, ROUTE_OTHER_ARGUMENTS,
                                               ROUTE_BAD_VALUE};
    const size_t count = sizeof routes / sizeof *routes;

    return i < count ? link_route_name(routes[i]) : wires[i - count];
}

const char *
rejects_reason(size_t i)
{
    return i < OSC_REJECTS ? osc_reject_name((enum osc_reject)i) : other_reason(i - OSC_REJECTS);
}

uint64_t *
rejects_count(struct link_rejects *rejects, size_t i)
{
    uint64_t *const others[] = {&rejects->unknown_address, &rejects->other_arguments,
                                &rejects->bad_value,       &rejects->strangers,
                                &rejects->skipped_frames,  &rejects->broken_streams};

    _Static_assert(LINK_REASONS == OSC_REJECTS + sizeof others / sizeof *others, "all of them");
    return i < OSC_REJECTS ? &rejects->datagrams[i] : others[i - OSC_REJECTS];
}
