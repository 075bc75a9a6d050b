/* SPDX-License-Identifier: MIT */
#include "loop/stand.h"

#include <assert.h>
#include <stdlib.h>

#include "core/need.h"

struct stand {
    int64_t now_ms, woke_ms;
    uint64_t starts; /* of all timers: what is due at one time goes in the order it was started */
    struct stand_timer *timers;
};

struct stand_timer {
    struct stand *stand;
    struct stand_timer *next;
    stand_fn *fn;
    void *context;
    int64_t due_ms; /* INT64_MAX: stopped */
    int64_t repeat_ms;
    uint64_t started;
};

struct stand *
stand_new(void)
{
    struct stand *stand = need_memory(1, sizeof *stand);

    return stand;
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

int64_t
stand_woke_ms(const struct stand *stand)
{
    return stand->woke_ms;
}

void
stand_move(struct stand *stand, int64_t now_ms, int64_t woke_ms)
{
    if (now_ms > stand->now_ms)
        stand->now_ms = now_ms;
    stand->woke_ms = woke_ms;
}

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
        stand_timer_start(timer, timer->repeat_ms, timer->repeat_ms);
    else
        stand_timer_stop(timer);
    timer->fn(timer->context); /* which may close it */
}

struct stand_timer *
stand_timer_open(struct stand *stand, stand_fn *fn, void *context)
{
    struct stand_timer *timer = need_memory(1, sizeof *timer);

    *timer = (struct stand_timer){stand, stand->timers, fn, context, INT64_MAX, 0, 0};
    stand->timers = timer;
    return timer;
}

void
stand_timer_start(struct stand_timer *timer, int64_t after_ms, int64_t repeat_ms)
{
    timer->due_ms = timer->stand->now_ms + (after_ms < 0 ? 0 : after_ms);
    timer->repeat_ms = repeat_ms;
    timer->started = ++timer->stand->starts;
}

void
stand_timer_stop(struct stand_timer *timer)
{
    timer->due_ms = INT64_MAX;
}

void
stand_timer_close(struct stand_timer *timer)
{
    struct stand_timer **at = &timer->stand->timers;

    while (*at != timer)
        at = &(*at)->next;
    *at = timer->next;
    free(timer);
}
