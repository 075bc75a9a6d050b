/* SPDX-License-Identifier: MIT */
/* Who asked to be told of changes, and until when. Few, so a plain list. */
#ifndef MOCK_SUBSCRIBERS_H
#define MOCK_SUBSCRIBERS_H

#include <stddef.h>
#include <stdint.h>

#include "peer.h"

enum { SUBSCRIBERS_LIMIT = 32 };

struct subscriber {
    struct peer peer;
    int64_t until_us;
    size_t next;    /* message of the book to be told next */
    size_t left;    /* how many are still to be told */
    int64_t due_us; /* when the next one is */
};

struct subscribers {
    size_t count;
    struct subscriber list[SUBSCRIBERS_LIMIT];
};

/*
 * Adds or renews for `hold_us`; then `sweep` messages are to be told, from where the last telling
 * stands. A desk that is full stays silent: the newcomer hears no pushes.
 */
void subscribers_stay(struct subscribers *subscribers, const struct peer *peer, int64_t now_us,
                      int64_t hold_us, size_t sweep);

/* Drops those whose time is over; afterwards the list holds the live ones. */
void subscribers_lapse(struct subscribers *subscribers, int64_t now_us);

#endif
