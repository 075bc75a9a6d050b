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

struct Outbox {
    struct Link *link;     /* the caller's */
    struct Faults *faults; /* the caller's */
    int64_t now_us;        /* the time of this wake-up */
    struct Bundles bundles;
    struct DelayLine delayed;
};

void Outbox_init(struct Outbox *outbox, struct Link *link, struct Faults *faults);
void Outbox_release(struct Outbox *outbox);

void Outbox_post(struct Outbox *outbox, const struct Peer *to, const uint8_t *message, size_t size);

/* At the end of a wake-up: closes the bundles, adds what has come due, sends the batch. */
void Outbox_flush(struct Outbox *outbox, int64_t now_us);

/* When the next held datagram is due; INT64_MAX for none. */
int64_t Outbox_next_us(const struct Outbox *outbox);

#endif
