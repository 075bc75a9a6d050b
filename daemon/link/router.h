/* SPDX-License-Identifier: MIT */
/* From a decoded message to the desk model: which entry of the profile it answers, and its values
 * in dB, Hz, on or off.
 */
#ifndef GAINWARDEN_ROUTER_H
#define GAINWARDEN_ROUTER_H

#include <stdint.h>

#include "engine/engine.h"
#include "osc/osc.h"
#include "profile/profile.h"

enum route_result {
    ROUTE_TAKEN,
    ROUTE_UNKNOWN_ADDRESS, /* no entry of the profile */
    ROUTE_OTHER_ARGUMENTS, /* an entry's address, but not its arguments */
    ROUTE_NO_TYPES,        /* the same of a message without type tags, or none are expected */
    ROUTE_BAD_VALUE        /* at least one value that the law or the parameter does not allow */
};

/* An entry's answer for a place (entry_places() over all its variables) was heard. */
typedef void router_answer_fn(void *context, size_t entry, size_t place);

struct router;

/* Profile and engine must outlive it. */
struct router *router_new(const struct profile *profile, struct engine *engine,
                          router_answer_fn *answered, void *context);
void router_free(struct router *router);

/* Gives the message's values to the engine. `answered` is told also when a value was bad: asking
 * again would not mend it. */
enum route_result router_take(struct router *router, const struct osc_message *message,
                              int64_t now_ms);

/* Whether a value of the message in hand, or of the last one, was another one before. Meters never
 * count: they move all the time. */
bool router_moved(const struct router *router);

/* The values go to this engine from now on, which is for the same profile. */
void router_set_engine(struct router *router, struct engine *engine);

#endif
