/* SPDX-License-Identifier: MIT */
#include "subscribers.h"

/* NULL when the list is full. */
static struct subscriber *
find_or_add(struct subscribers *subscribers, const struct peer *peer)
{
    size_t i = 0;

    while (i < subscribers->count && !peer_same(&subscribers->list[i].peer, peer))
        i++;
    if (i == SUBSCRIBERS_LIMIT)
        return NULL;
    if (i == subscribers->count) {
        subscribers->list[i] = (struct subscriber){.peer = *peer};
        subscribers->count++;
    }
    return &subscribers->list[i];
}

void
subscribers_stay(struct subscribers *subscribers, const struct peer *peer, int64_t now_us,
                 int64_t hold_us, size_t sweep)
{
    struct subscriber *subscriber = find_or_add(subscribers, peer);

    if (!subscriber)
        return;
    subscriber->until_us = now_us + hold_us;
    if (subscriber->left == 0)
        subscriber->due_us = now_us;
    subscriber->left = sweep;
}

void
subscribers_lapse(struct subscribers *subscribers, int64_t now_us)
{
    size_t kept = 0;

    for (size_t i = 0; i < subscribers->count; i++)
        if (subscribers->list[i].until_us > now_us)
            subscribers->list[kept++] = subscribers->list[i];
    subscribers->count = kept;
}
