/* SPDX-License-Identifier: MIT */
/* What is seen waits here until somebody takes it. */
#include <math.h>

#include "ring/parts.h"

struct ring_event
ring_made(const struct ringing *ringing, enum ring_kind kind, int mix, int input)
{
    return (struct ring_event){.kind = kind,
                               .at_ms = ringing->now_ms,
                               .mix = mix,
                               .input = input,
                               .hz = NAN,
                               .other_hz = NAN,
                               .db = NAN,
                               .won_db = NAN};
}

static bool
is_told_once(enum ring_kind kind)
{
    return kind == RING_GATE || kind == RING_NOT_KNOWN ||
           (ring_kind_weight(kind) != RING_SEEN && kind != RING_LOST && kind != RING_RECALL);
}

/* Where nobody takes them the oldest go. */
void
ring_tell(struct ringing *ringing, struct ring_event event)
{
    if (is_told_once(event.kind) && ringing->said[event.kind])
        return;
    ringing->said[event.kind] = true;
    if (ringing->event_count == RING_EVENTS_ROOM) {
        ringing->first_event = (ringing->first_event + 1) % RING_EVENTS_ROOM;
        ringing->event_count--;
    }
    ringing->events[(ringing->first_event + ringing->event_count++) % RING_EVENTS_ROOM] = event;
}

bool
ringing_event(struct ringing *ringing, struct ring_event *event)
{
    if (ringing->event_count == 0)
        return false;
    *event = ringing->events[ringing->first_event];
    ringing->first_event = (ringing->first_event + 1) % RING_EVENTS_ROOM;
    ringing->event_count--;
    return true;
}
