/* SPDX-License-Identifier: MIT */
/* The show file's timetable, which changes the room: looked at once a minute, since the clock may
 * be set.
 */
#ifndef GAINWARDEN_WATCH_TABLE_H
#define GAINWARDEN_WATCH_TABLE_H

#include "desk/room.h"
#include "loop/loop.h"

struct watch_desk;

struct table {
    struct loop_timer *timer;
    time_t at;      /* when it changes the room next; 0: it does not */
    enum room room; /* to this */
};

/* An entry is due, or the clock was set; the context is the desk. */
void table_due(void *context);

/* Where the show file has one. */
void table_start(struct watch_desk *desk);

#endif
