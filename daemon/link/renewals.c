/* SPDX-License-Identifier: MIT */
#include "link/renewals.h"

#include <stdlib.h>

#include "core/need.h"

enum { SEEK_MS = 1000 }; /* how often renewals_seek() is called */

struct item {
    struct renewals *renewals;
    const struct renewal *renewal;
    struct loop_timer *timer;
    bool due;
};

struct renewals {
    struct loop *loop;
    struct ceiling *ceiling;
    renewals_send_fn *send;
    void *context;
    struct loop_timer *late; /* for what had to wait */
    struct item *items;
    size_t count;
};

static int64_t
every_ms(const struct item *item)
{
    return (int64_t)(item->renewal->every_s * 1000);
}

static void
send_due(struct renewals *renewals)
{
    for (size_t i = 0; i < renewals->count; i++) {
        struct item *item = &renewals->items[i];
        int64_t wait_us;

        if (!item->due)
            continue;
        wait_us = ceiling_wait_us(renewals->ceiling, loop_now_us(renewals->loop));
        if (wait_us > 0 || !renewals->send(renewals->context, &item->renewal->send)) {
            loop_timer_start(renewals->late, wait_us / 1000 + 1, 0);
            return;
        }
        item->due = false;
    }
}

static void
on_late(void *context)
{
    send_due(context);
}

static void
on_time(void *context)
{
    struct item *item = context;

    item->due = true;
    send_due(item->renewals);
}

void
renewals_begin(struct renewals *renewals)
{
    for (size_t i = 0; i < renewals->count; i++) {
        struct item *item = &renewals->items[i];

        item->due = true;
        loop_timer_start(item->timer, every_ms(item), every_ms(item));
    }
    send_due(renewals);
}

void
renewals_seek(struct renewals *renewals)
{
    for (size_t i = 0; i < renewals->count; i++)
        if (every_ms(&renewals->items[i]) > SEEK_MS)
            renewals->items[i].due = true;
    send_due(renewals);
}

struct renewals *
renewals_new(struct loop *loop, const struct profile *profile, struct ceiling *ceiling,
             renewals_send_fn *send, void *context)
{
    struct renewals *renewals = need_memory(1, sizeof *renewals);
    struct item *items = need_memory(profile->renewal_count + 1, sizeof *items);

    *renewals = (struct renewals){loop,
                                  ceiling,
                                  send,
                                  context,
                                  loop_timer_open(loop, on_late, renewals),
                                  items,
                                  profile->renewal_count};
    for (size_t i = 0; i < renewals->count; i++)
        items[i] = (struct item){renewals, &profile->renewals[i],
                                 loop_timer_open(loop, on_time, &items[i]), false};
    return renewals;
}

void
renewals_free(struct renewals *renewals)
{
    if (!renewals)
        return;
    loop_timer_close(renewals->late);
    for (size_t i = 0; i < renewals->count; i++)
        loop_timer_close(renewals->items[i].timer);
    free(renewals->items);
    free(renewals);
}
