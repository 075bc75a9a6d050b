/* SPDX-License-Identifier: MIT */
/* Datagrams held back until they are due: a heap ordered by time, then by arrival. */
#ifndef MOCK_DELAY_LINE_H
#define MOCK_DELAY_LINE_H

#include <stddef.h>
#include <stdint.h>

#include "peer.h"

enum { DELAY_LINE_LIMIT = 65536 }; /* what comes beyond is lost, as in a full switch */

struct held {
    int64_t due_us;
    uint64_t order;
    struct peer peer;
    size_t size;
    uint8_t data[];
};

struct delay_line {
    struct held **heap;
    size_t count;
    size_t capacity;
    uint64_t arrived;
};

void delay_line_put(struct delay_line *line, const struct peer *to, const uint8_t *data,
                    size_t size, int64_t due_us);

/* When the first one is due; INT64_MAX when the line is empty. */
int64_t delay_line_next_us(const struct delay_line *line);

/* Takes the first one if it is due, else returns NULL. The caller frees it. */
struct held *delay_line_take(struct delay_line *line, int64_t now_us);
void delay_line_release(struct delay_line *line);

#endif
