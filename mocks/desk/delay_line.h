/* Datagrams held back until they are due: a heap ordered by time, then by arrival. */
#ifndef MOCK_DELAY_LINE_H
#define MOCK_DELAY_LINE_H

#include "peer.h"

#include <stddef.h>
#include <stdint.h>

enum { DELAY_LINE_LIMIT = 65536 }; /* what comes beyond is lost, as in a full switch */

struct Held {
    int64_t due_us;
    uint64_t order;
    struct Peer peer;
    size_t size;
    uint8_t data[];
};

struct DelayLine {
    struct Held **heap;
    size_t count;
    size_t capacity;
    uint64_t arrived;
};

void DelayLine_put(struct DelayLine *line, const struct Peer *to, const uint8_t *data, size_t size,
                   int64_t due_us);

/* When the first one is due; INT64_MAX when the line is empty. */
int64_t DelayLine_next_us(const struct DelayLine *line);

/* Takes the first one if it is due, else returns NULL. The caller frees it. */
struct Held *DelayLine_take(struct DelayLine *line, int64_t now_us);
void DelayLine_release(struct DelayLine *line);

#endif
