/* SPDX-License-Identifier: MIT */
#include "loop/stand.h"

#include <assert.h>
#include <stdlib.h>

#include "core/need.h"
#include "loop/times.h"

struct stand {
    int64_t now_ms, woke_ms;
    uint64_t starts; /* of all timers: what is due at one time goes in the order it was started */
    struct stand_timer *timers;
};

struct stand_timer {
    struct loop_timer timer; /* by which it is known */
    struct stand *stand;
    struct stand_timer *next;
    loop_fn *fn;
    void *context;
    int64_t due_ms; /* INT64_MAX: stopped */
    int64_t repeat_ms;
    uint64_t started;
};

struct stand *
stand_new(void)
{
    return need_memory(1, sizeof(struct stand));
}

void
stand_free(struct stand *stand)
{
    assert(!stand || !stand->timers);
    free(stand);
}

int64_t
stand_now_ms(const struct stand *stand)
{
    return stand->now_ms;
}

void
stand_move(struct stand *stand, int64_t now_ms, int64_t woke_ms)
{
    if (now_ms > stand->now_ms)
        stand->now_ms = now_ms;
    stand->woke_ms = woke_ms;
}

/* ---- the times and timers of a loop ---- */

static int64_t
now_us(const void *from)
{
    return stand_now_ms(from) * 1000;
}

static int64_t
woke_ms(const void *from)
{
    const struct stand *stand = from;

    return stand->woke_ms;
}

static struct loop_timer *
open_timer(void *from, loop_fn *fn, void *context)
{
    struct stand *stand = from;
    struct stand_timer *timer = need_memory(1, sizeof *timer);

    *timer = (struct stand_timer){{&stand_times},     stand, stand->timers, fn, context,
                                  .due_ms = INT64_MAX};
    stand->timers = timer;
    return &timer->timer;
}

static void
start_timer(struct loop_timer *known, int64_t after_ms, int64_t repeat_ms)
{
    struct stand_timer *timer = (struct stand_timer *)known;

    timer->due_ms = timer->stand->now_ms + (after_ms < 0 ? 0 : after_ms);
    timer->repeat_ms = repeat_ms;
    timer->started = ++timer->stand->starts;
}

static void
stop_timer(struct loop_timer *known)
{
    ((struct stand_timer *)known)->due_ms = INT64_MAX;
}

static void
close_timer(struct loop_timer *known)
{
    struct stand_timer *timer = (struct stand_timer *)known;
    struct stand_timer **at = &timer->stand->timers;

    while (*at != timer)
        at = &(*at)->next;
    *at = timer->next;
    free(timer);
}

const struct loop_times stand_times = {now_us,      woke_ms,    open_timer,
                                       start_timer, stop_timer, close_timer};

/* ---- what is due ---- */

static struct stand_timer *
next_timer(const struct stand *stand)
{
    struct stand_timer *next = NULL;

    for (struct stand_timer *timer = stand->timers; timer; timer = timer->next)
        if (timer->due_ms != INT64_MAX &&
            (!next || timer->due_ms < next->due_ms ||
             (timer->due_ms == next->due_ms && timer->started < next->started)))
            next = timer;
    return next;
}

int64_t
stand_next_ms(const struct stand *stand)
{
    const struct stand_timer *timer = next_timer(stand);

    return timer ? timer->due_ms : INT64_MAX;
}

void
stand_fire(struct stand *stand)
{
    struct stand_timer *timer = next_timer(stand);

    if (timer->repeat_ms > 0)
        start_timer(&timer->timer, timer->repeat_ms, timer->repeat_ms);
    else
        stop_timer(&timer->timer);
    timer->fn(timer->context); /* which may close it */
}
