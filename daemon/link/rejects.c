/* SPDX-License-Identifier: MIT */
#include "link/rejects.h"

#include <string.h>

#include "base/escape.h"
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

const char *
rejects_outline(const uint8_t *bytes, size_t length, char *outline, size_t size)
{
    struct osc_outline found = osc_outline(bytes, length);
    size_t used;

    escape_clean(outline, size, found.address ? found.address : "");
    used = strlen(outline);
    if (found.address && found.types && used + 2 < size) {
        outline[used++] = ' ';
        escape_clean(outline + used, size - used, found.types);
    }
    return outline;
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
