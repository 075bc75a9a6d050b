/* SPDX-License-Identifier: MIT */
#include "ring/event.h"

#define RING_ROW(id, name, weight) {name, weight},
static const struct {
    const char *name;
    enum ring_weight weight;
} kinds[RING_KINDS] = {RING_EVENTS(RING_ROW)};
#undef RING_ROW

const char *
ring_kind_name(enum ring_kind kind)
{
    return kinds[kind].name;
}

enum ring_weight
ring_kind_weight(enum ring_kind kind)
{
    return kinds[kind].weight;
}

const char *
ring_weight_name(enum ring_weight weight)
{
    static const char *const names[] = {[RING_SEEN] = "seen",
                                        [RING_ADVICE] = "advice",
                                        [RING_MISTAKE] = "mistake",
                                        [RING_WARNING] = "warning"};

    return names[weight];
}
