/* SPDX-License-Identifier: MIT */
#include "outbox.h"

#include <stdlib.h>

#include "rubbish.h"

static void
dispatch(struct outbox *outbox, const struct peer *to, const uint8_t *data, size_t size)
{
    int64_t hold_us = (int64_t)(outbox->faults->values[FAULT_DELAY] * 1000);

    if (faults_strike(outbox->faults, FAULT_REORDER))
        hold_us += 1000 + faults_random(outbox->faults, 9001);
    if (hold_us > 0)
        delay_line_put(&outbox->delayed, to, data, size, outbox->now_us + hold_us);
    else
        link_send(outbox->link, to, data, size);
}

static void
launch(void *context, const struct peer *to, const uint8_t *data, size_t size)
{
    struct outbox *outbox = context;
    uint8_t rubbish[RUBBISH_SIZE];

    if (!faults_strike(outbox->faults, FAULT_DROP)) {
        dispatch(outbox, to, data, size);
        if (faults_strike(outbox->faults, FAULT_DUPLICATE))
            dispatch(outbox, to, data, size);
    }
    if (faults_strike(outbox->faults, FAULT_GARBAGE))
        dispatch(outbox, to, rubbish, rubbish_make(outbox->faults, data, size, rubbish));
}

void
outbox_init(struct outbox *outbox, struct link *link, struct faults *faults)
{
    *outbox = (struct outbox){.link = link, .faults = faults};
    outbox->bundles.send = launch;
    outbox->bundles.context = outbox;
}

void
outbox_release(struct outbox *outbox)
{
    delay_line_release(&outbox->delayed);
}

void
outbox_post(struct outbox *outbox, const struct peer *to, const uint8_t *message, size_t size)
{
    double limit = outbox->faults->values[FAULT_BUNDLE];

    outbox->bundles.depth = (size_t)outbox->faults->values[FAULT_NEST];
    if (limit > 1 || outbox->bundles.depth > 0)
        bundles_add(&outbox->bundles, to, message, size, (size_t)limit);
    else
        launch(outbox, to, message, size);
}

void
outbox_flush(struct outbox *outbox, int64_t now_us)
{
    struct held *held;

    bundles_close(&outbox->bundles);
    while ((held = delay_line_take(&outbox->delayed, now_us)) != NULL) {
        link_send(outbox->link, &held->peer, held->data, held->size);
        free(held);
    }
    link_flush(outbox->link);
}

int64_t
outbox_next_us(const struct outbox *outbox)
{
    return delay_line_next_us(&outbox->delayed);
}
