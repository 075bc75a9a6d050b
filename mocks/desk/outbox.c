#include "outbox.h"

#include "rubbish.h"

#include <stdlib.h>

static void
dispatch(struct Outbox *outbox, const struct Peer *to, const uint8_t *data, size_t size)
{
    int64_t hold_us = (int64_t)(outbox->faults->values[FAULT_DELAY] * 1000);

    if (Faults_strike(outbox->faults, FAULT_REORDER))
        hold_us += 1000 + Faults_random(outbox->faults, 9001);
    if (hold_us > 0)
        DelayLine_put(&outbox->delayed, to, data, size, outbox->now_us + hold_us);
    else
        Link_send(outbox->link, to, data, size);
}

static void
launch(void *context, const struct Peer *to, const uint8_t *data, size_t size)
{
    struct Outbox *outbox = context;
    uint8_t rubbish[RUBBISH_SIZE];

    if (!Faults_strike(outbox->faults, FAULT_DROP)) {
        dispatch(outbox, to, data, size);
        if (Faults_strike(outbox->faults, FAULT_DUPLICATE))
            dispatch(outbox, to, data, size);
    }
    if (Faults_strike(outbox->faults, FAULT_GARBAGE))
        dispatch(outbox, to, rubbish, Rubbish_make(outbox->faults, data, size, rubbish));
}

void
Outbox_init(struct Outbox *outbox, struct Link *link, struct Faults *faults)
{
    *outbox = (struct Outbox){.link = link, .faults = faults};
    outbox->bundles.send = launch;
    outbox->bundles.context = outbox;
}

void
Outbox_release(struct Outbox *outbox)
{
    DelayLine_release(&outbox->delayed);
}

void
Outbox_post(struct Outbox *outbox, const struct Peer *to, const uint8_t *message, size_t size)
{
    double limit = outbox->faults->values[FAULT_BUNDLE];

    outbox->bundles.depth = (size_t)outbox->faults->values[FAULT_NEST];
    if (limit > 1 || outbox->bundles.depth > 0)
        Bundles_add(&outbox->bundles, to, message, size, (size_t)limit);
    else
        launch(outbox, to, message, size);
}

void
Outbox_flush(struct Outbox *outbox, int64_t now_us)
{
    struct Held *held;

    Bundles_close(&outbox->bundles);
    while ((held = DelayLine_take(&outbox->delayed, now_us)) != NULL) {
        Link_send(outbox->link, &held->peer, held->data, held->size);
        free(held);
    }
    Link_flush(outbox->link);
}

int64_t
Outbox_next_us(const struct Outbox *outbox)
{
    return DelayLine_next_us(&outbox->delayed);
}
