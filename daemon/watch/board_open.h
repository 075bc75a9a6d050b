/* SPDX-License-Identifier: MIT */
/* The board of a watch (board/board.h): all its desks on one page. */
#ifndef GAINWARDEN_WATCH_BOARD_OPEN_H
#define GAINWARDEN_WATCH_BOARD_OPEN_H

#include "watch/shared.h"

enum { BOARD_BOOT_SIZE = 20 };

struct board_desks {
    struct watch_desk *const *desks;
    int count;
    char boot[BOARD_BOOT_SIZE]; /* another after each start */
    struct board *board;
    struct loop_timer *again; /* what is new grows old, though nothing happens */
};

/* False, told on standard error, when it was asked for and cannot be had. The desks outlive it, and
 * the first one's name is that of the file with its links. */
bool watch_board_open(struct watch_shared *shared, struct board_desks *desks);
void watch_board_close(struct watch_shared *shared, struct board_desks *desks);

/* Something changed; before the loop sleeps. */
void watch_board_news(const struct watch_shared *shared);

#endif
