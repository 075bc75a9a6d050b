/* SPDX-License-Identifier: MIT */
/* Messages of one wake-up gathered per receiver, so that many travel in one datagram. */
#ifndef MOCK_BUNDLES_H
#define MOCK_BUNDLES_H

#include <stddef.h>
#include <stdint.h>

#include "link.h"
#include "wire.h"

enum {
    BUNDLES_OPEN = 8,   /* receivers gathered for at once */
    BUNDLES_DEPTH = 16, /* bundles in each other */
    BUNDLE_SIZE = LINK_SEND_SIZE - (WIRE_BUNDLE_HEAD + 4) * BUNDLES_DEPTH,
};

struct bundle {
    struct peer peer;
    size_t messages; /* 0: the slot is free */
    size_t last;     /* where the last element begins */
    size_t size;
    uint8_t data[BUNDLE_SIZE]; /* elements, each with its size before it */
};

typedef void bundle_send_fn(void *context, const struct peer *to, const uint8_t *data, size_t size);

struct bundles {
    bundle_send_fn *send;
    void *context;
    size_t depth;  /* 0: one bundle to be dealt with at once */
    size_t oldest; /* the slot to empty next when all are taken */
    struct bundle open[BUNDLES_OPEN];
};

/* Adds a message; sends the bundle once it holds `limit` messages or has no room. */
void bundles_add(struct bundles *bundles, const struct peer *to, const uint8_t *message,
                 size_t size, size_t limit);

/* Sends whatever is open. */
void bundles_close(struct bundles *bundles);

#endif
