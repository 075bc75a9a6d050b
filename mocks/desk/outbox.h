/* SPDX-License-Identifier: MIT */
/*
 * The way out:
 *
 *   message -> gathered into bundles (or not) -> dropped, doubled, followed by rubbish
 *           -> held back (or not) -> the link's batch -> network
 */
#ifndef MOCK_OUTBOX_H
#define MOCK_OUTBOX_H

#include "bundles.h"
#include "delay_line.h"
#include "faults.h"
#include "link.h"

struct outbox {
    struct link *link;     /* the caller's */
    struct faults *faults; /* the caller's */
    int64_t now_us;        /* the time of this wake-up */
    struct bundles bundles;
    struct delay_line delayed;
};

void outbox_init(struct outbox *outbox, struct link *link, struct faults *faults);
void outbox_release(struct outbox *outbox);

void outbox_post(struct outbox *outbox, const struct peer *to, const uint8_t *message, size_t size);

/* At the end of a wake-up: closes the bundles, adds what has come due, sends the batch. */
void outbox_flush(struct outbox *outbox, int64_t now_us);

/* When the next held datagram is due; INT64_MAX for none. */
int64_t outbox_next_us(const struct outbox *outbox);

#endif
