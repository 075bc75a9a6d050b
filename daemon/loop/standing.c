/* SPDX-License-Identifier: MIT */
/* The times and timers of a loop over a clock that stands. */
#include <stdlib.h>

#include "core/need.h"
#include "loop/stand.h"
#include "loop/times.h"

struct standing_timer {
    struct loop_timer timer; /* by which it is known */
    struct stand_timer *stands;
};

static struct stand_timer *
stands(struct loop_timer *timer)
{
    return ((struct standing_timer *)timer)->stands;
}

static int64_t
now_us(const void *from)
{
    return stand_now_ms(from) * 1000;
}

static int64_t
woke_ms(const void *from)
{
    return stand_woke_ms(from);
}

static struct loop_timer *
open_timer(void *from, loop_fn *fn, void *context)
{
    struct standing_timer *timer = need_memory(1, sizeof *timer);

    *timer = (struct standing_timer){{&loop_standing_times}, stand_timer_open(from, fn, context)};
    return &timer->timer;
}

static void
start(struct loop_timer *timer, int64_t after_ms, int64_t repeat_ms)
{
    stand_timer_start(stands(timer), after_ms, repeat_ms);
}

static void
stop(struct loop_timer *timer)
{
    stand_timer_stop(stands(timer));
}

static void
close_timer(struct loop_timer *timer)
{
    stand_timer_close(stands(timer));
    free(timer);
}

const struct loop_times loop_standing_times = {now_us, woke_ms, open_timer,
                                               start,  stop,    close_timer};
