#include "subscribers.h"

void
Subscribers_stay(struct Subscribers *subscribers, const struct Peer *peer, int64_t until_us)
{
    size_t i = 0;

    while (i < subscribers->count && !Peer_same(&subscribers->list[i].peer, peer))
        i++;
    if (i == SUBSCRIBERS_LIMIT)
        return;
    if (i == subscribers->count)
        subscribers->count++;
    subscribers->list[i] = (struct Subscriber){*peer, until_us};
}

void
Subscribers_lapse(struct Subscribers *subscribers, int64_t now_us)
{
    size_t kept = 0;

    for (size_t i = 0; i < subscribers->count; i++)
        if (subscribers->list[i].until_us > now_us)
            subscribers->list[kept++] = subscribers->list[i];
    subscribers->count = kept;
}
