/* SPDX-License-Identifier: MIT */
#include "watch/flapping.h"

#include <stdlib.h>

#include "core/need.h"

enum { WITHIN_MS = 10 * 60 * 1000 };

struct flapping {
    struct loop *loop;
    struct loop_timer *steady;
    int64_t lost_at_ms[FLAPPING_LOSSES]; /* the latest losses, in a ring, */
    size_t losses;                       /* since the last story */
    int64_t lost_ms;                     /* the latest of all */
    bool on;
};

struct flapping *
flapping_new(struct loop *loop, loop_fn *over, void *context)
{
    struct flapping *flapping = need_memory(1, sizeof *flapping);

    flapping->loop = loop;
    flapping->steady = loop_timer_open(loop, over, context);
    return flapping;
}

void
flapping_free(struct flapping *flapping)
{
    if (!flapping)
        return;
    loop_timer_close(flapping->steady);
    free(flapping);
}

enum flapping_loss
flapping_lost(struct flapping *flapping, bool may_begin, int64_t *within_ms)
{
    flapping->lost_ms = loop_now_ms(flapping->loop);
    flapping->lost_at_ms[flapping->losses++ % FLAPPING_LOSSES] = flapping->lost_ms;
    if (flapping->on)
        return FLAPPING_ALREADY;
    if (!may_begin || flapping->losses < FLAPPING_LOSSES)
        return FLAPPING_NOT;
    /* the next place of the ring has the oldest */
    *within_ms = flapping->lost_ms - flapping->lost_at_ms[flapping->losses % FLAPPING_LOSSES];
    flapping->on = *within_ms <= WITHIN_MS;
    return flapping->on ? FLAPPING_BEGINS : FLAPPING_NOT;
}

int64_t
flapping_lost_for_ms(const struct flapping *flapping)
{
    return loop_now_ms(flapping->loop) - flapping->lost_ms;
}

bool
flapping_is_on(const struct flapping *flapping)
{
    return flapping->on;
}

void
flapping_wait(struct flapping *flapping)
{
    if (flapping->on)
        loop_timer_start(flapping->steady, FLAPPING_STEADY_MS, 0);
}

bool
flapping_end(struct flapping *flapping)
{
    bool was_on = flapping->on;

    if (was_on)
        flapping->losses = 0;
    flapping->on = false;
    return was_on;
}
